"""An event with some of it changed, as a person types it: ``films=2``, ``pressure=40 mbar``, ``boxes=1,3``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

from bagside.errors import InputError, did_you_mean
from bagside.quantity import Quantity

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body

KINDS = {
    "seconds": Quantity.TIME,
    "attended": Quantity.TIME,
    "life_used": Quantity.TIME,
    "tack_used": Quantity.TIME,
    "pressure": Quantity.PRESSURE,
    "start": Quantity.PRESSURE,
    "end": Quantity.PRESSURE,
    "ambient": Quantity.PRESSURE,
    "temperature": Quantity.TEMPERATURE,
    "core": Quantity.TEMPERATURE,
    "room": Quantity.TEMPERATURE,
    "limit": Quantity.TEMPERATURE,
    "tg": Quantity.TEMPERATURE,
    "hottest_part": Quantity.TEMPERATURE,
    "hottest_tool": Quantity.TEMPERATURE,
    "humidity": Quantity.HUMIDITY,
    "cure": Quantity.FRACTION,
    "angle": Quantity.ANGLE,
    "length": Quantity.LENGTH,
    "width": Quantity.LENGTH,
    "selvedge": Quantity.LENGTH,
    "mass": Quantity.MASS,
    "volume": Quantity.VOLUME,
}
"""What a number of an event measures, by its name."""

COUNTS = ("ply", "after", "films", "coats", "count", "cures", "coats_last")


def changed(body: Body, changes: Sequence[str]) -> Body:
    """Return what an event says with some of it changed.

    Parameters
    ----------
    body
        As it was.
    changes
        ``name=value`` each; a value with its unit where one is measured.

    Raises
    ------
    InputError
        With every change that cannot be read, or that the event has no place for.
    """
    from bagside.ledger.bodies import Found, Measured, body_data, body_from, kind_of

    data = body_data(body)
    names = [f.name for f in fields(body)]
    wrong: list[InputError] = []
    for change in changes:
        name, equals, text = change.partition("=")
        name = name.strip().replace("-", "_")
        if not equals or name not in names:
            hint = did_you_mean(name, names)
            wrong.append(InputError.one("NAME=VALUE", f'"{change}"', f"this event says {', '.join(names)}", hint))
            continue
        try:
            data[name] = value_from(body, name, text.strip())
        except InputError as error:
            wrong.append(error)
    if wrong:
        raise InputError([p for e in wrong for p in e.problems])
    found = body_from(kind_of(body), data)
    if not isinstance(found, Measured) or found.found is not Found.LEAK:
        return found
    if found.start is not None and found.end is not None and found.seconds:
        return replace(found, value=(found.end - found.start) / found.seconds)
    return found


def value_from(body: Body, name: str, text: str) -> Any:
    """Return a typed value as an event keeps it: in SI units, names with commas as a list, nothing for ``none``.

    Parameters
    ----------
    body
        The event says.
    name, text
        What is changed, and to what.

    Raises
    ------
    InputError
        When it cannot be read: a number has no unit or the wrong one, a count is none.
    """
    from bagside.cli.options import quantity
    from bagside.ledger.bodies import Measured

    place = name
    now = getattr(body, name)
    if text.casefold() in ("none", "nothing"):
        return None
    if name in COUNTS:
        return _count(text, place)
    if name == "boxes":  # people count them from 1
        return [_count(word, place) - 1 for word in text.replace(",", " ").split()]
    if isinstance(body, Measured) and name in ("value", "sigma"):
        return measured_value(body, text, place, difference=name == "sigma")
    if name in KINDS:
        return quantity(text, KINDS[name], place)
    if isinstance(now, bool):
        if text.casefold() not in ("yes", "no"):
            raise InputError.one(place, f'"{text}"', "yes or no is wanted")
        return text.casefold() == "yes"
    if isinstance(now, tuple):
        return [word.strip() for word in text.split(",") if word.strip()]
    if isinstance(now, dict):
        raise InputError.one(place, f'"{text}"', "this cannot be changed in one line", "say that it never happened")
    return text


def measured_value(body: Any, text: str, place: str, *, difference: bool) -> float:
    """Return the value of a measurement, read as what it measures.

    Parameters
    ----------
    body
        The measurement.
    text, place
        As typed, and what it is called in messages.
    difference
        Whether it is an error of it.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    from bagside.cli.build.measure import key_of, value_of
    from bagside.cli.options import quantity
    from bagside.ledger.bodies import Found

    if body.found is Found.LEAK:
        raise InputError.one(place, f'"{text}"', "it follows from start, end and seconds", "change those")
    warm = Quantity.DIFFERENCE if difference else Quantity.TEMPERATURE
    kinds = {Found.MASS: Quantity.MASS, Found.CLIMATE: warm}
    if body.found in kinds:
        return quantity(text, kinds[body.found], place)
    return value_of(key_of(body.found), text, place, difference=difference)


def _count(text: str, place: str) -> int:
    if not text.strip().isdigit():
        raise InputError.one(place, f'"{text}"', "a whole number is wanted")
    return int(text)
