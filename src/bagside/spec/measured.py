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
from bagside.spec.region import EVERYTHING


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

    def outwards(self, name: str) -> tuple[str, ...]:
        """Return a place and what it lies within, the outermost last.

        Parameters
        ----------
        name
            Of a place; places that go round in a circle end where they meet again.
        """
        chain = [name]
        while (of := self.places[chain[-1]].of) in self.places and of not in chain:
            chain.append(of)
        return tuple(chain)

    def whole(self, part: str) -> frozenset[str]:
        """Return the names of the places that cover the whole finished part, the part's own among them.

        Parameters
        ----------
        part
            Name of the place that is the finished part.
        """
        return frozenset(n for n, place in self.places.items() if not place.of) | frozenset(self.outwards(part))

    def laid(self, part: str) -> Place:
        """Return the place that all of what is laid up lies in: the largest one that covers the whole part.

        Parameters
        ----------
        part
            Name of the place that is the finished part.
        """
        return max((self.places[n] for n in self.whole(part)), key=lambda place: place.area)

    def place(self, region: str, part: str) -> Place:
        """Return the place a ply covers; ``everything`` is all of what is laid up.

        Parameters
        ----------
        region
            As the ply names it.
        part
            Name of the place that is the finished part.
        """
        return self.laid(part) if region == EVERYTHING else self.places[region]

    def covering(self, region: str, part: str) -> frozenset[str]:
        """Return the names of the places under a ply: the one it covers, and all that lie within that.

        Parameters
        ----------
        region
            As the ply names it.
        part
            Name of the place that is the finished part.
        """
        whole = self.whole(part)
        if region == EVERYTHING or region in whole:
            return frozenset(self.places)
        return frozenset(n for n in self.places if region in self.outwards(n))

    def bare_of_others(self, part: str) -> dict[str, float]:
        """Return what of each place no smaller place takes up [m²]: the part's own first, trimmed-off ones left out.

        Parameters
        ----------
        part
            Name of the place that is the finished part.
        """
        whole = self.whole(part)
        left = {part: self.places[part].area}
        left |= {n: place.area for n, place in self.places.items() if n not in whole}
        for name, place in self.places.items():
            if name not in whole:
                left[part if place.of in whole else place.of] -= place.area
        return left
