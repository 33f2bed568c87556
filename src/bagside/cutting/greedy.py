"""A layout in a moment: each copy as far towards the fresh end as it goes, holes between earlier copies included.

The usable width is split into rows. Within a row a copy is its leftmost to rightmost reach, so along the roll positions
are exact and across it they are rounded up to a row; nothing is ever placed too close. For every row offset at once the
reaches of the copies already lying there forbid intervals of movement; the copy takes the least position left over.
It is the first answer and the one that stands when the engine fails.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from bagside.cutting.layout import Cloth, Placement
from bagside.cutting.piece import FlatPiece, edge_turns, turned

Floats = NDArray[np.float64]

ROWS = 160
MANY_COPIES = 80
_TOUCH = 1e-9  # [m]; two reaches that share an end touch and do not overlap


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """One piece at one turn, grown by half the gap: its reach in each row, empty in a row it does not meet."""

    turn: float
    left: float
    lowest: float
    low: Floats
    high: Floats


@dataclass(slots=True)
class _Strip:
    """Reaches of what lies already, one line a row; unused places hold an empty interval."""

    begin: Floats
    end: Floats
    used: NDArray[np.int64]

    def add(self, first: int, low: Floats, high: Floats) -> None:
        """Lay a shape's reaches into its rows."""
        rows = np.arange(first, first + len(low))
        if int(self.used[rows].max()) == self.begin.shape[1]:
            grow = ((0, 0), (0, max(4, self.begin.shape[1])))
            self.begin = np.pad(self.begin, grow, constant_values=np.inf)
            self.end = np.pad(self.end, grow, constant_values=-np.inf)
        self.begin[rows, self.used[rows]] = low
        self.end[rows, self.used[rows]] = high
        self.used[rows] += 1


def greedy(pieces: tuple[FlatPiece, ...], cloth: Cloth) -> tuple[Placement, ...]:
    """Lay every copy down once, largest first, and return the shortest of a few orders.

    Parameters
    ----------
    pieces
        Each narrow enough for the cloth in one of its turns.
    cloth
        What they are cut from.

    Returns
    -------
    tuple of Placement
        One for each copy.

    Notes
    -----
    A piece that may lie at any angle is tried at eight, and with each edge of its hull's four narrowest directions
    along the roll. Orders by area, width and length are compared; beyond 80 copies only the first.
    """
    # An arc of the grown outline is a chain of chords; growing by more keeps the chords outside the true arc.
    segments = 4
    grown = 0.5 * cloth.gap / math.cos(math.pi / (4 * segments))
    step = (cloth.usable + 2.0 * grown) / ROWS
    shapes = [_shapes(p, cloth, grown, step, segments) for p in pieces]
    copies = [(i, k) for i, p in enumerate(pieces) for k in range(1, p.quantity + 1)]
    area = [p.area for p in pieces]
    width = [len(s[0].low) for s in shapes]
    length = [float(s[0].high.max() - s[0].left) for s in shapes]
    orders = [sorted(copies, key=lambda c: (-key[c[0]], c)) for key in (area, width, length)]
    if len(copies) > MANY_COPIES:
        orders = orders[:1]
    laid = [_lay(order, pieces, shapes, cloth, grown, step) for order in orders]
    return min(laid, key=lambda answer: answer[0])[1]


def _shapes(piece: FlatPiece, cloth: Cloth, grown: float, step: float, segments: int) -> list[_Shape]:
    turns = piece.turns
    if turns is None:
        across = {t: float(np.ptp(turned(piece.loops[0], t)[:, 1])) for t in edge_turns(piece.loops[0])}
        narrow = sorted(across, key=lambda t: across[t])[:4]
        turns = tuple(dict.fromkeys([*(k * math.pi / 4 for k in range(8)), *narrow]))
    out = []
    for turn in turns:
        points = turned(piece.loops[0], turn)
        if float(np.ptp(points[:, 1])) > cloth.usable + _TOUCH:
            continue
        outline = shapely.Polygon(points)
        if grown > 0.0:
            outline = outline.buffer(grown, quad_segs=segments)
        ring = np.asarray(outline.exterior.coords, dtype=np.float64)
        left, lowest = points.min(axis=0) - grown
        low, high = _reach(ring, lowest, float(points[:, 1].max()) + grown, step)
        out.append(_Shape(turn=turn, left=float(left), lowest=float(lowest), low=low, high=high))
    return out


