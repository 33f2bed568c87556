"""What the ledger does not take of stock, moulds and places: each refusal is one sentence with the cure.

A rule looks at the things an event touches, as they are when it happens. A name that is not among them is not judged:
whoever asks decides what to look up (`bagside.ledger.bodies.touches`, `asks`). Builds are judged in `build_rules`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from bagside.errors import Problem
from bagside.ledger.bodies import (
    CLOTH,
    GOODS,
    Bagged,
    Begun,
    Body,
    Counted,
    Cured,
    Cut,
    Debulked,
    Discarded,
    Found,
    Laid,
    Logged,
    Measured,
    Moved,
    Opened,
    Photographed,
    Pulled,
    Received,
    Released,
    Repaired,
    Sort,
    Spent,
)
from bagside.ledger.event import Event
from bagside.ledger.stock.cloth_rules import cut_problems, laid_problems
from bagside.ledger.stock.goods_events import WORN, a_sort
from bagside.ledger.stock.goods_rules import counted_problems, spent_problems
from bagside.ledger.stock.place_rules import logged_problems
from bagside.ledger.stock.received_rules import received_problems
from bagside.ledger.things import Build, Cloth, Goods, Thing
from bagside.ledger.words import CORRECT, amiss, at_text, celsius

BOUGHT = (*CLOTH, *GOODS)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Role:
    """What an event wants of a thing: which sorts, whether it must still be there, and what is done with it."""

    name: str
    role: str
    sorts: tuple[Sort, ...]
    done: str
    gone: str = "no"  # "no": it must be there; "worn": it may be a bag that saw a cure; "yes": it may be gone
    must: bool = True  # whether an unknown thing is told here; builds' own rules tell of unknown builds


def stock_problems(event: Event, before: Mapping[str, Thing | None]) -> tuple[Problem, ...]:
    """Return why an event cannot be kept, as far as stock, moulds and places say so; nothing when it can.

    Parameters
    ----------
    event
        New.
    before
        What it touches and asks for, as it is; None for what is not known. What is missing is not judged.
    """
    kind = event.kind
    wrong: list[Problem] = []
    for role in _roles(event.body):
        wrong += _standing(event, role, before)
    wrong += _places(event, before)
    if not wrong:
        wrong += _own(event, before)
    return tuple(dict.fromkeys(wrong)) if kind != "corrected" else ()


def _own(event: Event, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield what only events of this kind can get wrong, of things that are right."""
    body = event.body
    if isinstance(body, Received):
        yield from received_problems(body, before)
    elif isinstance(body, Cut):
        yield from cut_problems(event, body, before)
    elif isinstance(body, Laid):
        yield from laid_problems(body, before)
    elif isinstance(body, Counted):
        yield from counted_problems(body, before.get(body.thing))
    elif isinstance(body, Spent):
        yield from spent_problems(body, before.get(body.thing))
    elif isinstance(body, Logged):
        yield from logged_problems(event, body, before.get(body.place))
    elif isinstance(body, Moved):
        yield from _moved(body)
    elif isinstance(body, Opened):
        if body.humidity is not None and not 0.0 <= body.humidity <= 1.0:
            yield amiss("opened, humidity", f"{body.humidity:g}", "a humidity from 0 to 100 % is wanted")
        for word, value in (("core", body.core), ("room", body.room)):
            yield from _warm("opened", word, value)
    elif isinstance(body, Discarded):
        if not body.why.strip():
            yield amiss("discarded, why", "", "a reason is wanted, as in expired, spoiled, sold")
    elif isinstance(body, Released):
        if body.coats < 1:
            yield amiss("released, coats", f"{body.coats}", "at least one coat is wanted")
    elif isinstance(body, Measured):
        yield from _measured(body, before)


def _roles(body: Body) -> Iterator[_Role]:
    """Yield what an event wants of each thing it touches; names that it makes come in `_own`."""
    if isinstance(body, Moved):
        for name in body.things:
            yield _Role(name=name, role="things", sorts=BOUGHT, done="moved")
    elif isinstance(body, Opened):
        yield _Role(name=body.thing, role="thing", sorts=BOUGHT, done="opened")
    elif isinstance(body, Cut):
        yield _Role(name=body.source, role="source", sorts=(Sort.ROLL, Sort.OFFCUT), done="cut")
    elif isinstance(body, Counted):
        yield _Role(name=body.thing, role="thing", sorts=(Sort.ROLL, *GOODS), done="counted", gone="used up")
    elif isinstance(body, Spent):
        yield _Role(name=body.thing, role="thing", sorts=(Sort.OFFCUT, Sort.KIT, *GOODS), done="spent")
    elif isinstance(body, Discarded):
        yield _Role(
            name=body.thing, role="thing", sorts=(*BOUGHT, Sort.MOULD, Sort.PLACE), done="discarded", gone="worn"
        )
    elif isinstance(body, Laid) and body.kit:
        yield _Role(name=body.kit, role="kit", sorts=(Sort.KIT,), done="laid from")
    elif isinstance(body, Debulked) and body.bag:
        yield _Role(name=body.bag, role="bag", sorts=GOODS, done="bagged with", gone="worn")
    elif isinstance(body, Bagged):
        for name in body.items:
            yield _Role(name=name, role="items", sorts=GOODS, done="bagged with", gone="worn")
    elif isinstance(body, Cured):
        for name in body.bag:
            yield _Role(name=name, role="bag", sorts=GOODS, done="cured in", gone="yes")
        for name in body.moulds:
            yield _Role(name=name, role="moulds", sorts=(Sort.MOULD,), done="cured on")
    else:
        yield from _other_roles(body)


