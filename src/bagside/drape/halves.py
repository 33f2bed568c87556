"""A triangle surface as half-edges, so that lines can be walked over it triangle by triangle, many at once.

Half-edge 3 t + k runs from corner k to corner k + 1 of triangle t. A walk remembers the half-edge through which it
leaves a triangle, with the corner on its right and the one on its left; which edge comes next depends only on which
side of the line the third corner lies, so that a line through a vertex is no special case.
"""

from __future__ import annotations

from dataclasses import dataclass

import igl
import numpy as np
from numpy.typing import NDArray

from bagside.geometry import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

INWARD = 1e-8  # share by which a start is drawn towards its triangle's middle, so that it lies strictly inside


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Halves:
    """Half-edges of a surface.

    Parameters
    ----------
    vertices
        Positions, shape (n, 3) [m].
    origin
        Vertex from which each half-edge sets out, shape (3 m,).
    opposite
        The half-edge on the other side of the same edge, −1 at a rim, shape (3 m,).
    normals
        Unit normal of each triangle, shape (m, 3).
    """

    vertices: Floats
    origin: Ints
    opposite: Ints
    normals: Floats


def halves_of(surface: Surface) -> Halves:
    """Return the half-edges of a surface.

    Parameters
    ----------
    surface
        Any triangle surface.

    Notes
    -----
    An edge of more than two triangles, or of two wound unlike, counts as a rim.
    """
    t, n = surface.triangles, len(surface.vertices)
    origin = np.ascontiguousarray(t).reshape(-1)
    end = np.ascontiguousarray(t[:, [1, 2, 0]]).reshape(-1)
    key = np.minimum(origin, end) * n + np.maximum(origin, end)
    order = np.argsort(key)
    key = key[order]
    same = np.concatenate([[False], key[1:] == key[:-1], [False]])
    pair = np.flatnonzero(same[1:-1] & ~same[:-2] & ~same[2:])
    one, other = order[pair], order[pair + 1]
    unlike = origin[one] != origin[other]
    one, other = one[unlike], other[unlike]
    opposite = np.full(len(origin), -1, dtype=np.int64)
    opposite[one], opposite[other] = other, one
    return Halves(vertices=surface.vertices, origin=origin, opposite=opposite, normals=surface.normals)


def corners_of(halves: Halves, triangles: Ints) -> Floats:
    """Return the corners of chosen triangles, shape (k, 3, 3) [m].

    Parameters
    ----------
    halves
        The surface.
    triangles
        Which, shape (k,).
    """
    out: Floats = halves.vertices[halves.origin.reshape(-1, 3)[triangles]]
    return out


def dotted(a: Floats, b: Floats) -> Floats:
    """Return the dot product row by row, shape (k,).

    Parameters
    ----------
    a, b
        Vectors, shape (k, 3).
    """
    out: Floats = np.vecdot(a, b)
    return out


def crossed(a: Floats, b: Floats) -> Floats:
    """Return the cross product row by row, shape (k, 3); for few rows several times quicker than the general one.

    Parameters
    ----------
    a, b
        Vectors, shape (k, 3).
    """
    out = np.empty((len(a), 3))
    ax, ay, az = a.T
    bx, by, bz = b.T
    out[:, 0] = ay * bz - az * by
    out[:, 1] = az * bx - ax * bz
    out[:, 2] = ax * by - ay * bx
    return out


def exit_of(side: Floats) -> tuple[Ints, NDArray[np.bool_]]:
    """Return through which side a line leaves a triangle in which it starts, and whether it does.

    Parameters
    ----------
    side
        How far left of the line each corner lies, shape (k, 3).

    Returns
    -------
    tuple
        Corner on the right at which that side begins, shape (k,); whether there is one, shape (k,).
    """
    left = side >= 0
    leaves = ~left & left[:, [1, 2, 0]]
    whether: NDArray[np.bool_] = np.any(leaves, axis=1)
    return np.argmax(leaves, axis=1), whether


def place_on(surface: Surface, point: Floats) -> tuple[float, int, Floats]:
    """Return how far a single point lies from a surface, in which triangle it is closest to it, and where.

    Parameters
    ----------
    surface
        With at least one triangle.
    point
        Position, shape (3,) [m].

    Returns
    -------
    tuple
        Distance [m]; triangle; closest point, shape (3,) [m].

    Notes
    -----
    Triangles that cannot be nearest are left out first, which for one point is quicker than a search tree.
    """
    corner = surface.corners
    to = corner[:, 0] - point
    far = np.sqrt(np.einsum("ij,ij->i", to, to))
    sides = corner[:, 1:] - corner[:, :1]
    reach = np.sqrt(np.einsum("ikj,ikj->ik", sides, sides).max(axis=1))
    close = np.flatnonzero(far - reach <= far.min())
    squared, found, closest = igl.point_mesh_squared_distance(
        np.ascontiguousarray(point[None, :]), surface.vertices, np.ascontiguousarray(surface.triangles[close])
    )
    triangle = int(close[int(np.atleast_1d(found)[0])])
    return float(np.sqrt(np.atleast_1d(squared)[0])), triangle, np.asarray(closest, dtype=np.float64).reshape(3)
