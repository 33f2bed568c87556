"""Where notes on a picture stand: in the white round it, with leaders that cross nothing; rings where that fails.

A note belongs to a place on the picture. It stands where nothing is drawn, as near its place as it can, and one
straight leader goes from its edge to the place. Leaders do not cross each other, no note and no other place. When that
cannot be had, or the leaders would grow too long to be followed, all notes become numbered rings on the picture and
stand below it in the order of their numbers: one kind on a picture, never both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Point = tuple[float, float]
Box = tuple[float, float, float, float]

CELL = 4.0
"""Of the raster on which free room is looked for [px]."""
GAP = 8.0
"""Round a note, to the picture and to other notes [px]."""
CLEAR = 6.0
"""Between a leader and another leader, note or place [px]."""
TRIED, THINNED = 48, 28.0
"""Places tried for a note at most, and how far they stand apart [px]."""
BUDGET = 4000
"""Steps of the search; with six notes it ends in less than a tenth of a second."""
RING = 11.0
"""Radius of a ring with a number [px]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A note to be placed.

    Parameters
    ----------
    at
        Its place on the picture [px].
    size
        Width and height of its words as they are set [px].
    """

    at: Point
    size: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """Where a note stands.

    Parameters
    ----------
    box
        Left, top, right, bottom [px]; None for a ring.
    ring
        Middle of its ring [px]; None for a box.
    leader
        From the note's or the ring's edge to the place [px]; None when the ring stands on the place itself.
    """

    box: Box | None
    ring: Point | None
    leader: tuple[Point, Point] | None


def notes_placed(
    notes: Sequence[Note], *, bounds: Box, taken: Sequence[Floats], longest: float = 420.0
) -> tuple[Stands, ...]:
    """Return where notes stand, all as boxes with leaders or all as rings.

    Parameters
    ----------
    notes
        In the order of their numbers.
    bounds
        Left, top, right, bottom of the sheet [px].
    taken
        Outlines of what is drawn, each shape (k, 2) [px].
    longest
        A leader that can still be followed [px].

    Raises
    ------
    ValueError
        When the bounds are empty or a place lies outside them.
    """
    left, top, right, bottom = bounds
    if right <= left or bottom <= top:
        raise ValueError("notes need a sheet to stand on")
    for note in notes:
        x, y = note.at
        if not (left <= x <= right and top <= y <= bottom):
            raise ValueError(f"a note's place ({x:.0f}, {y:.0f}) lies outside the sheet")
    if not notes:
        return ()
    found = _Search(notes, bounds, _busy(bounds, taken), longest).best()
    if found is not None:
        return tuple(
            Stands(box=box, ring=None, leader=(_edge(box, note.at), note.at))
            for note, box in zip(notes, found, strict=True)
        )
    return _ringed(notes, bounds)


def _busy(bounds: Box, taken: Sequence[Floats]) -> Mask:
    """Return which cells of the sheet something is drawn in."""
    left, top, right, bottom = bounds
    shape = (int(np.ceil((bottom - top) / CELL)), int(np.ceil((right - left) / CELL)))
    out = np.zeros(shape, dtype=np.uint8)
    for outline in taken:
        cells = np.round((np.asarray(outline, dtype=np.float64) - (left, top)) / CELL * 16).astype(np.int32)
        if len(cells) > 1:
            cv2.fillPoly(out, [cells], 1, shift=4)
            cv2.polylines(out, [cells], True, 1, thickness=2, shift=4)
    return out > 0


def _free(busy: Mask, bounds: Box, size: tuple[float, float]) -> Floats:
    """Return upper left corners of all free boxes of a size, with the gap round it, shape (k, 2) [px]."""
    cols = int(np.ceil((size[0] + 2 * GAP) / CELL)) + 1
    rows = int(np.ceil((size[1] + 2 * GAP) / CELL)) + 1
    # A note may stand at the sheet's edge: the gap is wanted to what is drawn, not to the edge.
    pad = int(np.ceil(GAP / CELL))
    whole = np.pad(busy, pad)
    if cols > whole.shape[1] or rows > whole.shape[0]:
        return np.zeros((0, 2))
    total = np.pad(np.cumsum(np.cumsum(whole.astype(np.int64), axis=0), axis=1), ((1, 0), (1, 0)))
    count = total[rows:, cols:] - total[:-rows, cols:] - total[rows:, :-cols] + total[:-rows, :-cols]
    row, col = np.nonzero(count == 0)
    out = np.column_stack([col, row]) * CELL - pad * CELL + GAP
    out = np.maximum(out, 0.0) + np.array(bounds[:2])
    inside = (out[:, 0] + size[0] <= bounds[2] + 1e-9) & (out[:, 1] + size[1] <= bounds[3] + 1e-9)
    kept: Floats = out[inside]
    return kept


def _edge(box: Box, at: Point) -> Point:
    """Return the point of a box that is nearest to a place."""
    return min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3])


@dataclass(slots=True)
class _Search:
    """Depth first, the nearest places first, the note with the fewest places first."""

    notes: Sequence[Note]
    bounds: Box
    busy: Mask
    longest: float
    steps: int = 0
    found: dict[int, Box] | None = None
    cost: float = np.inf
    tried: list[list[tuple[float, Box]]] = field(default_factory=list)

    def best(self) -> list[Box] | None:
        """Return the boxes with the shortest leaders that were found; None when there is no way."""
        self.tried = [self._places(note) for note in self.notes]
        if not all(self.tried):
            return None
        order = sorted(range(len(self.notes)), key=lambda k: len(self.tried[k]))
        least = [self.tried[k][0][0] for k in order]
        self._step(order, least, {}, 0.0)
        return None if self.found is None else [self.found[k] for k in range(len(self.notes))]

    def _places(self, note: Note) -> list[tuple[float, Box]]:
        corners = _free(self.busy, self.bounds, note.size)
        if not len(corners):
            return []
        near = np.clip(np.array(note.at), corners, corners + note.size)
        length = np.hypot(*(near - note.at).T)
        # A leader as long as the gap is the least that can be seen; nearest first, spread out.
        order = np.argsort(length, kind="stable")
        others = [other.at for other in self.notes if other is not note]
        out: list[tuple[float, Box]] = []
        free = np.ones(len(corners), dtype=np.bool_)
        for k in order:
            if length[k] > self.longest or len(out) == TRIED:
                break
            if not free[k]:
                continue
            x, y = corners[k]
            box = (float(x), float(y), float(x + note.size[0]), float(y + note.size[1]))
            leader = (_edge(box, note.at), note.at)
            free &= np.hypot(*(corners - corners[k]).T) >= THINNED
            if any(_apart(leader, (p, p)) < CLEAR or _inside(box, p, CLEAR) for p in others):
                continue
            out.append((float(length[k]), box))
        return out

    def _step(self, order: list[int], least: list[float], laid: dict[int, Box], cost: float) -> None:
        if len(laid) == len(order):
            self.found, self.cost = dict(laid), cost
            return
        k = order[len(laid)]
        ahead = sum(least[len(laid) + 1 :])
        for length, box in self.tried[k]:
            self.steps += 1
            if self.steps > BUDGET or cost + length + ahead >= self.cost:
                return
            if all(self._agree(k, box, other, taken) for other, taken in laid.items()):
                laid[k] = box
                self._step(order, least, laid, cost + length)
                del laid[k]

    def _agree(self, k: int, box: Box, other: int, taken: Box) -> bool:
        """Whether two notes with their leaders do not meet."""
        if box[0] < taken[2] + GAP and taken[0] < box[2] + GAP and box[1] < taken[3] + GAP and taken[1] < box[3] + GAP:
            return False
        own, its = (self.notes[i].at for i in (k, other))
        leader, other_leader = (_edge(box, own), own), (_edge(taken, its), its)
        if _apart(leader, other_leader) < CLEAR and own != its:
            return False
        if own == its and _crossing(leader, other_leader):
            return False
        return not (_meets(leader, taken) or _meets(other_leader, box))


def _inside(box: Box, p: Point, more: float) -> bool:
    return box[0] - more < p[0] < box[2] + more and box[1] - more < p[1] < box[3] + more


def _meets(leader: tuple[Point, Point], box: Box) -> bool:
    a, b, c, d = box[0] - CLEAR, box[1] - CLEAR, box[2] + CLEAR, box[3] + CLEAR
    if _inside(box, leader[0], CLEAR) or _inside(box, leader[1], CLEAR):
        return True
    corners = ((a, b), (c, b), (c, d), (a, d))
    return any(_crossing(leader, (corners[i], corners[(i + 1) % 4])) for i in range(4))


def _crossing(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether two stretches cross within both, ends that they share left out."""

    def side(a: Point, b: Point, p: Point) -> float:
        return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])

    return (
        side(*one, other[0]) * side(*one, other[1]) < -1e-9 and side(*other, one[0]) * side(*other, one[1]) < -1e-9
    )


