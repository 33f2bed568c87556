"""Creases: edges of the mesh at which the surface turns sharply, which no fitted curvature sees on a coarse mesh."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]

SHARP = float(np.radians(25.0))  # turn of one edge that noise of a scan does not make


def crease_radii(surface: Surface) -> Floats:
    """Return the radius that a hollow crease stands for at each vertex.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.

    Returns
    -------
    ndarray
        Mean height of the two triangles at the sharpest hollow edge of the vertex, over the angle it turns, shape (n,)
        [m]; infinite where no edge turns by 25° or more.

    Notes
    -----
    It is the radius of the round fillet that these two triangles could be facets of: a fillet drawn with facets this
    wide cannot be told from a crease. The true radius may be anything smaller.
    """
    v, t = surface.vertices, surface.triangles
    half = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    opposite = np.concatenate([t[:, 2], t[:, 0], t[:, 1]])
    owner = np.tile(np.arange(len(t)), 3)
    key = np.minimum(half[:, 0], half[:, 1]) * len(v) + np.maximum(half[:, 0], half[:, 1])
    order = np.argsort(key, kind="stable")
    twin = np.flatnonzero(key[order][1:] == key[order][:-1])
    one, two = order[twin], order[twin + 1]
    n1, n2 = surface.normals[owner[one]], surface.normals[owner[two]]
    turn = np.arctan2(np.linalg.norm(np.cross(n1, n2), axis=1), np.einsum("ij,ij->i", n1, n2))
    start, end = v[half[one, 0]], v[half[one, 1]]
    hollow = np.einsum("ij,ij->i", n1, v[opposite[two]] - start) > 0
    sharp = hollow & (turn >= SHARP)
    length = np.maximum(np.linalg.norm(end - start, axis=1), 1e-12)
    width = (surface.areas[owner[one]] + surface.areas[owner[two]]) / length
    out = np.full(len(v), np.inf)
    radius = width[sharp] / turn[sharp]
    for k in (0, 1):
        np.minimum.at(out, half[one[sharp], k], radius)
    return out
