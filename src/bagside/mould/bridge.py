"""A ply that spans an inside corner: how much cloth is missing in it, and what a bag does that spans it too.

Seen in section a corner is two straight walls joined by an arc. The turn t is the angle by which the walls turn, the
supplement of the angle included between them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError

Floats = NDArray[np.float64]

WIDEST_TURN = float(np.radians(170.0))  # beyond it the walls are nearly parallel and meet nowhere near


def slide_in(radius: float | Floats, turn: float | Floats, bend: float | Floats) -> Floats:
    """Return the length of cloth that must slide into a corner before a ply that spans it lies on it.

    Parameters
    ----------
    radius
        That the ply is to lie on; zero for a crease [m].
    turn
        Of the walls [rad].
    bend
        Radius of the ply where it spans the corner, tangent to both walls [m].

    Returns
    -------
    ndarray
        Length from both sides together, half of it from each when the corner is laid from its middle [m]; zero where
        the ply spans nothing.

    Raises
    ------
    InputError
        When a radius is negative, or a turn does not lie between 0 and 170°.

    Notes
    -----
    From one tangent point of the span to the other the ply is bend · t long. The way over the mould between the same
    points is 2 (bend − radius) tan(t/2) + radius · t; the difference is (bend − radius)(2 tan(t/2) − t): 0.43 of the
    difference of radii in a right angle. The walls must reach beyond the tangent points.

    Examples
    --------
    >>> round(float(1e3 * slide_in(0.002, np.pi / 2, 0.006)), 2)
    1.72
    """
    r, t, b = _checked(radius, turn, bend)
    return np.asarray(np.maximum(b - r, 0.0) * (2.0 * np.tan(t / 2.0) - t), dtype=np.float64)


def bridge_height(radius: float | Floats, turn: float | Floats, bend: float | Floats) -> Floats:
    """Return how high a ply that spans a corner stands over the corner's middle.

    Parameters
    ----------
    radius
        Of the corner; zero for a crease [m].
    turn
        Of the walls [rad].
    bend
        Radius of the ply where it spans the corner [m].

    Returns
    -------
    ndarray
        Height [m].

    Raises
    ------
    InputError
        As for `slide_in`.

    Notes
    -----
    (bend − radius)(1/cos(t/2) − 1), the gap that a ball of radius bend leaves.

    Examples
    --------
    >>> round(float(1e3 * bridge_height(0.002, np.pi / 2, 0.006)), 2)
    1.66
    """
    r, t, b = _checked(radius, turn, bend)
    return np.asarray(np.maximum(b - r, 0.0) * (1.0 / np.cos(t / 2.0) - 1.0), dtype=np.float64)


def chord_slide_in(radius: float, turn: float, reach: float) -> float:
    """Return the length of cloth that must slide in when a ply is stretched straight across a corner.

    Parameters
    ----------
    radius
        That the ply is to lie on; zero for a crease [m].
    turn
        Of the walls [rad].
    reach
        From the line in which the walls' planes meet to where the ply leaves each wall [m].

    Returns
    -------
    float
        Length from both sides together [m].

    Raises
    ------
    InputError
        As for `slide_in`, or when the ply leaves the walls within the fillet.

    Notes
    -----
    The chord is 2 · reach · cos(t/2) long, the way over the mould 2 (reach − radius tan(t/2)) + radius · t. Cloth
    stretched like this needs more than `slide_in` says for the largest arc between the same two points.
    """
    r, t, _ = _checked(radius, turn, 0.0)
    tangent = float(r * np.tan(t / 2.0))
    if not reach >= tangent:
        raise InputError.one(
            "cloth across a corner",
            f"it leaves the walls {1e3 * reach:.2f} mm from where they meet",
            f"at least {1e3 * tangent:.2f} mm is wanted, where the fillet ends",
        )
    return float(2.0 * (reach - tangent) + r * t - 2.0 * reach * np.cos(t / 2.0))


def tow_section(radius: float, turn: float, made: float) -> float:
    """Return the section of a rolled tow that fills a corner up to a larger radius.

    Parameters
    ----------
    radius
        Of the corner; zero for a crease [m].
    turn
        Of the walls [rad].
    made
        Radius that is left [m].

    Returns
    -------
    float
        Area [m²]; multiply by the density of uncured prepreg for its mass per length.

    Raises
    ------
    InputError
        As for `slide_in`.

    Notes
    -----
    (made² − radius²)(tan(t/2) − t/2): what lies between two arcs that touch the same walls.

    Examples
    --------
    >>> round(1e6 * tow_section(0.0, np.pi / 2, 0.006), 2)
    7.73
    """
    r, t, b = _checked(radius, turn, made)
    return max(0.0, float(b) ** 2 - float(r) ** 2) * float(np.tan(t / 2.0) - t / 2.0)


def bag_bend(stress: float, film: float, pressure: float) -> float:
    """Return the radius over which a film without slack spans a corner at a pressure.

    Parameters
    ----------
    stress
        In the film [Pa]; at its yield stress it spans no wider, for it stretches into the corner, or bursts.
    film
        Its thickness [m].
    pressure
        That presses it [Pa].

    Returns
    -------
    float
        Radius [m].

    Raises
    ------
    InputError
        When a value is not positive.

    Notes
    -----
    Equilibrium of a thin ring, pressure · radius = stress · film. A film with a pleat in the corner carries no stress
    and spans nothing, which is what the pleat is for.

    Examples
    --------
    >>> round(1e3 * bag_bend(40e6, 50e-6, 1e5), 1)
    20.0
    """
    if not (stress > 0 and film > 0 and pressure > 0):
        raise InputError.one(
            "bag in a corner", f"{stress} Pa, film {film} m, {pressure} Pa", "values above zero are wanted"
        )
    return stress * film / pressure


def _checked(radius: float | Floats, turn: float | Floats, bend: float | Floats) -> tuple[Floats, Floats, Floats]:
    r, t, b = (np.asarray(x, dtype=np.float64) for x in (radius, turn, bend))
    if not ((r >= 0).all() and (b >= 0).all()):
        raise InputError.one("corner", "a radius below zero", "zero or more is wanted")
    if not (float(t.min()) >= 0 and float(t.max()) <= WIDEST_TURN):
        raise InputError.one(
            "corner",
            f"walls that turn by {np.degrees(t.max()):.0f}°",
            "walls that turn by 0 to 170° are wanted; steeper ones meet nowhere",
        )
    return r, t, b
