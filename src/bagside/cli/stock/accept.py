"""Where cut cloth is taken off and offcuts are put: the workshop's ledger when it keeps one, else ``stock.toml``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from bagside.records.stock_here import StockHere as Cuttable
from bagside.records.stock_here import StockInFile, StockInLedger

if TYPE_CHECKING:
    from pathlib import Path

    from bagside.records.desk import Desk
    from bagside.spec.library import Library
    from bagside.spec.opening import Opened
    from bagside.spec.stock import Offcut
    from bagside.spec.workshop import Roll, Workshop


class StockHere(Cuttable, Protocol):
    """The stock of a workshop, wherever it is kept."""

    def rolls(self, named: str = "") -> tuple[Roll, ...]:
        """Return the rolls, one that is named also when it is gone."""

    def kept(self, offcuts: Sequence[Offcut], *, stated: bool) -> None:
        """Put offcuts into stock, all or none; with the life they have, or their roll's when none was stated."""


@contextmanager
def stock_of(opened: Opened, who: str = "", at: str = "", *, late: bool = False) -> Iterator[StockHere]:
    """Give the stock of a job's workshop for as long as a command works on it.

    Parameters
    ----------
    opened
        A job of the workshop, as its cloth was read.
    who, at, late
        Who says so, and when it was, as in `bagside.cli.desk.desk`; ``stock.toml`` knows neither.

    Raises
    ------
    InputError
        When ``stock.toml`` has changed since the job was opened, or a time is stated for it.
    """
    from bagside.errors import InputError

    with stock_in(opened.folder, opened.workshop, opened.library, who, at, late=late) as stock:
        if isinstance(stock, _InFile) and (at or late):
            raise InputError.one("--at", at, "stock.toml keeps no times", 'begin records with "bagside stock begin"')
        if isinstance(stock, _InFile) and stock.file.stock != opened.stock:
            raise InputError.one("stock.toml", "", "it was changed just now by someone else", "do it again")
        yield stock


@contextmanager
def stock_in(
    folder: Path, workshop: Workshop, library: Library, who: str = "", at: str = "", *, late: bool = False
) -> Iterator[StockHere]:
    """Give the stock of a workshop for as long as a command works on it.

    Parameters
    ----------
    folder, workshop, library
        The workshop's folder, and what is stated there.
    who, at, late
        As in `bagside.cli.desk.desk`.
    """
    from bagside.cli.desk import desk
    from bagside.records.stock_file import StockFile
    from bagside.records.with_stock import kept_here

    if kept_here(folder, workshop):
        with desk(folder, who, at, late=late) as here:
            yield _InLedger(desk=here, at=here.at if at else None)
        return
    yield _InFile(file=StockFile.read(folder), workshop=workshop, library=library)


@dataclass(frozen=True, slots=True, kw_only=True)
class _InFile(StockInFile):
    def rolls(self, named: str = "") -> tuple[Roll, ...]:
        return self.workshop.stock

    def kept(self, offcuts: Sequence[Offcut], *, stated: bool) -> None:
        self.file.added(self.workshop, self.library, offcuts=offcuts)


@dataclass(frozen=True, slots=True, kw_only=True)
class _InLedger(StockInLedger):
    desk: Desk

    def rolls(self, named: str = "") -> tuple[Roll, ...]:
        from bagside.ledger.stock.shelves import on_shelf

        return on_shelf(self.desk.standing(), self.desk.at, {named} - {""}).rolls

    def kept(self, offcuts: Sequence[Offcut], *, stated: bool) -> None:
        from bagside.cli.stock.receive import place_for
        from bagside.ledger.bodies import Sort
        from bagside.ledger.stock.offcut_found import received_offcut
        from bagside.ledger.things import Cloth

        shop, place = self.desk.standing(), place_for(self.desk, Sort.OFFCUT, "")
        bodies = []
        for offcut in offcuts:
            roll = shop.things.get(offcut.roll)
            own = roll if isinstance(roll, Cloth) else None
            bodies.append(received_offcut(offcut, own, shop, self.desk.at, place=place, stated=stated))
        self.desk.ledger.add([self.desk.event(body) for body in bodies])
