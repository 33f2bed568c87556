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

from bagside.drape.frames import Frames, gradients
from bagside.errors import NotSolved
from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RIDGE = 170.0  # [deg] between normals: no crease is kept as a line, which would fill the coarse mesh with slivers
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
    mesh = mmgpy.MmgMeshS(surface.vertices, surface.triangles.astype(np.int32))
    try:
        mesh.remesh(hsiz=size, hausd=SAG * size, ar=RIDGE, verbose=-1)
    except RuntimeError as error:
        raise NotSolved("no coarse mesh of this surface was found") from error
    v = np.asarray(mesh.get_vertices(), dtype=np.float64)
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
    """Return distance [m], triangle and barycentric coordinates (k, 3) of the closest point on a surface."""
    squared, triangle, closest = igl.point_mesh_squared_distance(
        np.ascontiguousarray(points, dtype=np.float64), surface.vertices, surface.triangles
    )
    triangle = np.asarray(triangle, dtype=np.int64).ravel()
    c = surface.corners[triangle]
    n = np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0])
    square = np.einsum("ij,ij->i", n, n)
    share = np.empty((len(points), 3))
    for k in range(3):
        opposite = np.cross(c[:, (k + 2) % 3] - c[:, (k + 1) % 3], closest - c[:, (k + 1) % 3])
        share[:, k] = np.einsum("ij,ij->i", opposite, n) / square
    return np.sqrt(np.asarray(squared).ravel()), triangle, share


def prolongation(coarse: Surface, points: Floats) -> sp.csr_array:
    """Return the matrix that gives values at points from values at a coarse surface's vertices, shape (k, n)."""
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
    _, triangle, _ = nearest(coarse, fine.centroids)
    a, b, c, e = (g[triangle] for g in gradients(coarse_frames, uv))
    first, second = coarse_frames.first[triangle], coarse_frames.second[triangle]
    wanted = [a[:, None] * first + b[:, None] * second, c[:, None] * first + e[:, None] * second]
    n, m = coarse.normals[triangle], fine.normals
    axis = np.cross(n, m)
    cosine = np.einsum("ij,ij->i", n, m)
    t = fine_frames.triangles
    weight = fine_frames.share
    rows = np.concatenate([np.repeat(t[:, i], 3) for i in range(3)])
    columns = np.concatenate([t.ravel()] * 3)
    data = np.concatenate(
        [
            np.stack(
                [
                    weight * (fine_frames.gx[i] * fine_frames.gx[j] + fine_frames.gy[i] * fine_frames.gy[j])
                    for j in range(3)
                ],
                axis=1,
            ).ravel()
            for i in range(3)
        ]
    )
    size = fine_frames.vertices
    stiffness = sp.csc_array((data, (rows, columns)), shape=(size, size))
    pull = np.zeros((size, 2))
    for k, g in enumerate(wanted):
        # the least rotation that takes one normal to the other
        turned = (
            cosine[:, None] * g
            + np.cross(axis, g)
            + axis * (np.einsum("ij,ij->i", axis, g) / np.maximum(1 + cosine, 1e-6))[:, None]
        )
        x = np.einsum("ij,ij->i", turned, fine_frames.first)
        y = np.einsum("ij,ij->i", turned, fine_frames.second)
        for i in range(3):
            pull[:, k] += np.bincount(
                t[:, i], weights=weight * (fine_frames.gx[i] * x + fine_frames.gy[i] * y), minlength=size
            )
    out: Floats = igl.min_quad_with_fixed(
        sp.csc_matrix(stiffness), -pull, np.array([0], dtype=np.int64), np.zeros((1, 2))
    )
    return np.ascontiguousarray(out)
