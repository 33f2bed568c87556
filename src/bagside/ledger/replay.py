"""From events to what is true now: one thing at a time, event by event, in the order in which they happened.

A thing is told by the events that touch it and by nothing else, so one thing can be worked out anew alone. What a
later event corrects is replaced before anything is added up (`effective`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from bagside.errors import InputError
from bagside.ledger.bodies import CLOTH, GOODS, Begun, Corrected, Cut, Received, Sort, body_from
from bagside.ledger.builds.build_events import build_after
from bagside.ledger.event import Event
from bagside.ledger.stock.cloth_events import cloth_after
from bagside.ledger.stock.goods_events import goods_after
from bagside.ledger.stock.mould_events import mould_after
from bagside.ledger.stock.place_events import place_after
from bagside.ledger.things import Build, Cloth, Goods, Mould, Place, Thing

NEWEST = 1 << 62
"""Order of an event that is not kept yet: after all that are."""


def in_order(events: Iterable[Event]) -> list[Event]:
    """Return events as they happened: by time, and by their place in the ledger at one time.

    Parameters
    ----------
    events
        Any; those that are not kept yet come last at their time.
    """
    return sorted(events, key=lambda e: (e.at, e.order or NEWEST))


def effective(events: Sequence[Event]) -> list[Event]:
    """Return what counts, in order: corrected events as they are now, without corrections and what never happened.

    Parameters
    ----------
    events
        All that touch one thing; each id once.

    Notes
    -----
    The last correction of an event, in the order of the ledger, stands, unless it was itself said never to have been
    right: then the one before it does. A correction that is corrected says something else of the same event.
    """
    standing = standing_corrections(events)
    told = (_corrected(e, standing.get(e.id)) for e in events if not isinstance(e.body, Corrected))
    return in_order(e for e in told if e is not None)


def standing_corrections(events: Iterable[Event]) -> dict[str, Event]:
    """Return the correction that stands of each event that has one, as it is itself after its own, by the event's id.

    Parameters
    ----------
    events
        Any.
    """
    standing: dict[str, Event] = {}
    found = sorted((e for e in events if isinstance(e.body, Corrected)), key=lambda e: e.order or NEWEST)
    for event in reversed(found):  # corrections before what they correct
        now = _corrected(event, standing.get(event.id))
        if now is not None and isinstance(now.body, Corrected):
            standing.setdefault(now.body.corrects, now)
    return standing


def _corrected(event: Event, correction: Event | None) -> Event | None:
    """Return an event as a correction makes it; None when it never happened."""
    body = None if correction is None else correction.body
    if not isinstance(body, Corrected):
        return event
    if not body.kind:
        return None
    if isinstance(event.body, Corrected):
        again = replace(event.body, kind=body.kind, data=body.data, at=body.at or event.body.at)
        return replace(event, body=again)
    try:
        instead = body_from(body.kind, body.data)
        return event if isinstance(instead, Corrected) else replace(event, body=instead, at=body.at or event.at)
    except InputError:  # the ledger takes none like this
        return event


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
