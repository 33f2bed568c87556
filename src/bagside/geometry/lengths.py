"""Shortest ways over a surface between points, and the length of lines drawn by their points.

The way between two points is exact on the triangles. Only triangles that it can reach are looked at: those within the
ellipse whose points are no further from both ends together than a way along edges is long.
"""

from __future__ import annotations

import igl
import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from bagside.errors import InputError
from bagside.geometry.locate import nearest
from bagside.geometry.numbering import compact
from bagside.geometry.splitting import inserted
from bagside.geometry.surface import Floats, Ints, Surface

OFF = 0.005  # [m] a stated point further from the surface than this is not on it


def line_length(surface: Surface, points: Floats, *, closed: bool = False, off: float = OFF) -> float:
    """Return the length of a line over a surface, stated by points that are joined by shortest ways [m].

    Parameters
    ----------
    surface
        The surface.
    points
        In order along the line, shape (k, 3) [m]; each is moved to the surface.
    closed
        Whether the last is joined to the first.
    off
        How far a point may lie from the surface [m].

    Raises
    ------
    InputError
        When there are fewer than two points, one lies off the surface, or no way leads between two of them.
    """
    legs = leg_lengths(surface, points, closed=closed, off=off)
    return float(legs.sum())


def leg_lengths(surface: Surface, points: Floats, *, closed: bool = False, off: float = OFF) -> Floats:
    """Return the length of the shortest way from each point to the next, shape (k − 1,) or (k,) when closed [m].

    Parameters
    ----------
    surface
        The surface.
    points
        In order along a line, shape (k, 3) [m]; each is moved to the surface.
    closed
        Whether the last is joined to the first.
    off
        How far a point may lie from the surface [m].

    Raises
    ------
    InputError
        When there are fewer than two points, one lies off the surface, or no way leads between two of them.

    Notes
    -----
    Exact on the triangles, save that a point closer to an edge than a thousandth of it moves onto it.
    """
    p = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    if len(p) < 2:
        raise InputError.one("line over the mould", f"{len(p)} points", "at least two are wanted")
    mesh, made = _standing(surface, p, off)
    graph = _edge_graph(mesh)
    pairs = list(zip(range(len(p) - 1), range(1, len(p)), strict=True)) + ([(len(p) - 1, 0)] if closed else [])
    return np.array([_shortest(mesh, graph, int(made[a]), int(made[b]), (a, b)) for a, b in pairs])


def distances_between(surface: Surface, points: Floats, *, off: float = OFF) -> Floats:
    """Return the length of the shortest way between every two points, shape (k, k) [m].

    Parameters
    ----------
    surface
        The surface.
    points
        Shape (k, 3) [m]; each is moved to the surface.
    off
        How far a point may lie from the surface [m].

    Raises
    ------
    InputError
        When a point lies off the surface, or no way leads between two of them.
    """
    p = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    mesh, made = _standing(surface, p, off)
    graph = _edge_graph(mesh)
    out = np.zeros((len(p), len(p)))
    for a in range(len(p)):
        for b in range(a + 1, len(p)):
            out[a, b] = out[b, a] = _shortest(mesh, graph, int(made[a]), int(made[b]), (a, b))
    return out


def _standing(surface: Surface, p: Floats, off: float) -> tuple[Surface, Ints]:
    """Return the surface with the points as vertices, and which these are."""
    away, _, at = nearest(surface, p)
    far = np.flatnonzero(away > off)
    if len(far):
        k = int(far[0])
        raise InputError.one(
            f"point {k + 1} of the line over the mould",
            f"{' '.join(f'{1e3 * c:g}' for c in p[k])} mm",
            f"a point within {1e3 * off:g} mm of the surface is wanted",
            f"the surface is {1e3 * away[k]:.1f} mm away, at {' '.join(f'{1e3 * c:.1f}' for c in at[k])} mm",
        )
    split, made = inserted(surface, at)
    return split.surface, made


def _edge_graph(mesh: Surface) -> coo_matrix:
    e = mesh.edges
    length = np.linalg.norm(mesh.vertices[e[:, 0]] - mesh.vertices[e[:, 1]], axis=1)
    n = len(mesh.vertices)
    return coo_matrix((np.maximum(length, 1e-15), (e[:, 0], e[:, 1])), shape=(n, n)).tocsr()


def _shortest(mesh: Surface, graph: coo_matrix, start: int, end: int, named: tuple[int, int]) -> float:
    if start == end:
        return 0.0
    bound = float(dijkstra(graph, directed=False, indices=start)[end])
    if not np.isfinite(bound):
        raise InputError.one(
            "line over the mould",
            f"points {named[0] + 1} and {named[1] + 1} lie on parts of the surface that do not hang together",
            "points on one connected surface are wanted",
        )
    v = mesh.vertices
    within = np.linalg.norm(v - v[start], axis=1) + np.linalg.norm(v - v[end], axis=1) <= bound * (1 + 1e-9)
    kept = mesh.triangles[within[mesh.triangles].any(axis=1)]
    used, renumbered = compact(kept, len(v))
    one, two = np.searchsorted(used, [start, end])
    none = np.zeros(0, dtype=np.int64)
    found = igl.exact_geodesic(
        np.ascontiguousarray(v[used]),
        np.ascontiguousarray(renumbered),
        np.array([one], dtype=np.int64),
        none,
        np.array([two], dtype=np.int64),
        none,
    )
    return min(bound, float(np.asarray(found).reshape(-1)[0]))
