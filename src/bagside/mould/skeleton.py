"""The line along a patch of surface that is longer than wide, and how long it is.

The patch is cut into stations by distance from its far end over its own edges; neighbouring stations that share an
edge are linked. A bent, closed or branching patch keeps its shape.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components, dijkstra

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Skeleton:
    """The line along a patch.

    Parameters
    ----------
    points
        Middle of each station, shape (k, 3) [m].
    links
        Stations that follow each other, shape (l, 2).
    station
        Station of each vertex of the patch, in its order.
    length
        Along all links, with the half stations at free ends [m].
    branches
        Number of stations with more than two neighbours.
    """

    points: Floats
    links: Ints
    station: Ints
    length: float
    branches: int


def skeleton_of(p: Floats, own: Ints, step: float) -> Skeleton:
    """Return the line along a connected patch of vertices.

    Parameters
    ----------
    p
        Its points, shape (k, 3) [m].
    own
        Its edges, shape (l, 2).
    step
        Length of a station, two edge lengths or more [m].

    Returns
    -------
    Skeleton

    Notes
    -----
    Correct to about one station for patches much longer than wide; a round patch comes out about as long as its reach.
    """
    lengths = np.linalg.norm(p[own[:, 0]] - p[own[:, 1]], axis=1)
    graph = coo_matrix((np.maximum(lengths, 1e-12), (own[:, 0], own[:, 1])), shape=(len(p), len(p))).tocsr()
    start = 0
    for _ in range(2):
        start = int(np.argmax(dijkstra(graph, directed=False, indices=start)))
    away = dijkstra(graph, directed=False, indices=start)
    band = (away / step).astype(np.int64)
    within = own[band[own[:, 0]] == band[own[:, 1]]]
    same = coo_matrix((np.ones(len(within)), (within[:, 0], within[:, 1])), shape=(len(p), len(p)))
    count, station = connected_components(same, directed=False)
    station = station.astype(np.int64)
    size = np.bincount(station, minlength=count)
    points = np.stack([np.bincount(station, p[:, k], count) / size for k in range(3)], axis=1)
    links = np.unique(np.sort(station[own], axis=1), axis=0)
    links = links[links[:, 0] != links[:, 1]]
    degree = np.bincount(links.reshape(-1), minlength=count)
    length = float(np.linalg.norm(points[links[:, 0]] - points[links[:, 1]], axis=1).sum())
    for end in np.flatnonzero(degree == 1):
        other = links[(links == end).any(axis=1)][0]
        ahead = points[end] - points[other[other != end][0]]
        ahead /= max(float(np.linalg.norm(ahead)), 1e-12)
        length += float(((p[station == end] - points[end]) @ ahead).max())
    if count == 1:
        length = float(away.max())
    return Skeleton(points=points, links=links, station=station, length=length, branches=int((degree > 2).sum()))
