"""In which order a person with a knife cuts a layout, as is common practice at the table (no source).

The person stands at the clean end, cuts what is within reach, steps on, and does not come back. Within reach, pieces
that show come first, while the blade is new and nothing has moved; then those with long straight edges, which want the
cloth still held by its surroundings; small ones last.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from bagside.cutting.layout import Placement
from bagside.cutting.sheet import Layout
from bagside.errors import InputError

REACH = 1.0
"""Length of cloth that is cut from one standing place [m]."""
ALIKE = 0.05
"""Edges that differ by less are of like length [m]."""
_STRAIGHT = 0.5e-3  # [m] by which the corners of a straight edge may lie off it


def cutting_order(layout: Layout, *, reach: float = REACH) -> tuple[Placement, ...]:
    """Return the copies of a layout in the order in which they are cut; the first is number 1.

    Parameters
    ----------
    layout
        On a roll or on a sheet; its clean end is where x is least.
    reach
        Length that is cut before stepping on [m].

    Returns
    -------
    tuple of Placement
        Every copy once.

    Raises
    ------
    InputError
        When the reach is not a length.

    Notes
    -----
    A copy belongs to the standing place at which it begins, so a copy longer than the reach is begun where its near end
    lies. Copies that are alike in all else follow each other along the cloth.
    """
    if not (math.isfinite(reach) and reach > 0.0):
        raise InputError.one("cutting order, reach", f"{reach} m", 'a length above zero, as in "1 m"')
    if not layout.placements:
        return ()
    pieces = {p.label: p for p in layout.pieces}
    longest = {label: longest_edge(p.loops[0]) for label, p in pieces.items()}
    low = [layout.placed_loops(p)[0].min(axis=0) for p in layout.placements]
    clean = min(float(x) for x, _ in low)

    def key(k: int) -> tuple[object, ...]:
        p = layout.placements[k]
        piece = pieces[p.label]
        x, y = (float(c) for c in low[k])
        place = math.floor((x - clean) / reach + 1e-9)
        return (place, not piece.visible, -round(longest[p.label] / ALIKE), round(x / ALIKE), y, piece.ply, p.label)

    return tuple(layout.placements[k] for k in sorted(range(len(low)), key=key))


def cut_numbers(layout: Layout, *, reach: float = REACH) -> dict[tuple[str, int], int]:
    """Return the number at which each copy is cut, from 1, by its label and copy.

    Parameters
    ----------
    layout
        On a roll or on a sheet.
    reach
        Length that is cut before stepping on [m].
    """
    return {(p.label, p.copy): n for n, p in enumerate(cutting_order(layout, reach=reach), 1)}


def longest_edge(outline: np.ndarray) -> float:
    """Return the length of the longest straight edge of an outline [m].

    Parameters
    ----------
    outline
        Shape (k, 2) [m]; corners that lie within 0.5 mm of a straight line do not end it.
    """
    ring = shapely.LinearRing(outline)
    # The ring may begin in the middle of an edge: begin at the corner furthest from the middle of its hull.
    centre = np.asarray(ring.convex_hull.centroid.coords[0])
    first = int(((outline - centre) ** 2).sum(axis=1).argmax())
    turned = np.roll(outline, -first, axis=0)
    plain = shapely.LineString(np.concatenate([turned, turned[:1]])).simplify(_STRAIGHT)
    step = np.diff(np.asarray(plain.coords, dtype=np.float64), axis=0)
    return float(np.hypot(step[:, 0], step[:, 1]).max())
