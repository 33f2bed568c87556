"""A layout in a moment: each copy as far towards the fresh end as it goes, holes between earlier copies included.

The usable width is split into rows. Within a row a copy is its leftmost to rightmost reach, so along the roll positions
are exact and across it they are rounded up to a row; nothing is ever placed too close. For every row offset at once the
reaches of the copies already lying there forbid intervals of movement; the copy takes the least position left over.
It is the first answer and the one that stands when the engine fails.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from bagside.cutting.layout import Cloth, Placement
from bagside.cutting.piece import FlatPiece, edge_turns, turned
from bagside.cutting.sides import flipped, turns_of, worth_flipping

Floats = NDArray[np.float64]

COARSE, FINE = 64, 160
"""Rows of the first layout and of those after it."""
BATCH = 80
"""Copies laid before what lies behind the front is closed."""
MOST = 600
"""Copies times ways to lay one, in all the layouts in fine rows together."""
_FAR = 1e6  # [m] longer than any roll, and finite: a shape is empty in a row that it does not meet
_TOUCH = 1e-9  # [m]; two reaches that share an end touch and do not overlap


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """One piece at one turn, grown by half the gap: its reach in each row, empty in a row it does not meet."""

    turn: float
    over: bool
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

    def close(self) -> None:
        """Count everything behind the front as taken."""
        front = self.end.max(axis=1)
        self.begin, self.end = np.full((len(front), 4), np.inf), np.full((len(front), 4), -np.inf)
        met = np.isfinite(front)
        self.begin[met, 0], self.end[met, 0] = -_FAR, front[met]
        self.used = met.astype(np.int64)


def greedy(pieces: tuple[FlatPiece, ...], cloth: Cloth, *, flips: bool = True) -> Iterator[tuple[Placement, ...]]:
    """Lay every copy down once, largest first, in a few orders.

    Parameters
    ----------
    pieces
        Each narrow enough for the cloth in one of its turns.
    cloth
        What they are cut from.
    flips
        Whether pieces that may be cut face down are tried so.

    Yields
    ------
    tuple of Placement
        One for each copy; a layout for each order.

    Notes
    -----
    A piece that may lie at any angle is tried at eight, and with each edge of its hull's four narrowest directions
    along the roll; a tolerance is used only by a piece that would not fit otherwise. The first layout, by area in
    coarse rows, is there at once; then come fine rows, by area, width and length, as many as do not take long. Many
    copies are laid in batches, each a fair share of every piece; a batch begins on the front of the one before and
    fills no hole behind it, so time grows with the number of copies and not with its square.
    """
    # An arc of the grown outline is a chain of chords; growing by more keeps the chords outside the true arc.
    segments = 4
    grown = 0.5 * cloth.gap / math.cos(math.pi / (4 * segments))
    copies = [(i, k) for i, p in enumerate(pieces) for k in range(1, p.quantity + 1)]
    count = -(-len(copies) // BATCH)
    for rows in (COARSE, FINE):
        step = (cloth.usable + 2.0 * grown) / rows
        shapes = [_shapes(p, cloth, grown, step, segments, flips) for p in pieces]
        area = [p.area for p in pieces]
        width = [len(s[0].low) for s in shapes]
        length = [float(s[0].high.max() - s[0].left) for s in shapes]
        tried = sum(p.quantity * len(s) for p, s in zip(pieces, shapes, strict=True))
        for key in (area,) if rows == COARSE else (area, width, length)[: MOST // tried]:
            order = sorted(copies, key=lambda c: (-key[c[0]], c))
            yield _lay([order[k::count] for k in range(count)], pieces, shapes, cloth, grown, rows)


def _shapes(piece: FlatPiece, cloth: Cloth, grown: float, step: float, segments: int, flips: bool) -> list[_Shape]:
    turns = piece.turns
    if turns is not None and _narrow(piece, turns) > cloth.usable + _TOUCH:
        turns = turns_of(piece)  # only where the tolerance is needed: each turn costs as much as the others
    if turns is None:
        across = {t: float(np.ptp(turned(piece.loops[0], t)[:, 1])) for t in edge_turns(piece.loops[0])}
        narrow = sorted(across, key=lambda t: across[t])[:4]
        turns = tuple(dict.fromkeys([*(k * math.pi / 4 for k in range(8)), *narrow]))
    sides = [(piece.loops[0], False)]
    if flips and worth_flipping(piece):
        sides.append((flipped(piece).loops[0], True))
    out = []
    for (outline, over), turn in itertools.product(sides, turns):
        points = turned(outline, turn)
        if float(np.ptp(points[:, 1])) > cloth.usable + _TOUCH:
            continue
        grown_outline = shapely.Polygon(points)
        if grown > 0.0:
            grown_outline = grown_outline.buffer(grown, quad_segs=segments)
        ring = np.asarray(grown_outline.exterior.coords, dtype=np.float64)
        left, lowest = points.min(axis=0) - grown
        low, high = _reach(ring, lowest, float(points[:, 1].max()) + grown, step)
        out.append(_Shape(turn=turn, over=over, left=float(left), lowest=float(lowest), low=low, high=high))
    return out


def _narrow(piece: FlatPiece, turns: tuple[float, ...]) -> float:
    return min(float(np.ptp(turned(piece.loops[0], t)[:, 1])) for t in turns)


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
    batches: list[list[tuple[int, int]]],
    pieces: tuple[FlatPiece, ...],
    shapes: list[list[_Shape]],
    cloth: Cloth,
    grown: float,
    rows: int,
) -> tuple[Placement, ...]:
    step = (cloth.usable + 2.0 * grown) / rows
    start, bottom = cloth.margin - grown, cloth.edge - grown
    strip = _Strip(np.full((rows, 4), np.inf), np.full((rows, 4), -np.inf), np.zeros(rows, dtype=np.int64))
    moves = [[np.full(rows - len(s.low) + 1, start - s.left) for s in turns] for turns in shapes]
    placements = []
    for number, batch in enumerate(batches):
        if number > 0:
            strip.close()
        for index, copy in batch:
            found = [(*_least(strip, s, m), s) for s, m in zip(shapes[index], moves[index], strict=True)]
            _, row, move, shape = min(found, key=lambda f: (round(f[0], 9), f[1]))
            strip.add(row, shape.low + move, shape.high + move)
            y = bottom + row * step - shape.lowest
            label = pieces[index].label
            placements.append(Placement(label=label, copy=copy, turn=shape.turn, x=move, y=y, flipped=shape.over))
    return tuple(placements)


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
