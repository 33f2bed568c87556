"""The nest on the roll: an answer at once, then a better one for as long as there is time.

`nest_roll` first lays pieces greedily, then lets the engine search with several seeds and keeps the shortest layout
that passes `verify`. Stopping it, or an engine that crashes, costs only the improvement.
"""

from __future__ import annotations

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
        turn it may lie in.
    NotSolved
        When a layout of our own fails its check: a fault of this program.

    Notes
    -----
    A time limit makes the engine's answer depend on the machine: keep layouts, not seeds.
    """
    pieces = tuple(pieces)
    _check(pieces, cloth)
    watch = _Watch(pieces, cloth, on_progress)
    best = Nest(cloth=cloth, pieces=pieces, placements=_met(greedy(pieces, cloth), pieces))
    verify(best)
    trials = [Trial(method="greedy", seed=None, seconds=watch.seconds, length=best.length)]
    stopped = not watch.going(best.length)
    chosen = list(seeds)[: max(1, int(seconds / SHARE))] if seconds >= 1.0 else []
    for seed in chosen:
        if stopped:
            break
        run = run_engine(pieces, cloth, seconds=int(seconds) // len(chosen), seed=seed, going=watch.going)
        found, note = _best_of(run.layouts, best)
        stopped = run.stopped
        reached = None if found is None else found.length
        note = "; ".join(n for n in (run.failure, note) if n)
        trials.append(Trial(method="engine", seed=seed, seconds=run.seconds, length=reached, note=note))
        if found is not None and found.length < best.length:
            best = found
    return replace(best, trials=tuple(trials), stopped=stopped)


class _Watch:
    """Tells the watcher the shortest length so far and asks whether to go on."""

    def __init__(
        self, pieces: tuple[FlatPiece, ...], cloth: Cloth, tell: Callable[[NestProgress], bool | None] | None
    ) -> None:
        self.began = time.perf_counter()
        self.full = sum(p.area * p.quantity for p in pieces) / cloth.width
        self.tell = tell
        self.length = float("inf")

    @property
    def seconds(self) -> float:
        """Time since it began [s]."""
        return time.perf_counter() - self.began

    def going(self, length: float | None) -> bool:
        """Take note of a new layout's length [m], if any, and return whether to go on."""
        self.length = min(self.length, float("inf") if length is None else length)
        if self.tell is None:
            return True
        now = NestProgress(seconds=self.seconds, length=self.length, utilisation=self.full / self.length)
        return self.tell(now) is not False


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


def _best_of(layouts: tuple[tuple[Placement, ...], ...], best: Nest) -> tuple[Nest | None, str]:
    """Return the shortest layout that passes the check, and what was wrong with shorter ones."""
    notes = []
    for placements in reversed(layouts):
        nest = replace(best, placements=_met(placements, best.pieces))
        try:
            verify(nest)
        except NotSolved as fault:
            notes.append(f"a layout was refused: {fault}")
            continue
        return nest, "; ".join(notes)
    return None, "; ".join(notes[:1])


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
