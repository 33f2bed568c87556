"""A bracket bonded on: area, stress at the ends, adhesive, isolation, time and heat."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError, Problem
from bagside.joining.foot import EXPANSIONS, ISOLATED, MODULI, Foot
from bagside.joining.lap import LapStress, heat_shear, volkersen_1938
from bagside.spec.material import Adhesive

SQUEEZED_OUT = 0.25  # share of adhesive mixed beyond the bondline: a fillet all round and what stays in the cup
BEADS = 0.015  # share of glass beads by mass that holds the bondline


@dataclass(frozen=True, slots=True, kw_only=True)
class BondPlan:
    """A bonded bracket.

    Parameters
    ----------
    name
        What people call it.
    foot
        What its foot is made of.
    area, area_needed
        Bonded, and needed at the design stress [m²].
    stress
        In the adhesive, sheets stretching but not bending [Pa].
    heat_stress
        In the adhesive at both ends, from foot and laminate growing unlike between cure and service [Pa].
    design
        Stress to design with [Pa].
    reserve
        Load it carries at the design stress over the load stated.
    adhesive_mass, beads_mass
        To mix [kg].
    bondline
        [m].
    isolate
        Whether a ply of glass is needed.
    pot_life, fixture_time, cure_time
        [s].
    heat_margin
        Limit of the adhesive less service temperature [K].
    cold_margin
        Room less the coldest it cures at [K].
    slow
        By how much the room is below the temperature that the times hold for [K]; not above zero when it is not.
    length
        Of the bond along the load [m].
    skin
        Thickness of the laminate under it [m].
    """

    name: str
    foot: Foot
    area: float
    area_needed: float
    stress: LapStress
    heat_stress: float
    design: float
    reserve: float
    adhesive_mass: float
    beads_mass: float
    bondline: float
    isolate: bool
    pot_life: float
    fixture_time: float
    cure_time: float
    heat_margin: float
    cold_margin: float
    slow: float
    length: float
    skin: float


def plan_bond(
    name: str,
    *,
    size: tuple[float, float],
    foot: Foot,
    foot_thickness: float,
    laminate_modulus: float,
    laminate_thickness: float,
    adhesive: Adhesive,
    load: float,
    service_temperature: float,
    room_temperature: float,
    laminate_expansion: float = 3e-6,
) -> BondPlan:
    """Return how a bracket is bonded on.

    Parameters
    ----------
    name
        What people call it.
    size
        Of the bond, along the load and across it [m].
    foot, foot_thickness
        Of the bracket [m].
    laminate_modulus, laminate_thickness
        Under it, along the load [Pa, m].
    adhesive
        As stated.
    load
        In shear [N].
    service_temperature, room_temperature
        [K].
    laminate_expansion
        Along the load [1/K]; that of a quasi-isotropic carbon laminate when not given.

    Returns
    -------
    BondPlan
        See there.

    Raises
    ------
    InputError
        When a size, thickness or modulus is not above zero, or the load is negative.

    Notes
    -----
    The stress is Volkersen's: a bracket pulled off at its end (peel) is much worse and is not covered. The stress from
    heat is elastic and takes the adhesive as free of stress at its cure temperature.
    """
    length, width = size
    _check(
        name,
        load,
        {
            "length": length,
            "width": width,
            "thickness": foot_thickness,
            "laminate thickness": laminate_thickness,
            "laminate modulus": laminate_modulus,
        },
    )
    stress = volkersen_1938(
        load,
        length,
        width,
        modulus_1=MODULI[foot],
        thickness_1=foot_thickness,
        modulus_2=laminate_modulus,
        thickness_2=laminate_thickness,
        shear_modulus=adhesive.shear_modulus,
        bondline=adhesive.bondline,
    )
    heat_stress = heat_shear(
        (EXPANSIONS[foot] - laminate_expansion) * (service_temperature - adhesive.cure_temperature),
        length,
        modulus_1=MODULI[foot],
        thickness_1=foot_thickness,
        modulus_2=laminate_modulus,
        thickness_2=laminate_thickness,
        shear_modulus=adhesive.shear_modulus,
        bondline=adhesive.bondline,
    )
    design = adhesive.shear_strength * adhesive.design_factor
    area = length * width
    glue = area * adhesive.bondline * adhesive.density * (1.0 + SQUEEZED_OUT)
    return BondPlan(
        name=name,
        foot=foot,
        area=area,
        area_needed=load / design,
        stress=stress,
        heat_stress=heat_stress,
        design=design,
        reserve=design * area / load if load > 0.0 else float("inf"),
        adhesive_mass=glue,
        beads_mass=BEADS * glue,
        bondline=adhesive.bondline,
        isolate=foot in ISOLATED,
        pot_life=adhesive.pot_life,
        fixture_time=adhesive.fixture_time,
        cure_time=adhesive.cure_time,
        heat_margin=adhesive.limit - service_temperature,
        cold_margin=room_temperature - adhesive.coldest,
        slow=adhesive.cure_temperature - room_temperature,
        length=length,
        skin=laminate_thickness,
    )


def _check(name: str, load: float, lengths: dict[str, float]) -> None:
    problems = [
        Problem(place=f"bracket {name}, {word}", came=f"{value:g}", wanted="a number above zero is wanted")
        for word, value in lengths.items()
        if not 0.0 < value < math.inf
    ]
    if not 0.0 <= load < math.inf:
        problems.append(
            Problem(place=f"bracket {name}, load", came=f"{load:g} N", wanted="a load that is not negative is wanted")
        )
    if problems:
        raise InputError(problems)
