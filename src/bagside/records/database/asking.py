"""What is asked of the tables, each by an index: nothing here reads a whole table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import TypeVar

from sqlalchemy import ARRAY, ColumnElement, Connection, Text, cast, func, select
from sqlalchemy.dialects.postgresql import JSONB

from bagside.ledger.bodies import Corrected
from bagside.ledger.event import Event
from bagside.records.database.rows import Known, event_of, thing_of
from bagside.records.database.tables import events, things, touches

LONG = ("logs", "readings")
"""What a place gets ever more of."""
AT_ONCE = 500
"""How many values are asked for in one statement."""
T = TypeVar("T")


def by_id(connection: Connection, ids: Iterable[str]) -> dict[str, Event]:
    """Return the events that the ledger has of those asked for, by id.

    Parameters
    ----------
    connection
        To the records.
    ids
        Of events.
    """
    found: dict[str, Event] = {}
    for part in _parts(sorted(set(ids))):
        for row in connection.execute(select(events).where(events.c.id.in_(part))):
            event = event_of(row)
            found[event.id] = event
    return found


def standings(connection: Connection, names: Iterable[str], *, short: bool = False) -> dict[str, Known]:
    """Return things as they stand, by name; those that are not in the view are not there.

    Parameters
    ----------
    connection
        To the records.
    names
        Of things.
    short
        Whether a place comes without its logs and readings, of which there are many.
    """
    c = things.c
    state: ColumnElement[str] = c.state
    if short and connection.dialect.name == "sqlite":
        state = func.json_remove(state, *(f"$.{word}" for word in LONG))
    elif short:
        state = cast(cast(state, JSONB).op("-")(cast(list(LONG), ARRAY(Text))), Text)
    found: dict[str, Known] = {}
    for part in _parts(sorted(set(names))):
        wanted = select(c.name, c.sort, c.last, c.upto, state).where(c.name.in_(part))
        for name, sort, last, upto, told in connection.execute(wanted):
            found[name] = Known(thing=thing_of(sort, told), last=last, upto=upto)
    return found


def history(connection: Connection, name: str) -> list[Event]:
    """Return every event that touches a thing, and those that they correct, in the order of the ledger.

    Parameters
    ----------
    connection
        To the records.
    name
        Of the thing.
    """
    wanted = select(events).join(touches, touches.c.event == events.c.order).where(touches.c.name == name)
    found = {e.id: e for e in (event_of(row) for row in connection.execute(wanted))}
    asked: set[str] = set()
    while lacking := _corrected(found) - asked:  # what was told of another thing first, a correction of a correction
        asked |= lacking
        found.update(by_id(connection, lacking))
    return sorted(found.values(), key=lambda e: e.order)


def ever_touched(connection: Connection, names: Iterable[str]) -> set[str]:
    """Return those names that any event has ever touched.

    Parameters
    ----------
    connection
        To the records.
    names
        Of things.
    """
    found: set[str] = set()
    for part in _parts(sorted(set(names))):
        found.update(connection.execute(select(touches.c.name).where(touches.c.name.in_(part)).distinct()).scalars())
    return found


def ids(connection: Connection, beginning: str, most: int) -> tuple[str, ...]:
    """Return the ids of events that begin so, in their order, some at most.

    Parameters
    ----------
    connection
        To the records.
    beginning
        Some hexadecimal digits.
    most
        How many are returned.
    """
    c = events.c
    wanted = select(c.id).where(c.id >= beginning, c.id < beginning + "g").order_by(c.id).limit(most)
    return tuple(connection.execute(wanted).scalars())


def device_last(connection: Connection, device: str) -> datetime | None:
    """Return the time of the last event that a device wrote, except those written down late.

    Parameters
    ----------
    connection
        To the records.
    device
        Its name.
    """
    c = events.c
    wanted = select(c.at).where(c.device == device, c.late.is_(False)).order_by(c.at.desc()).limit(1)
    found: datetime | None = connection.execute(wanted).scalar()
    return found


def newest(connection: Connection) -> int:
    """Return the order of the newest event, which is the number of events; 0 when there is none.

    Parameters
    ----------
    connection
        To the records.
    """
    return int(connection.execute(select(func.coalesce(func.max(events.c.order), 0))).scalar_one())


def _corrected(found: dict[str, Event]) -> set[str]:
    """Return the ids of events that are corrected by others but not among them."""
    return {e.body.corrects for e in found.values() if isinstance(e.body, Corrected)} - found.keys()


def _parts(values: Sequence[T]) -> Iterator[Sequence[T]]:
    for start in range(0, len(values), AT_ONCE):
        yield values[start : start + AT_ONCE]
