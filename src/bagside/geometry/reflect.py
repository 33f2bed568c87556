"""Mirror images in a plane."""

from __future__ import annotations

import numpy as np

from bagside.geometry.surface import Floats, Surface

Triple = tuple[float, float, float]


def reflected_directions(directions: Floats, normal: Triple) -> Floats:
    """Return the mirror images of directions.

    Parameters
    ----------
    directions
        Shape (…, 3).
    normal
        Unit normal of the mirror.
    """
    n = np.array(normal)
    d = np.asarray(directions, dtype=np.float64)
    out: Floats = d - 2.0 * (d @ n)[..., None] * n
    return out


def reflected_points(points: Floats, point: Triple, normal: Triple) -> Floats:
    """Return the mirror images of points.

    Parameters
    ----------
    points
        Shape (…, 3) [m].
    point
        On the mirror [m].
    normal
        Unit normal of the mirror.
    """
    at = np.array(point)
    out: Floats = reflected_directions(np.asarray(points, dtype=np.float64) - at, normal) + at
    return out


def reflected(surface: Surface, point: Triple, normal: Triple) -> Surface:
    """Return the mirror image of a surface, its normals still towards the laminate.

    Parameters
    ----------
    surface
        The surface; vertex and triangle k of the image are the images of vertex and triangle k.
    point
        On the mirror [m].
    normal
        Unit normal of the mirror.
    """
    return Surface(reflected_points(surface.vertices, point, normal), surface.triangles[:, ::-1])
