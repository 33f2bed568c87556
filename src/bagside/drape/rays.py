"""Straight lines over a surface, many at once, and a direction carried along them unturned.

Each line is walked by laying the triangles it meets flat one after the other; in that plane it is a straight line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.halves import INWARD, Halves, corners_of, exit_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_CROSSED = 20_000  # triangles a single line may cross


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rays:
    """Straight lines over a surface, as the pieces of each in the triangles it crosses.

    Parameters
    ----------
    ray
        Which line each piece belongs to, shape (p,); pieces of one line stand in the order in which it runs.
    triangle
        Triangle of the piece, shape (p,).
    exit
        Where it leaves that triangle, shape (p, 3) [m].
    length
        Length of the line up to there, shape (p,) [m].
    along
        Unit direction of the line in that triangle, shape (p, 3).
    """

    ray: Ints
    triangle: Ints
    exit: Floats
    length: Floats
    along: Floats


def rays(halves: Halves, start: Floats, triangle: int, directions: Floats, reach: float) -> Rays:
    """Return straight lines over a surface from one point in several directions.

    Parameters
    ----------
    halves
        The surface.
    start
        A point in the triangle, shape (3,) [m].
    triangle
        The triangle.
    directions
        Unit vectors in its plane, shape (k, 3).
    reach
        How far they go [m]; they end earlier at a rim.

    Notes
    -----
    The start is moved by a hundred-millionth of its triangle's size into the triangle. A line that meets a vertex
    passes beside it.
    """
    v, origin, opposite = halves.vertices, halves.origin, halves.opposite
    corner = corners_of(halves, np.array([triangle]))[0]
    at = start + INWARD * (corner.mean(axis=0) - start)
    normal = np.cross(corner[1] - corner[0], corner[2] - corner[0])
    normal = normal / np.linalg.norm(normal)
    flat_x = (corner - at) @ directions.T
    flat_y = (corner - at) @ np.cross(normal, directions).T
    side, sure = exit_of(flat_y.T)
    ray = np.flatnonzero(sure)
    side = side[ray]
    half = 3 * triangle + side
    ax, ay = flat_x[side, ray], flat_y[side, ray]
    bx, by = flat_x[(side + 1) % 3, ray], flat_y[(side + 1) % 3, ray]
    along = directions[ray]
    out: list[tuple[Ints, Ints, Floats, Floats, Floats]] = []
    for _ in range(MOST_CROSSED):
        onto = half - half % 3
        a, b = v[origin[half]], v[origin[onto + (half + 1) % 3]]
        share = ay / (ay - by)
        length = ax + share * (bx - ax)
        out.append((ray, half // 3, a + share[:, None] * (b - a), length, along))
        across = opposite[half]
        on = (across >= 0) & (length < reach)
        if not on.any():
            break
        if not on.all():
            ray, across = ray[on], across[on]
            ax, ay, bx, by, a, b = ax[on], ay[on], bx[on], by[on], a[on], b[on]
        onto = across - across % 3
        following, before = onto + (across + 1) % 3, onto + (across + 2) % 3
        edge, to = b - a, v[origin[before]] - a
        size = np.sqrt(np.einsum("ij,ij->i", edge, edge))
        edge = edge / size[:, None]
        forth = np.einsum("ij,ij->i", to, edge)
        away = to - forth[:, None] * edge
        height = np.sqrt(np.einsum("ij,ij->i", away, away))
        ex, ey = (bx - ax) / size, (by - ay) / size
        scale = 1 / np.hypot(ex, ey)
        ex, ey = ex * scale, ey * scale
        along = ex[:, None] * edge + (ey / np.where(height > 0, height, 1.0))[:, None] * away
        cx, cy = ax + forth * ex + height * ey, ay + forth * ey - height * ex
        left = cy >= 0
        half = np.where(left, following, before)
        ax, ay = np.where(left, ax, cx), np.where(left, ay, cy)
        bx, by = np.where(left, cx, bx), np.where(left, cy, by)
    if not out:
        nothing = np.zeros(0, dtype=np.int64)
        return Rays(ray=nothing, triangle=nothing, exit=np.zeros((0, 3)), length=np.zeros(0), along=np.zeros((0, 3)))
    joined = [np.concatenate(parts) for parts in zip(*out, strict=True)]
    return Rays(ray=joined[0], triangle=joined[1], exit=joined[2], length=joined[3], along=joined[4])
