"""A direction carried over a surface unturned, along straight lines from a start.

Along a straight line over the surface the angle between the line and a carried direction stays the same. Straight lines
are sent out from the start in all directions; what no line reaches, behind holes and between lines that part, takes the
direction from its neighbours across their common edge.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagside.drape.halves import Halves, halves_of
from bagside.drape.rays import rays
from bagside.geometry import Surface, frames

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FEWEST, MOST = 360, 1_440  # lines
SHORT = 2.0  # edge lengths by which a line may have gone further than the shortest one in the same triangle
AROUND = 2.0  # a line is no longer than so many times root of the area and diagonal


def carried(surface: Surface, start: Floats, triangle: int, direction: Floats) -> Floats:
    """Return a direction carried from a start into every triangle, not a number where no way leads, shape (m, 3).

    Parameters
    ----------
    surface
        The surface.
    start
        A point in the triangle, shape (3,) [m].
    triangle
        The triangle.
    direction
        Unit vector in its plane, shape (3,).

    Notes
    -----
    Behind a hole the result is that of the ways along its edge, and where ways from both sides meet it jumps by the
    curvature that the hole encloses; so it does across from the tip of a cone, as it must.
    """
    halves = halves_of(surface)
    axes = frames(surface)
    reach = AROUND * (math.sqrt(surface.area) + float(np.linalg.norm(surface.size)))
    far = float(np.linalg.norm(surface.vertices - start, axis=1).max())
    count = min(max(math.ceil(2 * math.pi * far / surface.edge_length), FEWEST), MOST)
    turn = (np.arange(count) + 0.5) * (2 * math.pi / count)
    aside = np.cross(surface.normals[triangle], direction)
    ways = np.cos(turn)[:, None] * direction + np.sin(turn)[:, None] * aside
    sent = rays(halves, start, triangle, ways, reach)
    m = len(surface.triangles)
    shortest = np.full(m, np.inf)
    np.minimum.at(shortest, sent.triangle, sent.length)
    use = sent.length <= shortest[sent.triangle] + SHORT * surface.edge_length
    of, along = sent.triangle[use], sent.along[use]
    x, y = np.einsum("ij,ij->i", along, axes[of, 0]), np.einsum("ij,ij->i", along, axes[of, 1])
    phase = (x + 1j * y) * np.exp(-1j * turn[sent.ray[use]])
    total = np.bincount(of, weights=phase.real, minlength=m) + 1j * np.bincount(of, weights=phase.imag, minlength=m)
    total[triangle] = direction @ axes[triangle, 0] + 1j * (direction @ axes[triangle, 1])
    total = _spread(surface, halves, axes, total)
    size = np.abs(total)
    total = np.where(size > 0, total / np.where(size > 0, size, 1.0), np.nan)
    out: Floats = total.real[:, None] * axes[:, 0] + total.imag[:, None] * axes[:, 1]
    return out


def _spread(surface: Surface, halves: Halves, axes: Floats, total: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Return the directions with those missing taken from neighbours, sweep by sweep."""
    half = np.flatnonzero(halves.opposite >= 0)
    mine, theirs = half // 3, halves.opposite[half] // 3
    to = surface.vertices[halves.origin[half - half % 3 + (half + 1) % 3]] - surface.vertices[halves.origin[half]]

    def angle(t: Ints) -> Floats:
        turn: Floats = np.arctan2(np.einsum("ij,ij->i", to, axes[t, 1]), np.einsum("ij,ij->i", to, axes[t, 0]))
        return turn

    across = np.exp(1j * (angle(mine) - angle(theirs)))  # the common edge is the same line in both planes
    out = total.copy()
    while True:
        known = np.abs(out) > 0
        take = ~known[mine] & known[theirs]
        if not take.any():
            return out
        given = out[theirs[take]] * across[take]
        given = given / np.abs(given)
        out = out + np.bincount(mine[take], weights=given.real, minlength=len(out))
        out = out + 1j * np.bincount(mine[take], weights=given.imag, minlength=len(out))
