"""Places where metal or thickness makes a laminate run behind: metal laid in or bolted on.

A section knows no neighbours, but such a place is small and its laminate and mould carry heat to it from around. That
help is estimated as that of a fin: sheet and mould around the place, warmed by the air on both sides, serve it as an
area of their own. The metal is shared between its own area and that one, and the section is made through what is left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from bagside.cure.fin import HotSpot, reach, says
from bagside.cure.layer import Layer
from bagside.cure.section import Section
from bagside.errors import InputError, Problem


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
    from scipy.special import k0e, k1e

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
        says=says(share),
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
