"""The records of a workshop on the disk, as the rest of the program sees them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self, TypeVarTuple

from sqlalchemy import Select, select

from bagside.ledger.bodies import Sort
from bagside.ledger.event import Event
from bagside.ledger.things import Thing
from bagside.records.database import asking
from bagside.records.database.copies import looked_at
from bagside.records.database.door import Door
from bagside.records.database.engine import address_of
from bagside.records.database.keeping import Added, keep
from bagside.records.database.rows import event_of, thing_of
from bagside.records.database.schema import made_ready, refuse_foreign_file, version_of
from bagside.records.database.tables import events, things, touches
from bagside.records.database.views import differing, rebuilt

Ts = TypeVarTuple("Ts")
PAGE = 1000
"""How many events are read at once when all are."""


class Ledger:
    """Everything that ever happened in a workshop, and what is true now of each thing.

    Parameters
    ----------
    folder
        Of the workshop.
    url
        As stated; empty for a file in the folder.
    door
        To the database: see `bagside.records.database.door`.

    Notes
    -----
    A copy of the workshop's folder is a copy of the records, even while others write: of ``records.sqlite`` *and* what
    lies beside it (``records.sqlite-wal``), which holds what was written last.
    """

    def __init__(self, folder: Path, url: str, door: Door) -> None:
        self.folder = folder
        self.url = url
        self.door = door

    @classmethod
    def kept_for(cls, folder: Path, url: str) -> bool:
        """Return whether a workshop has records.

        Parameters
        ----------
        folder
            Of the workshop.
        url
            As stated; empty for a file in the folder.

        Raises
        ------
        InputError
            When what is there is not ours, or was written by a newer program.
        OutputError
            When the disk or the server fails.
        """
        address = address_of(folder, url)
        if address.get_backend_name() == "sqlite":
            if not Path(str(address.database)).exists():
                return False
            refuse_foreign_file(address)
        door = Door(address)
        try:
            door.hold()
            with door.reading() as connection:
                return bool(version_of(connection, address))
        finally:
            door.close()

    @classmethod
    def opened(cls, folder: Path, url: str = "") -> Ledger:
        """Open the records of a workshop: begun when there are none, taken on to this program's schema when older.

        Parameters
        ----------
        folder
            Of the workshop.
        url
            As stated; empty for a file in the folder.

        Raises
        ------
        InputError
            When what is there is not ours, or was written by a newer program.
        OutputError
            When the disk or the server fails.
        """
        door = Door(address_of(folder, url))
        try:
            made_ready(door)
            looked_at(door)
        except BaseException:
            door.close()
            raise
        return cls(folder, url, door)

    def close(self) -> None:
        """Let go of the file or the server."""
        self.door.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def count(self) -> int:
        """How many events there are."""
        with self.door.reading() as connection:
            return asking.newest(connection)

    def add(self, given: Sequence[Event], now: datetime | None = None) -> Added:
        """Keep events: all of them, or none.

        Parameters
        ----------
        given
            New, in the order in which they are kept; one that the ledger has already counts once.
        now
            By the ledger's clock; that of this machine when None.

        Raises
        ------
        InputError
            When any cannot be kept: with everything that is wrong.
        OutputError
            When the disk or the server fails; then nothing was kept.
        """
        moment = (now or datetime.now(UTC)).astimezone(UTC)
        with self.door.writing() as connection:
            return keep(connection, given, moment)

    def thing(self, name: str) -> Thing | None:
        """Return a thing as it is; None when nothing is known of it.

        Parameters
        ----------
        name
            On its label.
        """
        with self.door.reading() as connection:
            standing = asking.standings(connection, [name]).get(name)
        return None if standing is None else standing.thing

    def things(
        self, *sorts: Sort, there: bool | None = True, material: str = "", job: str = ""
    ) -> dict[str, Thing]:
        """Return things as they are, by name and in its order.

        Parameters
        ----------
        *sorts
            Which; every sort when none is given.
        there
            Those that are there, those that are gone, or both when None.
        material
            Only of this one.
        job
            Only builds that were planned for this one.
        """
        c = things.c
        wanted = _of_sorts(select(c.name, c.sort, c.state), sorts, there)
        if material:
            wanted = wanted.where(c.material == material)
        if job:
            wanted = wanted.where(c.job == job)
        with self.door.reading() as connection:
            rows = connection.execute(wanted).all()
        return {name: thing_of(sort, state) for name, sort, state in sorted(rows, key=lambda row: str(row[0]))}

    def names(self, *sorts: Sort, there: bool | None = True) -> tuple[str, ...]:
        """Return the names alone of things, in their order: quickly, as nothing else is read.

        Parameters
        ----------
        *sorts, there
            See `things`.
        """
        wanted = _of_sorts(select(things.c.name), sorts, there)
        with self.door.reading() as connection:
            return tuple(sorted(connection.execute(wanted).scalars()))

    def events(self, name: str = "", *, kinds: Sequence[str] = (), after: int = 0) -> Iterator[Event]:
        """Give events in the order of the ledger: those that are there when this is asked.

        Parameters
        ----------
        name
            Only those that touch this thing.
        kinds
            Only of these kinds.
        after
            Only those later in the ledger than this one's order.

        Notes
        -----
        Events only grow, so what is read page by page is of one moment even while others write.
        """
        wanted = select(events).order_by(events.c.order).limit(PAGE)
        if name:
            wanted = wanted.join(touches, touches.c.event == events.c.order).where(touches.c.name == name)
        if kinds:
            wanted = wanted.where(events.c.kind.in_(list(kinds)))
        until = self.count
        while True:
            page = wanted.where(events.c.order > after, events.c.order <= until)
            with self.door.reading() as connection:
                rows = connection.execute(page).all()
            for row in rows:
                yield event_of(row)
            if len(rows) < PAGE:
                return
            after = rows[-1][0]

    def event(self, id: str) -> Event | None:
        """Return an event; None when the ledger does not have it.

        Parameters
        ----------
        id
            Its own.
        """
        with self.door.reading() as connection:
            return asking.by_id(connection, [id]).get(id)

    def ids(self, beginning: str, most: int = 3) -> tuple[str, ...]:
        """Return the ids of events that begin so, in their order; a few tell whether it is one.

        Parameters
        ----------
        beginning
            At least one hexadecimal digit.
        most
            How many are returned at most.
        """
        if not re.fullmatch("[0-9a-f]{1,32}", beginning):
            return ()
        with self.door.reading() as connection:
            return asking.ids(connection, beginning, most)

    def history(self, name: str) -> list[Event]:
        """Return every event that touches a thing, and those that they correct, in the order of the ledger.

        Parameters
        ----------
        name
            Of the thing.
        """
        with self.door.reading() as connection:
            return asking.history(connection, name)

    def next_name(self, prefix: str) -> str:
        """Return a name that no thing has ever had: the prefix, a dash and a number.

        Parameters
        ----------
        prefix
            As ``O`` for ``O-7``.
        """
        shape = re.compile(re.escape(prefix) + r"-(\d{1,18})")
        wanted = select(things.c.name).where(things.c.name >= f"{prefix}-", things.c.name < f"{prefix}.")
        with self.door.reading() as connection:
            found = (shape.fullmatch(name) for name in connection.execute(wanted).scalars())
            number = max((int(match[1]) for match in found if match), default=0) + 1
            while asking.ever_touched(connection, [f"{prefix}-{number}"]):
                number += 1
        return f"{prefix}-{number}"

    def rebuild(self) -> int:
        """Make the view of all things anew from the events; return how many there are."""
        with self.door.writing() as connection:
            return rebuilt(connection)

    def differing(self) -> tuple[str, ...]:
        """Return the names of things that are not as the events make them; none when all is well."""
        with self.door.reading(of_one_moment=True) as connection:
            return differing(connection)


def _of_sorts(wanted: Select[*Ts], sorts: Sequence[Sort], there: bool | None) -> Select[*Ts]:
    """Return what is asked for of some things: in a form that finds them by their index."""
    wanted = wanted.where(things.c.there.in_([True, False] if there is None else [there]))
    return wanted.where(things.c.sort.in_([sort.value for sort in sorts or Sort]))
