"""The straightest line through the start, along which the warp is held.

It is held along a line, not at a point: held at a point the cloth turns round it while the energy hardly changes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.drape.frames import Frames, gradients
from bagside.geometry import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHORTEST = 1e-6  # of the reach: a shorter piece, beside a vertex, has no sure direction


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """Pieces of a straightest line, one a triangle.

    Parameters
    ----------
    triangle
        Triangle crossed, shape (k,).
    along
        Unit direction in that triangle, always in the sense of the warp, shape (k, 3).
    length
        Length within it, shape (k,) [m].
    points
        Corners of the line from its backward to its forward end, shape (j, 3) [m].
    """

    triangle: Ints
    along: Floats
    length: Floats
    points: Floats


def neighbours(triangles: Ints, vertices: int) -> Ints:
    """Return the triangle across each edge (k, k+1) of each triangle, −1 at the rim, shape (m, 3).

    Parameters
    ----------
    triangles
        Vertex indices, shape (m, 3), wound alike.
    vertices
        Number of vertices.
    """
    m = len(triangles)
    start = triangles.T.ravel()
    end = np.roll(triangles, -1, axis=1).T.ravel()
    key, back = start * vertices + end, end * vertices + start
    order = np.argsort(key)
    place = np.minimum(np.searchsorted(key[order], back), 3 * m - 1)
    other = order[place]
    found = np.where(key[other] == back, other % m, -1)
    out: Ints = found.reshape(3, m).T
    return out


def traced(surface: Surface, at: Floats, direction: Floats, reach: float) -> Line:
    """Return the straightest line through a point, both ways.

    Parameters
    ----------
    surface
        The surface.
    at
        A point on it, shape (3,) [m].
    direction
        Unit vector in its triangle's plane, shape (3,).
    reach
        Length each way [m]; shorter where the rim is nearer.
    """
    forward, one, _ = geometry.trace(surface, at, direction, reach)
    back, other, _ = geometry.trace(surface, at, -direction, reach)
    points = np.concatenate([back[::-1], forward[1:]])
    triangle = np.concatenate([other[::-1], one])
    step = np.diff(points, axis=0)
    length = np.linalg.norm(step, axis=1)
    real = length > SHORTEST * reach
    return Line(
        triangle=triangle[real],
        along=step[real] / length[real, None],
        length=length[real],
        points=np.concatenate([points[:-1][real], points[-1:]]),
    )


def pace(frames: Frames, line: Line, uv: Floats) -> Floats:
    """Return d(u, v) per length along each piece of a line, shape (k, 2).

    Parameters
    ----------
    frames
        Of the surface.
    line
        The line.
    uv
        The map, shape (n, 2) [m].
    """
    a, b, c, e = (g[line.triangle] for g in gradients(frames, uv))
    x = np.einsum("ij,ij->i", line.along, frames.first[line.triangle])
    y = np.einsum("ij,ij->i", line.along, frames.second[line.triangle])
    return np.stack([a * x + b * y, c * x + e * y], axis=1)


def turned(frames: Frames, line: Line, uv: Floats) -> Floats:
    """Return a map turned so that on average the line runs along +u.

    Parameters
    ----------
    frames
        Of the surface.
    line
        The line of the warp.
    uv
        The map, shape (n, 2) [m].
    """
    mean = (line.length[:, None] * pace(frames, line, uv)).sum(axis=0)
    c, s = mean / np.linalg.norm(mean)
    out: Floats = uv @ np.array([[c, -s], [s, c]])
    return out
