"""Places where metal or thickness makes a laminate run behind: fixings laid in, bolted flanges, thick edges.

A section knows no neighbours, but such a place is small and its laminate and mould carry heat to it from around. That
help is estimated as that of a fin: sheet and mould around the place, warmed by the air on both sides, serve it as an
area of their own. The metal is shared between its own area and that one, and the section is made through what is left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from scipy.special import k0e, k1e

from bagside.cure.layer import Layer
from bagside.cure.section import Section
from bagside.errors import InputError, Problem, did_you_mean

IN_PLANE = 3.0
"""Conductivity of a carbon laminate along its plies, mean of both directions [W/(m K)].

Along unidirectional AS4/8552 4.5 + 0.0091 T(°C) (Johnston 1997, University of British Columbia), across it 0.64.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """A solid fixing in or on a laminate.

    Parameters
    ----------
    name
        What and where: ``M8 insert, seat``.
    diameter
        Of the metal, or of a circle of the same area [m].
    depth
        Height of the metal [m].
    inside
        How much of that height takes the place of laminate [m].
    density, heat_capacity, conductivity
        Of the metal [kg/m³, J/(kg K), W/(m K)].
    distance
        From its edge to the point of interest [m]; zero for the laminate that touches it.
    """

    name: str
    diameter: float
    depth: float
    inside: float
    density: float
    heat_capacity: float
    conductivity: float
    distance: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickening:
    """A strip in which one layer is thicker: a mould's flange, a backing rib, a doubled edge.

    Parameters
    ----------
    name
        What and where: ``split flange``.
    layer
        Name of the layer that is thicker.
    thickness
        Of that layer there [m].
    width
        Of the strip [m].
    sides
        On how many of its long sides the ordinary laminate or mould goes on: 1 for a flange at an edge, 2 for a rib.
    distance
        From its edge to the point of interest [m]; zero in the strip itself.
    """

    name: str
    layer: str
    thickness: float
    width: float
    sides: int = 1
    distance: float = 0.0


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


def fixing_place(section: Section, fixing: Fixing, *, in_plane: Mapping[str, float] | None = None) -> HotSpot:
    """Return the section through a fixing.

    Parameters
    ----------
    section
        Laminate and mould around it.
    fixing
        The fixing.
    in_plane
        As `reach` takes it.

    Returns
    -------
    HotSpot
        The laminate at the fixing, with its share of the metal as a layer on the bag side of the laminate.

    Raises
    ------
    InputError
        When the fixing makes no sense or is deeper in the laminate than that is thick.

    Notes
    -----
    Around a disc of radius R a thin sheet of reach ℓ serves as an area 2 π R ℓ K₁(R/ℓ)/K₀(R/ℓ). Exact for a steady
    ramp and a sheet that is thin against its reach. Behind a step of the air the place is at first slower than the
    section says, as what is around has not warmed; in an exotherm the metal takes up heat and the section through it
    is cooler than the laminate a reach away, which stays the leading place.

    References
    ----------
    Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, section 3.6.4: annular fins (from memory).
    """
    _refuse(fixing, section)
    laminate = next(layer for layer in section.layers if layer.resin)
    length, radius = reach(section, in_plane), 0.5 * fixing.diameter
    own = math.pi * radius**2
    share, fade = 1.0, 0.0 if fixing.distance else 1.0
    if math.isinf(length):
        share = 0.0
    elif length > 0.0:
        x, far = radius / length, (radius + fixing.distance) / length
        share = own / (own + 2.0 * math.pi * radius * length * float(k1e(x) / k0e(x)))
        fade = float(k0e(far) / k0e(x)) * math.exp(x - far)
    metal = fixing.density * fixing.heat_capacity
    replaced = laminate.density * laminate.heat_capacity * fixing.inside
    extra = share * fade * (fixing.depth - replaced / metal)
    at = section.layers.index(laminate)
    layers = section.layers
    if extra > 0.0:
        shared = Layer(
            name=fixing.name,
            thickness=extra,
            density=fixing.density,
            heat_capacity=fixing.heat_capacity,
            conductivity=fixing.conductivity,
            cells=2,
        )
        layers = (*layers[:at], shared, *layers[at:])
    return HotSpot(
        section=replace(section, name=f"{section.name}, at {fixing.name}", layers=layers, start=None),
        reach=length,
        share=share,
        says=_says(share),
    )


