"""The plain shapes that a template can have, as loops: outline first, then holes.

Curves are followed to 0.02 mm, and a circle has its exact area (`bagside.geometry.outline`); a fillet's points lie on
its arc. So what is cut along these corners lies well within the 0.05 mm that a knife along a card can follow.
"""

from __future__ import annotations

import math

import numpy as np

from bagside.geometry.outline import CHORD, LEAST, SHARP, outline_polygon
from bagside.geometry.surface import Floats
from bagside.spec.region import Outline, Shape

Loops = tuple[Floats, ...]


def disc(diameter: float) -> Loops:
    """Return a disc about the origin.

    Parameters
    ----------
    diameter
        [m].

    Raises
    ------
    ValueError
        When the diameter is not more than zero.
    """
    return (_circle(diameter),)


def ring(diameter: float, hole: float) -> Loops:
    """Return a ring about the origin.

    Parameters
    ----------
    diameter
        Of its outer edge [m].
    hole
        Diameter of its hole [m].

    Raises
    ------
    ValueError
        When a diameter is not more than zero, or the hole is not smaller than the ring.
    """
    if not hole < diameter:
        raise ValueError(f"a hole of {1000 * hole:g} mm leaves nothing of a ring of {1000 * diameter:g} mm")
    return (_circle(diameter), _circle(hole)[::-1])


def rectangle(size: tuple[float, float], corner: float = 0.0) -> Loops:
    """Return a rectangle with its middle at the origin.

    Parameters
    ----------
    size
        Along x and y [m].
    corner
        Radius of its corners [m].

    Raises
    ------
    ValueError
        When a length is not more than zero, or the corners do not fit.
    """
    if not min(size) > 0 or corner < 0:
        raise ValueError(f"{1000 * size[0]:g} by {1000 * size[1]:g} mm with corners of {1000 * corner:g} mm is no size")
    return (outline_polygon(Outline(shape=Shape.ROUNDED_RECTANGLE, size=size, corner=corner)),)


def strip(size: tuple[float, float], corner: float = 0.0) -> Loops:
    """Return a strip along x with its middle at the origin.

    Parameters
    ----------
    size
        Its length and its width [m].
    corner
        Radius of its corners [m]; half the width rounds its ends.

    Raises
    ------
    ValueError
        When a length is not more than zero, or the corners do not fit.
    """
    return rectangle(size, corner)


def gusset(size: tuple[float, float], corner: float = 0.0) -> Loops:
    """Return a triangle with a square corner at the origin and its two legs along x and y.

    Parameters
    ----------
    size
        The two legs, before corners are rounded [m].
    corner
        Radius of all three corners [m].

    Raises
    ------
    ValueError
        When a leg is not more than zero, or the corners do not fit.
    """
    a, b = size
    if not min(a, b) > 0 or corner < 0:
        raise ValueError(f"legs of {1000 * a:g} and {1000 * b:g} mm with corners of {1000 * corner:g} mm are no size")
    points = np.array([[0.0, 0.0], [a, 0.0], [0.0, b]])
    if corner < SHARP:
        return (points,)
    within = a * b / (a + b + math.hypot(a, b))  # the circle that touches all three sides
    if corner > within * (1 + 1e-9):
        raise ValueError(
            f"corners of {1000 * corner:g} mm do not fit: at most {1000 * within:.2f} mm does with these legs"
        )
    return (np.concatenate([_fillet(points[k - 1], points[k], points[(k + 1) % 3], corner) for k in range(3)]),)


def _circle(diameter: float) -> Floats:
    if not diameter > 0:
        raise ValueError(f"a diameter of {1000 * diameter:g} mm is none")
    return outline_polygon(Outline(shape=Shape.CIRCLE, size=(diameter, diameter)))


def _fillet(before: Floats, at: Floats, after: Floats, radius: float) -> Floats:
    """Return points on the arc that rounds a corner passed counter-clockwise."""
    back, on = before - at, after - at
    back, on = back / np.linalg.norm(back), on / np.linalg.norm(on)
    half = 0.5 * math.acos(float(np.clip(back @ on, -1, 1)))
    middle = at + (back + on) / np.linalg.norm(back + on) * radius / math.sin(half)
    turn = math.pi - 2 * half
    first = math.atan2(back[0], -back[1])  # a quarter turn to the right of the way towards the corner
    fine = 2 * math.acos(1 - min(CHORD / radius, 0.5))
    count = max(math.ceil(LEAST * turn / math.tau), math.ceil(turn / fine))
    angle = first + turn * np.arange(count + 1) / count
    out: Floats = middle + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return out
