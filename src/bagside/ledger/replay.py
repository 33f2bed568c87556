"""From events to what is true now: one thing at a time, event by event, in the order in which they happened.

A thing is told by the events that touch it and by nothing else, so one thing can be worked out anew alone. What a
later event corrects is replaced before anything is added up (`effective`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from bagside.ledger.bodies import CLOTH, GOODS, Begun, Corrected, Cut, Received, Sort, body_from
from bagside.ledger.build_events import build_after
from bagside.ledger.cloth_events import cloth_after
from bagside.ledger.event import Event
from bagside.ledger.goods_events import goods_after
from bagside.ledger.mould_events import mould_after
from bagside.ledger.place_events import place_after
from bagside.ledger.things import Build, Cloth, Goods, Mould, Place, Thing


def in_order(events: Iterable[Event]) -> list[Event]:
    """Return events as they happened: by time, and by their place in the ledger at one time.

    Parameters
    ----------
    events
        Any.
    """
    return sorted(events, key=lambda e: (e.at, e.order))


def effective(events: Sequence[Event]) -> list[Event]:
    """Return what counts, in order: corrected events as they are now, without corrections and what never happened.

    Parameters
    ----------
    events
        All that touch one thing.

    Notes
    -----
    The last correction of an event, in the order of the ledger, stands; a correction can be corrected like any other.
    """
    corrections: dict[str, Event] = {}
    for event in sorted(events, key=lambda e: e.order or 1 << 62):
        if isinstance(event.body, Corrected):
            corrections[event.body.corrects] = event
    out: list[Event] = []
    for event in events:
        if isinstance(event.body, Corrected):
            continue
        now = _corrected(event, corrections)
        if now is not None:
            out.append(now)
    return in_order(out)


def _corrected(event: Event, corrections: dict[str, Event]) -> Event | None:
    """Return an event as it is now, or None when it never happened."""
    correction = corrections.get(event.id)
    if correction is None or not isinstance(correction.body, Corrected):
        return event
    again = corrections.get(correction.id)
    body = correction.body
    if again is not None and isinstance(again.body, Corrected):
        if not again.body.kind:  # the correction itself was wrong
            return event
        body = replace(body, kind=again.body.kind, data=again.body.data, at=again.body.at or body.at)
    if not body.kind:
        return None
    return replace(event, body=body_from(body.kind, body.data), at=body.at or event.at)


def after(thing: Thing | None, event: Event, name: str) -> Thing | None:
    """Return a thing after one more event; None when nothing is known of it yet.

    Parameters
    ----------
    thing
        As it was; None when it is not known.
    event
        One of those that count, not earlier than any before.
    name
        Of the thing.
    """
    if thing is None:
        sort = _born(event, name)
        if sort is None:
            return None
    else:
        sort = thing.sort
    if sort in CLOTH:
        assert thing is None or isinstance(thing, Cloth)
        return cloth_after(thing, event, name)
    if sort in GOODS:
        assert thing is None or isinstance(thing, Goods)
        return goods_after(thing, event, name)
    if sort is Sort.MOULD:
        assert thing is None or isinstance(thing, Mould)
        return mould_after(thing, event, name)
    if sort is Sort.PLACE:
        assert thing is None or isinstance(thing, Place)
        return place_after(thing, event, name)
    assert thing is None or isinstance(thing, Build)
    assert sort is Sort.BUILD
    return build_after(thing, event, name)


def replayed(events: Sequence[Event], name: str) -> Thing | None:
    """Return a thing as all its events make it; None when they do not say that it is there.

    Parameters
    ----------
    events
        Every event that touches it.
    name
        Of the thing.
    """
    thing: Thing | None = None
    for event in effective(events):
        if name in event.subjects:  # a correction may have taken it out
            thing = after(thing, event, name)
    return thing


def _born(event: Event, name: str) -> Sort | None:
    """Return what a thing is that an event tells of first; None when the event does not make it."""
    body = event.body
    if isinstance(body, Received):
        return body.sort
    if isinstance(body, Begun):
        return Sort.BUILD
    if isinstance(body, Cut) and name in body.kits:
        return Sort.KIT
    if isinstance(body, Cut) and any(o.name == name for o in body.offcuts):
        return Sort.OFFCUT
    return None