def thick_place(section: Section, thick: Thickening, *, in_plane: Mapping[str, float] | None = None) -> HotSpot:
    """Return the section through a strip in which a layer is thicker.

    Parameters
    ----------
    section
        Laminate and mould beside it.
    thick
        The strip.
    in_plane
        As `reach` takes it.

    Returns
    -------
    HotSpot
        The strip, with its share of the extra thickness.

    Raises
    ------
    InputError
        When the strip makes no sense or no layer has that name.

    Notes
    -----
    A straight sheet of reach ℓ serves as a strip of width ℓ on each side on which it goes on. Where the thicker layer
    reacts, its heat of reaction is shared in the same way, so that a narrow strip is not made to run away.

    References
    ----------
    Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, section 3.6.2: infinite fin (from memory).
    """
    names = [layer.name for layer in section.layers]
    wrong = []
    if thick.layer not in names:
        wrong.append(
            Problem(
                place=f"{thick.name}, layer",
                came=thick.layer,
                wanted=f"one of {', '.join(names)} is wanted",
                hint=did_you_mean(thick.layer, names),
            )
        )
    else:
        there = section.layers[names.index(thick.layer)].thickness
        if not there <= thick.thickness < math.inf:
            wrong.append(
                Problem(
                    place=f"{thick.name}, thickness",
                    came=f"{1e3 * thick.thickness:g} mm",
                    wanted=f"no less than beside it is wanted: {1e3 * there:g} mm",
                )
            )
    if not 0.0 < thick.width < math.inf:
        wrong.append(Problem(place=f"{thick.name}, width", came=repr(thick.width), wanted="above zero is wanted"))
    if thick.sides not in (1, 2):
        wrong.append(Problem(place=f"{thick.name}, sides", came=repr(thick.sides), wanted="1 or 2 is wanted"))
    if not 0.0 <= thick.distance < math.inf:
        wrong.append(
            Problem(place=f"{thick.name}, distance", came=repr(thick.distance), wanted="zero or more is wanted")
        )
    if wrong:
        raise InputError(wrong)
    length = reach(section, in_plane)
    share = 0.0 if math.isinf(length) else thick.width / (thick.width + thick.sides * length)
    fade = 1.0 if thick.distance == 0.0 else math.exp(-thick.distance / length) if length else 0.0
    i = names.index(thick.layer)
    layer = section.layers[i]
    thicker = replace(layer, thickness=layer.thickness + share * fade * (thick.thickness - layer.thickness))
    layers = (*section.layers[:i], thicker, *section.layers[i + 1 :])
    return HotSpot(
        section=replace(section, name=f"{section.name}, at {thick.name}", layers=layers),
        reach=length,
        share=share,
        says=_says(share),
    )


def _says(share: float) -> str:
    if share > 0.9:
        return "as wide as it is, the place is on its own: the section holds"
    return (
        f"laminate and mould around it carry {100 * (1 - share):.0f} % of its lag: the section holds on a slow ramp; "
        "just after a step of the air the place is slower than it says, and without good contact slower still"
    )


def _refuse(fixing: Fixing, section: Section) -> None:
    wrong = [
        Problem(place=f"{fixing.name}, {name}", came=repr(getattr(fixing, name)), wanted="above zero is wanted")
        for name in ("diameter", "depth", "density", "heat_capacity", "conductivity")
        if not 0.0 < getattr(fixing, name) < math.inf
    ]
    if not 0.0 <= fixing.distance < math.inf:
        wrong.append(
            Problem(place=f"{fixing.name}, distance", came=repr(fixing.distance), wanted="zero or more is wanted")
        )
    laminate = [layer for layer in section.layers if layer.resin]
    if not laminate:
        wrong.append(Problem(place=section.name, came="", wanted="a layer that reacts is wanted"))
    elif not 0.0 <= fixing.inside <= min(fixing.depth, laminate[0].thickness):
        wrong.append(
            Problem(
                place=f"{fixing.name}, inside",
                came=f"{1e3 * fixing.inside:g} mm",
                wanted=(
                    f"from zero to the laminate's {1e3 * laminate[0].thickness:g} mm "
                    f"and the fixing's {1e3 * fixing.depth:g} mm is wanted"
                ),
            )
        )
    if wrong:
        raise InputError(wrong)
