"""How new events are kept: checked one by one against things as they are, all in one transaction, all or none."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, insert
from sqlalchemy.dialects import postgresql, sqlite

from bagside.errors import InputError, Problem
from bagside.ledger.bodies import Corrected, asks, body_data, body_from
from bagside.ledger.correcting import broken_by
from bagside.ledger.event import Event
from bagside.ledger.replay import after, effective, replayed
from bagside.ledger.rules import problems_of
from bagside.ledger.things import Thing
from bagside.records.database.asking import by_id, device_last, ever_touched, history, newest, standings
from bagside.records.database.rows import Known, event_row, thing_row
from bagside.records.database.tables import events as events_table
from bagside.records.database.tables import things as things_table
from bagside.records.database.tables import touches as touches_table


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What became of events that were given to the ledger.

    Parameters
    ----------
    new
        Kept now, with their order.
    already
        Ids of those it had: they count once.
    """

    new: tuple[Event, ...]
    already: tuple[str, ...]


def sound(event: Event) -> Event:
    """Return an event exactly as it will be read back.

    Parameters
    ----------
    event
        To be kept.

    Raises
    ------
    InputError
        When it holds what cannot be kept: a number that is none, letters that are none, a value of another type.
    """
    data = body_data(event.body)
    told = {"who": (event.who,), "device": (event.device,), "zone": (event.zone,), "name": event.subjects}
    wrong = [
        Problem(
            place=f"{event.kind}, {word}", came=ascii(text)[:60], wanted="letters are wanted that can be written down"
        )
        for word, texts in told.items()
        for text in texts
        if "\x00" in text or not writable(text)
    ]
    text = json.dumps(data, ensure_ascii=False)
    if not wrong and ("\\u0000" in text or not writable(text)):
        wanted = "there are letters in it that cannot be written down"
        wrong.append(Problem(place=event.kind, came="", wanted=wanted, hint="type it anew"))
    if wrong:
        raise InputError(wrong)
    body = body_from(event.kind, data, "new event")
    if isinstance(body, Corrected) and body.kind:
        body_from(body.kind, body.data, "new event, corrected, data")
    return replace(event, body=body)


def writable(text: str) -> bool:
    """Return whether a text can be written down: one that came from a file name of another code cannot.

    Parameters
    ----------
    text
        Any.
    """
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def keep(connection: Connection, given: Sequence[Event], now: datetime, *, as_kept: bool = False) -> Added:
    """Keep events inside the transaction that is open.

    Parameters
    ----------
    connection
        That writes alone.
    given
        In the order in which they are kept.
    now
        By the ledger's clock [UTC].
    as_kept
        Whether events that say when another ledger took them keep that.

    Raises
    ------
    InputError
        With everything that is wrong with them; the transaction must be given up then.
    """
    checked = _all_sound(given)
    had = by_id(connection, (event.id for event in checked))
    work = _Work(connection, now, as_kept=as_kept)
    fresh = [event for event in checked if event.id not in had]
    work.load({n for event in fresh for n in asks(event.body)}, {n for event in fresh for n in event.subjects})
    new: list[Event] = []
    already: list[str] = []
    wrong: list[Problem] = []
    for number, event in enumerate(checked, start=1):
        place = _which(number, checked)
        known = had.get(event.id)
        if known is not None:
            already.append(event.id)
            if not known.same(event):
                wrong.append(_other_content(event, known, place))
            continue
        found, kept = work.take(event)
        wrong += [replace(p, place=place + p.place) for p in found]
        if kept is not None:
            new.append(kept)
            had[event.id] = kept
    if not wrong and work.against_time:  # corrections, and what was told late
        wrong += broken_by(work.against_time, work.history)
    if wrong:
        raise InputError(wrong)
    work.write()
    return Added(new=tuple(new), already=tuple(dict.fromkeys(already)))


def _all_sound(given: Sequence[Event]) -> list[Event]:
    """Return events as they will be read back, or say what is wrong with each that would not be."""
    out: list[Event] = []
    wrong: list[Problem] = []
    for number, event in enumerate(given, start=1):
        try:
            out.append(sound(event))
        except InputError as error:
            wrong += [replace(p, place=_which(number, given) + p.place) for p in error.problems]
    if wrong:
        raise InputError(wrong)
    return out


def _which(number: int, given: Sequence[Event]) -> str:
    return f"event {number} of {len(given)}, " if len(given) > 1 else ""


def _other_content(event: Event, known: Event, place: str) -> Problem:
    return Problem(
        place=f"{place}{event.kind}, id",
        came=event.id,
        wanted=f"the ledger has another event of this id ({known.kind}, {known.at:%Y-%m-%d %H:%M} UTC, {known.who})",
        hint="an event is never changed: correct it with a new one",
    )


