"""How sharply the surface is hollow at each vertex, from surfaces fitted to the vertices around."""

from __future__ import annotations

import igl
import numpy as np
from numpy.typing import NDArray

from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]

RINGS = 3  # rings of vertices that curvature is fitted to


def hollow_radii(surface: Surface, rings: int = RINGS) -> tuple[Floats, Floats]:
    """Return the smallest hollow radius at each vertex and the direction in which it bends.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate; every vertex in use.
    rings
        Rings of vertices the curvature is fitted to; 5 for a noisy scan.

    Returns
    -------
    radii : ndarray
        Shape (n,) [m]; infinite where the surface is not hollow.
    directions : ndarray
        Unit vectors, shape (n, 3).

    Notes
    -----
    A fillet narrower than the rings reads too large: of one edge length about twice, of three within a tenth.
    """
    v = np.array(surface.vertices)
    pd1, pd2, k1, k2, _ = igl.principal_curvature(v, np.array(surface.triangles), rings, True)
    k1, k2 = np.asarray(k1).reshape(-1), np.asarray(k2).reshape(-1)
    second = k2 <= k1
    bend = np.where(second, k2, k1)
    directions: Floats = np.where(second[:, None], pd2, pd1)
    radii = np.full(len(v), np.inf)
    hollow = bend < -1e-9  # flatter is flat
    radii[hollow] = -1.0 / bend[hollow]
    return radii, directions
