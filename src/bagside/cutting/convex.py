"""Outlines as convex parts: the only shapes whose no-fit polygon is a plain merge of edges.

A library triangulates, holes included; diagonals are then taken away, longest first, as long as both parts beside one
stay convex together (Hertel and Mehlhorn 1983: never more than four times the fewest parts possible). No corner is
added, so parts have the corners of the outline and nothing else.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Corner = tuple[float, float]


def convex_parts(area: shapely.Geometry) -> tuple[Floats, ...]:
    """Return convex outlines that cover an area and do not overlap.

    Parameters
    ----------
    area
        A valid polygon or several, with or without holes; anything in it without area is left out.

    Returns
    -------
    tuple of array
        Each counter-clockwise, not closed, shape (k, 2); corners on a straight edge may stay.

    Examples
    --------
    >>> ell = shapely.Polygon([(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)])
    >>> len(convex_parts(ell))
    2
    """
    parts: list[Floats] = []
    for polygon in shapely.get_parts(area):
        if isinstance(polygon, shapely.Polygon) and polygon.area > 0.0:
            parts.extend(_of_one(polygon))
    return tuple(parts)


def _of_one(polygon: shapely.Polygon) -> list[Floats]:
    hull = shapely.convex_hull(polygon)
    if not polygon.interiors and polygon.area >= hull.area * (1.0 - 1e-12):
        return [_ring(polygon)]
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    loops = [[(float(x), float(y)) for x, y in _ring(t)] for t in triangles if t.area > 0.0]
    return [np.array(loop, dtype=np.float64) for loop in _merged(loops)]


def _merged(loops: list[list[Corner]]) -> list[list[Corner]]:
    """Return the loops with every diagonal taken away that convexity does not need."""
    owner = {(loop[k - 1], loop[k]): index for index, loop in enumerate(loops) for k in range(len(loop))}
    diagonals = [(a, b) for a, b in owner if (b, a) in owner and a < b]
    parts: list[list[Corner] | None] = list(loops)
    for a, b in sorted(diagonals, key=lambda d: (-math.dist(*d), d)):
        one, two = owner[a, b], owner[b, a]
        left, right = parts[one], parts[two]
        if one == two or left is None or right is None:
            continue
        # Left runs from b round to a, right from a round to b: joined they leave the diagonal out.
        i, j = left.index(b), right.index(a)
        joined = left[i:] + left[:i]
        other = right[j:] + right[:j]
        if joined[-1] != a or other[-1] != b:
            continue
        loop = joined + other[1:-1]
        at = len(joined) - 1
        if _left_turn(loop, at) and _left_turn(loop, 0):
            parts[one], parts[two] = loop, None
            for k in range(len(loop)):
                owner[loop[k - 1], loop[k]] = one
    return [p for p in parts if p is not None]


def _left_turn(loop: list[Corner], at: int) -> bool:
    (x0, y0), (x1, y1), (x2, y2) = loop[at - 1], loop[at], loop[(at + 1) % len(loop)]
    return (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1) >= 0.0


def _ring(polygon: shapely.Polygon) -> Floats:
    ring: Floats = np.asarray(shapely.orient_polygons(polygon).exterior.coords, dtype=np.float64)[:-1]
    return ring
