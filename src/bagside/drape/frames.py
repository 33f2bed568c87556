"""A surface seen triangle by triangle: axes in each plane and gradients of the three hat functions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.geometry import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frames:
    """Axes and hat gradients of each triangle.

    Parameters
    ----------
    triangles
        Vertex indices, shape (m, 3).
    vertices
        Number of vertices n.
    share
        Area of each triangle over the whole area, shape (m,).
    area
        Whole area [m²].
    first, second
        Orthogonal unit axes in each triangle's plane, shape (m, 3).
    gx, gy
        Gradient of the three hat functions along the axes, shape (3, m) [1/m].
    middle
        Middle of each triangle, shape (m, 3) [m].
    """

    triangles: Ints
    vertices: int
    share: Floats
    area: float
    first: Floats
    second: Floats
    gx: Floats
    gy: Floats
    middle: Floats


def frames_of(surface: Surface) -> Frames:
    """Return the axes and hat gradients of a surface without degenerate triangles.

    Parameters
    ----------
    surface
        Triangles of positive area.
    """
    axes = geometry.frames(surface)
    hats = geometry.gradients(surface, axes)
    return Frames(
        triangles=surface.triangles,
        vertices=len(surface.vertices),
        share=surface.areas / surface.area,
        area=surface.area,
        first=np.ascontiguousarray(axes[:, 0]),
        second=np.ascontiguousarray(axes[:, 1]),
        gx=np.ascontiguousarray(hats[:, :, 0].T),
        gy=np.ascontiguousarray(hats[:, :, 1].T),
        middle=surface.centroids,
    )


def gradients(frames: Frames, uv: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return du/dx, du/dy, dv/dx, dv/dy along each triangle's axes, each of shape (m,).

    Parameters
    ----------
    frames
        Axes and hat gradients.
    uv
        The map, shape (n, 2) [m].
    """
    u, v = uv[:, 0][frames.triangles.T], uv[:, 1][frames.triangles.T]
    return (
        np.einsum("im,im->m", frames.gx, u),
        np.einsum("im,im->m", frames.gy, u),
        np.einsum("im,im->m", frames.gx, v),
        np.einsum("im,im->m", frames.gy, v),
    )


def carried_over(vectors: Floats, normal: Floats, onto: Floats) -> Floats:
    """Return vectors turned by the least rotation that takes one normal to another, shape (k, 3).

    Parameters
    ----------
    vectors
        Shape (k, 3).
    normal, onto
        Unit normals, shape (k, 3).
    """
    axis = cross(normal, onto)
    cosine = np.einsum("ij,ij->i", normal, onto)
    share = np.einsum("ij,ij->i", axis, vectors) / np.maximum(1 + cosine, 1e-6)
    out: Floats = cosine[:, None] * vectors + cross(axis, vectors) + axis * share[:, None]
    return out


def cross(a: Floats, b: Floats) -> Floats:
    """Return the cross product row by row, shape (k, 3); several times quicker than the general one.

    Parameters
    ----------
    a, b
        Vectors, shape (k, 3).
    """
    (ax, ay, az), (bx, by, bz) = a.T, b.T
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=1)
