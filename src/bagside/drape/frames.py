"""A surface seen triangle by triangle: axes in each plane and gradients of the three hat functions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.geometry.surface import Surface

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
    """

    triangles: Ints
    vertices: int
    share: Floats
    area: float
    first: Floats
    second: Floats
    gx: Floats
    gy: Floats


def frames_of(surface: Surface) -> Frames:
    """Return the axes and hat gradients of a surface without degenerate triangles.

    Parameters
    ----------
    surface
        Triangles of positive area.
    """
    c = surface.corners
    side = c[:, 1] - c[:, 0]
    length = np.linalg.norm(side, axis=1)
    first = side / length[:, None]
    second = np.cross(surface.normals, first)
    other = c[:, 2] - c[:, 0]
    x2 = np.einsum("ij,ij->i", other, first)
    y2 = np.einsum("ij,ij->i", other, second)
    double = length * y2
    gx = np.stack([-y2, y2, np.zeros_like(y2)]) / double
    gy = np.stack([x2 - length, -x2, length]) / double
    return Frames(
        triangles=surface.triangles,
        vertices=len(surface.vertices),
        share=surface.areas / surface.area,
        area=surface.area,
        first=first,
        second=second,
        gx=gx,
        gy=gy,
    )


def gradients(frames: Frames, uv: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return du/dx, du/dy, dv/dx, dv/dy along each triangle's axes, each of shape (m,)."""
    u, v = uv[:, 0][frames.triangles.T], uv[:, 1][frames.triangles.T]
    return (
        np.einsum("im,im->m", frames.gx, u),
        np.einsum("im,im->m", frames.gy, u),
        np.einsum("im,im->m", frames.gx, v),
        np.einsum("im,im->m", frames.gy, v),
    )
