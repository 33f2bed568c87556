"""What an event makes of a mould: what came off it, what it has seen, what was done to it."""

from __future__ import annotations

from dataclasses import replace

from bagside.ledger.bodies import (
    Cured,
    Discarded,
    Measured,
    Photographed,
    Pulled,
    Received,
    Released,
    Repaired,
    Sort,
)
from bagside.ledger.event import Event
from bagside.ledger.things import Mould


def mould_after(thing: Mould | None, event: Event, name: str) -> Mould | None:
    """Return a mould after one more event.

    Parameters
    ----------
    thing
        As it was; None when it is not known.
    event
        Not earlier than any before. What it cannot mean for a mould leaves it as it was.
    name
        Of the mould.
    """
    body = event.body
    if thing is None:
        if not isinstance(body, Received) or body.name != name or body.sort is not Sort.MOULD:
            return None
        return Mould(
            name=name, material=body.material, born=event.at, last=event.at, limit=body.limit,
            coats_last=body.coats_last, note=body.note,
        )  # fmt: skip
    thing = replace(thing, last=max(thing.last, event.at))
    if isinstance(body, Pulled):
        stuck = thing.stuck + int(body.stuck)
        return replace(thing, pulls=(*thing.pulls, body.build), pulled=event.at, stuck=stuck)
    if isinstance(body, Released):
        return replace(thing, coats=(*thing.coats, (body.agent, body.coats, len(thing.pulls))), released=event.at)
    if isinstance(body, Repaired):
        return replace(thing, repairs=(*thing.repairs, (event.at, body.what, body.where)))
    if isinstance(body, Cured):
        return _heated(thing, body) if name in body.moulds else thing
    if isinstance(body, Measured):
        return replace(thing, tests=(*thing.tests, (event.at, body)))
    if isinstance(body, Photographed):
        return replace(thing, photos=(*thing.photos, body))
    if isinstance(body, Discarded) and thing.gone is None:
        return replace(thing, gone=event.at, why=body.why)
    return thing


def _heated(thing: Mould, body: Cured) -> Mould:
    """Return a mould that went through a cure; the part's temperature stands for its own where that was not taken."""
    paired = len(body.builds) == len(body.moulds)
    builds = [b for b, m in zip(body.builds, body.moulds, strict=True) if m == thing.name] if paired else body.builds
    seen = body.hottest_part if body.hottest_tool is None else body.hottest_tool
    known = [t for t in (thing.hottest, seen) if t is not None]
    heats = (*thing.heats, (", ".join(builds), seen, body.seconds))
    return replace(thing, heats=heats, hottest=max(known, default=None))
