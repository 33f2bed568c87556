"""Amounts that people type: a number, its unit printed behind the line, both as a file states them.

A number alone means the unit that is printed behind it; another unit of the same kind may be typed and is kept as
typed. A comma is a decimal sign where the language writes it so. What could be read in two ways is refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from html import escape
from typing import Any

from babel import Locale
from babel.numbers import get_decimal_symbol
from pydantic import TypeAdapter, ValidationError

from bagside.errors import InputError
from bagside.findings import Basis
from bagside.quantity import NotAQuantity, Quantity, read
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import Field, entry
from bagside.web.words.tongue import Heat, Lengths, Tongue

_NUMBER = re.compile(r"^\s*([+\-−]?[\d\s\u00a0\u2009\u202f]*\d(?:[.,]\d+)?(?:[eE][+\-−]?\d+)?|[+\-−]?[.,]\d+)\s*(.*)$")
_THOUSANDS = re.compile(r"^[+\-−]?\d{1,3}(?:[.,]\d{3})+$")
_PER_PERSON: dict[tuple[Quantity, str], str] = {
    **{(Quantity.LENGTH, unit): "in" for unit in ("mm", "cm", "m", "µm")},
    **{(Quantity.AREA, unit): "in²" for unit in ("mm²", "cm²", "m²")},
    **{(Quantity.MASS, unit): "oz" for unit in ("g", "kg")},
}
_WARM = {Quantity.TEMPERATURE: "°F", Quantity.DIFFERENCE: "°F", Quantity.RAMP: "°F/min"}


def parted(text: str) -> tuple[str, str]:
    """Return the number and the unit of a stated text, each as written.

    Parameters
    ----------
    text
        As a file states it.

    Examples
    --------
    >>> parted("12 W/(m² K)")
    ('12', 'W/(m² K)')
    """
    found = _NUMBER.match(text)
    return (text.strip(), "") if found is None else (found.group(1).strip(), found.group(2).strip())


_UNITS = {
    Quantity.LENGTH: "mm", Quantity.AREA: "cm²", Quantity.FRACTION: "%", Quantity.HUMIDITY: "%", Quantity.ANGLE: "°",
    Quantity.TIME: "min", Quantity.PRESSURE: "mbar",
}  # fmt: skip


def text_of(value: float, kind: Quantity, unit: str = "") -> str:
    """Return a value as a file states it.

    Parameters
    ----------
    value
        SI.
    kind
        What it is.
    unit
        To state it in; a usual one when empty.

    Examples
    --------
    >>> text_of(0.005, Quantity.LENGTH)
    '5 mm'
    """
    said = unit or _UNITS.get(kind, parted(kind.value.example)[1])
    if not unit and kind is Quantity.TIME:
        said = "s" if value < 90 else "min" if value < 7200 else "h"
    zero, one = (read(f"{x} {said}", kind) for x in (0, 1))
    return f"{(value - zero) / (one - zero):.6g}{'' if said == '°' else ' '}{said}"


def person_unit(kind: Quantity, unit: str, tongue: Tongue) -> str:
    """Return the unit in which a person is shown and types an amount.

    Parameters
    ----------
    kind
        Of the amount.
    unit
        In which it is stated.
    tongue
        Of the person.
    """
    if tongue.lengths is Lengths.INCH:
        unit = _PER_PERSON.get((kind, unit), unit)
    if tongue.heat is Heat.FAHRENHEIT:
        unit = _WARM.get(kind, unit)
    return unit


def for_person(text: str, kind: Quantity, unit: str, tongue: Tongue) -> tuple[str, str]:
    """Return a stated amount as a person reads it on a line: the number and the unit behind it.

    Parameters
    ----------
    text
        As stated; may be empty, or anything that does not read.
    kind
        What it is.
    unit
        Printed behind the line when nothing is stated.
    tongue
        Of the person.
    """
    number, stated = parted(text)
    if number and not stated and kind in (Quantity.FRACTION, Quantity.HUMIDITY):
        unit = ""  # a share may be stated as a plain number
    shown = person_unit(kind, stated or unit, tongue)
    if not text or not number:
        return "", shown
    if shown != (stated or unit):
        try:
            value = read(text if stated else f"{number} {unit}", kind)
            zero, one = (read(f"{x} {shown}", kind) for x in (0, 1))
        except NotAQuantity:
            return number, stated
        number = f"{(value - zero) / (one - zero):.6g}"
    return number.replace(".", get_decimal_symbol(Locale.parse(tongue.language))), shown


def as_stated(typed: str, kind: Quantity, unit: str, tongue: Tongue, wanted: Any = None) -> str:
    """Return what a person typed as a file states it.

    Parameters
    ----------
    typed
        A number, with or without a unit.
    kind
        What is wanted.
    unit
        Printed behind the line.
    tongue
        Of the person.
    wanted
        Type of the field in `bagside.spec` with its limits; none are held when None.

    Raises
    ------
    InputError
        When it is no number, of another kind, could be read in two ways, or cannot be.

    Examples
    --------
    >>> as_stated("0,23", Quantity.LENGTH, "mm", Tongue(language="de"))
    '0.23 mm'
    >>> as_stated("9.05 in", Quantity.LENGTH, "mm", Tongue())
    '9.05 in'
    """
    typed = typed.strip()
    say = tongue.say

    def wrong(key: str, **values: str) -> InputError:
        return InputError.one("", typed, say(f"asked.{key}", came=typed, **values).rstrip("."))

    found = _NUMBER.match(typed)
    if found is None:
        raise wrong("no_number", example=f"{kind.value.example}")
    number, stated = re.sub(r"\s", "", found.group(1)).replace("−", "-"), found.group(2).strip()
    comma = get_decimal_symbol(Locale.parse(tongue.language)) == ","
    strange = "." if comma else ","
    if _THOUSANDS.match(number) and strange in number:
        raise wrong("two_ways", one=number.replace(strange, ""), other=number.replace(strange, "," if comma else "."))
    said = stated or unit
    text = number.replace(",", ".") + (said if said == "°" else f" {said}" if said else "")
    try:
        read(text, kind)
    except NotAQuantity:
        raise wrong("wrong_unit", unit=unit, example=kind.value.example) from None
    if wanted is not None:
        try:
            TypeAdapter(wanted).validate_python(text)
        except ValidationError as error:
            raise wrong(_limit(str(error)), example=kind.value.example) from None
    return text


def _limit(message: str) -> str:
    for part, key in (("more than zero", "not_positive"), ("negative", "negative"), ("more than can be", "too_much")):
        if part in message:
            return key
    return "cannot_be"


def amount(
    tongue: Tongue,
    name: str,
    text: str,
    kind: Quantity,
    unit: str,
    on_change: Callable[[str], Any],
    *,
    wanted: Any = None,
    hint: str = "",
    basis: Basis | None = None,
    source: str = "",
    may_be_empty: bool = False,
    usual: str = "",
) -> Field:
    """Show a line for an amount.

    Parameters
    ----------
    tongue
        Of the person.
    name
        What is asked.
    text
        As stated so far; empty when nothing is.
    kind
        What is wanted.
    unit
        Behind the line when nothing is stated.
    on_change
        Called with the amount as a file states it; empty when the line was emptied and may be.
    wanted
        See `as_stated`.
    hint
        Under it.
    basis, source
        On what the value rests that stands there; no mark when None.
    may_be_empty
        Whether nothing may be stated.
    usual
        What counts then, as a file would state it.
    """
    number, shown = for_person(text, kind, unit, tongue)

    def changed(typed: str) -> Any:
        if not typed.strip():
            if may_be_empty:
                return on_change("")
            raise InputError.one("", "", tongue.say("asked.missing", example=kind.value.example).rstrip("."))
        return on_change(as_stated(typed, kind, shown, tongue, wanted))

    field = entry(name, number, changed, unit=shown, hint=hint, wide="7em", mode="decimal")
    if usual and not text:
        field.control._props["placeholder"] = for_person(usual, kind, unit, tongue)[0]
    if basis is not None:
        field.unit.set_content(escape(shown) + mark(basis, tongue, source))
    return field
