"""Options that several commands share, read once and in one way."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from bagside.errors import InputError
from bagside.quantity import NotAQuantity, Quantity, read
from bagside.spec.fields import as_direction, as_point

AsJson = Annotated[bool, typer.Option("--json", help="One JSON object on standard output; keys carry their unit.")]
Unit = Annotated[str, typer.Option("--unit", help="Unit of the mesh file's numbers: m, cm, mm, in or ft.")]
Side = Annotated[str, typer.Option("--side", help='Direction from the mould to the laminate, as in "0 0 1".')]
MeshFile = Annotated[Path, typer.Argument(help="STL, OBJ, PLY, 3MF or GLB; STEP and IGES with the extra cad.")]


def quantity(text: str, kind: Quantity, option: str) -> float:
    """Return an option's text as an SI number.

    Raises
    ------
    InputError
        Naming the option.
    """
    try:
        return read(text, kind)
    except NotAQuantity as error:
        raise InputError.one(option, "", str(error)) from None


def positive(text: str, kind: Quantity, option: str) -> float:
    """Return an option's text as an SI number above zero.

    Raises
    ------
    InputError
        Naming the option.
    """
    value = quantity(text, kind, option)
    if not value > 0.0:
        raise InputError.one(option, f'"{text}"', "more than zero is wanted")
    return value


def not_negative(text: str, kind: Quantity, option: str) -> float:
    """Return an option's text as an SI number from zero up.

    Raises
    ------
    InputError
        Naming the option.
    """
    value = quantity(text, kind, option)
    if value < 0.0:
        raise InputError.one(option, f'"{text}"', "zero or more is wanted")
    return value


def point(text: str, option: str) -> tuple[float, float, float]:
    """Return "120 40 12.5 mm" as a point [m]."""
    return _told(as_point, text, option)


def points(text: str, option: str, numbers: int = 3) -> tuple[tuple[float, ...], ...]:
    """Return "0 0 0; 90 0 0; 90 60 0 mm" as points [m], each of so many numbers; one unit at the end serves all.

    Raises
    ------
    InputError
        Naming the option.
    """
    example = "; ".join(" ".join(p[:numbers]) for p in (["0", "0", "0"], ["90", "0", "0"], ["90", "60", "0"]))
    want = f'{numbers} numbers for each point and one unit at the end are wanted, as in "{example} mm"'
    found = [one.replace(",", " ").split() for one in text.split(";") if one.strip()]
    unit = found[-1].pop() if found and len(found[-1]) == numbers + 1 else ""
    if not unit or any(len(words) not in (numbers, numbers + 1) for words in found):
        raise InputError.one(option, f'"{text}"', want)
    return tuple(
        tuple(quantity(f"{word} {(words[numbers:] or [unit])[0]}", Quantity.LENGTH, option) for word in words[:numbers])
        for words in found
    )


def direction(text: str, option: str) -> tuple[float, float, float]:
    """Return "0 0 1" as a unit vector."""
    try:
        numbers = [float(word) for word in text.replace(",", " ").split()]
    except ValueError:
        raise InputError.one(option, f'"{text}"', 'three numbers are wanted, as in "0 0 1"') from None
    return _told(as_direction, numbers, option)


def _told(reader: Callable[[object], tuple[float, ...]], value: object, option: str) -> tuple[float, float, float]:
    try:
        x, y, z = reader(value)
    except NotAQuantity as error:
        raise InputError.one(option, "", str(error)) from None
    return (x, y, z)
