"""What a person types into a field that shows a unit: the number alone is in that unit; another may be written out."""

from __future__ import annotations

import re

from bagside.errors import InputError
from bagside.quantity import NotAQuantity, Quantity, read
from bagside.web.words.tongue import Heat, Lengths, Tongue

_BARE = re.compile(r"[+\-−]?[\d \u00a0\u2009\u202f]*([.,]\d+)?")


def typed(text: str, kind: Quantity, unit: str, place: str) -> float:
    """Return what was typed as an SI number.

    Parameters
    ----------
    text
        A number, or a number with a unit; a comma serves as decimal sign too.
    kind
        What is wanted.
    unit
        That the field shows: a number alone is in it.
    place
        Name of the field, for messages.

    Raises
    ------
    InputError
        When it cannot be read, or measures something else.

    Examples
    --------
    >>> typed("12,5", Quantity.LENGTH, "m", "length")
    12.5
    >>> typed("80 mm", Quantity.LENGTH, "m", "length")
    0.08
    """
    word = text.strip()
    if word and _BARE.fullmatch(word):
        word = f"{word} {unit}"
    try:
        return read(re.sub(r"(?<=\d),(?=\d)", ".", word), kind)
    except NotAQuantity as error:
        raise InputError.one(place, "", str(error)) from None


def perhaps(text: str, kind: Quantity, unit: str, place: str) -> float | None:
    """Return what was typed as an SI number; None when nothing was.

    Parameters
    ----------
    text, kind, unit, place
        See `typed`.
    """
    return typed(text, kind, unit, place) if text.strip() else None


def whole(text: str, place: str) -> int | None:
    """Return a whole number; None when nothing was typed.

    Parameters
    ----------
    text, place
        See `typed`.

    Raises
    ------
    InputError
        When it is none.
    """
    word = text.strip()
    if not word:
        return None
    if not word.isdecimal():
        raise InputError.one(place, f'"{text}"', "a whole number is wanted, as in 12")
    return int(word)


def degrees(tongue: Tongue) -> str:
    """Return the unit in which a person reads temperatures.

    Parameters
    ----------
    tongue
        Theirs.
    """
    return "°F" if tongue.heat is Heat.FAHRENHEIT else "°C"


def metres(tongue: Tongue) -> str:
    """Return the unit in which a person reads lengths of rolls.

    Parameters
    ----------
    tongue
        Theirs.
    """
    return "in" if tongue.lengths is Lengths.INCH else "m"


def millimetres(tongue: Tongue) -> str:
    """Return the unit in which a person reads widths.

    Parameters
    ----------
    tongue
        Theirs.
    """
    return "in" if tongue.lengths is Lengths.INCH else "mm"
