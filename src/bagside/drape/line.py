"""The straightest line on a triangle surface: straight in each triangle, at equal angles across each edge.

The warp is held along such a line, not at a point: held at a point the cloth turns round it while the energy hardly
changes. A line that would pass through a vertex is moved aside by a millionth of the edge.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.frames import Frames, gradients
from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ASIDE = 1e-6


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
    """Return the triangle across each edge (k, k+1) of each triangle, −1 at the rim, shape (m, 3)."""
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


def _half(
    surface: Surface, across: Ints, at: Floats, triangle: int, direction: Floats, reach: float
) -> tuple[list[int], list[Floats], list[float], list[Floats]]:
    corners, normals = surface.corners, surface.normals
    crossed: list[int] = []
    along: list[Floats] = []
    lengths: list[float] = []
    points: list[Floats] = []
    entered = -1
    left = reach
    while left > 0 and len(crossed) < len(corners):
        c, n = corners[triangle], normals[triangle]
        side = np.roll(c, -1, axis=0) - c
        outward = np.cross(side, n)
        outward /= np.linalg.norm(outward, axis=1)[:, None]
        speed = outward @ direction
        gap = np.einsum("kj,kj->k", outward, c - at)
        ahead = np.full(3, np.inf)
        going = speed > 1e-12
        if entered >= 0:
            going[entered] = False
        ahead[going] = np.maximum(gap[going], 0.0) / speed[going]
        k = int(np.argmin(ahead))
        step = min(float(ahead[k]), left)
        crossed.append(triangle)
        along.append(direction)
        lengths.append(step)
        if step == left or not np.isfinite(ahead[k]):
            points.append(at + step * direction if np.isfinite(step) else at)
            break
        span = float(np.linalg.norm(side[k]))
        edge = side[k] / span
        part = np.clip(float((at + step * direction - c[k]) @ edge) / span, ASIDE, 1 - ASIDE)
        at = c[k] + part * side[k]
        points.append(at)
        left -= step
        following = int(across[triangle, k])
        if following < 0:
            break
        inward = np.cross(edge, normals[following])  # the neighbour runs the shared edge the other way
        direction = (direction @ edge) * edge + (direction @ outward[k]) * inward
        direction = direction / np.linalg.norm(direction)
        entered = int(np.flatnonzero(across[following] == triangle)[0])
        triangle = following
    return crossed, along, lengths, points


def traced(surface: Surface, at: Floats, triangle: int, direction: Floats, reach: float) -> Line:
    """Return the straightest line through a point, both ways.

    Parameters
    ----------
    surface
        The surface.
    at
        A point on it, shape (3,) [m].
    triangle
        The triangle it lies in.
    direction
        Unit vector in that triangle's plane, shape (3,).
    reach
        Length each way [m]; shorter where the rim is nearer.
    """
    across = neighbours(surface.triangles, len(surface.vertices))
    f = _half(surface, across, at, triangle, direction, reach)
    b = _half(surface, across, at, triangle, -direction, reach)
    return Line(
        triangle=np.array(b[0][::-1] + f[0], dtype=np.int64),
        along=np.array([-d for d in b[1][::-1]] + f[1]),
        length=np.array(b[2][::-1] + f[2]),
        points=np.array([*b[3][::-1], at, *f[3]]),
    )


def pace(frames: Frames, line: Line, uv: Floats) -> Floats:
    """Return d(u, v) per length along each piece of a line, shape (k, 2)."""
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
