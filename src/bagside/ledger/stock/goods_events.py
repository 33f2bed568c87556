"""What an event makes of an adhesive, a coating or a consumable; and what may be offered for a use."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from bagside.ledger.bodies import (
    GOODS,
    Bagged,
    Counted,
    Cured,
    Debulked,
    Discarded,
    Moved,
    Opened,
    Received,
    Sort,
    Spent,
    Use,
)
from bagside.ledger.event import Event
from bagside.ledger.stock.cloth_events import FREEZING, USED_UP
from bagside.ledger.things import Goods, Stay

WORN = "has seen "
"""How the reason begins for which a bag is gone that may not go through another cure."""

LEAST_AMOUNT = 1e-9
"""Less than this is nothing [kg], [m³]."""

SERVES = {
    Use.BAG: (Use.BAG, Use.REUSABLE_BAG),
    Use.DEBULK_BAG: (Use.DEBULK_BAG, Use.REUSABLE_BAG, Use.BAG),
}
"""What may be taken for a use, besides what was bought for it; common practice, no source."""


def goods_after(thing: Goods | None, event: Event, name: str) -> Goods | None:
    """Return goods after one more event.

    Parameters
    ----------
    thing
        As they were; None when they are not known.
    event
        Not earlier than any before. What it cannot mean for these goods leaves them as they were.
    name
        Of the goods.
    """
    if thing is None:
        return _born(event, name)
    thing = replace(thing, last=max(thing.last, event.at))
    body = event.body
    if isinstance(body, Moved):
        sealed = body.sealed or (body.temperature is not None and body.temperature < FREEZING)
        stay = Stay(place=body.to, since=event.at, temperature=body.temperature)
        return replace(thing, stays=(*thing.stays, stay), opened=None if sealed else thing.opened)
    if isinstance(body, Opened):
        return replace(thing, opened=event.at)
    if isinstance(body, Spent):
        return _spent(thing, event.at, body)
    if isinstance(body, Counted):
        return _counted(thing, event.at, body)
    if isinstance(body, Bagged):
        return replace(thing, uses=thing.uses + 1)
    if isinstance(body, Debulked):
        return _warmed(replace(thing, uses=thing.uses + 1), body.temperature)
    if isinstance(body, Cured):
        return _cured(thing, event.at, body) if name in body.bag else thing
    if isinstance(body, Discarded):
        return _gone(thing, event.at, body.why)
    return thing


def not_offered(goods: Goods, use: Use) -> str:
    """Return why goods are not offered for a use, as a sentence; empty when they are.

    Parameters
    ----------
    goods
        Any.
    use
        What for.

    Notes
    -----
    A bag that has seen a cure may still serve a debulk; a reusable one serves both, as often as its maker says.
    Common practice, no source.
    """
    if goods.sort is not Sort.CONSUMABLE:
        return f"{goods.name} is {a_sort(goods.sort)}"
    if goods.use is not use and goods.use not in SERVES.get(use, ()):
        return f"{goods.name} is for another use: {goods.use}"
    worn = goods.why.startswith(WORN)
    if goods.gone is not None and not (worn and use is Use.DEBULK_BAG):
        return f"{goods.name} {goods.why}" if worn else f"{goods.name} is gone: {goods.why}"
    return ""


def offered(goods: Goods, use: Use) -> bool:
    """Return whether goods are offered for a use; `not_offered` says why not.

    Parameters
    ----------
    goods
        Any.
    use
        What for.
    """
    return not not_offered(goods, use)


def a_sort(sort: Sort) -> str:
    """Return a sort with its article.

    Parameters
    ----------
    sort
        Any.

    Examples
    --------
    >>> a_sort(Sort.OFFCUT)
    'an offcut'
    """
    return f"{'an' if sort[0] in 'aeiou' else 'a'} {sort}"


def _born(event: Event, name: str) -> Goods | None:
    body = event.body
    if not isinstance(body, Received) or body.name != name or body.sort not in GOODS:
        return None
    return Goods(
        name=name, sort=body.sort, material=body.material, born=event.at, last=event.at, batch=body.batch,
        price=body.price, use_by=body.use_by, made=body.made, use=body.use, cures=body.cures, mass=body.mass,
        volume=body.volume, count=body.count,
        several=body.mass is not None or body.volume is not None or (body.count is not None and body.count > 1),
        stays=(Stay(place=body.place, since=event.at),) if body.place else (), note=body.note,
    )  # fmt: skip


def _spent(thing: Goods, at: datetime, body: Spent) -> Goods:
    """Return goods of which some is used up, or which were used without being used up."""
    if body.mass is None and body.volume is None and body.count is None:
        return replace(thing, uses=thing.uses + 1)
    mass, volume, count = thing.mass, thing.volume, thing.count
    over = False
    if mass is not None and body.mass is not None:
        mass -= body.mass
        over = over or mass <= LEAST_AMOUNT
    if volume is not None and body.volume is not None:
        volume -= body.volume
        over = over or volume <= LEAST_AMOUNT
    if count is not None and body.count is not None:
        count -= body.count
        over = over or count <= 0
    thing = replace(thing, mass=mass, volume=volume, count=count)
    return _gone(thing, at, USED_UP) if over else thing


def _counted(thing: Goods, at: datetime, body: Counted) -> Goods:
    """Return goods of which there is as much as somebody found."""
    found = [x for x in (body.mass, body.volume, body.count) if x is not None]
    if not found:
        return thing
    thing = replace(
        thing,
        mass=thing.mass if body.mass is None else body.mass,
        volume=thing.volume if body.volume is None else body.volume,
        count=thing.count if body.count is None else body.count,
        several=thing.several or body.mass is not None or body.volume is not None or (body.count or 0) > 1,
    )
    if all(x <= LEAST_AMOUNT for x in found):
        return _gone(thing, at, USED_UP)
    return replace(thing, gone=None, why="") if thing.why == USED_UP else thing


def _cured(thing: Goods, at: datetime, body: Cured) -> Goods:
    """Return goods that went through a cure: a bag, or what may see only so many, is gone for another."""
    seen = [t for t in (body.hottest_tool, body.hottest_part) if t is not None]
    thing = _warmed(replace(thing, heats=thing.heats + 1), max(seen, default=None))
    most = thing.cures
    if most is None and thing.use is Use.BAG and thing.sort is Sort.CONSUMABLE and not thing.several:
        most = 1
    if most is None or thing.several or thing.heats < most:
        return thing
    worn = WORN + ("a cure" if thing.heats == 1 else f"{thing.heats} cures")
    if thing.why == USED_UP:  # its last piece was noted as spent when it was bagged
        return replace(thing, why=worn)
    return _gone(thing, at, worn)


def _warmed(thing: Goods, temperature: float | None) -> Goods:
    if temperature is None:
        return thing
    return replace(thing, hottest=temperature if thing.hottest is None else max(thing.hottest, temperature))


def _gone(thing: Goods, at: datetime, why: str) -> Goods:
    return thing if thing.gone is not None else replace(thing, gone=at, why=why)
