"""Cutting a scan down to the part: along a net edge given by points, joined by shortest ways over the surface.

The surface is cut along the line itself. Which side stays is stated by a point; when it is not, the smaller of two
sides stays, and that is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components, dijkstra

from bagside.errors import InputError
from bagside.geometry.locate import nearest
from bagside.geometry.shortest import shortest_across
from bagside.geometry.splitting import inserted, split_edges
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import parted, sides

REACH = 0.02  # [m] a stated point may lie this far off a scanned surface
BESIDE = 0.02  # share of an edge by which a way passes beside a vertex


@dataclass(frozen=True, slots=True, kw_only=True)
class Cropped:
    """What cropping did.

    Parameters
    ----------
    edge
        Length of the net edge over the surface [m].
    kept, dropped
        Area of either side [m²].
    stated
        Whether a point said which side stays.
    """

    edge: float
    kept: float
    dropped: float
    stated: bool


def cropped(
    surface: Surface, points: Sequence[Sequence[float]], inside: Sequence[float] | None, place: str
) -> tuple[Surface, Cropped]:
    """Return the part of a surface within a closed line over it.

    Parameters
    ----------
    surface
        The surface.
    points
        Points on or near it, at least three, in order along the line; the last is joined to the first [m].
    inside
        A point on the side that stays; the smaller side does when it is none [m].
    place
        Where the line is stated, for messages.

    Raises
    ------
    InputError
        When there are fewer than three different points, one lies further than 20 mm off, two lie on parts that do not
        hang together, or the line crosses itself or does not part the surface.

    Notes
    -----
    Ways between points are straightest over the triangles (`shortest_across`), and pass around holes.
    """
    wanted = np.asarray([tuple(p) for p in points], dtype=np.float64).reshape(-1, 3)
    if len(wanted) > 1 and np.allclose(wanted[0], wanted[-1], rtol=0, atol=1e-6):
        wanted = wanted[:-1]
    if len(wanted) < 3:
        raise InputError.one(place, f"{len(wanted)} points", "at least three different points are wanted")
    _on_surface(surface, wanted, place)
    split, corner = inserted(surface, wanted)
    now = split.surface
    if len(set(corner.tolist())) < len(corner):
        raise InputError.one(place, "", "two points of the line lie on the same place; leave one out")
    line = np.zeros(0, dtype=np.int64)
    for k in range(len(corner)):
        now, way = _cut_along(now, int(corner[k]), int(corner[(k + 1) % len(corner)]), f"{place}, point {k + 1}")
        line = np.concatenate([line, way[:-1]])
    pair = np.sort(np.stack([line, np.roll(line, -1)], axis=1), axis=1) @ np.array([len(now.vertices), 1])
    whole = np.isin(pair, now.edges @ np.array([len(now.vertices), 1])).all()  # a later way may have divided one
    if len(np.unique(line)) < len(line) or not whole:
        raise InputError.one(place, "", "the line crosses or touches itself; give its points in order, or more of them")
    side = _sides_of(now, line)
    count = int(side.max()) + 1
    area = np.bincount(side, weights=now.areas, minlength=count)
    if count < 2:
        raise InputError.one(place, "", "the line does not part the surface; it must run around what stays")
    if inside is not None:
        at = np.asarray([tuple(inside)], dtype=np.float64)
        _on_surface(now, at, f"{place}, inside")
        chosen = int(side[int(nearest(now, at)[1][0])])
    else:
        touching = np.unique(side[np.isin(now.triangles, line).sum(axis=1) >= 2])
        chosen = int(touching[np.argmin(area[touching])])
    kept = now.selected(side == chosen)
    vertices, triangles, _ = parted(kept.vertices, kept.triangles)
    at_line = now.vertices[line]
    report = Cropped(
        edge=float(np.linalg.norm(at_line - np.roll(at_line, -1, axis=0), axis=1).sum()),
        kept=float(area[chosen]),
        dropped=float(area.sum() - area[chosen]),
        stated=inside is not None,
    )
    return Surface(vertices, triangles), report


def _on_surface(surface: Surface, points: Floats, place: str) -> None:
    off, _, closest = nearest(surface, points)
    worst = int(off.argmax())
    if off[worst] > REACH:
        came = " ".join(f"{1000 * c:.1f}" for c in points[worst])
        near = " ".join(f"{1000 * c:.1f}" for c in closest[worst])
        raise InputError.one(
            place,
            f"{came} mm",
            f"a point on the surface is wanted, this one lies {1000 * off[worst]:.0f} mm off it",
            f"the nearest place on it is {near} mm",
        )


def _sides_of(surface: Surface, line: Ints) -> Ints:
    """Return which side of a closed line of vertices each triangle lies on; parts count as sides too."""
    m, n = len(surface.triangles), len(surface.vertices)
    _, of, edges = sides(surface.triangles)
    count = np.bincount(of, minlength=len(edges))
    pair = np.sort(np.stack([line, np.roll(line, -1)], axis=1), axis=1)
    fence = np.isin(edges @ np.array([n, 1]), pair @ np.array([n, 1]))
    order = np.argsort(of, kind="stable")
    first = np.concatenate([[0], np.cumsum(count)])[:-1][(count == 2) & ~fence]
    one, other = order[first] % m, order[first + 1] % m
    graph = coo_matrix((np.ones(len(one), dtype=np.int8), (one, other)), shape=(m, m))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _cut_along(surface: Surface, start: int, end: int, place: str) -> tuple[Surface, Ints]:
    """Return the surface with the shortest way between two vertices as edges, and the vertices along it."""
    a, b = surface.vertices[start], surface.vertices[end]
    apart = float(np.linalg.norm(b - a))
    through = np.linalg.norm(surface.vertices - a, axis=1) + np.linalg.norm(surface.vertices - b, axis=1)
    for share in (1.3, 2.5, np.inf):
        near = through <= share * apart + 8 * surface.edge_length
        triangles = surface.triangles[near[surface.triangles].all(axis=1)]
        found = _first_way(surface.vertices, triangles, start, end)
        if found is not None and found[1] <= share * apart + 6 * surface.edge_length:
            break
    else:
        raise InputError.one(place, "", "this point and the next lie on parts of the surface that do not hang together")
    pair, at = shortest_across(surface, start, end, found[0])
    step = split_edges(surface, pair, np.clip(at, BESIDE, 1 - BESIDE))
    fresh = len(surface.vertices) + np.arange(len(pair), dtype=np.int64)
    return step.surface, np.concatenate([[start], fresh, [end]])


def _first_way(vertices: Floats, triangles: Ints, start: int, end: int) -> tuple[Ints, float] | None:
    """Return the edges that a short way over their middles crosses, shape (k, 2), and its length."""
    if len(triangles) == 0 or start not in triangles or end not in triangles:
        return None
    m = len(triangles)
    _, of, edges = sides(triangles)
    used = np.unique(triangles)
    place = np.full(int(used.max()) + 1, -1, dtype=np.int64)
    place[used] = np.arange(len(used))
    pair = np.concatenate([np.stack([used, used], axis=1), edges])
    point = 0.5 * (vertices[pair[:, 0]] + vertices[pair[:, 1]])
    on = of.reshape(3, m).T  # edge of side k of each triangle
    rows, columns = [], []
    middle = [len(used) + on[:, k] for k in range(3)]
    for k in range(3):
        for other in range(k + 1, 3):
            rows.append(middle[k])
            columns.append(middle[other])
        rows.append(place[triangles[:, (k + 2) % 3]])
        columns.append(middle[k])
    rows.append(place[edges[:, 0]])
    columns.append(place[edges[:, 1]])
    i, j = np.concatenate(rows), np.concatenate(columns)
    passes = np.ones(len(pair), dtype=np.bool_)
    passes[: len(used)] = False  # a way passes beside vertices, so that two ways never share one but their ends
    passes[place[[start, end]]] = True
    i, j = i[passes[i] & passes[j]], j[passes[i] & passes[j]]
    length = np.maximum(np.linalg.norm(point[i] - point[j], axis=1), 1e-12)
    low, high = np.minimum(i, j), np.maximum(i, j)
    _, first = np.unique(low * len(point) + high, return_index=True)  # two triangles share the steps along an edge
    graph = coo_matrix((length[first], (low[first], high[first])), shape=(len(point), len(point))).tocsr()
    source, target = int(place[start]), int(place[end])
    reach, before = dijkstra(graph, directed=False, indices=source, return_predecessors=True)
    if not np.isfinite(reach[target]):
        return None
    way = [target]
    while way[-1] != source:
        way.append(int(before[way[-1]]))
    return pair[np.array(way[::-1], dtype=np.int64)[1:-1]], float(reach[target])
