"""Yarns as lines on a surface: where the cloth's own coordinate takes round values."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from bagside.geometry import Surface

Floats = NDArray[np.float64]


def isolines(surface: Surface, values: Floats, spacing: float) -> list[Floats]:
    """Return lines on a surface along which a value at its vertices is a multiple of a spacing.

    Parameters
    ----------
    surface
        Triangles.
    values
        At each vertex, shape (n,).
    spacing
        Step between lines, in the unit of values.

    Returns
    -------
    list of NDArray
        Each shape (k, 3) [m]; a closed line repeats its first point.

    Raises
    ------
    ValueError
        When the spacing is not positive or values do not belong to the vertices.
    """
    if spacing <= 0 or values.shape != (len(surface.vertices),):
        raise ValueError("isolines need a positive spacing and one value for each vertex")
    level = np.asarray(values, dtype=np.float64) / spacing
    near = np.abs(level - np.round(level)) < 1e-7
    level = np.where(near, np.round(level) + 1e-7, level)  # no line runs exactly through a vertex
    cell = np.floor(level).astype(np.int64)
    t = surface.triangles
    corner = cell[t]
    spans = corner.max(axis=1) - corner.min(axis=1)
    which = np.repeat(np.arange(len(t)), spans)
    step = np.arange(len(which)) - np.repeat(np.cumsum(spans) - spans, spans)
    at = corner.min(axis=1)[which] + 1 + step
    ends: list[list[tuple[int, int, int]]] = [[] for _ in which]
    for i, j in ((0, 1), (1, 2), (2, 0)):
        a, b = t[which, i], t[which, j]
        hit = (cell[a] < at) != (cell[b] < at)
        low, high = np.minimum(a, b), np.maximum(a, b)
        for k in np.flatnonzero(hit):
            ends[k].append((int(low[k]), int(high[k]), int(at[k])))
    follow: defaultdict[tuple[int, int, int], list[tuple[int, int, int]]] = defaultdict(list)
    for pair in ends:
        one, other = pair
        follow[one].append(other)
        follow[other].append(one)
    return [_points(chain, surface, level) for chain in _chains(follow)]


def _chains(
    follow: defaultdict[tuple[int, int, int], list[tuple[int, int, int]]],
) -> list[list[tuple[int, int, int]]]:
    left = {key: list(others) for key, others in follow.items()}
    out: list[list[tuple[int, int, int]]] = []
    for begin in [k for k, o in left.items() if len(o) == 1] + list(left):
        while left[begin]:
            chain = [begin]
            while left[chain[-1]]:
                here = chain[-1]
                there = left[here].pop()
                left[there].remove(here)
                chain.append(there)
            out.append(chain)
    return out


def _points(chain: list[tuple[int, int, int]], surface: Surface, level: Floats) -> Floats:
    low, high, at = np.array(chain).T
    share = (at - level[low]) / (level[high] - level[low])
    out: Floats = surface.vertices[low] + share[:, None] * (surface.vertices[high] - surface.vertices[low])
    return out
