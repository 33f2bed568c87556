"""How triangles hang together: shared edges, parts, and vertices where sheets only touch.

Works on index arrays alone; positions are only needed to decide which sheets continue each other where more than two
triangles meet at an edge.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from bagside.geometry.numbering import compact, first_of, kinds_of, rising
from bagside.geometry.surface import Floats, Ints


def sides(triangles: Ints) -> tuple[Ints, Ints, Ints]:
    """Return the 3 m sides of the triangles, and which of them are the same edge.

    Parameters
    ----------
    triangles
        Vertex indices, shape (m, 3).

    Returns
    -------
    tuple
        Sides as ordered vertex pairs, side k m + t being side k of triangle t, shape (3 m, 2); the edge each side is,
        shape (3 m,); the edges as sorted pairs, shape (e, 2).
    """
    half = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    count = int(triangles.max()) + 1 if len(triangles) else 1
    low, high = np.minimum(half[:, 0], half[:, 1]), np.maximum(half[:, 0], half[:, 1])
    key, of = kinds_of(low * count + high, (count * count).bit_length())
    return half, of, np.stack([key // count, key % count], axis=1)


def _pairs(vertices: Floats, triangles: Ints) -> tuple[Ints, Ints, int]:
    """Return which sides continue each other; at a crowded edge the flattest two sheets do."""
    _, of, edges = sides(triangles)
    count = np.bincount(of, minlength=len(edges))
    order = rising(of, len(edges).bit_length())
    first = np.concatenate([[0], np.cumsum(count)])
    two = np.flatnonzero(count == 2)
    one, other = order[first[two]], order[first[two] + 1]
    more_one: list[int] = []
    more_other: list[int] = []
    crowded = np.flatnonzero(count > 2)
    for edge in crowded:
        here = order[first[edge] : first[edge + 1]]
        a, b = vertices[edges[edge]]
        axis = (b - a) / max(float(np.linalg.norm(b - a)), 1e-300)
        apex = vertices[triangles[here % len(triangles), (here // len(triangles) + 2) % 3]] - a
        away = apex - np.outer(apex @ axis, axis)
        away /= np.maximum(np.linalg.norm(away, axis=1, keepdims=True), 1e-300)
        cosine = away @ away.T + 4 * np.eye(len(here))
        while len(here) >= 2 and cosine.min() < 2:
            i, j = divmod(int(np.argmin(cosine)), len(here))
            more_one.append(int(here[i]))
            more_other.append(int(here[j]))
            cosine[[i, j]] = 5
            cosine[:, [i, j]] = 5
    return (
        np.concatenate([one, np.array(more_one, dtype=np.int64)]),
        np.concatenate([other, np.array(more_other, dtype=np.int64)]),
        len(crowded),
    )


def parted(vertices: Floats, triangles: Ints) -> tuple[Floats, Ints, int]:
    """Return the mesh with every vertex in one fan of triangles, so that boundary loops are defined.

    Parameters
    ----------
    vertices
        Positions, shape (n, 3).
    triangles
        Vertex indices, shape (m, 3); winding does not matter.

    Returns
    -------
    tuple
        Vertices with those that joined several sheets doubled, triangles, and the number of edges where more than two
        triangles met.
    """
    m = len(triangles)
    one, other, crowded = _pairs(vertices, triangles)
    corner_of = np.concatenate([triangles[:, 0], triangles[:, 1], triangles[:, 2]])  # corner k m + t

    def corners(side: Ints) -> tuple[Ints, Ints]:
        k, t = side // m, side % m
        return k * m + t, ((k + 1) % 3) * m + t

    a0, a1 = corners(one)
    b0, b1 = corners(other)
    swap = corner_of[a0] != corner_of[b0]
    b0, b1 = np.where(swap, b1, b0), np.where(swap, b0, b1)
    rows, columns = np.concatenate([a0, a1]), np.concatenate([b0, b1])
    graph = coo_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(3 * m, 3 * m))
    kinds, new = connected_components(graph, directed=False)
    first = first_of(new, kinds)
    # keep the order of the old vertices, so that a mesh without faults comes back as it was
    rank = rising(corner_of[first], len(vertices).bit_length())
    place = np.empty(len(first), dtype=np.int64)
    place[rank] = np.arange(len(first))
    out = place[new]
    moved: Floats = vertices[corner_of[first]][rank]
    return moved, np.stack([out[:m], out[m : 2 * m], out[2 * m :]], axis=1), crowded


def parts(triangles: Ints, count: int) -> tuple[int, Ints]:
    """Return how many parts the triangles form by shared vertices, and the part of each, shape (m,).

    Parameters
    ----------
    triangles
        Vertex indices, shape (m, 3).
    count
        Number of vertices.
    """
    if len(triangles) == 0:
        return 0, np.zeros(0, dtype=np.int64)
    rows = np.concatenate([triangles[:, 0], triangles[:, 1]])
    columns = np.concatenate([triangles[:, 1], triangles[:, 2]])
    graph = coo_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(count, count))
    kinds, label = connected_components(graph, directed=False)
    found, of = compact(label[triangles[:, 0]], kinds)
    return len(found), of


def wound_alike(triangles: Ints) -> Ints | None:
    """Return the triangles of one connected sheet wound the same way round, or nothing when it has one side only.

    Parameters
    ----------
    triangles
        Vertex indices, shape (m, 3); at most two meet at any edge.

    Notes
    -----
    Patches that are wound alike already are turned as wholes; the largest stays as it is.
    """
    m = len(triangles)
    if m == 0:
        return triangles
    half, of, edges = sides(triangles)
    two = np.bincount(of, minlength=len(edges))[of] == 2
    order = rising(of[two], len(edges).bit_length())
    place = np.flatnonzero(two)[order]
    one, other = place[0::2], place[1::2]
    against = half[one, 0] == half[other, 0]
    one, other = one % m, other % m
    smooth = ~against
    graph = coo_matrix((np.ones(int(smooth.sum()), dtype=np.int8), (one[smooth], other[smooth])), shape=(m, m))
    patches, patch = connected_components(graph, directed=False)
    if not against.any():
        return triangles
    pair = np.stack([patch[one[against]], patch[other[against]]], axis=1).astype(np.int64)
    if (pair[:, 0] == pair[:, 1]).any():
        return None
    pair = np.unique(pair, axis=0)
    beside: dict[int, list[int]] = {}
    for a, b in pair.tolist():
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    turn = np.zeros(patches, dtype=np.int64)
    seen = np.zeros(patches, dtype=np.bool_)
    for start in np.argsort(-np.bincount(patch, minlength=patches), kind="stable").tolist():
        if seen[start]:
            continue
        seen[start] = True
        work = [start]
        while work:
            here = work.pop()
            for there in beside.get(here, ()):
                if not seen[there]:
                    seen[there] = True
                    turn[there] = 1 - turn[here]
                    work.append(there)
                elif turn[there] == turn[here]:
                    return None
    out: Ints = np.where((turn[patch] == 1)[:, None], triangles[:, ::-1], triangles)
    return out


def consistent(triangles: Ints) -> bool:
    """Return whether every shared edge is run through once each way.

    Parameters
    ----------
    triangles
        Vertex indices, shape (m, 3).
    """
    count = int(triangles.max()) + 1 if len(triangles) else 1
    key = np.sort(np.concatenate([triangles[:, k] * count + triangles[:, (k + 1) % 3] for k in range(3)]))
    return bool((key[1:] != key[:-1]).all())


def boundary_sides(triangles: Ints) -> NDArray[np.int64]:
    """Return the sides that only one triangle has, as ordered pairs, shape (b, 2).

    Parameters
    ----------
    triangles
        Vertex indices, shape (m, 3).
    """
    half, of, edges = sides(triangles)
    out: NDArray[np.int64] = half[np.bincount(of, minlength=len(edges))[of] == 1]
    return out
