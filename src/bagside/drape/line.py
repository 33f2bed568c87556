"""The line that is laid first, along which the cloth is held: straight on from the start, or one that was drawn.

It is held along a line, not at a point: held at a point the cloth turns round it while the energy hardly changes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.frames import Frames, gradients
from bagside.drape.halves import halves_of, place_on
from bagside.drape.rays import rays
from bagside.geometry import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHORTEST = 1e-6  # of the reach: a shorter piece, beside a vertex, has no sure direction


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """Pieces of a line over a surface, one a triangle.

    Parameters
    ----------
    triangle
        Triangle crossed, shape (k,).
    along
        Unit direction in that triangle in the sense of the line, shape (k, 3).
    length
        Length within it, shape (k,) [m].
    points
        Corners of the line from its first to its last end, shape (j, 3) [m].
    heading
        Angle from +u towards +v at which each piece is to run in the cloth, shape (k,) [rad].
    taut
        Whether the cloth is to keep its length along the line too, so that it lies there unsheared.
    """

    triangle: Ints
    along: Floats
    length: Floats
    points: Floats
    heading: Floats
    taut: bool = False


def traced(surface: Surface, at: Floats, direction: Floats, reach: float, triangle: int | None = None) -> Line:
    """Return the straightest line through a point, both ways, along which the warp is to run.

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
    triangle
        The triangle in which the point lies; looked for when not given.
    """
    place = place_on(surface, at)[1] if triangle is None else triangle
    found = rays(halves_of(surface), at, place, np.stack([-direction, direction]), reach)
    parts = []
    for ray, sense in ((0, -1), (1, 1)):
        mine = found.ray == ray
        end, along = found.exit[mine], found.along[mine]
        over = np.maximum(found.length[mine] - reach, 0)
        end = end - over[:, None] * along
        length = np.diff(np.minimum(found.length[mine], reach), prepend=0.0)
        parts.append((found.triangle[mine][::sense], sense * along[::sense], length[::sense], end[::sense]))
    (t0, a0, l0, p0), (t1, a1, l1, p1) = parts
    triangles, along, length = np.concatenate([t0, t1]), np.concatenate([a0, a1]), np.concatenate([l0, l1])
    ends = np.concatenate([p0, np.asarray(at)[None, :], p1])
    real = length > SHORTEST * reach
    return Line(
        triangle=triangles[real],
        along=along[real],
        length=length[real],
        points=np.concatenate([ends[:-1][real], ends[-1:]]),
        heading=np.zeros(int(real.sum())),
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
    """Return a map turned so that on average the line runs at its heading.

    Parameters
    ----------
    frames
        Of the surface.
    line
        The line laid first.
    uv
        The map, shape (n, 2) [m].
    """
    way = pace(frames, line, uv)
    c, s = np.cos(line.heading), np.sin(line.heading)
    back = np.stack([c * way[:, 0] + s * way[:, 1], c * way[:, 1] - s * way[:, 0]], axis=1)
    mean = (line.length[:, None] * back).sum(axis=0)
    c, s = mean / np.linalg.norm(mean)
    out: Floats = uv @ np.array([[c, -s], [s, c]])
    return out
