"""How far a bend closes when the part leaves the mould, and how far a hole ends up from where it should be.

A laminate shrinks more through its thickness than along its fibres, so a bend closes on cooling. The bend's radius
and thickness do not matter; its angle does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.mould.size import oversize
from bagside.quantity import shown

TEMPLATE = 0.0003  # [m] transfer of a drill template, common practice
HAND_DRILL = 0.0004  # [m] drilling by hand through a bush, common practice


def spring_in(
    angle: float,
    a_inplane: float,
    a_through: float,
    dT: float,
    shrink_through: float = 0.0,
    shrink_inplane: float = 0.0,
) -> float:
    """Return by how much a bend closes between gelation and room temperature.

    Parameters
    ----------
    angle
        Angle through which the laminate turns, π minus the included angle [rad].
    a_inplane
        Expansion along the laminate [1/K].
    a_through
        Expansion through the thickness [1/K].
    dT
        Room temperature minus the temperature at which the shape sets: zero or negative [K].
    shrink_through
        Shrinkage through the thickness by cure after gelation, as a positive fraction.
    shrink_inplane
        Shrinkage along the laminate by cure after gelation, as a positive fraction.

    Returns
    -------
    float
        Closing of the included angle [rad]; negative when the bend opens.

    Raises
    ------
    InputError
        When the angle is outside 0…π, dT is positive, or a shrinkage is outside 0…5 %.

    Notes
    -----
    Free bend, frictionless mould, uniform through the thickness. Stretch of the mould against the part adds warp that
    is not in it. Corners measured in practice close by 0.5 to 2° at 90°.

    References
    ----------
    Radford & Rennick; Nelson & Cairns 1989: dθ = θ [(aI − aT) dT/(1 + aT dT) + (φI − φT)/(1 + φT)], with φ negative
    for shrinkage.

    Examples
    --------
    >>> round(math.degrees(spring_in(math.pi / 2, 3e-6, 45e-6, -160.0)), 3)
    0.609
    """
    place = "spring-in"
    if not 0.0 <= angle <= math.pi:
        raise InputError.one(place, f"{angle} rad", "an angle of bend between 0 and 180° is wanted")
    if not -400.0 <= dT <= 0.0:
        raise InputError.one(
            place, f"dT {dT} K", "room temperature minus gel temperature is wanted: zero or negative, above −400 K"
        )
    for shrink in (shrink_through, shrink_inplane):
        if not 0.0 <= shrink <= 0.05:
            raise InputError.one(place, f"shrinkage {shrink}", "shrinkage is wanted as a positive fraction up to 0.05")
    thermal = (a_inplane - a_through) * dT / (1.0 + a_through * dT)
    chemical = (shrink_through - shrink_inplane) / (1.0 - shrink_through)
    return angle * (thermal + chemical)


def flange_shift(length: float, spring: float) -> float:
    """Return how far the free edge of a straight flange moves when its root closes.

    Parameters
    ----------
    length
        From the bend to the edge [m].
    spring
        Closing of the bend [rad].

    Returns
    -------
    float
        Movement of the edge [m].

    Examples
    --------
    >>> round(1e3 * flange_shift(0.040, math.radians(1.0)), 1)
    0.7
    """
    return length * math.tan(spring)


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One reason why a hole is not where it should be.

    Parameters
    ----------
    cause
        In a word or two.
    amount
        Size of the error [m], without sign.
    basis
        On what it rests.
    """

    cause: str
    amount: float
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleStack:
    """Where a hole may end up.

    Parameters
    ----------
    distance
        From the datum [m].
    shares
        Each cause with its size.
    likely
        Root of the sum of squares [m].
    worst
        Plain sum [m].
    """

    distance: float
    shares: tuple[Share, ...]
    likely: float
    worst: float


def hole_shift(
    distance: float,
    *,
    a_part: float,
    a_mould: float,
    dT: float,
    spring: float = 0.0,
    arm: float = 0.0,
    template: float = TEMPLATE,
    drill: float = HAND_DRILL,
    mating: float = 0.0,
    compensated: bool = False,
) -> HoleStack:
    """Return the errors that add up at a hole away from the datum.

    Parameters
    ----------
    distance
        From the datum to the hole, over the part [m].
    a_part, a_mould
        In-plane expansion of the laminate and of the mould [1/K].
    dT
        Gel temperature minus room temperature [K].
    spring
        Closing of the bend between datum and hole [rad].
    arm
        From that bend to the hole [m].
    template
        Error of transfer by template [m].
    drill
        Error of drilling [m].
    mating
        Scatter of the part it is fitted to [m].
    compensated
        Whether the mould was made to the size of `mould_size`, so that its expansion no longer counts.

    Returns
    -------
    HoleStack
        Shares [m], their root sum of squares and their sum [m].

    Raises
    ------
    InputError
        When the distance or an error is negative, or `oversize` refuses.

    Notes
    -----
    The root sum of squares treats causes as independent. Expansion and spring-in are the same on every part of one
    mould: after the first part has been measured they can be corrected, and only the rest remains.
    """
    errors = {"arm": arm, "template": template, "drill": drill, "mating part": mating}
    for name, value in errors.items():
        if value < 0:
            raise InputError.one("hole", f"{name} {value} m", "a length of zero or more is wanted")
    heat = 0.0 if compensated else abs(oversize(distance, a_part, a_mould, dT))
    shares = (
        Share(cause="expansion of the mould", amount=heat, basis=Basis.COMMON),
        Share(cause="spring-in", amount=abs(flange_shift(arm, spring)), basis=Basis.PUBLISHED),
        Share(cause="template", amount=template, basis=Basis.COMMON),
        Share(cause="drilling", amount=drill, basis=Basis.COMMON),
        Share(cause="mating part", amount=mating, basis=Basis.COMMON),
    )
    return HoleStack(
        distance=distance,
        shares=shares,
        likely=math.sqrt(sum(s.amount**2 for s in shares)),
        worst=sum(s.amount for s in shares),
    )


def hole_findings(name: str, stack: HoleStack, hole: float, bolt: float) -> tuple[Finding, ...]:
    """Return a finding when a bolt may not pass through its hole.

    Parameters
    ----------
    name
        Name of the hole.
    stack
        Its errors.
    hole, bolt
        Diameters [m].

    Raises
    ------
    InputError
        When the bolt is thicker than the hole.
    """
    if not 0 < bolt <= hole:
        raise InputError.one(f"hole {name}", f"bolt {bolt} m, hole {hole} m", "a bolt thinner than its hole is wanted")
    room = (hole - bolt) / 2.0
    if stack.likely <= room:
        return ()
    largest = max(stack.shares, key=lambda s: s.amount)
    return (
        Finding(
            severity=Severity.DECIDE,
            stage="mould",
            place=f"hole {name}",
            what=f"it may be {shown(stack.likely, 'mm')} off, the bolt allows {shown(room, 'mm')}",
            why=f"the largest share is {largest.cause}, {shown(largest.amount, 'mm')}, "
            f"{shown(stack.distance, 'mm', 0)} from the datum",
            do="make it a slot, use a floating nut, or drill it with the part in place",
            basis=Basis.COMMON,
            source="root of the sum of squares of the stack of errors",
        ),
    )
