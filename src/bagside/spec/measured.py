"""A part measured by tape instead of a surface: its size, and the places that plies cover.

A place that lies within another says so with ``of``; one that states none lies over the whole part, and what it is
larger by is trimmed off.
"""

from __future__ import annotations

from dataclasses import field
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

from bagside.quantity import NotAQuantity, Quantity, read
from bagside.spec.fields import PositiveLength, Size2, SomeLength, stated


def _area(text: object) -> float:
    value = read(text, Quantity.AREA)
    if not value > 0.0:
        raise NotAQuantity(f'"{text}" must be more than zero')
    return value


PositiveArea = Annotated[
    float,
    BeforeValidator(_area),
    WithJsonSchema({"type": "string", "description": "number with a unit, as in 0.12 m²"}),
]


@stated
class Place:
    """A place on the part that plies cover.

    Parameters
    ----------
    area
        Measured over the surface [m²].
    edge
        Length of its edge [m]; wanted for the finished part, whose edge is trimmed.
    of
        The place it lies within; none when it lies over the whole part.
    """

    area: PositiveArea
    edge: PositiveLength | None = None
    of: str = ""


@stated
class Measured:
    """What a tape measure says about a part.

    Parameters
    ----------
    size
        Length and width of what is laid up, seen from above [m].
    depth
        From rim to bottom of the mould [m].
    flange
        Width of the mould's flange beyond what is laid up [m].
    places
        What plies cover, by name; the one that the job's ``part`` names is the finished part.
    """

    size: Size2
    depth: SomeLength = 0.0
    flange: SomeLength = 0.075
    places: dict[str, Place] = field(default_factory=dict)
