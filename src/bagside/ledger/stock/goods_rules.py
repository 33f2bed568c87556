"""What the ledger does not take of amounts that are used or counted."""

from __future__ import annotations

from collections.abc import Iterator

from bagside.errors import Problem
from bagside.ledger.bodies import Counted, Spent
from bagside.ledger.stock.goods_events import LEAST_AMOUNT, a_sort
from bagside.ledger.things import Cloth, Goods, Thing
from bagside.ledger.words import amiss, amount

WAYS = ("mass", "volume", "count")


def spent_problems(body: Spent, thing: Thing | None) -> Iterator[Problem]:
    """Yield what is wrong with an amount that was used.

    Parameters
    ----------
    body
        What is stated.
    thing
        As it is.
    """
    for way in WAYS:
        used, left = getattr(body, way), getattr(thing, way, None)
        if used is None:
            continue
        if not used > 0:
            yield amiss(f"spent, {way}", amount(used, way), "more than nothing is wanted")
        elif isinstance(thing, Cloth):
            told = f"{a_sort(thing.sort)} is used whole"
            yield amiss(f"spent, {way}", amount(used, way), told, "leave the amount out")
        elif left is None:
            yield amiss(f"spent, {way}", amount(used, way), _other_way(thing, way, f"no {way} is kept of {body.thing}"))
        elif used > left + LEAST_AMOUNT:
            yield amiss(
                f"spent, {way}", amount(used, way), f"there is only {amount(left, way)} of {body.thing}",
                "count it first when there is more: bagside stock count",
            )  # fmt: skip


def counted_problems(body: Counted, thing: Thing | None) -> Iterator[Problem]:
    """Yield what is wrong with what somebody found.

    Parameters
    ----------
    body
        What is stated.
    thing
        As it is.
    """
    stated = [way for way in ("length", *WAYS) if getattr(body, way) is not None]
    if not stated:
        yield amiss("counted", f'"{body.thing}"', "how much is there? state what was found")
    for way in stated:
        value = getattr(body, way)
        if value < 0:
            yield amiss(f"counted, {way}", amount(value, way), "nothing less than 0 can be there")
        elif isinstance(thing, Cloth) and way != "length":
            yield amiss(f"counted, {way}", amount(value, way), "a roll is counted by its length")
        elif isinstance(thing, Goods) and (way == "length" or getattr(thing, way) is None):
            told = _other_way(thing, way, f"no {way} is kept of {body.thing}")
            yield amiss(f"counted, {way}", amount(value, way), told)


def _other_way(thing: Thing | None, way: str, told: str) -> str:
    """Return a sentence about how goods are kept instead."""
    kept = [w for w in WAYS if getattr(thing, w, None) is not None and w != way]
    return f"{told}, but its {' and '.join(kept)}" if kept else f"{told}: it is used without an amount"
