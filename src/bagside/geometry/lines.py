"""Lines over a surface: points joined by straight lines or along a valley or ridge, and lines beside a line."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from bagside.errors import NotSolved
from bagside.geometry.geodesic import distance
from bagside.geometry.locate import nearest
from bagside.geometry.operators import curvature
from bagside.geometry.polyline import length_of, resampled, stations
from bagside.geometry.slit import divided_along, embedded
from bagside.geometry.splitting import split_level
from bagside.geometry.strip import Net
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.spec.lines import Follow

SAME = 1e-7  # [m] points closer than this are one
CHEAP = 24.0  # a metre along the sharpest bend costs this many times less, and one, than on the flat
SHARP_SHARE = 0.98  # of the vertices bend less than what counts as sharpest
STRIDE = 2.0  # edge lengths between the points to which a drawn-in line is thinned
PAST = 1e-6  # of its last step by which a point must lie past a line's end
FINE = 0.125  # of an edge: steps in which a line beside a line is cut off
SAG = 2e-5  # [m] a line beside a line strays from its true distance by at most this on account of its points


def joined(surface: Surface, points: Floats, *, closed: bool = False, follow: Follow = Follow.STRAIGHT) -> Floats:
    """Return points joined to one line over the surface.

    Parameters
    ----------
    surface
        The surface.
    points
        Points on or near it, in order, shape (k, 3) [m]; each is taken to the nearest place on it.
    closed
        Whether the line returns to its first point.
    follow
        Straight over the surface from point to point, or drawn in to the hollow or the ridge between them.

    Returns
    -------
    array
        The points and where the line crosses edges of triangles, shape (n, 3) [m]; of a closed line the last is the
        first.

    Raises
    ------
    ValueError
        When fewer than two different points are left, or three for a closed line.
    NotSolved
        When no way over the surface leads from a point to the next.

    Notes
    -----
    A straight leg is a geodesic, the shortest way among those that pass holes and bumps as the shortest way along edges
    and across triangles does; round a hole it runs along the rim. Along a hollow or ridge the way is the cheapest when
    a metre costs up to twenty-five times less where the surface bends sharpest; it is smoothed over two edge lengths,
    so that the line lies on the fold to about half an edge. On a surface without any hollow (or ridge) it is straight.
    """
    off = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    _, _, at = nearest(surface, off)
    if closed and len(at):
        at = np.concatenate([at, at[:1]])
    apart = np.ones(len(at), dtype=np.bool_)
    apart[1:] = np.linalg.norm(np.diff(at, axis=0), axis=1) > SAME
    at = at[apart]
    if len(at) < (4 if closed else 2):
        raise ValueError(f"{len(at)} different points make no line over the surface")
    net = Net(surface)
    if follow is not Follow.STRAIGHT:
        cost = _cost(surface, follow)
        if cost is not None:
            legs = [_drawn_in(net, a, b, cost)[:-1] for a, b in itertools.pairwise(at)]
            at = np.concatenate([*legs, at[-1:]])
    return straight_through(net, at)


def straight_through(net: Net, points: Floats) -> Floats:
    """Return points on a surface joined by straight lines over it, shape (n, 3) [m].

    Parameters
    ----------
    net
        The surface, made ready.
    points
        Points on it, shape (k, 3) [m].

    Raises
    ------
    NotSolved
        When no way over the surface leads from a point to the next.
    """
    _, triangle, at = nearest(net.surface, points)
    legs = [at[:1]]
    for i in range(len(at) - 1):
        if np.linalg.norm(at[i + 1] - at[i]) > SAME:
            legs.append(net.straight(int(triangle[i]), at[i], int(triangle[i + 1]), at[i + 1])[1:])
    return np.concatenate(legs)


def _cost(surface: Surface, follow: Follow) -> Floats | None:
    """Return what a metre costs at each vertex; nothing on a surface that does not bend that way."""
    bend = curvature(surface)
    sharp = np.maximum(-bend.least if follow is Follow.HOLLOW else bend.most, 0.0)
    e, n = surface.edges, len(sharp)
    count = np.bincount(e.ravel(), minlength=n) + 1.0
    for _ in range(3):  # a fillet of even radius gets a middle
        total = np.bincount(e[:, 0], weights=sharp[e[:, 1]], minlength=n)
        total += np.bincount(e[:, 1], weights=sharp[e[:, 0]], minlength=n)
        sharp = (sharp + total) / count
    most = float(np.quantile(sharp, SHARP_SHARE))
    if most * surface.edge_length < 1e-6:
        return None
    out: Floats = 1.0 / (1.0 + CHEAP * np.minimum(sharp / most, 1.0) ** 2)
    return out


def _drawn_in(net: Net, start: Floats, end: Floats, cost: Floats) -> Floats:
    """Return points from one to the other along the cheapest way, smoothed."""
    surface = net.surface
    h = surface.edge_length
    _, triangle, _ = nearest(surface, np.stack([start, end]))
    way = net.way(int(triangle[0]), int(triangle[1]), cost)
    line = resampled(np.concatenate([start[None], way[1:-1], end[None]]), h)
    for _ in range(4):
        inner = 0.25 * line[:-2] + 0.5 * line[1:-1] + 0.25 * line[2:]
        line = np.concatenate([line[:1], inner, line[-1:]])
    if len(line) > 2:
        line = np.concatenate([line[:1], nearest(surface, line[1:-1])[2], line[-1:]])
    return resampled(line, STRIDE * h)


def sides_of(surface: Surface, line: Floats, points: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Return how far points lie to the left of a line near them, and which are nearest to one of its two ends.

    Parameters
    ----------
    surface
        The surface, for which way is up.
    line
        Points of the line, shape (k, 3) [m].
    points
        Points near it, shape (n, 3) [m].

    Returns
    -------
    tuple
        Signed straight distance, positive on the left seen from the laminate side, shape (n,) [m]; whether nearest to
        an end, shape (n,).
    """
    step = np.diff(line, axis=0)
    square = np.maximum((step * step).sum(axis=1), 1e-300)
    best = np.full(len(points), np.inf)
    where = np.zeros(len(points), dtype=np.int64)
    share = np.zeros(len(points))
    past = np.zeros(len(points))
    for k in range(len(step)):
        run = (points - line[k]) @ step[k] / square[k]
        s = np.clip(run, 0.0, 1.0)
        off = np.linalg.norm(points - line[k] - s[:, None] * step[k], axis=1)
        closer = off < best - 1e-12
        best, where, share = np.where(closer, off, best), np.where(closer, k, where), np.where(closer, s, share)
        past = np.where(closer, run, past)
    foot = line[where] + share[:, None] * step[where]
    _, triangle, _ = nearest(surface, foot)
    left = np.cross(surface.normals[triangle], step[where])
    side = np.einsum("ij,ij->i", points - foot, left)
    ended = ((where == 0) & (past < -PAST)) | ((where == len(step) - 1) & (past > 1 + PAST))
    return np.where(side >= 0, best, -best), ended


