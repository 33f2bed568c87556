"""Where cut cloth is taken off and offcuts are put: the workshop's ledger when it keeps one, else ``stock.toml``.

Commands and pages cut through the same two classes; who opens the ledger, and says who sits there, is theirs.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body
    from bagside.ledger.event import Event
    from bagside.ledger.shop import Shop
    from bagside.ledger.stock.accepting import Cutting
    from bagside.planning.cut_jobs import JobsCut
    from bagside.planning.cutting_room import Accepted
    from bagside.records.database.ledger import Ledger
    from bagside.records.stock_file import StockFile
    from bagside.spec.library import Library
    from bagside.spec.workshop import Workshop


class Opener(Protocol):
    """An opened ledger and who sits at it."""

    @property
    def ledger(self) -> Ledger:
        """The ledger."""

    def standing(self) -> Shop:
        """Return the workshop as it stands."""

    def event(self, body: Body, at: datetime | None = None) -> Event:
        """Return an event of who sits there."""


class StockHere(Protocol):
    """The stock of a workshop, wherever it is kept, as far as cutting goes."""

    def first_number(self) -> int:
        """Return the number of the first new offcut: 7 for ``O-7``."""

    def cutting(self, found: JobsCut, change: Accepted) -> Cutting | None:
        """Return what is cut with the kits it makes, named, where kits are kept; nothing is taken off yet."""

    def cut(self, change: Accepted, cutting: Cutting | None) -> None:
        """Take off what is cut, in one step or not at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockInFile:
    """The stock in ``stock.toml``.

    Parameters
    ----------
    file
        As read.
    workshop, library
        As stated.
    """

    file: StockFile
    workshop: Workshop
    library: Library

    def first_number(self) -> int:
        """Return the number of the first new offcut."""
        return int(self.file.next_name()[2:])

    def cutting(self, found: JobsCut, change: Accepted) -> Cutting | None:
        """Return nothing: a file keeps no kits.

        Parameters
        ----------
        found
            The jobs cut together.
        change
            What it does to the stock.
        """
        return None

    def cut(self, change: Accepted, cutting: Cutting | None) -> None:
        """Take off what is cut.

        Parameters
        ----------
        change
            What it does to the stock.
        cutting
            Nothing here.
        """
        self.file.added(self.workshop, self.library, taken=change.taken, used=change.used, offcuts=change.offcuts)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockInLedger:
    """The stock in the workshop's ledger.

    Parameters
    ----------
    desk
        Opened.
    at
        When it is cut; when it is taken off, if None.
    """

    desk: Opener
    at: datetime | None = None

    def first_number(self) -> int:
        """Return the number of the first new offcut."""
        return int(self.desk.ledger.next_name("O").removeprefix("O-"))

    def cutting(self, found: JobsCut, change: Accepted) -> Cutting | None:
        """Return what is cut with the kits it makes, named.

        Parameters
        ----------
        found
            The jobs cut together.
        change
            What it does to the stock.

        Raises
        ------
        InputError
            When a roll or an offcut is gone meanwhile.
        """
        from bagside.errors import InputError
        from bagside.ledger.stock.accepting import cutting_of, sources_of

        shop = self.desk.standing()
        wanted = sources_of([k for k in found.kits if k.cut_on is None])
        meanwhile = [n for n in wanted if (t := shop.things.get(n)) is not None and not t.there]
        if meanwhile:
            names = ", ".join(meanwhile)
            raise InputError.one("stock", names, "it was cut or thrown away by someone else just now", "do it again")
        return cutting_of(found, change, shop, self.desk.ledger.next_name)

    def cut(self, change: Accepted, cutting: Cutting | None) -> None:
        """Take off what is cut, as one group of events.

        Parameters
        ----------
        change
            What it does to the stock.
        cutting
            From `cutting`.
        """
        assert cutting is not None
        when = self.at or datetime.now().astimezone()  # the nest took its time
        self.desk.ledger.add([self.desk.event(body, when) for body in cutting.cuts])