def _reach(ring: Floats, lowest: float, highest: float, step: float) -> tuple[Floats, Floats]:
    """Return the least and greatest x of a closed ring within each row from ``lowest`` up."""
    y = ring[:, 1] - lowest
    rows = max(1, math.ceil((highest - lowest) / step - 1e-7))
    x0, x1, y0, y1 = ring[:-1, 0], ring[1:, 0], y[:-1], y[1:]
    slanted = y0 != y1  # a level edge ends where slanted ones begin, so nothing is lost
    x0, x1, y0, y1 = x0[slanted], x1[slanted], y0[slanted], y1[slanted]
    bottom, top = np.minimum(y0, y1), np.maximum(y0, y1)
    floor = step * np.arange(rows)[:, None]
    ceiling = floor + step
    ceiling[-1] = max(float(ceiling[-1, 0]), float(y.max()))
    a, b = np.maximum(bottom, floor), np.minimum(top, ceiling)
    slope = (x1 - x0) / (y1 - y0)
    xa, xb = x0 + (a - y0) * slope, x0 + (b - y0) * slope
    crossed = b > a
    low = np.where(crossed, np.minimum(xa, xb), np.inf).min(axis=1)
    high = np.where(crossed, np.maximum(xa, xb), -np.inf).max(axis=1)
    return low, high


def _lay(
    order: list[tuple[int, int]],
    pieces: tuple[FlatPiece, ...],
    shapes: list[list[_Shape]],
    cloth: Cloth,
    grown: float,
    step: float,
) -> tuple[float, tuple[Placement, ...]]:
    bottom = cloth.margin - grown
    strip = _Strip(np.full((ROWS, 4), np.inf), np.full((ROWS, 4), -np.inf), np.zeros(ROWS, dtype=np.int64))
    moves = [[np.full(ROWS - len(s.low) + 1, bottom - s.left) for s in turns] for turns in shapes]
    placements = []
    length = 0.0
    for index, copy in order:
        found = [(*_least(strip, s, m), s) for s, m in zip(shapes[index], moves[index], strict=True)]
        reach, row, move, shape = min(found, key=lambda f: (round(f[0], 9), f[1]))
        strip.add(row, shape.low + move, shape.high + move)
        y = bottom + row * step - shape.lowest
        placements.append(Placement(label=pieces[index].label, copy=copy, turn=shape.turn, x=move, y=y))
        length = max(length, reach)
    return length, tuple(placements)


def _least(strip: _Strip, shape: _Shape, moves: Floats) -> tuple[float, int, float]:
    """Return the far reach, the row and the move along the roll of the place nearest to the fresh end.

    ``moves`` holds the least move for each row offset when this shape was last looked at. What lies there never goes
    away, so none of them can have become less; they are brought up to date in place.
    """
    rows = len(shape.low)
    kept = max(1, int(strip.used.max()))
    begin = sliding_window_view(strip.begin[:, :kept], rows, axis=0)  # (offsets, kept, rows)
    end = sliding_window_view(strip.end[:, :kept], rows, axis=0)
    offsets = len(begin)
    enters = (begin - shape.high).reshape(offsets, -1)
    leaves = (end - shape.low).reshape(offsets, -1)
    at = np.arange(offsets)
    while len(at):
        # A shape moved to t is in the way of what lies there when it has entered it and not left it. It is moved on
        # to where it leaves the last of these, and looked at again.
        here = moves[at, None]
        meets = (enters < here - _TOUCH) & (leaves > here + _TOUCH)
        on = meets.any(axis=1)
        at = at[on]
        moves[at] = np.where(meets[on], leaves[on], -np.inf).max(axis=1)
        enters, leaves = enters[on], leaves[on]
    row = int(np.argmin(np.round(moves, 9)))
    return float(moves[row] + shape.high.max()), row, float(moves[row])
