"""Where points lie on a surface: the nearest triangle, the closest point, barycentric weights."""

from __future__ import annotations

import igl
import numpy as np
from numpy.typing import NDArray

from bagside.geometry.surface import Floats, Ints, Surface


def nearest(surface: Surface, points: Floats) -> tuple[Floats, Ints, Floats]:
    """Return how far points lie from a surface, in which triangle they are closest to it, and where.

    Parameters
    ----------
    surface
        The surface.
    points
        Positions, shape (k, 3) [m].

    Returns
    -------
    tuple
        Distance, shape (k,) [m]; triangle, shape (k,); closest point, shape (k, 3) [m].

    Raises
    ------
    ValueError
        When the surface has no triangles.
    """
    if len(surface.triangles) == 0:
        raise ValueError("there is no triangle to be near to")
    wanted = np.ascontiguousarray(np.atleast_2d(np.asarray(points, dtype=np.float64)))
    if len(wanted) == 0:
        return np.zeros(0), np.zeros(0, dtype=np.int64), np.zeros((0, 3))
    squared, triangle, closest = igl.point_mesh_squared_distance(wanted, surface.vertices, surface.triangles)
    distance = np.sqrt(np.atleast_1d(np.asarray(squared, dtype=np.float64)))
    of = np.atleast_1d(np.asarray(triangle, dtype=np.int64))
    return distance, of, np.asarray(closest, dtype=np.float64).reshape(-1, 3)


def barycentric(surface: Surface, triangles: Ints, points: Floats) -> Floats:
    """Return barycentric weights of points in the planes of given triangles, shape (k, 3); rows sum to one.

    Parameters
    ----------
    surface
        The surface.
    triangles
        Triangle of each point, shape (k,).
    points
        Positions, shape (k, 3) [m]; taken straight down to the triangle's plane.

    Notes
    -----
    A triangle without area gives weights that are not finite; a `Surface` from `mended` has none.
    """
    c = surface.corners[triangles]
    u, v, w = c[:, 1] - c[:, 0], c[:, 2] - c[:, 0], np.asarray(points) - c[:, 0]
    uu, uv, vv = (u * u).sum(1), (u * v).sum(1), (v * v).sum(1)
    wu, wv = (w * u).sum(1), (w * v).sum(1)
    with np.errstate(divide="ignore", invalid="ignore"):
        scale = 1 / (uu * vv - uv * uv)
        b, d = (vv * wu - uv * wv) * scale, (uu * wv - uv * wu) * scale
    out: Floats = np.stack([1 - b - d, b, d], axis=1)
    return out


def triangle_values_at(surface: Surface, values: NDArray[np.float64], points: Floats) -> NDArray[np.float64]:
    """Return per-triangle values of a surface at points near it, each from its nearest triangle.

    Parameters
    ----------
    surface
        The surface the values belong to.
    values
        One value or row for each triangle, shape (m, …).
    points
        Positions, shape (k, 3) [m].
    """
    _, triangle, _ = nearest(surface, points)
    out: NDArray[np.float64] = np.asarray(values)[triangle]
    return out


def vertex_values_at(surface: Surface, values: NDArray[np.float64], points: Floats) -> NDArray[np.float64]:
    """Return per-vertex values of a surface at points near it, interpolated linearly in the nearest triangle.

    Parameters
    ----------
    surface
        The surface the values belong to.
    values
        One value or row for each vertex, shape (n, …).
    points
        Positions, shape (k, 3) [m].
    """
    _, triangle, closest = nearest(surface, points)
    weight = barycentric(surface, triangle, closest)
    out: NDArray[np.float64] = np.einsum("kj,kj...->k...", weight, np.asarray(values)[surface.triangles[triangle]])
    return out
