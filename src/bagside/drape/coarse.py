"""A coarse mesh of the same surface, and carrying a map from it to the fine one.

The map's gradients are carried, not its values: values carried over fold where the two meshes part at a crease.
"""

from __future__ import annotations

import math

import igl
import mmgpy
import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from bagside import geometry
from bagside.drape.frames import Frames, carried_over, cross, gradients
from bagside.errors import NotSolved
from bagside.geometry import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RIDGE = 170.0  # [deg] between normals: no crease is kept as a line, which would fill the coarse mesh with slivers
EDGE = 10.0  # the remesher works in units in which an edge has this length: its own tolerances are absolute
SAG = 0.5  # of the edge: it carries a first map only


def coarsened(surface: Surface, triangles: int) -> Surface:
    """Return the surface meshed evenly with about so many triangles, its rim kept.

    Parameters
    ----------
    surface
        The fine surface.
    triangles
        Wanted number.

    Raises
    ------
    NotSolved
        When the remesher gives up or returns another kind of surface.
    """
    size = math.sqrt(4 / math.sqrt(3) * surface.area / triangles)
    unit = size / EDGE
    try:
        mesh = mmgpy.MmgMeshS(surface.vertices / unit, surface.triangles.astype(np.int32))
        mesh.remesh(hsiz=EDGE, hausd=SAG * EDGE, ar=RIDGE, verbose=-1)
    except (RuntimeError, ValueError) as error:
        raise NotSolved("no coarse mesh of this surface was found") from error
    v = np.asarray(mesh.get_vertices(), dtype=np.float64) * unit
    t = np.asarray(mesh.get_triangles(), dtype=np.int64)
    used, renumbered = np.unique(t, return_inverse=True)
    out = Surface(v[used], renumbered.reshape(-1, 3))
    try:
        same = len(out.loops) == len(surface.loops)
    except ValueError:
        same = False
    if not same or not out.areas.min() > 0:
        raise NotSolved("the coarse mesh is not the same kind of surface")
    return out


def nearest(surface: Surface, points: Floats) -> tuple[Floats, Ints, Floats]:
    """Return distance [m], triangle and barycentric coordinates (k, 3) of the closest point on a surface.

    Parameters
    ----------
    surface
        The surface.
    points
        Positions, shape (k, 3) [m].
    """
    distance, triangle, closest = geometry.nearest(surface, points)
    return distance, triangle, geometry.barycentric(surface, triangle, closest)


def prolongation(coarse: Surface, points: Floats) -> sp.csr_array:
    """Return the matrix that gives values at points from values at a coarse surface's vertices, shape (k, n).

    Parameters
    ----------
    coarse
        The coarse surface.
    points
        Positions on it or near it, shape (k, 3) [m].
    """
    _, triangle, share = nearest(coarse, points)
    k = len(points)
    rows = np.repeat(np.arange(k), 3)
    return sp.csr_array((share.ravel(), (rows, coarse.triangles[triangle].ravel())), shape=(k, len(coarse.vertices)))


def carried(coarse: Surface, coarse_frames: Frames, uv: Floats, fine: Surface, fine_frames: Frames) -> Floats:
    """Return on the fine surface the map whose gradients are closest to those of the coarse one.

    Parameters
    ----------
    coarse, coarse_frames, uv
        The coarse surface and its map, shape (n, 2) [m].
    fine, fine_frames
        The fine surface.

    Returns
    -------
    NDArray
        Shape (N, 2) [m].
    """
    _, triangle, _ = geometry.nearest(coarse, fine.centroids)
    first = coarse_frames.first[triangle]
    n, m = coarse.normals[triangle], fine.normals
    t, size = fine_frames.triangles, fine_frames.vertices
    pull = np.zeros((size, 2))
    x = carried_over(first, n, m)
    y = cross(m, x)  # the turned axes stay square to each other and in the fine plane
    xx, xy = np.einsum("ij,ij->i", x, fine_frames.first), np.einsum("ij,ij->i", x, fine_frames.second)
    yx, yy = np.einsum("ij,ij->i", y, fine_frames.first), np.einsum("ij,ij->i", y, fine_frames.second)
    a, b, c, e = (fine.areas * g[triangle] for g in gradients(coarse_frames, uv))
    for k, (along, across) in enumerate(((a, b), (c, e))):
        gx, gy = along * xx + across * yx, along * xy + across * yy
        for i in range(3):
            weights = fine_frames.gx[i] * gx + fine_frames.gy[i] * gy
            pull[:, k] += np.bincount(t[:, i], weights=weights, minlength=size)
    out: Floats = igl.min_quad_with_fixed(
        laplacian(fine_frames, fine.areas), -pull, np.array([0], dtype=np.int64), np.zeros((1, 2))
    )
    return np.ascontiguousarray(out)


def laplacian(frames: Frames, areas: Floats) -> sp.csc_matrix:
    """Return the matrix of the slopes' energy over a surface, shape (n, n).

    Parameters
    ----------
    frames
        Of the surface.
    areas
        Of its triangles, shape (m,) [m²].
    """
    t, n = frames.triangles, frames.vertices
    diagonal = np.zeros(n)
    rows, columns, values = [], [], []
    for i in range(3):
        j = (i + 1) % 3
        value = areas * (frames.gx[i] * frames.gx[j] + frames.gy[i] * frames.gy[j])
        rows += [t[:, i], t[:, j]]
        columns += [t[:, j], t[:, i]]
        values += [value, value]
        for end in (i, j):
            diagonal -= np.bincount(t[:, end], weights=value, minlength=n)
    every = np.arange(n)
    where = (np.concatenate([*rows, every]), np.concatenate([*columns, every]))
    return sp.coo_matrix((np.concatenate([*values, diagonal]), where), shape=(n, n)).tocsc()
