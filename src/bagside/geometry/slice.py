"""Plane sections of a surface: what a drawing shows, and lengths along a contour."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagside.geometry.splitting import split_level
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import sides


def section(surface: Surface, point: Sequence[float], normal: Sequence[float]) -> list[Floats]:
    """Return where a plane cuts a surface, as lines, longest first, each of shape (k, 3) [m].

    Parameters
    ----------
    surface
        The surface.
    point
        A point of the plane, shape (3,) [m].
    normal
        Its normal, shape (3,).

    Returns
    -------
    list
        Lines from boundary to boundary; a closed one repeats its first point at its end.

    Raises
    ------
    ValueError
        When the normal has no length.

    Notes
    -----
    Exact on the triangles, save that a plane that passes a vertex closer than a thousandth of an edge goes through it.
    Where surface lies in the plane, its outline is drawn.
    """
    axis = np.asarray(normal, dtype=np.float64)
    size = float(np.linalg.norm(axis))
    if size < 1e-12:
        raise ValueError("the normal of the plane has no length")
    height = (surface.vertices - np.asarray(point, dtype=np.float64)) @ (axis / size)
    split, value = split_level(surface, height, 0.0)
    cut = split.surface
    _, of, edges = sides(cut.triangles)
    on = (value[edges] == 0).all(axis=1)
    m = len(cut.triangles)
    lying = np.tile((value[cut.triangles] == 0).all(axis=1), 3)
    solid = np.bincount(of, weights=~lying, minlength=len(edges))
    on &= (solid > 0) | (np.bincount(of, minlength=len(edges)) == 1)
    lines = [cut.vertices[line] for line in _chained(edges[on])] if m else []
    return sorted(lines, key=lambda line: -_length(line))


def contour_length(surface: Surface, point: Sequence[float], normal: Sequence[float]) -> float:
    """Return the length of all lines where a plane cuts a surface [m].

    Parameters
    ----------
    surface
        The surface.
    point
        A point of the plane, shape (3,) [m].
    normal
        Its normal, shape (3,).
    """
    return sum(_length(line) for line in section(surface, point, normal))


def _length(line: Floats) -> float:
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())


def _chained(edges: Ints) -> list[list[int]]:
    """Return edges as chains of vertices: open ones from their ends, then closed ones; each edge once."""
    at: dict[int, list[int]] = {}
    for k, (a, b) in enumerate(edges.tolist()):
        at.setdefault(a, []).append(k)
        at.setdefault(b, []).append(k)
    used = [False] * len(edges)
    pairs = edges.tolist()
    chains: list[list[int]] = []
    ends = [v for v, of in at.items() if len(of) != 2]
    for start in [*ends, *at]:
        for first in at[start]:
            if used[first]:
                continue
            chain, edge = [start], first
            while True:
                used[edge] = True
                a, b = pairs[edge]
                chain.append(b if chain[-1] == a else a)
                free = [k for k in at[chain[-1]] if not used[k]]
                if len(at[chain[-1]]) != 2 or not free:
                    break
                edge = free[0]
            chains.append(chain)
    return chains
