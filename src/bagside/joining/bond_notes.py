"""What a person should know before a bracket is bonded on."""

from __future__ import annotations

from bagside.findings import Basis, Finding, Severity, weakest
from bagside.joining.bond import BondPlan
from bagside.quantity import shown
from bagside.spec.material import Adhesive

ISOLATION = 0.00013  # [m] least glass between carbon and aluminium
THIN_SKIN = 0.0015  # [m] under which a bracket shows through a gloss face
SHORTEST = 0.012  # [m] of bond along the load
CLOSE_TO_CURE = 3.0  # [K] by which a room may be below the sheet's cure temperature


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

    Returns
    -------
    tuple of Finding
        Heat, size, cold, corrosion and print-through, where they apply.
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
    elif plan.stress.peak + plan.heat_stress > adhesive.shear_strength:
        note(
            Severity.WATCH,
            f"foot and laminate grow unlike: {shown(plan.heat_stress, 'MPa')} at the ends of the foot when warm, and "
            f"{shown(plan.stress.peak, 'MPa')} from the load; the sheet says {shown(adhesive.shear_strength, 'MPa')}",
            "a stiff adhesive cracks at the ends after some warm and cold days; a yielding one gives way a little",
            "use a tougher adhesive or a thicker bondline, make the foot thin at its ends, or divide it",
            weakest(basis.of("shear_modulus"), Basis.COMMON),
            "elastic shear lag",
        )
    if plan.length < SHORTEST:
        note(
            Severity.WATCH,
            f"the bond is {shown(plan.length, 'mm')} long; {shown(SHORTEST, 'mm', 0)} is the least",
            "a short foot rocks, and what should be shear becomes peel",
            "make the foot longer along the load",
            Basis.COMMON,
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
    elif plan.slow > CLOSE_TO_CURE:
        note(
            Severity.WATCH,
            f"the room is {shown(plan.slow, 'K', 0)} below the temperature at which the sheet gives its times",
            "it sets more slowly: about twice as long for each 10 K",
            "leave it clamped longer and feel the cup from the same mix, or warm the joint",
            Basis.COMMON,
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