def _other_roles(body: Body) -> Iterator[_Role]:
    if isinstance(body, Begun) and body.mould:
        yield _Role(name=body.mould, role="mould", sorts=(Sort.MOULD,), done="built on")
    elif isinstance(body, Pulled) and body.mould:
        yield _Role(name=body.mould, role="mould", sorts=(Sort.MOULD,), done="pulled from")
    elif isinstance(body, Released | Repaired):
        done = "released" if isinstance(body, Released) else "repaired"
        yield _Role(name=body.mould, role="mould", sorts=(Sort.MOULD,), done=done)
    elif isinstance(body, Logged):
        yield _Role(name=body.place, role="place", sorts=(Sort.PLACE,), done="logged")
    elif isinstance(body, Measured):
        sorts: tuple[Sort, ...] = (*CLOTH, Sort.MOULD, Sort.PLACE, Sort.BUILD)
        yield _Role(name=body.subject, role="subject", sorts=sorts, done="measured", gone="yes")
    elif isinstance(body, Photographed):
        sorts = (*CLOTH, Sort.MOULD, Sort.BUILD)
        yield _Role(name=body.subject, role="subject", sorts=sorts, done="photographed", gone="yes")


def _standing(event: Event, role: _Role, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield what is wrong with a thing for what is done with it: unknown, of another sort, gone, not yet there."""
    if role.name not in before:
        return
    thing, place, came = before[role.name], f"{event.kind}, {role.role}", f'"{role.name}"'
    if thing is None:
        told = f"there was nothing of this name on {at_text(event.at)}"
        yield amiss(place, came, told, "look at its label and at the time, or receive it first")
        return
    if thing.sort not in role.sorts:
        yield amiss(place, came, f"it is {a_sort(thing.sort)}, which is not {role.done}", _instead(event.body, thing))
        return
    if event.at < thing.born:
        yield amiss(
            place, came, f"it came on {at_text(thing.born)}, after this on {at_text(event.at)}",
            f"look at the time; {CORRECT} when it came earlier",
        )  # fmt: skip
    elif not isinstance(thing, Build) and thing.gone is not None and event.at >= thing.gone:
        if role.gone == "yes" or (role.gone != "no" and _may(role, thing)):
            return
        told = f"it is gone since {at_text(thing.gone)}: {thing.why}"
        yield amiss(place, came, told, f"{CORRECT} when that is wrong")


def _may(role: _Role, thing: Thing) -> bool:
    """Return whether a thing that is gone may still be used so."""
    why = getattr(thing, "why", "")
    if role.gone == "worn":
        return bool(why.startswith(WORN))
    return bool(why == role.gone)


def _instead(body: Body, thing: Thing) -> str:
    """Return what to do when a thing is of another sort than wanted."""
    if isinstance(body, Discarded):
        return "close the build, with scrap and the reason"
    if isinstance(body, Spent):
        return "cut it" if thing.sort is Sort.ROLL else ""
    if isinstance(body, Counted) and isinstance(thing, Cloth):
        return "discard it when it is not there, and correct the cut it came from when that was noted wrongly"
    if isinstance(body, Cut) and thing.sort is Sort.KIT:
        return "lay its pieces, or discard it"
    if isinstance(body, Measured | Photographed) and isinstance(thing, Goods):
        return "write it into the note of the build it is used for"
    return ""


def _places(event: Event, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield what is wrong with the place to which an event puts something."""
    body = event.body
    if isinstance(body, Moved):
        name, role = body.to, "moved, to"
    elif isinstance(body, Received | Cut) and body.place:
        name, role = body.place, f"{event.kind}, place"
    else:
        return
    if name not in before:
        return
    place = before[name]
    if place is None:
        yield amiss(role, f'"{name}"', "there is no place of this name", "make it known first: bagside stock place")
    elif place.sort is not Sort.PLACE:
        yield amiss(role, f'"{name}"', f"it is {a_sort(place.sort)}, not a place", "state a freezer or a room")
    elif not place.there:
        yield amiss(role, f'"{name}"', "this place is given up", "state another one")


def _moved(body: Moved) -> Iterator[Problem]:
    if not body.things:
        yield amiss("moved, things", "", "state at least one thing that moved")
    if not body.to.strip():
        yield amiss("moved, to", "", "state the place it moved to")
    yield from _warm("moved", "temperature", body.temperature)


def _warm(kind: str, word: str, value: float | None) -> Iterator[Problem]:
    """Yield a temperature that cannot be one."""
    if value is not None and not value > 0.0:
        yield amiss(f"{kind}, {word}", celsius(value, 2), "a temperature above −273 °C is wanted")


def _measured(body: Measured, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    thing = before.get(body.subject)
    if thing is None or thing.sort is Sort.BUILD:
        return
    if thing.sort is Sort.PLACE and body.found is not Found.CLIMATE:
        told = "in a place only its climate is measured"
        yield amiss("measured, found", body.found.value, told, "name the build or the mould")
    if body.found in (Found.CLIMATE, Found.CORE, Found.DEMOULD):
        yield from _warm("measured", "value", body.value)
    if body.humidity is not None and not 0.0 <= body.humidity <= 1.0:
        yield amiss("measured, humidity", f"{body.humidity:g}", "a humidity from 0 to 100 % is wanted")
    if body.sigma is not None and body.sigma < 0.0:
        yield amiss("measured, sigma", f"{body.sigma:g}".replace("-", "−"), "a standard error of 0 or more is wanted")
