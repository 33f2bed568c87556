"""The best layout so far, while others search: checks what comes, pushes it together, tells the watcher."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely

from bagside.cutting.layout import Cloth, Nest, Placement, laid
from bagside.cutting.piece import FlatPiece
from bagside.cutting.squeeze import Lay, Squeezer
from bagside.cutting.verify import verify
from bagside.errors import NotSolved

REST = 20.0
"""While the engine runs, pushing a layout together is followed by a rest so many times as long."""
NEAR = 1.03
"""A layout longer than the best by more than this factor is not worth pushing together."""
DONE = 1e-7
"""Share by which the bound may be missed and nothing more be won."""

_SAME = 1e-7  # share by which two lengths may differ and be the same

Layout = tuple[Placement, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NestProgress:
    """How far a nest has come.

    Parameters
    ----------
    seconds
        Since it began [s].
    length
        Shortest layout so far [m].
    utilisation
        Of that layout.
    nest
        That layout, proven.
    """

    seconds: float
    length: float
    utilisation: float
    nest: Nest


class Search:
    """Checks every layout that comes, keeps the shortest, tells the watcher and asks whether to go on.

    Parameters
    ----------
    pieces, cloth
        What is nested on what.
    tell
        The watcher; when it returns False the search is over.

    Attributes
    ----------
    pushed
        The best layout in millimetres when it was pushed together, else None.
    """

    def __init__(
        self, pieces: tuple[FlatPiece, ...], cloth: Cloth, tell: Callable[[NestProgress], bool | None] | None
    ) -> None:
        self.began = time.perf_counter()
        self.tell = tell
        self.best = Nest(cloth=cloth, pieces=pieces, placements=())
        self.full = self.best.area_of_pieces / cloth.width
        self.length = math.inf
        self.bound = shortest_possible(pieces, cloth)
        self.squeezer = Squeezer(pieces, cloth)
        self.pushed: Lay | None = None
        self.work: Iterator[Lay | None] | None = None
        self.fresh: Layout | None = None
        self.waiting: Layout | None = None
        self.rests = {"check": 0.0, "push": 0.0}
        self.begin()

    def begin(self) -> None:
        """Forget what the run before reached."""
        self.reached: float | None = None
        self.refused = ""

    @property
    def seconds(self) -> float:
        """Time since it began [s]."""
        return time.perf_counter() - self.began

    @property
    def over(self) -> bool:
        """Whether no shorter layout is possible."""
        return self.length <= self.bound * (1.0 + DONE)

    def first(self, placements: Layout) -> float:
        """Take a layout of our own making and return its length [m].

        Parameters
        ----------
        placements
            One for each copy.

        Raises
        ------
        NotSolved
            When it cannot be cut: a fault of this program.
        """
        length = self.take(placements)
        if length is None:
            raise NotSolved(self.refused)
        return length

    def hear(self, placements: Layout | None, *, at_once: bool = False) -> bool:
        """Take a new layout, if any, and return whether to go on.

        Parameters
        ----------
        placements
            One for each copy, not yet checked.
        at_once
            Whether it is checked now; otherwise a check that costs much may be put off while better ones come.
        """
        self.waiting = placements or self.waiting
        now = self.seconds
        if self.waiting is not None and (at_once or now >= self.rests["check"]):
            waiting, self.waiting = self.waiting, None
            length = self.take(waiting)
            self.rests["check"] = self.seconds + 10.0 * (self.seconds - now)
            if length is not None:
                self.reached = min(length, math.inf if self.reached is None else self.reached)
                if length < self.length * NEAR:
                    self.fresh = waiting
        self._push_a_little()
        return self.going()

    def going(self) -> bool:
        """Tell the watcher and return whether to go on."""
        if self.tell is None:
            return True
        used = self.full / self.length
        now = NestProgress(seconds=self.seconds, length=self.length, utilisation=used, nest=self.best)
        return self.tell(now) is not False

    def take(self, placements: Layout) -> float | None:
        """Check a layout, keep it when it is the shortest, and return its length [m]; None when it cannot be cut.

        Parameters
        ----------
        placements
            One for each copy.
        """
        nest = replace(self.best, placements=met(placements, self.best.pieces))
        try:
            verify(nest)
        except NotSolved as fault:
            self.refused = self.refused or f"a layout was refused: {fault}"
            return None
        length = nest.length
        if length < self.length:
            self.best, self.length, self.pushed = nest, length, None
        return length

    def settle(self, until: float) -> bool:
        """Check what still waits, push what came last together, and return whether to go on.

        Parameters
        ----------
        until
            Time since the beginning after which no more is done [s].
        """
        going = self.hear(None, at_once=True)
        work, self.work, fresh, self.fresh = self.work, None, self.fresh, None
        going = going and (work is None or self.follow(work, until))
        return going and (fresh is None or self.push((fresh,), until))

    def push(self, layouts: Iterable[Layout], until: float, *, near: float = NEAR) -> bool:
        """Push layouts together, one after the other, and return whether to go on.

        Parameters
        ----------
        layouts
            Some may have copies that overlap.
        until
            Time since the beginning after which no more is done [s].
        near
            A layout that is longer than the best by more than this after a few rounds is given up.
        """
        for layout in layouts:
            if self.seconds > until or self.over:
                break
            work = self.squeezer.squeezed(self.squeezer.lay(layout), limit=1e3 * near * self.length)
            if not self.follow(work, until):
                return False
        return True

    def follow(self, work: Iterator[Lay | None], until: float) -> bool:
        """Let work go on, take what it gives, and return whether to go on.

        Parameters
        ----------
        work
            Gives layouts, or None while it works.
        until
            Time since the beginning after which no more is done [s].
        """
        told = self.seconds
        for lay in work:
            if lay is not None:
                self._take_pushed(lay)
            if lay is not None or self.seconds > told + 0.1:
                told = self.seconds
                if not self.going():
                    return False
            if self.over or self.seconds > until:
                break
        return True

    def _take_pushed(self, lay: Lay) -> None:
        if lay.length <= 1e3 * self.length * (1.0 + _SAME) and self.take(self.squeezer.placements(lay)) is not None:
            self.pushed = lay

    def _push_a_little(self) -> None:
        """Push what came last together for a moment, then rest, so that the engine keeps the machine."""
        began = self.seconds
        if began < self.rests["push"]:
            return
        if self.work is None and self.fresh is not None:
            fresh, self.fresh = self.fresh, None
            self.work = self.squeezer.squeezed(self.squeezer.lay(fresh), limit=1e3 * NEAR * self.length)
        if self.work is None:
            return
        try:
            lay = next(self.work)
        except StopIteration:
            self.work = None
        else:
            if lay is not None:
                self._take_pushed(lay)
        self.rests["push"] = self.seconds + REST * (self.seconds - began)


def met(placements: Layout, pieces: tuple[FlatPiece, ...]) -> Layout:
    """Return placements along the roll, the copies of a piece numbered as they come.

    Parameters
    ----------
    placements
        In any order and numbering.
    pieces
        What they are of.
    """
    of = {p.label: p for p in pieces}

    def near(p: Placement) -> tuple[float, float]:
        low = laid(of[p.label], p)[0].min(axis=0)
        return float(low[0]), float(low[1])

    count: dict[str, int] = {}
    out = []
    for p in sorted(placements, key=near):
        count[p.label] = count.get(p.label, 0) + 1
        out.append(replace(p, copy=count[p.label]))
    return tuple(out)


def shortest_possible(pieces: tuple[FlatPiece, ...], cloth: Cloth) -> float:
    """Return a length that no layout can be shorter than [m].

    Parameters
    ----------
    pieces, cloth
        What is nested on what.

    Notes
    -----
    Pieces grown by half the gap do not overlap and lie within a strip wider and longer by the gap.
    """
    grown = sum(float(shapely.area(p.outline.buffer(0.5 * cloth.gap))) * p.quantity for p in pieces)
    by_area = grown / (cloth.usable + cloth.gap) - cloth.gap
    return cloth.margin + max(by_area, max(_least_reach(p.loops[0]) for p in pieces))


def _least_reach(outline: np.ndarray) -> float:
    """Return the least width of an outline over all directions [m]."""
    ring = np.asarray(shapely.convex_hull(shapely.Polygon(outline)).exterior.coords, dtype=np.float64)
    step = np.diff(ring, axis=0)
    normal = np.stack([step[:, 1], -step[:, 0]], axis=1) / np.hypot(step[:, 0], step[:, 1])[:, None]
    return float(np.ptp(ring @ normal.T, axis=0).min())
