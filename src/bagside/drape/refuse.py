"""What draping refuses: surfaces that are not one sheet, starts off the surface, directions that stand up from it."""

from __future__ import annotations

import math

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

from bagside.drape.halves import place_on
from bagside.errors import InputError, Problem
from bagside.geometry import Surface, barycentric
from bagside.quantity import shown

Floats = NDArray[np.float64]

STEEPEST = math.sin(math.radians(3.0))  # a direction closer than this to the normal names none in the surface
COLLAPSED = 1e-9  # of the mean triangle's area


def checked(surface: Surface) -> None:
    """Refuse a surface on which no cloth map is defined.

    Parameters
    ----------
    surface
        What is to be draped.

    Raises
    ------
    InputError
        With every reason found: no triangle, collapsed triangles, edges of three triangles or of two that are wound
        unlike, several parts, no rim.
    """
    t = surface.triangles
    if len(t) == 0:
        raise InputError.one("surface to drape", "no triangle", "a surface with at least one triangle is wanted")
    problems = []

    def refuse(came: str, wanted: str) -> None:
        problems.append(Problem(place="surface to drape", came=came, wanted=wanted))

    used = np.unique(t)
    if len(used) != len(surface.vertices):
        refuse(f"{len(surface.vertices) - len(used)} vertices without a triangle", "leave them out")
    thin = int((surface.areas <= COLLAPSED * surface.area / len(t)).sum())
    if thin or not surface.area > 0:
        refuse(f"{thin} collapsed triangles", "mend or mesh the surface evenly before draping")
    n = len(surface.vertices)
    half = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    if len(np.unique(half[:, 0] * n + half[:, 1])) != len(half):
        refuse("edges shared by three triangles, or by two wound unlike", "mend the surface before draping")
    else:
        try:
            closed = not surface.loops
        except ValueError:
            refuse("parts that touch at a single vertex", "cut them apart or join them along an edge")
        else:
            if closed:
                refuse("a closed surface without a rim", "choose a region of it, or split it into pieces")
    link = sp.coo_array((np.ones(len(half)), (half[:, 0], half[:, 1])), shape=(n, n))
    _, part = connected_components(link, directed=False)
    parts = len(np.unique(part[used]))
    if parts > 1:
        refuse(f"{parts} separate parts", "one connected part a piece; drape each on its own")
    if problems:
        raise InputError(problems)


def start_on(surface: Surface, start: Floats, reach: float) -> tuple[Floats, int, Floats]:
    """Return the start point on the surface, its triangle and its barycentric coordinates there.

    Parameters
    ----------
    surface
        The surface.
    start
        As stated, shape (3,) [m].
    reach
        How far off the surface it may lie [m].

    Raises
    ------
    InputError
        When it lies further off; names the nearest point.
    """
    if start.shape != (3,) or not np.isfinite(start).all():
        raise InputError.one("start", str(start.tolist()), "three finite coordinates are wanted")
    off, triangle, at = place_on(surface, start)
    if off > reach:
        raise InputError.one(
            "start",
            millimetres(start),
            f"the start point is {shown(off, 'mm')} off the surface; within {shown(reach, 'mm')} of it is wanted",
            f"the nearest point is {millimetres(at)}",
        )
    return at, triangle, barycentric(surface, np.array([triangle]), at[None, :])[0]


def direction_on(surface: Surface, triangle: int, direction: Floats) -> Floats:
    """Return a direction laid into a triangle's plane, a unit vector of shape (3,).

    Parameters
    ----------
    surface, triangle
        Where.
    direction
        As stated, shape (3,).

    Raises
    ------
    InputError
        When it has no length or stands straight up from the surface.
    """
    length = float(np.linalg.norm(direction)) if direction.shape == (3,) else math.nan
    if not (math.isfinite(length) and length > 0):
        raise InputError.one("direction", str(direction.tolist()), "a direction of finite, positive length is wanted")
    unit = direction / length
    normal = surface.normals[triangle]
    along = unit - (unit @ normal) * normal
    rest = float(np.linalg.norm(along))
    if rest < STEEPEST:
        raise InputError.one(
            "direction",
            str([round(float(x), 4) for x in unit]),
            "this direction stands straight up from the surface at the start point; one that lies along it is wanted",
        )
    out: Floats = along / rest
    return out


def millimetres(point: Floats) -> str:
    """Return a place as a person reads it, in millimetres.

    Parameters
    ----------
    point
        Position, shape (3,) [m].
    """
    return "(" + ", ".join(f"{1000 * float(x):.1f}".replace("-", "−") for x in point) + ") mm"
