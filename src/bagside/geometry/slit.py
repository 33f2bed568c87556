"""Cutting a surface open along lines: lines become edges of the mesh, and vertices on them are doubled."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from bagside.errors import NotSolved
from bagside.geometry.linking import Links
from bagside.geometry.locate import nearest
from bagside.geometry.numbering import first_of
from bagside.geometry.polyline import corners_of
from bagside.geometry.splitting import SNAP, inserted, split_edges
from bagside.geometry.strip import Net
from bagside.geometry.surface import Floats, Ints, Surface

STRAY = 0.002  # edge lengths by which a line may be simplified before it is laid into the mesh


def embedded(surface: Surface, lines: Sequence[Floats]) -> tuple[Surface, list[Ints]]:
    """Return the surface with lines as edges of its triangles, and the vertices along each line.

    Parameters
    ----------
    surface
        The surface.
    lines
        Points of each line in order, on the surface or near it, each shape (k, 3) [m]; one whose last point is its
        first is closed.

    Returns
    -------
    tuple
        The surface with more triangles, its first vertices the old ones; vertices along each line, neighbours joined by
        edges; the last of a closed line is its first.

    Raises
    ------
    NotSolved
        When no way over the surface leads from one point of a line to the next, or lines crowd so closely that numbers
        do not tell the triangles between them from none.

    Notes
    -----
    Between given points the line runs straight over the surface. Points closer to a vertex, an edge or each other than
    a thousandth of an edge become one. Where lines cross both get one vertex; where they run far closer together than
    that they share edges. A line that turns straight back runs over the same edges twice.
    """
    net = Net(surface)
    h = surface.edge_length
    placed: list[Floats] = []
    given: list[NDArray[np.bool_]] = []
    for line in lines:
        _, triangle, at = nearest(surface, np.asarray(line, dtype=np.float64))
        keep = corners_of(at, STRAY * h)
        at, triangle = at[keep], triangle[keep]
        legs = [at[:1]]
        for i in range(len(at) - 1):
            legs.append(net.straight(int(triangle[i]), at[i], int(triangle[i + 1]), at[i + 1])[1:])
        placed.append(np.concatenate(legs))
        corner = np.zeros(len(placed[-1]), dtype=np.bool_)
        corner[np.cumsum([len(leg) for leg in legs]) - 1] = True
        given.append(corner)
    if not placed:
        return surface, []
    split, vertex = inserted(surface, np.concatenate(placed))
    bounds = np.cumsum([len(p) for p in placed])[:-1]
    ways = np.split(vertex, bounds)
    tips = [set(way[corner].tolist()) for way, corner in zip(ways, given, strict=True)]
    ways = [_without_returns(way, tip) for way, tip in zip(ways, tips, strict=True)]
    mesh, ways = relinked(split.surface, ways, SNAP * h)
    return mesh, [_without_returns(way, tip) for way, tip in zip(ways, tips, strict=True)]


def _without_returns(way: Ints, tips: set[int]) -> Ints:
    """Return a way without standing still or going to a vertex and straight back, unless that is a tip."""
    out: list[int] = []
    for k in way.tolist():
        if out and out[-1] == k:
            continue
        if len(out) > 1 and out[-2] == k and out[-1] not in tips:
            out.pop()
            continue
        out.append(k)
    return np.array(out, dtype=np.int64)


def relinked(mesh: Surface, ways: Sequence[Ints], near: float | None = None) -> tuple[Surface, list[Ints]]:
    """Return the mesh divided further until neighbours along every way are joined by edges, and the ways.

    Parameters
    ----------
    mesh
        The surface.
    ways
        Vertices of each way; neighbours lie straight before each other, joined by an edge or not.
    near
        A way goes through vertices closer to it than this [m]; a thousandth of an edge when not given.

    Raises
    ------
    NotSolved
        When the surface ends between neighbours, or new triangles are so thin that numbers do not tell them from none.
    """
    n = len(mesh.vertices)
    both = np.array([n, 1])
    known = mesh.edges @ both  # rising, as edges come in order
    missing: list[tuple[int, int]] = []
    for way in ways:
        pair = np.stack([way[:-1], way[1:]], axis=1)
        pair = pair[pair[:, 0] != pair[:, 1]]
        key = np.sort(pair, axis=1) @ both
        place = np.minimum(np.searchsorted(known, key), len(known) - 1)
        missing += map(tuple, pair[known[place] != key].tolist())
    if not missing:
        return mesh, list(ways)
    links = Links(mesh, SNAP * mesh.edge_length if near is None else near)
    for one, two in missing:
        links.link(one, two)
    done = links.mesh
    if (done.areas == 0).any() and (mesh.areas > 0).all():
        raise NotSolved("lines over the surface crowd so closely that no triangle fits between them")
    return done, [_followed(links, way) for way in ways]


def _followed(links: Links, way: Ints) -> Ints:
    out = way[:1].tolist()
    for one, two in itertools.pairwise(way.tolist()):
        if one != two:
            out += links.along(one, two)[1:]
    return np.array(out, dtype=np.int64)


def divided_along(surface: Surface, way: Ints, longest: float) -> tuple[Surface, Ints]:
    """Return the surface with the edges along a way halved until none is longer than stated.

    Parameters
    ----------
    surface
        The surface.
    way
        Vertices, neighbours joined by edges, shape (k,).
    longest
        Longest edge along the way [m].

    Returns
    -------
    tuple
        The divided surface, its first vertices the old ones; the vertices along the way.
    """
    for _ in range(16):
        v = surface.vertices
        pair = np.stack([way[:-1], way[1:]], axis=1)
        long = np.linalg.norm(v[pair[:, 0]] - v[pair[:, 1]], axis=1) > longest
        if not long.any():
            break
        keys = np.sort(pair[long], axis=1)
        _, first, back = np.unique(keys, axis=0, return_index=True, return_inverse=True)
        middle = len(v) + np.arange(len(first))
        surface = split_edges(surface, keys[first], np.full(len(first), 0.5)).surface
        new = np.full(len(pair), -1, dtype=np.int64)
        new[long] = middle[back.reshape(-1)]
        both = np.stack([way[:-1], new], axis=1).ravel()
        way = np.concatenate([both[both >= 0], way[-1:]])
    return surface, way


def slit(surface: Surface, ways: Sequence[Ints]) -> tuple[Surface, Ints]:
    """Return the surface cut open along ways over its edges, and the old vertex of each new one.

    Parameters
    ----------
    surface
        The surface.
    ways
        Vertices of each way, neighbours joined by edges.

    Returns
    -------
    tuple
        The surface with the same triangles in the same order, vertices on the ways doubled where the cut passes and
        kept single at an end inside; the old vertex of each, shape (n,). Vertices without a triangle are left out.

    Notes
    -----
    Edges of the rim on a way stay as they are.
    """
    t = surface.triangles
    m, n = len(t), len(surface.vertices)
    barred = [np.sort(np.stack([w[:-1], w[1:]], axis=1), axis=1) @ np.array([n, 1]) for w in ways if len(w) > 1]
    bar = np.unique(np.concatenate(barred)) if barred else np.zeros(0, dtype=np.int64)
    half = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    key = half.min(axis=1) * n + half.max(axis=1)
    order = np.argsort(key, kind="stable")
    same = np.flatnonzero(key[order[1:]] == key[order[:-1]])
    same = same[~np.isin(key[order[same]], bar)]
    one, two = order[same], order[same + 1]

    def corners(side: Ints) -> tuple[Ints, Ints]:
        k, of = side // m, side % m
        return k * m + of, ((k + 1) % 3) * m + of

    a0, a1 = corners(one)
    b0, b1 = corners(two)  # wound alike: the shared edge runs the other way
    graph = coo_matrix(
        (np.ones(2 * len(one), dtype=np.int8), (np.concatenate([a0, a1]), np.concatenate([b1, b0]))),
        shape=(3 * m, 3 * m),
    )
    kinds, label = connected_components(graph, directed=False)
    old = np.concatenate([t[:, 0], t[:, 1], t[:, 2]])[first_of(label, kinds)]
    rank = np.argsort(old, kind="stable")
    place = np.empty(kinds, dtype=np.int64)
    place[rank] = np.arange(kinds)
    new = place[label]
    origin: Ints = old[rank]
    return Surface(surface.vertices[origin], np.stack([new[:m], new[m : 2 * m], new[2 * m :]], axis=1)), origin


def on_rim(surface: Surface) -> NDArray[np.bool_]:
    """Return which vertices lie on the boundary, shape (n,).

    Parameters
    ----------
    surface
        The surface.
    """
    t = surface.triangles
    half = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    key, count = np.unique(half @ np.array([len(surface.vertices), 1]), return_counts=True)
    alone = key[count == 1]
    out = np.zeros(len(surface.vertices), dtype=np.bool_)
    out[alone // len(surface.vertices)] = True
    out[alone % len(surface.vertices)] = True
    return out
