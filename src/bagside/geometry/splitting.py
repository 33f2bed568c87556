"""Cutting triangles: along a level line, through given points, at given places on edges.

Every child triangle knows its parent and every new vertex knows the two it lies between, so that values and choices
carry over. A cut that passes a vertex closer than `SNAP` of the edge goes through that vertex: no piece of an edge is
shorter than that share of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.geometry.locate import barycentric, nearest
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import sides

SNAP = 1e-3  # share of an edge
FAR = 1e6  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """A surface whose triangles were cut, and where each part came from.

    Parameters
    ----------
    surface
        The surface after cutting; its first vertices are the old ones.
    parent
        Triangle before cutting of each triangle, shape (m,).
    """

    surface: Surface
    parent: Ints

    def then(self, later: Split) -> Split:
        """Return this cut followed by a later one, as one."""
        return Split(surface=later.surface, parent=self.parent[later.parent])


def uncut(surface: Surface) -> Split:
    """Return a surface as a cut that changed nothing.

    Parameters
    ----------
    surface
        The surface.
    """
    return Split(surface=surface, parent=np.arange(len(surface.triangles), dtype=np.int64))


def split_edges(surface: Surface, edges: Ints, share: Floats) -> Split:
    """Return the surface with each given edge divided at one place.

    Parameters
    ----------
    surface
        The surface.
    edges
        Vertex pairs, each edge at most once, shape (k, 2).
    share
        Where, from the first vertex (0) to the second (1), shape (k,).

    Returns
    -------
    Split
        The divided surface; the new vertices follow the old ones in the order of ``edges``.
    """
    v, t = surface.vertices, surface.triangles
    n = len(v)
    if len(edges) == 0:
        return uncut(surface)
    fresh = v[edges[:, 0]] + share[:, None] * (v[edges[:, 1]] - v[edges[:, 0]])
    vertices = np.concatenate([v, fresh])
    keys = np.sort(edges, axis=1) @ np.array([n, 1])
    order = np.argsort(keys)
    ordered = keys[order]
    side = np.stack([np.sort(t[:, [k, (k + 1) % 3]], axis=1) @ np.array([n, 1]) for k in range(3)], axis=1)
    place = np.minimum(np.searchsorted(ordered, side), len(keys) - 1)
    middle = np.where(ordered[place] == side, n + order[place], -1)
    count = (middle >= 0).sum(axis=1)
    whole = np.flatnonzero(count == 0)
    made: list[Ints] = [t[whole]]
    parent: list[Ints] = [whole]

    def add(of: Ints, *corners: NDArray[np.int64]) -> None:
        made.append(np.stack(corners, axis=1))
        parent.append(of)

    def turned(of: Ints, first: Ints) -> tuple[Ints, Ints]:
        index = (first[:, None] + np.arange(3)) % 3
        return np.take_along_axis(t[of], index, axis=1), np.take_along_axis(middle[of], index, axis=1)

    one = np.flatnonzero(count == 1)
    if len(one):
        c, p = turned(one, (middle[one] >= 0).argmax(axis=1))
        add(one, c[:, 0], p[:, 0], c[:, 2])
        add(one, p[:, 0], c[:, 1], c[:, 2])
    two = np.flatnonzero(count == 2)
    if len(two):
        c, p = turned(two, ((middle[two] < 0).argmax(axis=1) + 1) % 3)  # sides 0 and 1 are divided
        add(two, p[:, 0], c[:, 1], p[:, 1])
        left = np.linalg.norm(vertices[c[:, 0]] - vertices[p[:, 1]], axis=1)
        right = np.linalg.norm(vertices[p[:, 0]] - vertices[c[:, 2]], axis=1)
        near = left <= right
        add(two, c[:, 0], p[:, 0], np.where(near, p[:, 1], c[:, 2]))
        add(two, np.where(near, c[:, 0], p[:, 0]), p[:, 1], c[:, 2])
    three = np.flatnonzero(count == 3)
    if len(three):
        c, p = t[three], middle[three]
        add(three, c[:, 0], p[:, 0], p[:, 2])
        add(three, p[:, 0], c[:, 1], p[:, 1])
        add(three, p[:, 2], p[:, 1], c[:, 2])
        add(three, p[:, 0], p[:, 1], p[:, 2])
    return Split(surface=Surface(vertices, np.concatenate(made)), parent=np.concatenate(parent))


def halved_rim(surface: Surface, times: int) -> Surface:
    """Return the surface with every boundary edge divided in two, repeatedly.

    Parameters
    ----------
    surface
        The surface.
    times
        How often; each edge ends in ``2 ** times`` parts.
    """
    for _ in range(times):
        half, of, edges = sides(surface.triangles)
        rim = half[np.bincount(of, minlength=len(edges))[of] == 1]
        surface = split_edges(surface, rim, np.full(len(rim), 0.5)).surface
    return surface


def inserted(surface: Surface, points: Floats) -> tuple[Split, Ints]:
    """Return the surface with a vertex at each given point, and those vertices.

    Parameters
    ----------
    surface
        The surface.
    points
        Points on the surface, shape (k, 3) [m]; those off it are taken to the nearest place on it. A point closer to a
        vertex, an edge or an earlier point than `SNAP` of the triangle is moved onto it.

    Returns
    -------
    tuple
        The cut, and the vertex of each point, shape (k,).
    """
    split = uncut(surface)
    near = SNAP * _heights(surface).min(axis=1, initial=np.inf)
    wanted = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    vertex = np.full(len(wanted), -1, dtype=np.int64)
    while (vertex < 0).any():  # each round finds one or more of them a place
        open_ = np.flatnonzero(vertex < 0)
        now = split.surface
        _, triangle, closest = nearest(now, wanted[open_])
        at, low, share = _moved(now, triangle, closest, near[split.parent[triangle]])
        corner, onedge = at >= 0, low >= 0
        vertex[open_[corner]] = now.triangles[triangle, at][corner]
        inside = ~corner & ~onedge
        on, across = triangle[onedge], low[onedge]
        pair = np.stack([now.triangles[on, (across + 1) % 3], now.triangles[on, (across + 2) % 3]], axis=1)
        share = share[onedge]
        _, first = np.unique(np.sort(pair, axis=1), axis=0, return_index=True)
        step = split_edges(now, pair[first], share[first])
        vertex[open_[np.flatnonzero(onedge)[first]]] = len(now.vertices) + np.arange(len(first))
        divided = np.zeros(len(now.triangles), dtype=np.bool_)
        divided[step.parent[np.bincount(step.parent, minlength=len(divided))[step.parent] > 1]] = True
        _, once = np.unique(triangle[inside], return_index=True)
        chosen = np.flatnonzero(inside)[once]
        chosen = chosen[~divided[triangle[chosen]]]
        back = np.zeros(len(now.triangles), dtype=np.int64)
        back[step.parent] = np.arange(len(step.parent))  # right for triangles that were not divided
        into = _into_three(step.surface, back[triangle[chosen]], closest[chosen])
        vertex[open_[chosen]] = len(step.surface.vertices) + np.arange(len(chosen))
        split = split.then(step).then(into)
    return split, vertex


def _moved(surface: Surface, triangle: Ints, points: Floats, near: Floats) -> tuple[Ints, Ints, Floats]:
    """Return onto which corner of its triangle each point is moved, or onto which side and where along it.

    A side goes by the corner across; −1 is none. A point is moved when its weights say so, or when it is nearer than
    stated.
    """
    weight = barycentric(surface, triangle, points)
    weight = np.where(np.isfinite(weight), weight, 1 / 3)
    rows = np.arange(len(points))
    at, low = weight.argmax(axis=1), weight.argmin(axis=1)
    wa, wb = weight[rows, (low + 1) % 3], weight[rows, (low + 2) % 3]
    share = wb / (wa + wb)
    corner = weight[rows, at] > 1 - SNAP
    onedge = ~corner & (weight[rows, low] < SNAP)
    c = surface.corners[triangle]
    away = np.linalg.norm(c - points[:, None], axis=2)
    beside = ~corner & (away.min(axis=1) < near)
    at[beside] = away.argmin(axis=1)[beside]
    corner |= beside
    onedge &= ~corner
    # straight to a side: seen from the corner across, a thin triangle would move a point far along it
    begin, along = np.roll(c, -1, axis=1), np.roll(c, -2, axis=1) - np.roll(c, -1, axis=1)
    long = np.linalg.norm(along, axis=2)
    run = np.einsum("kjx,kjx->kj", points[:, None] - begin, along) / long**2
    off = np.linalg.norm(begin + np.clip(run, 0, 1)[:, :, None] * along - points[:, None], axis=2)
    side = off.argmin(axis=1)
    close = ~corner & ~onedge & (off[rows, side] < near)
    low[close], share[close] = side[close], run[rows, side][close]
    for end, reach in ((1, share), (2, 1 - share)):
        over = close & (reach * long[rows, side] < near)
        at[over] = (side[over] + end) % 3
        corner |= over
    onedge = (onedge | close) & ~corner
    return np.where(corner, at, -1), np.where(onedge, low, -1), share


def _heights(surface: Surface) -> Floats:
    """Return the height of each triangle over the side across from each corner, shape (m, 3) [m]."""
    c = surface.corners
    side = np.linalg.norm(np.roll(c, -1, axis=1) - np.roll(c, -2, axis=1), axis=2)
    out: Floats = np.divide(2 * surface.areas[:, None], side, out=np.zeros_like(side), where=side > 0)
    return out


def _into_three(surface: Surface, triangle: Ints, points: Floats) -> Split:
    if len(triangle) == 0:
        return uncut(surface)
    t = surface.triangles
    keep = np.ones(len(t), dtype=np.bool_)
    keep[triangle] = False
    fresh = len(surface.vertices) + np.arange(len(points))
    c = t[triangle]
    made = [np.stack([c[:, k], c[:, (k + 1) % 3], fresh], axis=1) for k in range(3)]
    parent = np.concatenate([np.flatnonzero(keep), triangle, triangle, triangle])
    return Split(
        surface=Surface(np.concatenate([surface.vertices, points]), np.concatenate([t[keep], *made])), parent=parent
    )


def split_level(surface: Surface, values: Floats, level: float, *, round_points: bool = False) -> tuple[Split, Floats]:
    """Return the surface cut along a level line, and values that are at the level on it.

    Parameters
    ----------
    surface
        The surface.
    values
        A value at each vertex, shape (n,).
    level
        The level.
    round_points
        Values are distances from points: find the place on an edge by the law of cosines in the unrolled plane instead
        of by linear interpolation.

    Returns
    -------
    tuple
        The cut, and values at its vertices; vertices the line passes closely have the level itself.
    """
    value = np.array(values, dtype=np.float64) - level
    value = np.where(np.isfinite(value), value, FAR)  # no edge joins the parts that a source does not reach
    _, _, edges = sides(surface.triangles)
    for _ in range(2):
        a, b = value[edges[:, 0]], value[edges[:, 1]]
        cross = a * b < 0
        share = np.divide(a, a - b, out=np.full(len(edges), 0.5), where=cross)
        if round_points and cross.any():
            length = np.linalg.norm(surface.vertices[edges[:, 0]] - surface.vertices[edges[:, 1]], axis=1)
            share = np.where(cross, _round_share(a + level, b + level, length, level, share), 0.5)
        low, high = cross & (share < SNAP), cross & (share > 1 - SNAP)
        if not low.any() and not high.any():
            break
        value[edges[low, 0]] = 0.0
        value[edges[high, 1]] = 0.0
    cross &= (share >= SNAP) & (share <= 1 - SNAP)
    split = split_edges(surface, edges[cross], share[cross])
    return split, np.concatenate([value, np.zeros(int(cross.sum()))]) + level


def _round_share(a: Floats, b: Floats, length: Floats, level: float, linear: Floats) -> Floats:
    """Where the distance from a point, seen in the unrolled plane, is the level on an edge with distances a and b."""
    with np.errstate(divide="ignore", invalid="ignore"):
        square, half, rest = length**2, 0.5 * (b**2 - a**2 - length**2), a**2 - level**2
        root = np.sqrt(np.maximum(half**2 - square * rest, 0))
        one, two = (-half - root) / square, (-half + root) / square
    out = np.where((one > 0) & (one < 1), one, np.where((two > 0) & (two < 1), two, linear))
    result: Floats = np.where(np.isfinite(out), out, linear)
    return result
