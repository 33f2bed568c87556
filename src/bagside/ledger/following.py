"""What follows from a correction: names and labels that were copied from what was wrong are wrong too.

A roll that was received under a wrong name is named wrongly by every event since; a wrong batch stands on the labels of
everything that was cut from it. One correction brings those of all of them, to be kept together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any

from bagside.errors import InputError
from bagside.ledger.bodies import CLOTH, GOODS, Body, Corrected, Cut, Label, Received
from bagside.ledger.correcting import History, as_corrected, correction
from bagside.ledger.event import Event
from bagside.ledger.replay import effective

NAMING = ("name", "thing", "source", "things", "items", "bag", "kit", "subject")
"""Fields of bodies that hold names of cloth or goods."""

MOST = 10_000
"""Things that one correction may run through; more than anybody cuts from one roll."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    """Cloth or goods that have another name, or another label, than was written."""

    name: str
    now: str
    label: Label | None = None
    label_now: Label | None = None


def corrections(
    event: Event, history: History, *, why: str, body: Body | None = None, at: datetime | None = None
) -> tuple[Corrected, ...]:
    """Return a correction, and those that follow from it: to be kept together.

    Parameters
    ----------
    event, why, body, at
        See `bagside.ledger.correcting.correction`.
    history
        Of every name.

    Raises
    ------
    InputError
        As `bagside.ledger.correcting.correction` does; also when a place or a mould is to have another name.
    """
    out = [correction(event, history, why=why, body=body, at=at)]
    now = as_corrected(event, history)
    was = event.body if now is None else now.body
    root = event.id if now is None else now.id
    waiting = [] if body is None else list(_changes(was, body))
    seen: set[str] = set()
    kept: dict[str, Event] = {}
    bodies: dict[str, Body] = {}
    while waiting and len(seen) < MOST:
        change = waiting.pop(0)
        if change.name in seen:
            continue
        seen.add(change.name)
        told = {e.id: e for e in history(change.name)}
        for other in effective(list(told.values())):
            if other.id == root or change.name not in other.subjects:
                continue
            before = bodies.get(other.id, other.body)
            new = _followed(before, change)
            if new != before:
                kept[other.id], bodies[other.id] = told[other.id], new
                waiting += _changes(before, new)
    follows = f"follows from another correction: {why.strip()}"
    out += [correction(kept[id], history, why=follows, body=new) for id, new in bodies.items()]
    return tuple(out)


def _changes(was: Body, now: Body) -> Iterator[_Change]:
    """Yield what has another name or another label than before."""
    if isinstance(was, Received) and isinstance(now, Received) and was.sort in (*CLOTH, *GOODS):
        old, new = _label(was), _label(now)
        if was.name != now.name or old != new:
            yield _Change(name=was.name, now=now.name, label=old, label_now=new)
    elif isinstance(was, Cut) and isinstance(now, Cut):
        for pairs in (zip(was.kits, now.kits, strict=False), _paired(was, now)):
            for a, b in pairs:
                if a != b or (was.of != now.of and a not in was.kits):
                    yield _Change(name=a, now=b, label=was.of, label_now=now.of)


def _paired(was: Cut, now: Cut) -> Iterator[tuple[str, str]]:
    for a, b in zip(was.offcuts, now.offcuts, strict=False):
        yield a.name, b.name


def _label(body: Received) -> Label:
    return Label(**{f.name: getattr(body, f.name) for f in fields(Label)})


def _followed(body: Body, change: _Change) -> Body:
    """Return what happened with a thing's name, and what was copied from its label, as they are now."""
    old, new = change.label, change.label_now
    if isinstance(body, Cut) and body.source == change.name and old is not None and new is not None:
        of = body.of
        for f in fields(Label):
            if getattr(of, f.name) == getattr(old, f.name):
                of = replace(of, **{f.name: getattr(new, f.name)})
        body = replace(body, of=of)
    return body if change.name == change.now else renamed(body, {change.name: change.now})


def renamed(body: Body, names: Mapping[str, str]) -> Body:
    """Return what happened with other names for cloth and goods.

    Parameters
    ----------
    body
        What happened.
    names
        From each name that was written to the right one.

    Raises
    ------
    InputError
        When a correction is given: correct what it corrects.
    """
    if isinstance(body, Corrected):
        raise InputError.one("corrected", "", "names in a correction are changed by correcting it")
    changed: dict[str, Any] = {}
    for f in fields(body):
        if f.name not in NAMING:
            continue
        value = getattr(body, f.name)
        changed[f.name] = names.get(value, value) if isinstance(value, str) else tuple(names.get(n, n) for n in value)
    if isinstance(body, Cut):
        changed["kits"] = {names.get(n, n): pieces for n, pieces in body.kits.items()}
        changed["offcuts"] = tuple(replace(o, name=names.get(o.name, o.name)) for o in body.offcuts)
    whole: Any = body
    made: Body = replace(whole, **changed)
    return made