def parallel(surface: Surface, line: Floats, shift: float) -> Floats:
    """Return the line at a distance beside a line, measured over the surface.

    Parameters
    ----------
    surface
        The surface.
    line
        Points of the line, in order, on the surface or near it, shape (k, 3) [m]; closed when the last is the first.
    shift
        How far beside it, positive to the left seen from the laminate side [m].

    Returns
    -------
    array
        Points of the line, running the same way, shape (n, 3) [m]. It ends at the rim, or opposite to an end of the
        line: where the line meets the rim aslant, somewhat short of the rim.

    Raises
    ------
    NotSolved
        When no such line lies on the surface.

    Notes
    -----
    Distances are exact on the triangles, from points of the line so dense that they are right to 0.02 mm. Of several
    stretches, as beside a line that runs past a hole, the longest comes back.
    """
    p = np.asarray(line, dtype=np.float64).reshape(-1, 3)
    if abs(shift) < SAME:
        return p
    closed = bool(np.linalg.norm(p[0] - p[-1]) < SAME) and len(p) > 3
    mesh, (way,) = embedded(surface, [p])
    level = abs(shift)
    mesh, way = divided_along(mesh, way, float(np.sqrt(8 * level * SAG)))
    far = distance(mesh, vertices=way, reach=1.5 * level + 2 * surface.edge_length)
    split, value = split_level(mesh, far, level)
    cut, on = split.surface, np.abs(value - level) < 1e-12
    laid = mesh.vertices[way]
    best: Floats | None = None
    for chain in _chains(cut.edges[on[cut.edges].all(axis=1)]):
        points = _divided(cut.vertices[chain], FINE * surface.edge_length)
        beside, ended = sides_of(surface, laid, points)
        good = beside * shift > 0
        if not closed:
            good &= ~ended
        for piece in _runs(good, closed=bool(chain[0] == chain[-1])):
            found = points[piece]
            if len(found) > 1 and (best is None or length_of(found) > length_of(best)):
                best = found
    if best is None:
        raise NotSolved(f"no line {1000 * level:.0f} mm beside this one lies on the surface")
    if closed:
        return best if _turns(best) @ _turns(p) >= 0 else best[::-1]
    same = np.linalg.norm(best[0] - p[0]) + np.linalg.norm(best[-1] - p[-1])
    other = np.linalg.norm(best[-1] - p[0]) + np.linalg.norm(best[0] - p[-1])
    return best if same <= other else best[::-1]


def _divided(line: Floats, longest: float) -> Floats:
    """Return a line with points added so that no step is longer than stated."""
    step = np.linalg.norm(np.diff(line, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(step)])
    parts = np.maximum(np.ceil(step / longest).astype(np.int64), 1)
    inner = [along[k] + step[k] * np.arange(parts[k]) / parts[k] for k in range(len(step))]
    return stations(line, np.concatenate([*inner, along[-1:]]))


def _turns(loop: Floats) -> Floats:
    """Return twice the area vector of a closed line."""
    out: Floats = np.cross(loop[:-1] - loop[0], loop[1:] - loop[0]).sum(axis=0)
    return out


def _chains(edges: Ints) -> list[Ints]:
    """Return edges as runs of vertices; a closed one ends where it begins."""
    after: dict[int, list[int]] = {}
    for a, b in edges.tolist():
        after.setdefault(a, []).append(b)
        after.setdefault(b, []).append(a)
    out: list[Ints] = []
    ends = sorted(k for k, v in after.items() if len(v) != 2)
    for start in ends + sorted(after):
        while after.get(start):
            run = [start]
            while after[run[-1]]:
                nxt = after[run[-1]].pop(0)
                after[nxt].remove(run[-1])
                run.append(nxt)
                if len(after[nxt]) != 1:
                    break
            out.append(np.array(run, dtype=np.int64))
    return out


def _runs(good: NDArray[np.bool_], *, closed: bool) -> list[Ints]:
    """Return stretches of consecutive chosen points; over the seam of a closed line."""
    n = len(good)
    if good.all():
        return [np.arange(n)]
    index = np.arange(n)
    if closed:
        first = int(np.flatnonzero(~good)[0])
        index = np.concatenate([np.arange(first, n - 1), np.arange(first)])
    chosen = good[index]
    edge = np.flatnonzero(np.diff(np.concatenate([[False], chosen, [False]]).astype(np.int8)))
    return [index[a:b] for a, b in zip(edge[::2], edge[1::2], strict=True)]
