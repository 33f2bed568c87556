"""Edges that two neighbouring pieces share: cut once, they end both pieces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.layout import Placement
from bagside.cutting.sheet import Layout

Floats = NDArray[np.float64]

TOLERANCE = 0.1e-3
"""How far two edges may lie apart and still be one line [m]: a knife wanders more along a rule (common practice)."""
SHORTEST = 0.010
"""Two pieces that share less than this are cut one by one [m]."""
_ASLANT = 0.2  # slope of an edge against another beyond which they only cross
_SHORT = 1e-9  # [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CommonLine:
    """What two copies share of their outlines.

    Parameters
    ----------
    one, other
        The copies.
    segments
        Straight bits along the outline of the one, shape (k, 2, 2): begin and end of each [m].
    """

    one: Placement
    other: Placement
    segments: Floats

    @property
    def length(self) -> float:
        """Of all segments [m]."""
        step = self.segments[:, 1] - self.segments[:, 0]
        return float(np.hypot(step[:, 0], step[:, 1]).sum())


def common_lines(layout: Layout, *, tolerance: float = TOLERANCE, shortest: float = SHORTEST) -> tuple[CommonLine, ...]:
    """Return the lines that are cut once for two pieces.

    Parameters
    ----------
    layout
        On a roll or on a sheet; with a gap wider than the tolerance there are none.
    tolerance
        How far two edges may lie apart and still be one line [m].
    shortest
        Least length that two copies must share [m].

    Returns
    -------
    tuple of CommonLine
        One for each two copies, in the order of the layout.

    Notes
    -----
    Holes have none: nothing lies in them. An edge on the edge of the cloth is not counted either.
    """
    outlines = [layout.placed_outline(p) for p in layout.placements]
    tree = shapely.STRtree(outlines)
    left, right = tree.query(outlines, predicate="dwithin", distance=tolerance)
    loops = [np.asarray(shapely.orient_polygons(o).exterior.coords, dtype=np.float64) for o in outlines]
    found = []
    for a, b in sorted((int(i), int(j)) for i, j in zip(left, right, strict=True) if i < j):
        segments = shared(loops[a], loops[b], tolerance)
        line = CommonLine(one=layout.placements[a], other=layout.placements[b], segments=segments)
        if line.length >= shortest:
            found.append(line)
    return tuple(found)


def shared(one: Floats, other: Floats, tolerance: float) -> Floats:
    """Return the bits of one outline along which another runs, the other way round, within a tolerance.

    Parameters
    ----------
    one, other
        Closed counter-clockwise rings, shape (k, 2) and (j, 2), the first point repeated [m].
    tolerance
        How far the other may lie from the one [m].

    Returns
    -------
    array
        Shape (m, 2, 2) [m].
    """
    begin, step = one[:-1], np.diff(one, axis=0)
    size = np.hypot(step[:, 0], step[:, 1])
    begin, step, size = begin[size > 0.0], step[size > 0.0], size[size > 0.0]
    along = step / size[:, None]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    # Each edge of the other seen from each edge of the one: how far along it and beside it its two ends lie.
    s = ((other[None] - begin[:, None]) * along[:, None]).sum(axis=2)
    d = ((other[None] - begin[:, None]) * across[:, None]).sum(axis=2)
    s0, s1, d0, d1 = s[:, 1:], s[:, :-1], d[:, 1:], d[:, :-1]  # turned round, so that it runs with the one
    run = s1 - s0
    low, high = np.maximum(s0, 0.0), np.minimum(s1, size[:, None])
    forward = (run > _SHORT) & (high > low)
    slope = (d1 - d0) / np.where(forward, run, np.inf)
    beside = np.where(forward, np.maximum(np.abs(d0 + slope * (low - s0)), np.abs(d0 + slope * (high - s0))), np.inf)
    kept = (np.abs(slope) < _ASLANT) & (beside <= tolerance)
    edge, which = np.nonzero(kept)
    ends = np.stack([low[edge, which], high[edge, which]], axis=1)
    out: Floats = begin[edge, None] + ends[:, :, None] * along[edge, None]
    return out
