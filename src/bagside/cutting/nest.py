"""The nest on the roll: an answer at once, then a better one for as long as there is time.

`nest_roll` first lays pieces greedily, then lets the engine search with several seeds, checks every layout as it comes
and keeps the shortest. With a piece as wide as the cloth the engine has been seen to give overlaps. Stopping it, or an
engine that crashes, costs only the improvement.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from bagside.cutting.engine import run_engine
from bagside.cutting.greedy import greedy
from bagside.cutting.layout import Cloth, Nest, Placement, Trial
from bagside.cutting.piece import FlatPiece, turned
from bagside.cutting.verify import verify
from bagside.errors import InputError, NotSolved, Problem

__all__ = ["Cloth", "Nest", "NestProgress", "Placement", "Trial", "nest_roll"]

SEEDS = (1, 2, 3)
SHARE = 10.0
"""Least share of the time for which another seed is worth more than a longer run of the one before [s]."""
_FIT = 1e-9  # [m]; rounding of a piece exactly as wide as the cloth


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
    """

    seconds: float
    length: float
    utilisation: float


def nest_roll(
    pieces: Sequence[FlatPiece],
    cloth: Cloth,
    *,
    seconds: float,
    seeds: Sequence[int] = SEEDS,
    on_progress: Callable[[NestProgress], bool | None] | None = None,
) -> Nest:
    """Return the shortest layout found in the time given, proven to be one that can be cut.

    Parameters
    ----------
    pieces
        Different labels, all of the cloth's material; each is laid as many times as its quantity says.
    cloth
        What they are cut from.
    seconds
        Time for the engine over all seeds [s]; below 1 s only the greedy answer is made.
    seeds
        Seeds of the engine, each given an equal share in whole seconds; those that would bring the share under
        10 s are left out.
    on_progress
        Called several times a second; when it returns False the search stops and the best layout so far is returned.

    Returns
    -------
    Nest
        Its placements in the order in which the knife meets them.

    Raises
    ------
    InputError
        When there are no pieces, labels repeat, a piece is of another material, or wider than the cloth in every
        turn it may lie in; when the time is negative or without end.
    NotSolved
        When a layout of our own fails its check: a fault of this program.

    Notes
    -----
    A time limit makes the engine's answer depend on the machine: keep layouts, not seeds.

    Examples
    --------
    >>> import numpy as np
    >>> square = np.array([[0.0, 0.0], [0.1, 0.0], [0.1, 0.1], [0.0, 0.1]])
    >>> piece = FlatPiece(label="5", material="twill", loops=(square,), quantity=10)
    >>> round(nest_roll([piece], Cloth(material="twill", width=0.5), seconds=0).length, 6)
    0.2
    """
    pieces = tuple(pieces)
    _check(pieces, cloth)
    if not (math.isfinite(seconds) and seconds >= 0.0):
        raise InputError.one(f"nest of {cloth.material}, time", f"{seconds} s", "a finite time, not negative")
    search = _Search(pieces, cloth, on_progress)
    going = search.hear(greedy(pieces, cloth))
    if search.refused:
        raise NotSolved(search.refused)
    trials = [Trial(method="greedy", seed=None, seconds=search.seconds, length=search.reached)]
    chosen = list(seeds)[: max(1, int(seconds / SHARE))] if seconds >= 1.0 else []
    for seed in chosen:
        if not going:
            break
        search.begin()
        run = run_engine(pieces, cloth, seconds=int(seconds) // len(chosen), seed=seed, going=search.hear)
        going = not run.stopped
        note = "; ".join(n for n in (run.failure, search.refused) if n)
        trials.append(Trial(method="engine", seed=seed, seconds=run.seconds, length=search.reached, note=note))
    return replace(search.best, trials=tuple(trials), stopped=not going)


class _Search:
    """Checks every layout that comes, keeps the shortest, tells the watcher and asks whether to go on."""

    def __init__(
        self, pieces: tuple[FlatPiece, ...], cloth: Cloth, tell: Callable[[NestProgress], bool | None] | None
    ) -> None:
        self.began = time.perf_counter()
        self.tell = tell
        self.best = Nest(cloth=cloth, pieces=pieces, placements=())
        self.full = self.best.area_of_pieces / cloth.width
        self.length = float("inf")
        self.begin()

    def begin(self) -> None:
        """Forget what the run before reached."""
        self.reached: float | None = None
        self.refused = ""

    @property
    def seconds(self) -> float:
        """Time since it began [s]."""
        return time.perf_counter() - self.began

    def hear(self, placements: tuple[Placement, ...] | None) -> bool:
        """Take a new layout, if any, and return whether to go on."""
        if placements is not None:
            self._take(replace(self.best, placements=_met(placements, self.best.pieces)))
        if self.tell is None:
            return True
        now = NestProgress(seconds=self.seconds, length=self.length, utilisation=self.full / self.length)
        return self.tell(now) is not False

    def _take(self, nest: Nest) -> None:
        try:
            verify(nest)
        except NotSolved as fault:
            self.refused = self.refused or f"a layout was refused: {fault}"
            return
        length = nest.length
        self.reached = min(length, float("inf") if self.reached is None else self.reached)
        if length < self.length:
            self.best, self.length = nest, length


def _check(pieces: tuple[FlatPiece, ...], cloth: Cloth) -> None:
    problems = []
    if not pieces:
        problems.append(Problem(place=f"nest of {cloth.material}", came="no piece", wanted="at least one piece"))
    labels = [p.label for p in pieces]
    for label in sorted({x for x in labels if labels.count(x) > 1}):
        came = f"{labels.count(label)} pieces"
        problems.append(Problem(place=f"piece {label}", came=came, wanted="one piece of each label, with a quantity"))
    for piece in pieces:
        if piece.material != cloth.material:
            wanted = f"a piece of {cloth.material}, the cloth on the table"
            problems.append(Problem(place=f"piece {piece.label}, material", came=piece.material, wanted=wanted))
        narrowest, _ = piece.narrowest()
        if narrowest > cloth.usable + _FIT:
            problems.append(
                Problem(
                    place=f"piece {piece.label}",
                    came=f"{1e3 * narrowest:.1f} mm across the roll at its narrowest allowed turn",
                    wanted=f"at most {1e3 * cloth.usable:.1f} mm: {cloth.material} is {1e3 * cloth.width:.1f} mm wide "
                    f"with {1e3 * cloth.margin:.1f} mm kept along each edge",
                    hint="split the ply at a seam, turn its warp, or use a wider cloth",
                )
            )
    if problems:
        raise InputError(problems)


def _met(placements: tuple[Placement, ...], pieces: tuple[FlatPiece, ...]) -> tuple[Placement, ...]:
    """Return placements along the roll, the copies of a piece numbered as they come."""
    outline = {p.label: p.loops[0] for p in pieces}

    def near(p: Placement) -> tuple[float, float]:
        low = turned(outline[p.label], p.turn).min(axis=0)
        return p.x + float(low[0]), p.y + float(low[1])

    count: dict[str, int] = {}
    out = []
    for p in sorted(placements, key=near):
        count[p.label] = count.get(p.label, 0) + 1
        out.append(replace(p, copy=count[p.label]))
    return tuple(out)
