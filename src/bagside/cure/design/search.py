"""From ridden courses to settings: fit, polish, settle on whole steps, keep limits closer where the check asks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.controller import Controller, Kind
from bagside.cure.design.course import Settings, Shape, segments_needed
from bagside.cure.design.fitting import corners_of
from bagside.cure.design.polish import PENALTY, polished
from bagside.cure.design.settle import Joint, settled
from bagside.cure.design.stage import Chain
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Course = tuple[Floats, Floats]
Progress = Callable[[str, float], None]
Going = Callable[[], bool]

PLAIN = (3, 5)
"""Numbers of ramps that are tried, as far as the controller takes them."""

SIMPLER = 0.02
"""Share of the whole that a programme with more ramps has to save over one with fewer."""

WORTH = 1.1
"""Polished programmes that come to more than this times the best are not taken further."""

ROOM = 0.2
"""By how much more closely limits are kept in the first polish, in units of their scale: room for whole steps."""

IN_HAND = (0.3, 0.5)
"""By how much more closely limits are kept in the polish when whole steps break them, in units of their scale."""

CLOSE = -0.5
"""Lanes that come no nearer to any limit than this, in units of its scale, are left out of a search at first."""

KEPT = 0.01
"""Limits broken by less, in units of their scale, are kept as far as the search can tell: a third of the guard it
starts with, and what leaving lanes out may be off by; the check has the last word."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Settings that were found.

    Parameters
    ----------
    joint
        One for each stage.
    ready
        When each stage is over, cooling included [s].
    cost
        In minutes of what was to become small.
    worst
        By how much the worst limit is broken, in units of its scale.
    """

    joint: Joint
    ready: tuple[float, ...]
    cost: float
    worst: float


def ramps_for(controller: Controller, cooled: bool) -> int:
    """Return how many segments are left when cooling at the end takes one.

    Parameters
    ----------
    controller
        What it takes.
    cooled
        Whether the programme cools at its end.
    """
    return max(controller.segments - int(cooled), 1)


def fitted(chain: Chain, courses: Sequence[Course], most: int) -> tuple[list[Shape], Floats]:
    """Return shapes of at most so many ramps for courses, and their numbers one after the other, shape (p,)."""
    shapes, numbers = [], []
    for stage, (time, air) in zip(chain.stages, courses, strict=True):
        room = most if stage.controller.kind is Kind.RATE else 2 * most
        room = min(room, ramps_for(stage.controller, stage.bounds.demould is not None))
        for pieces in range(2 * room, 0, -1):
            index = list(corners_of(time, air, pieces))
            if segments_needed(time[index], air[index], stage.controller.kind) <= room:
                break
        shape, own = Shape.fitted(stage.start, time[index], air[index], stage.controller.kind, stage.pace)
        shapes.append(shape)
        numbers.append(own)
    return shapes, np.concatenate(numbers)


def searched(chain: Chain, courses: Sequence[Course], progress: Progress, going: Going) -> Found:
    """Return settings that keep every limit at the least cost found.

    Parameters
    ----------
    chain
        What is to be found.
    courses
        What was ridden, time and air for each stage.
    progress, going
        Told how far it is; asked whether to go on.
    """
    most = max(ramps_for(s.controller, s.bounds.demould is not None) for s in chain.stages)
    counts = sorted({min(n, most) for n in PLAIN})
    shaped: list[tuple[list[Shape], Floats, float]] = []
    for i, n in enumerate(counts):
        progress(f"polish, {n} ramps", 0.6 * i / len(counts))
        shapes, numbers = fitted(chain, courses, n)
        x, cost, worst = _polished(chain.guarded(ROOM), shapes, numbers, going)
        shaped.append((shapes, x, cost + PENALTY * max(worst, 0.0)))
        if not going():
            break
    near = WORTH * min(merit for _, _, merit in shaped)
    best: Found | None = None
    for i, (shapes, x, merit) in enumerate(shaped):
        if merit > near:
            continue
        progress("whole steps of the controller", 0.6 + 0.4 * i / len(shaped))
        joint = _rounded(chain, shapes, x)
        found = again(chain, Found(joint=joint, ready=(), cost=np.inf, worst=np.inf), going)
        if best is None or _better(found, best):
            best = found
    if best is None:
        raise NotSolved(f"{chain.stages[0].name}: the search for a cycle came to nothing that can be computed")
    return best


def _better(found: Found, best: Found) -> bool:
    """Return whether more ramps are worth it."""
    if found.worst <= KEPT and best.worst <= KEPT:
        return found.cost < (1.0 - SIMPLER) * best.cost
    return found.worst < best.worst


def _polished(chain: Chain, shapes: Sequence[Shape], numbers: Floats, going: Going) -> tuple[Floats, float, float]:
    """Return polished numbers, their cost and the worst that is broken; lanes far from every limit are left out."""

    def lines(x: Floats) -> list[tuple[Floats, Floats]]:
        out, k = [], 0
        for shape in shapes:
            n = len(shape.lower)
            out.append(shape.lines(x[:, k : k + n]))
            k += n
        return out

    def once(some: Chain, x: Floats) -> tuple[Floats, float, float]:
        return polished(
            x,
            np.concatenate([s.is_temperature for s in shapes]),
            np.concatenate([s.lower for s in shapes]),
            np.concatenate([s.upper for s in shapes]),
            lambda rows: some.tried(lines(rows)),
            going=going,
        )

    return _on_few(chain, once, lambda x: lines(x[None, :]), numbers)


def _on_few(
    chain: Chain,
    once: Callable[[Chain, Any], tuple[Any, float, float]],
    lines: Callable[[Any], list[tuple[Floats, Floats]]],
    begin: Any,
) -> tuple[Any, float, float]:
    """Return what a search on few lanes comes to on all; lanes that turn out to be near a limit are added."""
    answer = begin
    lanes = chain.close(chain.trials(lines(begin)), CLOSE)
    while True:
        some = chain if lanes.all() else chain.of_lanes(np.flatnonzero(lanes))
        answer, _, _ = once(some, answer)
        trials = chain.trials(lines(answer))
        got = chain.judged(lines(answer), trials)
        cost, worst = float(got.cost[0]), float(got.broken[:, 0].max(initial=-np.inf))
        if not (chain.close(trials, 0.0) & ~lanes).any():
            return answer, cost, worst
        lanes = lanes | chain.close(trials, CLOSE)


def _rounded(chain: Chain, shapes: Sequence[Shape], x: Floats) -> Joint:
    out, k = [], 0
    for stage, shape in zip(chain.stages, shapes, strict=True):
        n = len(shape.lower)
        out.append(Settings.rounded(shape, x[k : k + n], stage.controller))
        k += n
    return tuple(out)


def again(chain: Chain, found: Found, going: Going) -> Found:
    """Return settings polished anew from settings, with ever more in hand, until whole steps keep every limit.

    Parameters
    ----------
    chain
        What is asked, limits now kept more closely than when the settings were found.
    found
        The settings.
    going
        Asked now and then whether to go on.
    """
    best = resettled(chain, found.joint, going)
    shapes = [s.shape for s in best.joint]
    for more in IN_HAND:
        if best.worst <= KEPT or not going():
            break
        x, _, _ = _polished(chain.guarded(more), shapes, np.concatenate([s.numbers for s in best.joint]), going)
        other = resettled(chain, _rounded(chain, shapes, x), going)
        if _better(other, best):
            best = other
    return best


def resettled(chain: Chain, joint: Joint, going: Going) -> Found:
    """Return better settings from settings."""

    def lines(joints: Sequence[Joint]) -> list[tuple[Floats, Floats]]:
        out = []
        for i in range(len(chain.stages)):
            each = [j[i].lines for j in joints]
            out.append((np.array([t for t, _ in each]), np.array([e for _, e in each])))
        return out

    def once(some: Chain, joint: Joint) -> tuple[Joint, float, float]:
        return settled(joint, lambda joints: some.tried(lines(joints)), going=going)

    joint, cost, worst = _on_few(chain, once, lambda joint: lines([joint]), joint)
    ready = tuple(float(t.duration[0]) for t in chain.trials(lines([joint])))
    return Found(joint=joint, ready=ready, cost=cost, worst=worst)
