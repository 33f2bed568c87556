"""Cutting a surface open along lines: lines become edges of the mesh, and vertices on them are doubled."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from bagside.errors import NotSolved
from bagside.geometry.locate import nearest
from bagside.geometry.numbering import first_of
from bagside.geometry.polyline import corners_of
from bagside.geometry.splitting import inserted, split_edges
from bagside.geometry.strip import Net
from bagside.geometry.surface import Floats, Ints, Surface

STRAY = 0.002  # edge lengths by which a line may be simplified before it is laid into the mesh
PASSES = 40
STRAIGHT = 1e-7  # share by which a way over several vertices may be longer than the straight one


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
        When lines crowd so closely that they cannot all become edges.

    Notes
    -----
    Between given points the line runs straight over the surface. Points closer to a vertex or an edge than a thousandth
    of an edge are moved onto it. Where lines cross both get one vertex.
    """
    net = Net(surface)
    h = surface.edge_length
    placed: list[Floats] = []
    for line in lines:
        _, triangle, at = nearest(surface, np.asarray(line, dtype=np.float64))
        keep = corners_of(at, STRAY * h)
        at, triangle = at[keep], triangle[keep]
        legs = [at[:1]]
        for i in range(len(at) - 1):
            legs.append(net.straight(int(triangle[i]), at[i], int(triangle[i + 1]), at[i + 1])[1:])
        placed.append(np.concatenate(legs))
    split, vertex = inserted(surface, np.concatenate(placed)) if placed else (None, np.zeros(0, dtype=np.int64))
    if split is None:
        return surface, []
    mesh = split.surface
    bounds = np.cumsum([len(p) for p in placed])[:-1]
    ways = [_without_repeats(w) for w in np.split(vertex, bounds)]
    return relinked(mesh, ways)


def _without_repeats(way: Ints) -> Ints:
    """Return a way without standing still or going to a vertex and straight back."""
    out: list[int] = []
    for k in way.tolist():
        if out and out[-1] == k:
            continue
        if len(out) > 1 and out[-2] == k:
            out.pop()
            continue
        out.append(k)
    return np.array(out, dtype=np.int64)


def relinked(mesh: Surface, ways: Sequence[Ints]) -> tuple[Surface, list[Ints]]:
    """Return the mesh divided further until neighbours along every way are joined by edges, and the ways.

    Parameters
    ----------
    mesh
        The surface.
    ways
        Vertices of each way; neighbours lie straight before each other, joined by an edge or not.

    Raises
    ------
    NotSolved
        When lines crowd so closely that they cannot all become edges.
    """
    ways = list(ways)
    for _ in range(PASSES):
        n = len(mesh.vertices)
        key = mesh.edges @ np.array([n, 1])
        known = np.sort(key)
        around: _Around | None = None
        net: Net | None = None
        wanted: dict[tuple[int, int], float] = {}
        whole = True
        for w, way in enumerate(ways):
            pair = np.sort(np.stack([way[:-1], way[1:]], axis=1), axis=1) @ np.array([n, 1])
            place = np.minimum(np.searchsorted(known, pair), len(known) - 1)
            missing = known[place] != pair
            if not missing.any():
                continue
            around = around or _Around(mesh)
            out = [int(way[0])]
            for i in range(len(way) - 1):
                a, b = int(way[i]), int(way[i + 1])
                if missing[i]:
                    over = around.over(a, b)
                    if over is not None:
                        out += over
                    else:
                        whole = False
                        net = net or Net(mesh)
                        for edge, share in around.crossed(net, a, b):
                            wanted.setdefault(edge, share)
                out.append(b)
            ways[w] = _without_repeats(np.array(out, dtype=np.int64))
        if whole:
            return mesh, ways
        edges = np.array(sorted(wanted), dtype=np.int64)
        if len(edges) == 0:
            break
        shares = np.array([wanted[(int(a), int(b))] for a, b in edges])
        mesh = split_edges(mesh, edges, shares).surface
    raise NotSolved("lines over the surface crowd so closely that they cannot be cut along")


class _Around:
    """Which vertices are joined to which, and which triangles meet at each."""

    def __init__(self, mesh: Surface) -> None:
        self.mesh = mesh
        e = np.concatenate([mesh.edges, mesh.edges[:, ::-1]])
        order = np.argsort(e[:, 0], kind="stable")
        self.onto = e[order, 1]
        self.begin = np.searchsorted(e[order, 0], np.arange(len(mesh.vertices) + 1))
        corner = mesh.triangles.ravel()
        by = np.argsort(corner, kind="stable")
        self.triangle = by // 3
        self.first = np.searchsorted(corner[by], np.arange(len(mesh.vertices) + 1))

    def over(self, start: int, end: int) -> list[int] | None:
        """Return vertices in between when they lie on the straight line; nothing when some edge is missing."""
        v = self.mesh.vertices
        at = start
        out: list[int] = []
        for _ in range(200):
            near = self.onto[self.begin[at] : self.begin[at + 1]]
            if end in near:
                return out
            straight = float(np.linalg.norm(v[end] - v[at]))
            step = np.linalg.norm(v[near] - v[at], axis=1)
            way = step + np.linalg.norm(v[near] - v[end], axis=1)
            k = int(way.argmin())
            if way[k] > straight * (1 + STRAIGHT):
                return None
            at = int(near[k])
            out.append(at)
        return None

    def crossed(self, net: Net, start: int, end: int) -> list[tuple[tuple[int, int], float]]:
        """Return the edges, low vertex first, that the straight line between two vertices crosses, and where."""
        v = self.mesh.vertices
        one = self.triangle[self.first[start] : self.first[start + 1]]
        two = self.triangle[self.first[end] : self.first[end + 1]]
        line = net.straight(int(one[0]), v[start], int(two[0]), v[end])
        found: list[tuple[tuple[int, int], float]] = []
        inner = line[1:-1]
        if len(inner) == 0:
            raise NotSolved("lines over the surface crowd so closely that they cannot be cut along")
        _, triangle, _ = nearest(self.mesh, inner)
        for p, k in zip(inner, triangle.tolist(), strict=True):
            c = self.mesh.triangles[k].tolist()
            best: tuple[float, int, int, float] | None = None
            for s in range(3):
                a, b = sorted((c[s], c[(s + 1) % 3]))
                along = v[b] - v[a]
                share = float((p - v[a]) @ along / (along @ along))
                off = float(np.linalg.norm(v[a] + share * along - p))
                if best is None or off < best[0]:
                    best = (off, a, b, share)
            if best is not None and 1e-6 < best[3] < 1 - 1e-6:
                found.append(((best[1], best[2]), best[3]))
        return found


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
