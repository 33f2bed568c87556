"""How tight an inside corner may be: rules of the trade and the pressure that is left in it."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError

Floats = NDArray[np.float64]

VISIBLE_RADIUS = 0.006  # [m] comfortable in a visible corner
STRUCTURAL_RADIUS = 0.005  # [m] least in a structural corner
STRUCTURAL_TIMES = 3.0  # times the laminate's thickness in a structural corner
HARD_RADIUS = 0.003  # [m] hard work below
FILLER_RADIUS = 0.002  # [m] below it a filler tow or a pressure strip


class CornerVerdict(StrEnum):
    """What an inside corner asks of the laying, easiest first."""

    FOLLOWS = "follows"
    HARD = "hard work"
    BRIDGES = "bridges"
    FILLER = "needs filling"
    CLOSED = "closes on itself"


def corner_pressure(bag_pressure: float, radius: float, thickness: float, *, hollow: bool = True) -> float:
    """Return what presses a curved laminate onto its tool when plies slide freely.

    Parameters
    ----------
    bag_pressure
        What presses on the bag side [Pa].
    radius
        Of the tool [m].
    thickness
        Of the laminate [m].
    hollow
        True in an inside corner, false around an outside one.

    Returns
    -------
    float
        Pressure on the tool side [Pa].

    Raises
    ------
    InputError
        When a value is not positive, or an inside corner is filled by the thickness: then nothing is left to press.

    Notes
    -----
    Equilibrium of a frictionless ring, p_tool R_tool = p_bag R_bag. Plies that cannot slide carry the bag's pressure
    as a bridge and press even less.

    References
    ----------
    The idea of Hubert & Poursartip 2001, Journal of Composite Materials 35:2; derived here.

    Examples
    --------
    >>> round(corner_pressure(1e5, 0.010, 0.002))
    80000
    """
    if not (bag_pressure > 0 and radius > 0 and thickness > 0):
        raise InputError.one(
            "corner", f"{bag_pressure} Pa, radius {radius} m, thickness {thickness} m", "values above zero are wanted"
        )
    if hollow and thickness >= radius:
        raise InputError.one(
            "corner",
            f"radius {1e3 * radius:.2f} mm, laminate {1e3 * thickness:.2f} mm",
            "an inside radius larger than the laminate's thickness is wanted",
        )
    return bag_pressure * (radius + (-thickness if hollow else thickness)) / radius


def needed_radius(thickness: float | Floats, *, visible: bool, structural: bool) -> Floats:
    """Return the inside radius a stack of plies wants.

    Parameters
    ----------
    thickness
        Of the cured laminate, one or one for each vertex [m].
    visible
        Whether the mould side is seen.
    structural
        Whether the part carries load there.

    Returns
    -------
    ndarray
        Radius, as many as thicknesses [m].

    Notes
    -----
    Common practice: 6 mm where it is seen; three times the thickness and at least 5 mm where it carries; 3 mm
    otherwise.
    """
    t = np.asarray(thickness, dtype=np.float64)
    out = np.full_like(t, HARD_RADIUS)
    if visible:
        out = np.maximum(out, VISIBLE_RADIUS)
    if structural:
        out = np.maximum(out, np.maximum(STRUCTURAL_RADIUS, STRUCTURAL_TIMES * t))
    return out


def verdict_of(radius: float, thickness: float) -> CornerVerdict:
    """Return what an inside radius smaller than needed asks of the laying.

    Parameters
    ----------
    radius
        Of the corner [m].
    thickness
        Of the laminate [m].
    """
    if radius <= thickness:
        return CornerVerdict.CLOSED
    if radius <= FILLER_RADIUS:
        return CornerVerdict.FILLER
    if radius < HARD_RADIUS:
        return CornerVerdict.BRIDGES
    return CornerVerdict.HARD
