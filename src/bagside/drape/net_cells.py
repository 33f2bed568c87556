"""Reading a filled net: which nodes stand, which of them make whole cells, where threads jammed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from bagside.drape.halves import dotted
from bagside.drape.net_grid import FAR_THREADS, SAME_PLACE, Grid

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LOOSE = 0.005  # of the spacing: a cell with a side off by more was closed from two sides that do not fit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Nodes:
    """Nodes of a net.

    Parameters
    ----------
    threads
        Thread numbers of each node from the start, shape (k, 2).
    points
        Its position, shape (k, 3) [m].
    triangles
        The triangle it lies in, shape (k,).
    """

    threads: Ints
    points: Floats
    triangles: Ints


def nodes_of(grid: Grid) -> Nodes:
    """Return the nodes of a net, without those that lie on others nearer the start.

    Parameters
    ----------
    grid
        The filled net.
    """
    i, j = np.nonzero(grid.triangle >= 0)
    threads: Ints = np.stack([i, j], axis=1) - grid.origin
    points, triangles = grid.point[i, j], grid.triangle[i, j]
    kept = np.ones(len(points), dtype=np.bool_)
    pairs = cKDTree(points).query_pairs(SAME_PLACE * grid.spacing, output_type="ndarray")
    if len(pairs):
        one, other = pairs.T
        apart = np.abs(threads[one] - threads[other]).sum(axis=1) >= FAR_THREADS
        alike = dotted(grid.halves.normals[triangles[one]], grid.halves.normals[triangles[other]]) > 0
        far = np.abs(threads).sum(axis=1)
        later = np.where(far[one] > far[other], one, other)
        kept[later[apart & alike]] = False
    return Nodes(threads=threads[kept], points=points[kept], triangles=triangles[kept])


def cells_of(nodes: Nodes, spacing: float) -> Ints:
    """Return the nodes of each whole cell whose sides fit, going round, shape (c, 4).

    Parameters
    ----------
    nodes
        The nodes.
    spacing
        Distance they should have [m].
    """
    low = nodes.threads.min(axis=0)
    number = np.full(nodes.threads.max(axis=0) - low + 1, -1, dtype=np.int64)
    i, j = (nodes.threads - low).T
    number[i, j] = np.arange(len(i))
    around = np.stack([number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]], axis=2).reshape(-1, 4)
    cells = around[(around >= 0).all(axis=1)]
    corner = nodes.points[cells]
    sides = np.linalg.norm(np.roll(corner, -1, axis=1) - corner, axis=2)
    out: Ints = cells[(np.abs(sides / spacing - 1) <= LOOSE).all(axis=1)]
    return out


def jammed_of(grid: Grid) -> Floats:
    """Return for each place where threads could not be crossed the mean of the nodes beside it, shape (k, 3) [m].

    Parameters
    ----------
    grid
        The filled net.
    """
    i, j = np.nonzero(grid.jammed)
    total, number = np.zeros((len(i), 3)), np.zeros(len(i))
    for di in (-1, 0, 1):
        for dj in (-1, 0, 1):
            known = grid.triangle[i + di, j + dj] >= 0
            total[known] += grid.point[i + di, j + dj][known]
            number += known
    out: Floats = total / np.maximum(number, 1)[:, None]
    return out
