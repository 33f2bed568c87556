"""What a cut that is accepted is taken off: the workshop's ledger when it keeps one, else its ``stock.toml``."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from bagside.cli.desk import Desk
    from bagside.ledger.accepting import Cutting
    from bagside.planning.cut_jobs import JobsCut
    from bagside.planning.cutting_room import Accepted
    from bagside.records.stock_file import StockFile
    from bagside.spec.opening import Opened


class CutStock(Protocol):
    """Where cut cloth is taken off, and new offcuts are put."""

    def first_number(self) -> int:
        """Return the number of the first new offcut: 7 for ``O-7``."""

    def cut(self, found: JobsCut, change: Accepted) -> Cutting | None:
        """Take off what is cut, in one step or not at all; return the kits it makes, where kits are kept."""


@contextmanager
def stock_of(opened: Opened, who: str = "") -> Iterator[CutStock]:
    """Give the stock of a workshop for as long as a command works on it.

    Parameters
    ----------
    opened
        A job of the workshop, as its cloth was read.
    who
        Says so; as in `bagside.cli.desk.desk`.

    Raises
    ------
    InputError
        When ``stock.toml`` has changed since the job was opened.
    """
    from bagside.cli.desk import desk
    from bagside.cli.jobs import kept_here
    from bagside.errors import InputError
    from bagside.records.stock_file import StockFile

    if kept_here(opened.folder, opened.workshop):
        with desk(opened.folder, who) as at:
            yield _InLedger(desk=at)
        return
    stock = StockFile.read(opened.folder)
    if stock.stock != opened.stock:
        raise InputError.one("stock.toml", "", "it was changed just now by someone else", "do it again")
    yield _InFile(file=stock)


@dataclass(frozen=True, slots=True, kw_only=True)
class _InFile:
    file: StockFile

    def first_number(self) -> int:
        return int(self.file.next_name()[2:])

    def cut(self, found: JobsCut, change: Accepted) -> Cutting | None:
        self.file.added(found.workshop, found.library, taken=change.taken, used=change.used, offcuts=change.offcuts)
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class _InLedger:
    desk: Desk

    def first_number(self) -> int:
        return int(self.desk.ledger.next_name("O").removeprefix("O-"))

    def cut(self, found: JobsCut, change: Accepted) -> Cutting | None:
        from bagside.ledger.accepting import cutting_of

        cutting = cutting_of(found, change, self.desk.standing(), self.desk.ledger.next_name)
        now = datetime.now().astimezone()  # the nest took its time
        self.desk.ledger.add([self.desk.event(body, now) for body in cutting.cuts])
        return cutting
