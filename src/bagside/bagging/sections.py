"""How long a string is that is pushed into every hollow: lengths of sections through a surface."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]

SECTIONS = 25  # in each direction


def plan_axes(surface: Surface) -> Floats:
    """Return the axes of a surface seen from above: along its longer side, across it, and up.

    Parameters
    ----------
    surface
        Open surface; up is the way it faces.

    Returns
    -------
    ndarray
        Unit vectors as rows, shape (3, 3), right-handed.

    Raises
    ------
    InputError
        When the surface closes on itself, so that it faces nowhere.
    """
    mean = (surface.normals * surface.areas[:, None]).sum(axis=0)
    length = float(np.linalg.norm(mean))
    if not length > 1e-6 * surface.area:
        raise InputError.one("bag", "a surface that closes on itself", "a surface open on one side is wanted")
    up = mean / length
    helper = np.eye(3)[int(np.argmin(np.abs(up)))]
    x = np.cross(helper, up)
    x /= np.linalg.norm(x)
    y = np.cross(up, x)
    along = _longer_side(surface.vertices @ np.stack([x, y], axis=1))
    long = along[0] * x + along[1] * y
    out: Floats = np.stack([long, np.cross(up, long), up])
    return out


def _longer_side(points: Floats) -> Floats:
    """Return the unit direction of the longer side of the smallest rectangle around points of a plane."""
    from scipy.spatial import ConvexHull

    rim = points[ConvexHull(points).vertices]
    sides = np.roll(rim, -1, axis=0) - rim
    sides = sides[np.linalg.norm(sides, axis=1) > 1e-9 * np.ptp(rim)]
    u = sides / np.linalg.norm(sides, axis=1, keepdims=True)
    w = np.stack([-u[:, 1], u[:, 0]], axis=1)
    size = np.stack([np.ptp(rim @ u.T, axis=0), np.ptp(rim @ w.T, axis=0)], axis=1)
    best = int(np.argmin(size.prod(axis=1)))
    out: Floats = u[best] if size[best, 0] >= size[best, 1] else w[best]
    return out


def section_length(surface: Surface, along: Floats, across: Floats, offset: float) -> float:
    """Return the length of a string laid over a surface in one plane, straight over holes.

    Parameters
    ----------
    surface
        The surface.
    along
        Unit vector along the string, in the plane.
    across
        Unit normal of the plane.
    offset
        Of the plane along its normal [m].

    Returns
    -------
    float
        Length [m]; zero when the plane misses the surface.
    """
    height = surface.vertices @ across - offset
    above = height[surface.triangles] >= 0
    cut = surface.triangles[above.any(axis=1) & ~above.all(axis=1)]
    if not len(cut):
        return 0.0
    side = height[cut] >= 0
    odd = np.where(side.sum(axis=1, keepdims=True) == 1, side, ~side)
    turn = np.argmax(odd, axis=1)
    row = np.arange(len(cut))
    ends = []
    for step in (1, 2):
        a, b = cut[row, turn], cut[row, (turn + step) % 3]
        share = height[a] / (height[a] - height[b])
        ends.append(surface.vertices[a] + share[:, None] * (surface.vertices[b] - surface.vertices[a]))
    run = float(np.linalg.norm(ends[1] - ends[0], axis=1).sum())
    u = np.sort(np.stack([ends[0] @ along, ends[1] @ along], axis=1), axis=1)
    u = u[np.argsort(u[:, 0])]
    covered = np.maximum.accumulate(u[:, 1])
    return run + float(np.maximum(0.0, u[1:, 0] - covered[:-1]).sum())


def contour_lengths(surface: Surface, axes: Floats, count: int = SECTIONS) -> tuple[float, float]:
    """Return the longest strings over a surface along and across it.

    Parameters
    ----------
    surface
        The surface.
    axes
        As `plan_axes` returns them.
    count
        Sections in each direction.

    Returns
    -------
    tuple of float
        Along the first and the second axis [m].

    Notes
    -----
    Sections lie evenly between the sides, at the middle of equal strips; a hollow narrower than a strip may be missed.
    """
    found = []
    for k in (0, 1):
        along, across = axes[k], axes[1 - k]
        reach = surface.vertices @ across
        low, high = float(reach.min()), float(reach.max())
        offsets = low + (high - low) * (np.arange(count) + 0.5) / count
        found.append(max(section_length(surface, along, across, float(o)) for o in offsets))
    return found[0], found[1]
