"""The view of all things, made anew from the events or held against them."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection, delete, select, update

from bagside.ledger.things import Thing, thing_from_json, thing_json
from bagside.records.database.asking import AT_ONCE, history, standings
from bagside.records.database.keeping import put, standing_of
from bagside.records.database.rows import Known, thing_row
from bagside.records.database.tables import VIEW, about, things, touches


def rebuilt(connection: Connection) -> int:
    """Make the view anew.

    Parameters
    ----------
    connection
        That writes alone.
    """
    connection.execute(delete(things))
    count = 0
    for names in _names(connection):
        rows = []
        for name in names:
            standing = standing_of(history(connection, name), name)
            if standing is not None:
                rows.append(thing_row(name, standing))
        put(connection, rows)
        count += len(rows)
    connection.execute(update(about).where(about.c.key == "view").values(value=str(VIEW)))
    return count


def differing(connection: Connection) -> tuple[str, ...]:
    """Return the names of things that are not in the view as the events make them.

    Parameters
    ----------
    connection
        To the records, in one transaction.
    """
    out: list[str] = []
    for names in _names(connection):
        kept = standings(connection, names)
        for name in names:
            if not _equal(kept.get(name), standing_of(history(connection, name), name)):
                out.append(name)
    orphans = select(things.c.name).where(things.c.name.not_in(select(touches.c.name)))
    return tuple(sorted([*out, *connection.execute(orphans).scalars()]))


def _equal(kept: Known | None, made: Known | None) -> bool:
    if kept is None or made is None:
        return kept is made
    return (kept.last, kept.upto, kept.thing) == (made.last, made.upto, _read_back(made.thing))


def _read_back(thing: Thing) -> Thing:
    return thing_from_json(thing.sort.value, thing_json(thing))


def _names(connection: Connection) -> Iterator[list[str]]:
    """Give all names that were ever touched, in their order, some at a time."""
    last = ""
    while True:
        wanted = (
            select(touches.c.name).where(touches.c.name > last).distinct().order_by(touches.c.name).limit(AT_ONCE)
        )
        names = list(connection.execute(wanted).scalars())
        if not names:
            return
        yield names
        last = names[-1]
