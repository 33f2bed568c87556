"""What a person types into a field that shows a unit: the number alone is in that unit; another may be written out."""

from __future__ import annotations

from bagside.errors import InputError
from bagside.quantity import Quantity, read
from bagside.web.parts.amount import as_stated
from bagside.web.words.tongue import Heat, Lengths, Tongue


def typed(text: str, kind: Quantity, unit: str, tongue: Tongue) -> float:
    """Return what was typed as an SI number.

    Parameters
    ----------
    text
        A number, or a number with a unit.
    kind
        What is wanted.
    unit
        That the field shows: a number alone is in it.
    tongue
        Of the person: their decimal sign counts.

    Raises
    ------
    InputError
        When it cannot be read, or measures something else; said in their language.

    Examples
    --------
    >>> typed("12,5", Quantity.LENGTH, "m", Tongue(language="de"))
    12.5
    >>> typed("80 mm", Quantity.LENGTH, "m", Tongue())
    0.08
    """
    return read(as_stated(text, kind, unit, tongue), kind)


def whole(text: str, place: str) -> int | None:
    """Return a whole number; None when nothing was typed.

    Parameters
    ----------
    text
        As typed.
    place
        Name of the field, for messages.

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
