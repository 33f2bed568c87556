"""What the ledger does not take of what comes into the workshop."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bagside.errors import Problem
from bagside.ledger.bodies import CLOTH, GOODS, Received, Sort
from bagside.ledger.event import LONGEST_NAME
from bagside.ledger.stock.areas import wrong_outline
from bagside.ledger.stock.goods_events import a_sort
from bagside.ledger.things import Thing
from bagside.ledger.words import amiss, amount, celsius
from bagside.spec.stock import Up

FIELDS: dict[str, tuple[Sort, ...]] = {
    "length": (Sort.ROLL,),
    "width": (Sort.ROLL,),
    "outline": (Sort.OFFCUT,),
    "holes": (Sort.OFFCUT,),
    "flaws": (Sort.OFFCUT,),
    "mass": GOODS,
    "volume": GOODS,
    "count": GOODS,
    "cures": (Sort.CONSUMABLE,),
    "temperature": (Sort.PLACE,),
    "limit": (Sort.MOULD,),
    "coats_last": (Sort.MOULD,),
    "life_used": (*CLOTH, *GOODS),
    "tack_used": (*CLOTH, *GOODS),
    "use_by": (*CLOTH, *GOODS),
    "made": (*CLOTH, *GOODS),
}
"""What may be stated of which sort of thing: what would be forgotten is refused."""

FACES = tuple(up.value for up in Up)
"""Which face of cloth may be up."""


def name_problems(name: str, place: str) -> Iterator[Problem]:
    """Yield why a name cannot stand on a label.

    Parameters
    ----------
    name
        New.
    place
        For messages.
    """
    if not name.strip() or len(name) > LONGEST_NAME:
        yield amiss(place, f'"{name[:20]}"', f"a name of 1 to {LONGEST_NAME} letters is wanted")
    elif name != name.strip() or not name.isprintable():
        yield amiss(place, repr(name), "a name without spaces at its ends or unprintable signs is wanted")


def taken_problems(name: str, place: str, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield that a name was used before.

    Parameters
    ----------
    name
        New.
    place
        For messages.
    before
        What is known.
    """
    known = before.get(name)
    if known is not None:
        yield amiss(
            place, f'"{name}"', f"{a_sort(known.sort)} has had this name since {known.born:%Y-%m-%d}",
            "things are never merged: give each delivery and each piece a label of its own",
        )  # fmt: skip


def received_problems(body: Received, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield what is wrong with something that comes in.

    Parameters
    ----------
    body
        What is stated.
    before
        What is known under its name.
    """
    yield from name_problems(body.name, "received, name")
    yield from taken_problems(body.name, "received, name", before)
    if body.sort is Sort.BUILD:
        yield amiss("received, sort", "build", "a build is not received", "begin it: bagside build begin")
        return
    for word, sorts in FIELDS.items():
        value = getattr(body, word)
        if value not in (None, ()) and body.sort not in sorts:
            told = " or ".join(a_sort(s) for s in sorts)
            yield amiss(f"received, {word}", f'"{body.name}"', f"only {told} has one, and this is {a_sort(body.sort)}")
    if body.place and body.sort in (Sort.MOULD, Sort.PLACE):
        yield amiss("received, place", f'"{body.place}"', f"no place is kept of {a_sort(body.sort)}", "leave it out")
    if body.sort in CLOTH:
        yield from _cloth(body)
    yield from _amounts(body)


def _cloth(body: Received) -> Iterator[Problem]:
    if not body.material.strip():
        yield amiss("received, material", "", "the name of its material in the library is wanted")
    if body.up not in FACES:
        yield amiss("received, up", f'"{body.up}"', f"one of {' or '.join(FACES)} is wanted")
    if body.sort is Sort.ROLL and body.length is None:
        yield amiss("received, length", "", "how long is it? a length is wanted, as in 25 m")
    if body.width is not None and body.width > 0.0 and not 0.0 <= 2.0 * body.selvedge < body.width:
        yield amiss(
            "received, selvedge", amount(body.selvedge, "length"),
            f"both selvedges must leave something of a width of {amount(body.width, 'length')}",
        )  # fmt: skip
    if body.sort is Sort.OFFCUT:
        why = wrong_outline(body.outline, body.holes, body.flaws)
        if why:
            yield amiss("received, outline", f'"{body.name}"', f"{why}: an outline of at least three corners is wanted")
    if body.use_by is not None and body.made is not None and body.use_by < body.made:
        yield amiss("received, use_by", f"{body.use_by}", f"it would end before it was made on {body.made}")


def _amounts(body: Received) -> Iterator[Problem]:
    for word in ("length", "width", "mass", "volume", "count"):
        value = getattr(body, word)
        if value is not None and not value > 0:
            yield amiss(
                f"received, {word}", amount(value, "length" if word == "width" else word), "more than nothing is wanted"
            )
    for word in ("life_used", "tack_used", "price"):
        value = getattr(body, word)
        if value is not None and value < 0.0:
            told = f"{value / 3600:g} h" if word != "price" else f"{value:g}"
            yield amiss(f"received, {word}", told.replace("-", "−"), "nothing less than 0 is possible")
    for word in ("temperature", "limit"):
        value = getattr(body, word)
        if value is not None and not value > 0.0:
            yield amiss(f"received, {word}", celsius(value, 2), "a temperature above −273 °C is wanted")
    for word in ("cures", "coats_last"):
        value = getattr(body, word)
        if value is not None and value < 1:
            yield amiss(f"received, {word}", f"{value}", "at least 1 is wanted", "leave it out when it is not limited")