def _apart(one: tuple[Point, Point], other: tuple[Point, Point]) -> float:
    """Return the least distance of two stretches [px]."""
    if _crossing(one, other):
        return 0.0
    return min(
        *(_off(p, other) for p in one),
        *(_off(p, one) for p in other),
    )


def _off(p: Point, line: tuple[Point, Point]) -> float:
    (ax, ay), (bx, by) = line
    dx, dy = bx - ax, by - ay
    long = dx * dx + dy * dy
    t = 0.0 if long == 0.0 else min(max(((p[0] - ax) * dx + (p[1] - ay) * dy) / long, 0.0), 1.0)
    return float(np.hypot(p[0] - ax - t * dx, p[1] - ay - t * dy))


def _ringed(notes: Sequence[Note], bounds: Box) -> tuple[Stands, ...]:
    """Return numbered rings on their places; one that would cover another place or ring stands beside its own."""
    places = np.array([n.at for n in notes], dtype=np.float64)
    rings: list[Floats] = []
    out = []
    around = [np.zeros(2)] + [
        far * np.array([np.cos(a), np.sin(a)])
        for far in RING * np.array([2.4, 3.4, 4.6, 6.0, 8.0])
        for a in np.radians(np.arange(-60, 300, 30))
    ]
    low, high = np.array(bounds[:2]) + RING, np.array(bounds[2:]) - RING
    for k, place in enumerate(places):
        later = places[k + 1 :]

        def free(step: Floats, place: Floats = place, later: Floats = later) -> float:
            spot = place + step
            edge = float(min((spot - low).min(), (high - spot).min()))
            to_rings = min((float(np.hypot(*(r - spot))) for r in rings), default=np.inf) - 2.2 * RING
            to_places = float(np.hypot(*(later - spot).T).min()) - 1.3 * RING if len(later) else np.inf
            return min(edge, to_rings, to_places)

        step = next((s for s in around if free(s) >= 0.0), max(around, key=free))
        spot = place + step
        rings.append(spot)
        leader = None
        far = float(np.hypot(*step))
        if far > RING:
            start = spot - step * (RING / far)
            leader = ((float(start[0]), float(start[1])), (float(place[0]), float(place[1])))
        out.append(Stands(box=None, ring=(float(spot[0]), float(spot[1])), leader=leader))
    return tuple(out)
