"""How far a bend closes when the part leaves the mould, and how far that moves the edge beyond it.

A laminate shrinks more through its thickness than along its fibres, so a bend closes on cooling. The bend's radius
and thickness do not matter; its angle does.
"""

from __future__ import annotations

import math

from bagside.errors import InputError


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
