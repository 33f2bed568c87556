"""How far laminate and mould carry heat along themselves, and what that does for a place that runs behind."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from bagside.cure.section import Section
from bagside.errors import InputError, Problem, did_you_mean

IN_PLANE = 3.0
"""Conductivity of a carbon laminate along its plies, mean of both directions [W/(m K)].

Along unidirectional AS4/8552 4.5 + 0.0091 T(°C) (Johnston 1997, University of British Columbia), across it 0.64.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HotSpot:
    """A section through such a place.

    Parameters
    ----------
    section
        The place, with the help it gets from around.
    reach
        How far heat from the air is carried along laminate and mould: the fin's length [m].
    share
        Share of the metal, or of the extra thickness, that the place has to heat by itself.
    says
        When the section makes too much or too little of the place.
    """

    section: Section
    reach: float
    share: float
    says: str


def reach(section: Section, in_plane: Mapping[str, float] | None = None) -> float:
    """Return how far heat from the air is carried along a section's layers.

    Parameters
    ----------
    section
        The laminate and mould around the place.
    in_plane
        Conductivity along the layer by its name [W/(m K)]; that through it where none is stated, and that of a carbon
        laminate for layers that react.

    Returns
    -------
    float
        √(Σ k t / (h_bag + h_tool)) [m]; zero where a face is held at the air, infinite where both are insulated.

    Raises
    ------
    InputError
        When a name is not one of the section's layers or a conductivity is not above zero.

    References
    ----------
    Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, section 3.6: fins (from memory).
    """
    stated = dict(in_plane or {})
    names = [layer.name for layer in section.layers]
    wrong = [
        Problem(
            place=f"{section.name}, conductivity along {name}",
            came=repr(k),
            wanted="a layer of the section and a number above zero are wanted",
            hint=did_you_mean(name, names),
        )
        for name, k in stated.items()
        if name not in names or not 0.0 < k < math.inf
    ]
    if wrong:
        raise InputError(wrong)
    sheet = sum(
        layer.thickness * stated.get(layer.name, IN_PLANE if layer.resin else layer.conductivity)
        for layer in section.layers
    )
    films = section.film_bag + section.film_tool
    return math.sqrt(sheet / films) if films else math.inf


def says(share: float) -> str:
    """Return when a section makes too much or too little of its place.

    Parameters
    ----------
    share
        Share of the metal, or of the extra thickness, that the place has to heat by itself.
    """
    if share > 0.9:
        return "as wide as it is, the place is on its own: the section holds"
    return (
        f"laminate and mould around it carry {100 * (1 - share):.0f} % of its lag: the section holds on a slow ramp; "
        "just after a step of the air the place is slower than it says, and without good contact slower still"
    )
