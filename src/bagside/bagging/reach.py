"""Where the bag's tape runs: the line at a distance from the net edge, measured over the mould."""

from __future__ import annotations

import igl
import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, NotSolved
from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

START = 2.0  # edge lengths beside the part in which straight distance is taken for distance over the surface


def distance_around(mould: Surface, part: Surface, *, rounds: int = 2000) -> Floats:
    """Return how far each vertex of a mould lies from the part, over the mould's surface.

    Parameters
    ----------
    mould
        The whole surface with its flange.
    part
        The part of it that is laid up.
    rounds
        Passes over all triangles before giving up.

    Returns
    -------
    ndarray
        Distance, shape (n,) [m]; zero on the part, infinite where the mould does not hang together with it.

    Raises
    ------
    InputError
        When the part lies off the mould by more than half an edge length.
    NotSolved
        When distances still change after the last pass.

    Notes
    -----
    First order in the edge length: exact off a straight edge on a flat flange, within an edge length otherwise.
    """
    straight = np.sqrt(np.asarray(igl.point_mesh_squared_distance(mould.vertices, part.vertices, part.triangles)[0]))
    h = mould.edge_length
    near = straight <= START * h
    off = np.sqrt(np.asarray(igl.point_mesh_squared_distance(part.vertices, mould.vertices, mould.triangles)[0]))
    if float(off.max()) > 0.5 * h or not (straight <= 0.5 * h).any():
        raise InputError.one(
            "bag",
            f"the part lies up to {1e3 * float(off.max()):.1f} mm off the mould",
            "a part that lies on the surface of its mould is wanted",
        )
    out = np.where(near, np.where(straight <= 1e-3 * h, 0.0, straight), np.inf)
    update = _Update(mould)
    for _ in range(rounds):
        better = np.where(near, out, np.minimum(out, update.applied(out)))
        moved = better < out - 1e-9 * h
        out = better
        if not moved.any():
            return out
    raise NotSolved(f"distance over the mould still changes after {rounds} passes; {int(moved.sum())} vertices move")


class _Update:
    """One pass of a wave front over all triangles, from two corners of each to its third."""

    def __init__(self, surface: Surface) -> None:
        t = surface.triangles
        order = np.concatenate([t, t[:, [1, 2, 0]], t[:, [2, 0, 1]]])
        self.tip, self.first, self.second = order[:, 0], order[:, 1], order[:, 2]
        v = surface.vertices
        self.p, self.q = v[self.first] - v[self.tip], v[self.second] - v[self.tip]
        self.p_length, self.q_length = np.linalg.norm(self.p, axis=1), np.linalg.norm(self.q, axis=1)
        pp, qq = self.p_length**2, self.q_length**2
        pq = np.einsum("ij,ij->i", self.p, self.q)
        det = pp * qq - pq * pq
        good = det > 1e-12 * pp * qq
        safe = np.where(good, det, 1.0)
        self.good = good
        self.a, self.b, self.c = qq / safe, -pq / safe, pp / safe
        self.count = len(v)

    def applied(self, at: Floats) -> Floats:
        s, t = at[self.first], at[self.second]
        value = np.minimum(s + self.p_length, t + self.q_length)
        both = self.good & np.isfinite(s) & np.isfinite(t)
        s, t = np.where(both, s, 0.0), np.where(both, t, 0.0)
        one = self.a + 2 * self.b + self.c
        mixed = self.a * s + self.b * (s + t) + self.c * t
        square = self.a * s * s + 2 * self.b * s * t + self.c * t * t - 1.0
        inner = mixed**2 - one * square
        solvable = both & (inner >= 0) & (one > 0)
        tip = (mixed + np.sqrt(np.where(solvable, inner, 0.0))) / np.where(one > 0, one, 1.0)
        ds, dt = s - tip, t - tip
        from_inside = (self.a * ds + self.b * dt <= 0) & (self.b * ds + self.c * dt <= 0)
        value = np.where(solvable & from_inside, np.minimum(value, tip), value)
        out = np.full(self.count, np.inf)
        np.minimum.at(out, self.tip, value)
        return out


def cut_at(surface: Surface, values: Floats, level: float) -> Surface:
    """Return the part of a surface on which a linear field stays at or below a level, cut along the level.

    Parameters
    ----------
    surface
        The surface.
    values
        Of the field at each vertex, shape (n,); infinite counts as above.
    level
        Where to cut.

    Returns
    -------
    Surface
        With the cut as part of its boundary.

    Raises
    ------
    InputError
        When nothing of the surface lies below the level.
    """
    v, t = surface.vertices, surface.triangles
    below = values <= level
    count = below[t].sum(axis=1)
    if not (count > 0).any():
        raise InputError.one("surface", "nothing of it lies below the level", "a level that cuts the surface is wanted")
    e = surface.edges
    crossing = e[below[e[:, 0]] != below[e[:, 1]]]
    low = np.where(below[crossing[:, 0]], crossing[:, 0], crossing[:, 1])
    high = np.where(below[crossing[:, 0]], crossing[:, 1], crossing[:, 0])
    rise = values[high] - values[low]
    share = np.where(np.isfinite(rise), (level - values[low]) / np.where(np.isfinite(rise), rise, 1.0), 0.0)
    share = np.clip(share, 1e-6, 1.0 - 1e-6)  # keeps cut triangles from collapsing
    points = v[low] + share[:, None] * (v[high] - v[low])
    n = len(v)
    key = crossing[:, 0] * n + crossing[:, 1]
    order = np.argsort(key)

    def on(a: Ints, b: Ints) -> Ints:
        k = np.minimum(a, b) * n + np.maximum(a, b)
        out: Ints = n + order[np.searchsorted(key[order], k)]
        return out

    pieces = [t[count == 3]]
    for inside in (1, 2):
        some = t[count == inside]
        if not len(some):
            continue
        odd = below[some] if inside == 1 else ~below[some]
        turn = np.argmax(odd, axis=1)
        row = np.arange(len(some))
        a, b, c = some[row, turn], some[row, (turn + 1) % 3], some[row, (turn + 2) % 3]
        ab, ac = on(a, b), on(a, c)
        if inside == 1:
            pieces.append(np.stack([a, ab, ac], axis=1))
        else:
            pieces += [np.stack([ab, b, c], axis=1), np.stack([ab, c, ac], axis=1)]
    whole = Surface(np.concatenate([v, points]), np.concatenate(pieces))
    return whole.selected(np.ones(len(whole.triangles), dtype=np.bool_))
