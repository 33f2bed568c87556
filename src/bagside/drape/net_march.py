"""One step of a thread's net: from a node over the surface, along a plane's cut, to the edge of a sphere.

The next node of a net lies as far from each of two nodes as they lie from the corner before them. All points as far
from the one as from the other lie in a plane through that corner, so the node is found by walking from the corner along
the plane's cut with the surface until the sphere round one of the two is left. The walk never leaves the surface, so it
cannot land on a sheet that only passes near.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.drape.halves import INWARD, Halves, corners_of, crossed, dotted, exit_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LONGEST = 4.0  # radii a walk may be long; over a rough surface it is longer than the straight way of two
SHORTEST = 1e-3  # radii: nearer the corner, which lies on the sphere, rounding decides what is outside
ASTRAY = 1e-3  # radii by which a point may lie outside the last piece of its walk
MOST_CROSSED = 1_000  # triangles a step may cross


def marched(
    halves: Halves, triangle: Ints, corner: Floats, left: Floats, through: Floats, centre: Floats, radius: float
) -> tuple[Floats, Ints]:
    """Return where walks along planes leave spheres.

    Parameters
    ----------
    halves
        The surface.
    triangle
        Triangle in which each walk sets out, shape (k,).
    corner
        Where it sets out, in that triangle and on or in its sphere, shape (k, 3) [m].
    left
        Normal of the plane, towards the left of the walk seen from the laminate side, shape (k, 3).
    through
        A point of the plane, shape (k, 3) [m].
    centre
        Centre of the sphere, shape (k, 3) [m].
    radius
        Its radius [m].

    Returns
    -------
    tuple
        Points, shape (k, 3) [m]; their triangles, shape (k,), −1 where the walk met a rim or found no end.
    """
    v, origin, opposite = halves.vertices, halves.origin, halves.opposite
    k = len(triangle)
    near = np.zeros((k, 3))
    into = np.full(k, -1, dtype=np.int64)
    last = np.zeros((k, 3))
    first = corners_of(halves, triangle)
    at = corner + INWARD / 3 * (first[:, 0] + first[:, 1] + first[:, 2] - 3 * corner)
    side, sure = exit_of(np.einsum("kcj,kj->kc", first - at[:, None, :], left))
    walk = np.flatnonzero(sure)
    half = 3 * triangle[walk] + side[walk]
    at, normal, middle = at[walk], left[walk], centre[walk]
    a, b = v[origin[half]], v[origin[half - half % 3 + (half + 1) % 3]]
    sa, sb = dotted(a - at, normal), dotted(b - at, normal)
    before, gone = at, np.zeros(len(walk))
    for _ in range(MOST_CROSSED):
        here = a + (sa / (sa - sb))[:, None] * (b - a)
        off, step = here - middle, here - before
        gone = gone + np.sqrt(dotted(step, step))
        out = (dotted(off, off) >= radius * radius) & (dotted(off, step) > 0) & (gone > SHORTEST * radius)
        across = opposite[half]
        on = ~out & (across >= 0) & (gone < LONGEST * radius)
        if not on.all():
            near[walk[out]], into[walk[out]] = here[out], half[out] // 3
            last[walk[out]] = step[out]
            keep = np.flatnonzero(on)
            if len(keep) == 0:
                break
            walk, across, at, normal, middle = walk[keep], across[keep], at[keep], normal[keep], middle[keep]
            a, b, sa, sb, here, gone = a[keep], b[keep], sa[keep], sb[keep], here[keep], gone[keep]
        turn = across % 3
        onto = across - turn
        following, third = onto + (turn + 1) % 3, onto + (turn + 2) % 3
        c = v[origin[third]]
        sc = dotted(c - at, normal)
        is_left = sc >= 0
        half = np.where(is_left, following, third)
        a, sa = np.where(is_left[:, None], a, c), np.where(is_left, sa, sc)
        b, sb = np.where(is_left[:, None], c, b), np.where(is_left, sc, sb)
        before = here
    found = _leaving(halves, into, near, left, through, centre, radius)
    back = near - found
    share = np.clip(dotted(back, last) / np.maximum(dotted(last, last), 1e-300), 0.0, 1.0)
    off = back - share[:, None] * last
    return found, np.where(dotted(off, off) <= (ASTRAY * radius) ** 2, into, -1)


def _leaving(
    halves: Halves, triangle: Ints, near: Floats, left: Floats, through: Floats, centre: Floats, radius: float
) -> Floats:
    """Return where in the planes of triangles the cuts leave the spheres, shape (k, 3)."""
    normal = halves.normals[triangle]
    across = left - dotted(left, normal)[:, None] * normal
    steep = dotted(across, left)
    off = dotted(near - through, left)
    base = near - (off / np.where(steep > 0, steep, 1.0))[:, None] * across
    along = crossed(left, normal)
    size = np.sqrt(dotted(along, along))
    along = along / np.where(size > 0, size, 1.0)[:, None]
    away = base - centre
    b = dotted(away, along)
    c = dotted(away, away) - radius * radius
    reach = -b + np.sqrt(np.maximum(b * b - c, 0.0))
    return base + reach[:, None] * along