class _Work:
    """Things as they become while events are taken one by one."""

    def __init__(self, connection: Connection, now: datetime, *, as_kept: bool) -> None:
        self.connection = connection
        self.now = now
        self.as_kept = as_kept
        self.order = newest(connection)
        self.standing: dict[str, Known | None] = {}
        self.light: set[str] = set()
        self.touched: set[str] = set()
        self.changed: dict[str, None] = {}
        self.against_time: list[Event] = []
        self.spoiled: set[str] = set()
        self.devices: dict[str, datetime | None] = {}
        self.waiting: list[Event] = []

    def load(self, asked: set[str], changed: set[str]) -> None:
        """Read things that are not known here yet: those only asked for without what loggers saw there."""
        whole = changed - (self.standing.keys() - self.light)
        light = asked - changed - self.standing.keys()
        for names, short in ((whole, False), (light, True)):
            if names:
                found = standings(self.connection, names, short=short)
                self.standing.update({name: found.get(name) for name in names})
                self.touched.update(found)
                self.touched.update(ever_touched(self.connection, names - found.keys()))
        self.light = (self.light - whole) | light

    def take(self, event: Event) -> tuple[tuple[Problem, ...], Event | None]:
        """Take one more event, or say what is wrong with it."""
        names = event.subjects
        asked = {*names, *asks(event.body)}
        self.load(asked, set(names))
        if self.spoiled & asked:  # an event before it was refused: nothing can be said of this one
            self.spoiled.update(names)
            return (), None
        if event.device not in self.devices:
            self.devices[event.device] = device_last(self.connection, event.device)
        last = self.devices[event.device]
        kept = event.kept if self.as_kept and event.kept is not None else self.now
        event = replace(event, order=self.order + 1, kept=kept)
        anew = [name for name in names if self._is_anew(event, name)]
        before = {name: self._before(event, name) for name in asked}
        wrong = problems_of(event, before, self.now, last)
        if wrong:
            self.spoiled.update(names)
            return wrong, None
        self.order += 1
        self.waiting.append(event)
        if not event.late and (last is None or event.at > last):
            self.devices[event.device] = event.at
        if anew:
            self.against_time.append(event)
        for name in names:
            self.standing[name] = self._replay(name) if name in anew else self._advance(event, name, before)
            self.touched.add(name)
            self.changed[name] = None
        return (), event

    def _is_anew(self, event: Event, name: str) -> bool:
        """Return whether a thing has to be worked out from all of its events."""
        standing = self.standing[name]
        if isinstance(event.body, Corrected):
            return True
        return name in self.touched if standing is None else event.at < standing.last

    def _before(self, event: Event, name: str) -> Thing | None:
        """Return a thing as it was when an event happened; a correction is held against how it is."""
        standing = self.standing[name]
        if isinstance(event.body, Corrected) or not self._is_anew(event, name):
            return None if standing is None else standing.thing
        return replayed([e for e in effective(self.history(name)) if e.at <= event.at], name)

    def _advance(self, event: Event, name: str, before: Mapping[str, Thing | None]) -> Known | None:
        thing = after(before[name], event, name)
        return None if thing is None else Known(thing=thing, last=event.at, upto=event.order)

    def _replay(self, name: str) -> Known | None:
        return standing_of(self.history(name), name)

    def history(self, name: str) -> list[Event]:
        """Return everything told of a thing, with what was taken here."""
        self._send()
        return history(self.connection, name)

    def _send(self) -> None:
        """Put events that were taken into their tables."""
        if self.waiting:
            rows = [event_row(event) for event in self.waiting]
            touched = [{"name": name, "event": e.order} for e in self.waiting for name in e.subjects]
            self.connection.execute(insert(events_table), rows)
            if touched:
                self.connection.execute(insert(touches_table), touched)
            self.waiting.clear()

    def write(self) -> None:
        """Write everything that was taken, and the things that it changed."""
        self._send()
        rows: list[dict[str, Any]] = []
        for name in self.changed:
            standing = self.standing[name]
            if standing is None:
                self.connection.execute(delete(things_table).where(things_table.c.name == name))
            else:
                rows.append(thing_row(name, standing))
        put(self.connection, rows)


def standing_of(told: Sequence[Event], name: str) -> Known | None:
    """Return how a thing stands after all that is told of it; None when it is not there to what counts.

    Parameters
    ----------
    told
        Its history: see `bagside.records.database.asking.history`.
    name
        Of the thing.
    """
    thing = replayed(told, name)
    counting = [event.at for event in effective(told) if name in event.subjects]
    if thing is None:
        return None
    return Known(
        thing=thing, last=max(counting), upto=max(event.order for event in told if name in event.subjects)
    )


def put(connection: Connection, rows: Sequence[dict[str, Any]]) -> None:
    """Write things into the view, new or changed.

    Parameters
    ----------
    connection
        That writes alone.
    rows
        See `bagside.records.database.rows.thing_row`.
    """
    if not rows:
        return
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    statement = dialect.insert(things_table)
    others = {c.name: statement.excluded[c.name] for c in things_table.columns if c.name != "name"}
    connection.execute(statement.on_conflict_do_update(index_elements=["name"], set_=others), rows)
