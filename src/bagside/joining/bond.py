"""A bracket bonded on: area, stress at the ends, adhesive, isolation, time and heat."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bagside.findings import Basis, Finding, Severity
from bagside.joining.lap import LapStress, volkersen_1938
from bagside.quantity import shown
from bagside.spec.material import Adhesive

SQUEEZED_OUT = 0.25  # share of adhesive mixed beyond the bondline: a fillet all round and what stays in the cup
BEADS = 0.015  # share of glass beads by mass that holds the bondline
ISOLATION = 0.00013  # [m] least glass between carbon and aluminium
THIN_SKIN = 0.0015  # [m] under which a bracket shows through a gloss face
OPEN_WINDOW = 4 * 3600.0  # [s] from sanding to bonding


class Foot(StrEnum):
    """What the foot of a bracket is made of."""

    ALUMINIUM = "aluminium"
    STEEL = "steel"
    TITANIUM = "titanium"
    CARBON = "carbon"
    GLASS = "glass"


MODULI = {Foot.ALUMINIUM: 70e9, Foot.STEEL: 205e9, Foot.TITANIUM: 110e9, Foot.CARBON: 50e9, Foot.GLASS: 20e9}
"""Young's modulus of the foot [Pa]; general metals data, middle of the usual range for laminates."""

ISOLATED = {Foot.ALUMINIUM, Foot.STEEL}
"""Metals that corrode against carbon unless glass stands between."""


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
    skin
        Thickness of the laminate under it [m].
    """

    name: str
    foot: Foot
    area: float
    area_needed: float
    stress: LapStress
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

    Raises
    ------
    InputError
        When a size or thickness is not above zero.

    Notes
    -----
    The stress is Volkersen's: a bracket pulled off at its end (peel) is much worse and is not covered.
    """
    length, width = size
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
    design = adhesive.shear_strength * adhesive.design_factor
    area = length * width
    glue = area * adhesive.bondline * adhesive.density * (1.0 + SQUEEZED_OUT)
    return BondPlan(
        name=name,
        foot=foot,
        area=area,
        area_needed=load / design,
        stress=stress,
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
        skin=laminate_thickness,
    )


def bond_findings(plan: BondPlan, adhesive: Adhesive, *, show: bool) -> tuple[Finding, ...]:
    """Return what a person should know before mixing.

    Parameters
    ----------
    plan
        From `plan_bond`.
    adhesive
        The one it was planned with.
    show
        Whether the other side of the laminate is seen.
    """
    place = f"bracket {plan.name}"
    basis = adhesive.basis
    found: list[Finding] = []

    def note(severity: Severity, what: str, why: str, do: str, on: Basis, source: str = "") -> None:
        found.append(
            Finding(severity=severity, stage="joining", place=place, what=what, why=why, do=do, basis=on, source=source)
        )

    if plan.reserve < 1.0:
        note(
            Severity.STOP,
            f"the bond has {shown(plan.area, 'cm²')} and wants {shown(plan.area_needed, 'cm²')} at "
            f"{shown(plan.design, 'MPa')}",
            "heat, peel and age take most of the strength on the sheet",
            "make the foot larger, share the load with a fastener, or use a stronger adhesive",
            basis.of("shear_strength"),
            basis.source,
        )
    if plan.stress.peak > adhesive.shear_strength:
        note(
            Severity.STOP,
            f"the adhesive sees {shown(plan.stress.peak, 'MPa')} at the end of the foot; the sheet says "
            f"{shown(adhesive.shear_strength, 'MPa')}",
            "the ends tear first and the rest follows",
            "widen the foot across the load, taper its ends, or use a thicker, more yielding bondline",
            basis.of("shear_strength"),
            basis.source,
        )
    if plan.heat_margin < 0.0:
        note(
            Severity.STOP,
            f"the joint gets {shown(-plan.heat_margin, 'K', 0)} hotter than the adhesive may",
            "a warm adhesive creeps until the bracket slides off",
            "choose an adhesive for the heat, or shield the joint",
            basis.of("limit"),
            basis.source,
        )
    elif plan.heat_margin < 10.0:
        note(
            Severity.WATCH,
            f"only {shown(plan.heat_margin, 'K', 0)} lie between the joint and the adhesive's limit",
            "near its limit an adhesive loses half its strength",
            "cure it at 60 °C for 2 h if its sheet allows, which raises the limit, and check a warm coupon",
            basis.of("limit"),
            basis.source,
        )
    if plan.cold_margin < 0.0:
        note(
            Severity.DECIDE,
            f"the room is {shown(-plan.cold_margin, 'K', 0)} too cold for this adhesive",
            "it stays soft for days and never reaches its strength",
            "warm the part and the foot, or cure in the oven at 40 °C under a clamp",
            basis.of("coldest"),
            basis.source,
        )
    if plan.isolate:
        note(
            Severity.WATCH,
            f"{plan.foot.value} stands on carbon",
            "the two corrode each other wherever water gets in",
            f"lay a ply of thin glass between, at least {shown(ISOLATION, 'mm', 2)}, and coat the cut edges",
            Basis.COMMON,
            "rules for joining carbon and metal",
        )
    if show and plan.skin < THIN_SKIN:
        note(
            Severity.WATCH,
            f"the skin under it is {shown(plan.skin, 'mm', 2)} thick and its other face is seen",
            "the foot prints through as the adhesive shrinks",
            "add a pad to 2 mm or more, and cure cool and slowly",
            Basis.COMMON,
        )
    return tuple(found)
