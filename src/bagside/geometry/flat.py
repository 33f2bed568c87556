"""Flat loops: area, cleaning, thinning, points along them, what lies inside. Loops are corners in the plane [m]."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.geometry.surface import Floats


def loop_area(loop: Floats) -> float:
    """Return the area of a loop, positive when it runs counter-clockwise [m²].

    Parameters
    ----------
    loop
        Corners, shape (k, 2) [m].

    Examples
    --------
    >>> loop_area(np.array([[0, 0], [2, 0], [2, 1], [0, 1]]))
    2.0
    """
    p = np.asarray(loop, dtype=np.float64)
    if len(p) < 3:
        return 0.0
    local = p - p[0]
    after = np.roll(local, -1, axis=0)
    return float(0.5 * np.sum(local[:, 0] * after[:, 1] - after[:, 0] * local[:, 1]))


def loop_length(loop: Floats) -> float:
    """Return the length around a loop [m].

    Parameters
    ----------
    loop
        Corners, shape (k, d) [m].
    """
    p = np.asarray(loop, dtype=np.float64)
    return float(np.linalg.norm(p - np.roll(p, 1, axis=0), axis=1).sum())


def polygon(loops: Sequence[Floats]) -> shapely.Geometry:
    """Return the area that loops bound: inside an odd number of them.

    Parameters
    ----------
    loops
        Corners of each loop, shape (k, 2) [m]; which way they run does not matter.

    Raises
    ------
    ValueError
        When a loop has fewer than three corners.

    Notes
    -----
    A loop that crosses itself counts by the same rule: the part it runs round twice is outside.
    """
    out: shapely.Geometry = shapely.Polygon()
    for loop in loops:
        if len(loop) < 3:
            raise ValueError(f"a loop of {len(loop)} corners bounds nothing")
        one = shapely.Polygon(loop)
        out = out.symmetric_difference(one if one.is_valid else shapely.make_valid(one))
    return out


def loops_of(area: shapely.Geometry) -> tuple[Floats, ...]:
    """Return the loops of an area, surface on the left: outer ones counter-clockwise, holes clockwise.

    Parameters
    ----------
    area
        A polygon, or several; points and lines in it are left out.
    """
    found: list[Floats] = []
    for part in shapely.get_parts(area):
        if not isinstance(part, shapely.Polygon) or part.is_empty:
            continue
        whole = shapely.geometry.polygon.orient(part)
        found.extend(np.asarray(ring.coords)[:-1, :2] for ring in (whole.exterior, *whole.interiors))
    return tuple(found)


def cleaned(loop: Floats, shortest: float) -> Floats:
    """Return a loop without corners that follow the one before too closely.

    Parameters
    ----------
    loop
        Corners, shape (k, 2) [m].
    shortest
        Sides shorter than this lose their end [m].

    Raises
    ------
    ValueError
        When fewer than three corners are left.
    """
    kept: list[NDArray[np.float64]] = []
    for p in np.asarray(loop, dtype=np.float64):
        if not kept or np.linalg.norm(p - kept[-1]) >= shortest:
            kept.append(p)
    while len(kept) > 1 and np.linalg.norm(kept[0] - kept[-1]) < shortest:
        kept.pop()
    if len(kept) < 3:
        raise ValueError("nothing is left of the loop")
    return np.array(kept)


def simplified(loop: Floats, tolerance: float) -> Floats:
    """Return a loop with fewer corners that strays from the given one by at most a tolerance.

    Parameters
    ----------
    loop
        Corners, shape (k, 2) [m].
    tolerance
        Largest distance of a corner left out [m].

    Raises
    ------
    ValueError
        When the loop has fewer than three corners.

    Notes
    -----
    A loop that does not cross itself comes back as one that does not; it keeps at least three corners.
    """
    if len(loop) < 3:
        raise ValueError(f"a loop of {len(loop)} corners bounds nothing")
    thin = shapely.Polygon(loop).simplify(tolerance, preserve_topology=True)
    out: Floats = np.asarray(thin.exterior.coords)[:-1, :2]
    return out


def sampled(loop: Floats, spacing: float) -> Floats:
    """Return points evenly spaced around a loop, the first at its first corner, shape (k, d) [m].

    Parameters
    ----------
    loop
        Corners, shape (k, d) [m].
    spacing
        Largest distance between neighbours along the loop [m].

    Raises
    ------
    ValueError
        When the spacing is not more than zero.
    """
    if not spacing > 0:
        raise ValueError(f"a spacing of {spacing} m is not one")
    p = np.asarray(loop, dtype=np.float64)
    closed = np.concatenate([p, p[:1]])
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    count = max(3, int(np.ceil(along[-1] / spacing - 1e-9)))
    at = along[-1] * np.arange(count) / count
    out: Floats = np.stack([np.interp(at, along, closed[:, k]) for k in range(p.shape[1])], axis=1)
    return out


def inside(loops: Sequence[Floats], points: Floats) -> NDArray[np.bool_]:
    """Return which points lie inside an odd number of loops, shape (k,); those on a loop do not.

    Parameters
    ----------
    loops
        Corners of each loop, shape (k, 2) [m].
    points
        Positions, shape (k, 2) [m].
    """
    area = polygon(loops)
    shapely.prepare(area)
    p = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    return np.asarray(shapely.contains_xy(area, p[:, 0], p[:, 1]), dtype=np.bool_)
