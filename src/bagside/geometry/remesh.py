"""Even triangles on the same surface, through mmgs; the boundary curve and ridges stay."""

from __future__ import annotations

import mmgpy
import numpy as np

from bagside.errors import NotSolved
from bagside.geometry.surface import Surface
from bagside.geometry.topology import consistent, parted

RIDGE = 45.0  # [°] sharper edges of the surface stay edges of the mesh
FLOOR = 0.25  # no edge is asked to be shorter than this share of the size
_GOOD = 0.25  # mean edge may miss the wanted size by this share before the size is asked again


def remeshed(surface: Surface, size: float, tolerance: float) -> Surface:
    """Return the surface in triangles of even size.

    Parameters
    ----------
    surface
        The surface.
    size
        Wanted edge length [m].
    tolerance
        How far the new triangles may stray from the old ones [m]; where the surface bends more than the size allows,
        this makes them smaller, down to about a quarter.

    Raises
    ------
    ValueError
        When size or tolerance is not more than zero.
    NotSolved
        When the remesher fails or gives back something that is not one clean surface.

    Notes
    -----
    The boundary stays the same curve within the tolerance, its corners sharper than 45° exactly. One thread; the same
    input gives the same output.
    """
    if not (size > 0 and tolerance > 0):
        raise ValueError(f"size {size} and tolerance {tolerance} must be more than zero")
    if len(surface.triangles) == 0:
        return surface
    scale = 1000.0  # mmgs works in millimetres: its own absolute tolerances suit that
    try:
        mesh = mmgpy.MmgMeshS(surface.vertices * scale, surface.triangles.astype(np.int32))
        mesh.remesh(hsiz=size * scale, hausd=tolerance * scale, hmin=FLOOR * size * scale, ar=RIDGE, verbose=-1)
        vertices = np.asarray(mesh.get_vertices(), dtype=np.float64) / scale
        triangles = np.asarray(mesh.get_triangles(), dtype=np.int64)
    except (RuntimeError, ValueError) as error:
        raise NotSolved(f"the surface cannot be meshed evenly at {1000 * size:.2f} mm: {error}") from error
    if len(triangles) == 0 or not np.isfinite(vertices).all() or not consistent(triangles):
        raise NotSolved(f"the surface cannot be meshed evenly at {1000 * size:.2f} mm: the new triangles do not fit")
    vertices, triangles, _ = parted(vertices, triangles)
    return Surface(vertices, triangles)


def coarse(surface: Surface, triangles: int) -> Surface:
    """Return the surface in about so many triangles of even size.

    Parameters
    ----------
    surface
        The surface.
    triangles
        Wanted number; met within a quarter where the boundary allows it.

    Raises
    ------
    ValueError
        When fewer than four are wanted.
    NotSolved
        When the remesher fails.
    """
    if triangles < 4:
        raise ValueError(f"{triangles} triangles are too few for a surface")
    size = float(np.sqrt(surface.area / triangles * 4 / np.sqrt(3)))
    best = surface
    for _ in range(4):
        best = remeshed(surface, size, 0.2 * size)
        ratio = len(best.triangles) / triangles
        if abs(ratio - 1) <= _GOOD:
            break
        size *= float(np.sqrt(ratio))
    return best
