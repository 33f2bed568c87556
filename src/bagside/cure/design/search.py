"""From ridden courses to settings: fit, polish, settle on whole steps, keep limits more closely where the check asks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.controller import Controller
from bagside.cure.design.course import Settings, Shape, segments_needed
from bagside.cure.design.fitting import corners_of
from bagside.cure.design.polish import Tried, polished
from bagside.cure.design.settle import Joint, settled
from bagside.cure.design.stage import Chain

Floats = NDArray[np.float64]
Course = tuple[Floats, Floats]
Progress = Callable[[str, float], None]
Going = Callable[[], bool]

PLAIN = (3, 5, 8)
"""Numbers of ramps that are tried, as far as the controller takes them."""

SIMPLER = 0.01
"""Share of the whole that a programme with more ramps has to save over one with fewer."""

KEPT = 1e-3
"""Limits broken by less, in units of their scale, are kept: a hundredth of a kelvin."""


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
        room = min(most, ramps_for(stage.controller, stage.bounds.demould is not None))
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
    counts = [n for n in PLAIN if n < most] + [min(most, PLAIN[-1])]
    best: tuple[list[Shape], Floats, float, float] | None = None
    for i, n in enumerate(counts):
        progress(f"polish, {n} ramps", i / (len(counts) + 1))
        shapes, numbers = fitted(chain, courses, n)
        x, cost, worst = _polished(chain, shapes, numbers, going)
        if best is None or _better(cost, worst, best[2], best[3]):
            best = (shapes, x, cost, worst)
        if not going():
            break
    progress("whole steps of the controller", len(counts) / (len(counts) + 1))
    shapes, x = (best[0], best[1]) if best is not None else fitted(chain, courses, counts[0])
    return resettled(chain, _rounded(chain, shapes, x), going)


def _better(cost: float, worst: float, best_cost: float, best_worst: float) -> bool:
    """Return whether more ramps are worth it."""
    if worst <= KEPT and best_worst <= KEPT:
        return cost < (1.0 - SIMPLER) * best_cost
    return worst < best_worst


def _polished(chain: Chain, shapes: Sequence[Shape], numbers: Floats, going: Going) -> tuple[Floats, float, float]:
    def lines(x: Floats) -> list[tuple[Floats, Floats]]:
        out, k = [], 0
        for shape in shapes:
            n = len(shape.lower)
            out.append(shape.lines(x[:, k : k + n]))
            k += n
        return out

    return polished(
        numbers,
        np.concatenate([s.is_temperature for s in shapes]),
        np.concatenate([s.lower for s in shapes]),
        np.concatenate([s.upper for s in shapes]),
        lambda x: chain.tried(lines(x)),
        going=going,
    )


def _rounded(chain: Chain, shapes: Sequence[Shape], x: Floats) -> Joint:
    out, k = [], 0
    for stage, shape in zip(chain.stages, shapes, strict=True):
        n = len(shape.lower)
        out.append(Settings.rounded(shape, x[k : k + n], stage.controller))
        k += n
    return tuple(out)


def resettled(chain: Chain, joint: Joint, going: Going) -> Found:
    """Return better settings from settings."""

    def lines(joints: Sequence[Joint]) -> list[tuple[Floats, Floats]]:
        out = []
        for i in range(len(chain.stages)):
            each = [j[i].lines for j in joints]
            out.append((np.array([t for t, _ in each]), np.array([e for _, e in each])))
        return out

    joint, cost, worst = settled(joint, lambda joints: chain.tried(lines(joints)), going=going)
    ready = tuple(float(t.duration[0]) for t in chain.trials(lines([joint])))
    return Found(joint=joint, ready=ready, cost=cost, worst=worst)
