"""In which order a cloth is laid: how far each place is from where laying starts, as lines to work outwards by.

A hand works outwards from the first contact, and what it smooths down next is what lies next over the surface. The
lines are given on the surface and in the flat cloth, so that a book can draw both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.halves import Halves, halves_of
from bagside.drape.laid import Drape
from bagside.errors import InputError
from bagside.geometry import Surface, spread

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST = 1_000  # lines
DENSE = 0.5  # edge lengths between the points by which a first line is followed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OrderLine:
    """One line of equal distance, or one piece of it.

    Parameters
    ----------
    level
        Distance from where laying starts [m].
    points
        Its corners on the surface, shape (k, 3) [m]; the first is repeated at the end when it closes. What lies further
        off is on its left, seen from the laminate side.
    flat
        The same corners in cloth coordinates, shape (k, 2) [m].
    """

    level: float
    points: Floats
    flat: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LayingOrder:
    """How far each place is from where laying starts.

    Parameters
    ----------
    distance
        Over the surface, of each vertex, shape (n,) [m]; infinite where no way leads.
    step
        Distance between lines [m].
    lines
        Lines of equal distance, nearest first.
    """

    distance: Floats
    step: float
    lines: tuple[OrderLine, ...]


def laying_order(drape: Drape, step: float, line: Floats | None = None) -> LayingOrder:
    """Return how far each place of a draped cloth is from where laying starts, with lines at even steps.

    Parameters
    ----------
    drape
        How the cloth lies.
    step
        Distance between lines [m].
    line
        Corners of a line on the surface that is laid first, shape (k, 3) [m]; the start alone when not given.

    Returns
    -------
    LayingOrder
        Distance of each vertex [m] and lines.

    Raises
    ------
    InputError
        When the step is not a positive length, or gives more than a thousand lines.

    Notes
    -----
    The distance is the shortest way over the surface; round a hole it bends. It is as good as that of
    `bagside.geometry.spread`: exact on flat and rolled sheets, within some thousandths of the furthest distance
    elsewhere, 1.5 % behind holes. Between vertices it is taken as linear, which moves lines close to the start outwards
    by up to a quarter of an edge.
    """
    surface = drape.surface
    if not (math.isfinite(step) and step > 0):
        raise InputError.one("laying order, step", f"{1e3 * step:g} mm", "a positive length is wanted, as in 50 mm")
    source = drape.start[None, :] if line is None else _dense(np.asarray(line, dtype=np.float64), surface.edge_length)
    off = spread(surface, points=source)
    reached = off[np.isfinite(off)]
    furthest = float(reached.max()) if len(reached) else 0.0
    if furthest / step > MOST:
        raise InputError.one(
            "laying order, step",
            f"{1e3 * step:g} mm",
            f"a step of at least {1e3 * furthest / MOST:.3g} mm is wanted on this surface",
        )
    levels = step * np.arange(1, math.floor(furthest / step) + 1)
    halves = halves_of(surface)
    lines = tuple(
        OrderLine(level=float(level), points=points, flat=flat)
        for level in levels
        for points, flat in contours(surface, off, float(level), drape.uv, halves)
    )
    return LayingOrder(distance=off, step=step, lines=lines)


def contours(
    surface: Surface, values: Floats, level: float, uv: Floats, halves: Halves | None = None
) -> list[tuple[Floats, Floats]]:
    """Return the lines on which values at the vertices, taken as linear between, have a level.

    Parameters
    ----------
    surface
        The surface.
    values
        At the vertices, shape (n,); triangles with one that is not finite are left out.
    level
        The level.
    uv
        Cloth coordinates of each vertex, shape (n, 2) [m].
    halves
        The surface's half-edges, when they are at hand.

    Returns
    -------
    list
        Lines, longest first by number of corners: on the surface, shape (k, 3) [m], and flat, shape (k, 2) [m]. Larger
        values lie on their left.
    """
    at = values[surface.triangles]
    high = at >= level
    cut = np.flatnonzero(np.isfinite(at).all(axis=1) & (high.any(axis=1) != high.all(axis=1)))
    high = high[cut]
    leaves = ~high & high[:, [1, 2, 0]]  # right of the line first, then left: the line goes out here
    enters = high & ~high[:, [1, 2, 0]]
    opposite = (halves or halves_of(surface)).opposite
    side_out, side_in = 3 * cut + leaves.argmax(axis=1), 3 * cut + enters.argmax(axis=1)
    edge_out = np.where(opposite[side_out] >= 0, np.minimum(side_out, opposite[side_out]), side_out)
    edge_in = np.where(opposite[side_in] >= 0, np.minimum(side_in, opposite[side_in]), side_in)
    follow = dict(zip(edge_in.tolist(), edge_out.tolist(), strict=True))
    out = []
    for chain in _chains(follow):
        half = np.array(chain)
        a = surface.triangles.reshape(-1)[half]
        b = surface.triangles.reshape(-1)[half - half % 3 + (half + 1) % 3]
        share = ((level - values[a]) / (values[b] - values[a]))[:, None]
        out.append(
            (
                surface.vertices[a] + share * (surface.vertices[b] - surface.vertices[a]),
                uv[a] + share * (uv[b] - uv[a]),
            )
        )
    return sorted(out, key=lambda pair: -len(pair[0]))


def _chains(follow: dict[int, int]) -> list[list[int]]:
    """Return sequences that follow one another, open ones from their beginning, closed ones with it repeated."""
    out = []
    behind = set(follow.values())
    for start in [*(k for k in follow if k not in behind), *follow]:
        if start not in follow:
            continue
        chain = [start]
        while chain[-1] in follow:
            chain.append(follow.pop(chain[-1]))
        out.append(chain)
    return out


def _dense(line: Floats, edge: float) -> Floats:
    if line.ndim != 2 or line.shape[1:] != (3,) or len(line) == 0 or not np.isfinite(line).all():
        raise InputError.one("line laid first", f"an array of shape {line.shape}", "finite points (k, 3) are wanted")
    path = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    places = np.linspace(0, path[-1], math.ceil(path[-1] / (DENSE * edge)) + 1)
    return np.stack([np.interp(places, path, line[:, k]) for k in range(3)], axis=1)
