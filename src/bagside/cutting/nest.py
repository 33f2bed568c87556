"""The nest on the roll: an answer at once, then a better one for as long as there is time.

`nest_roll` first lays pieces greedily and pushes them together, then lets the engine search with several seeds, pushes
the best of each run together, and at the end changes the best layout a little at a time. It checks every layout as it
comes and keeps the shortest. With a piece as wide as the cloth the engine has been seen to give overlaps. Stopping it,
or an engine that crashes, costs only the improvement.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from bagside.cutting.engine import run_engine
from bagside.cutting.greedy import greedy
from bagside.cutting.layout import Cloth, Nest, Placement, Trial
from bagside.cutting.piece import FlatPiece
from bagside.cutting.search import NestProgress, Search
from bagside.cutting.sides import narrowest, worth_flipping
from bagside.cutting.stir import stirred
from bagside.errors import InputError, Problem

__all__ = ["Cloth", "Nest", "NestProgress", "Placement", "Trial", "nest_roll"]

SEEDS = (1, 2, 3)
SHARE = 100.0
"""Least share of the time for which another seed is worth more than a longer run of the one before [s]."""
FIRST = 0.06
"""Share of the time for layouts without the engine; more where there are many copies, see `EACH`."""
EACH = 8e-3
"""Time for layouts without the engine for each copy, at most half of all [s]."""
ALONE = 3.0
"""Time for them when the engine is not asked [s]."""
PUSHED = 0.02
"""Share of a run's time kept for pushing its layouts together; at least `LEAST`."""
STIRRED = 0.05
"""Share of all the time kept for changing the best layout a little at a time; at least `LEAST`. The engine gets the
rest: it brings more while it finds arrangements."""
LEAST = 0.2
"""[s]"""
_FIT = 1e-9  # [m]; rounding of a piece exactly as wide as the cloth


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
        Time for all of it [s]; below 1 s only the greedy answer is made, pushed together.
    seeds
        Seeds of the engine, each given an equal share of the time; those that would bring the share under 100 s are
        left out.
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
    A time limit makes the answer depend on the machine: keep layouts, not seeds. It ends early when the engine does,
    or when no layout can be shorter.

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
    search = Search(pieces, cloth, on_progress)
    first = max(FIRST * seconds, EACH * sum(p.quantity for p in pieces))
    going = _begin(search, min(0.5 * seconds, first) if seconds >= 1.0 else ALONE)
    trials = [Trial(method="greedy", seed=None, seconds=search.seconds, length=search.length)]
    chosen = list(seeds)[: max(1, int(seconds / SHARE))] if seconds >= 1.0 else []
    splits = _splits(search.best)
    for number, seed in enumerate(chosen):
        if not going or search.over:
            break
        left = seconds - search.seconds - max(LEAST, STIRRED * seconds)
        share = left / (len(chosen) - number)
        run, going = _searched(search, seed, share, next(splits))
        trials += run
    if going and chosen and not search.over:
        began = search.seconds
        failed = any(t.note for t in trials)
        end = seconds if failed else min(seconds, began + max(LEAST, STIRRED * seconds))
        going = _stir(search, chosen[0], end)
        trials.append(Trial(method="stir", seed=chosen[0], seconds=search.seconds - began, length=search.length))
    return replace(search.best, trials=tuple(trials), stopped=not going)


def _begin(search: Search, until: float) -> bool:
    """Lay the pieces greedily in a few orders, push each layout together, and return whether to go on."""
    pieces, cloth = search.best.pieces, search.best.cloth
    layouts = greedy(pieces, cloth)
    if any(worth_flipping(p) for p in pieces):
        layouts = itertools.chain(layouts, greedy(pieces, cloth, flips=False))
    for layout in layouts:
        search.first(layout)
        if not (search.going() and search.push((layout,), until, near=math.inf)):
            return False
        if search.over or search.seconds > until:
            break
    return True


def _splits(nest: Nest) -> Iterator[dict[str, int]]:
    """Yield how many copies of each piece are cut face down: as in the layout, then half of each, in turn."""
    pieces = [p for p in nest.pieces if worth_flipping(p)]
    found = {p.label: sum(q.flipped and q.label == p.label for q in nest.placements) for p in pieces}
    half = {p.label: p.quantity // 2 for p in pieces}
    return itertools.cycle((found, half))


def _searched(search: Search, seed: int, share: float, face_down: dict[str, int]) -> tuple[list[Trial], bool]:
    """Run the engine and push together what it gave; return both trials and whether to go on."""
    search.begin()
    pieces, cloth = search.best.pieces, search.best.cloth
    end = search.seconds + share
    run = run_engine(
        pieces,
        cloth,
        seconds=max(0.5, share - max(LEAST, PUSHED * share)),
        seed=seed,
        going=lambda layout: search.hear(layout) and not search.over,
        face_down=face_down,
    )
    going = search.settle(end) and not (run.stopped and not search.over)
    note = "; ".join(n for n in (run.failure, search.refused) if n)
    trials = [Trial(method="engine", seed=seed, seconds=run.seconds, length=search.reached, note=note)]
    if going and run.layouts and not search.over:
        began = search.seconds
        going = search.push(run.nearly[::-1], end)
        trials.append(Trial(method="push", seed=seed, seconds=search.seconds - began, length=search.length))
    return trials, going


def _stir(search: Search, seed: int, until: float) -> bool:
    """Change the best layout a little at a time; return whether to go on."""
    going = search.pushed is not None or search.push((search.best.placements,), until)
    if not going or search.pushed is None or search.over or search.seconds > until:
        return going
    return search.follow(stirred(search.squeezer, search.pushed, np.random.default_rng(seed)), until)


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
        least, _ = narrowest(piece)
        if least > cloth.usable + _FIT:
            problems.append(
                Problem(
                    place=f"piece {piece.label}",
                    came=f"{1e3 * least:.1f} mm across the roll at its narrowest allowed turn",
                    wanted=f"at most {1e3 * cloth.usable:.1f} mm: {cloth.material} is {1e3 * cloth.width:.1f} mm wide "
                    f"with {1e3 * cloth.edge:.1f} mm kept along each edge",
                    hint="split the ply at a seam, turn its warp, or use a wider cloth",
                )
            )
    if problems:
        raise InputError(problems)
