"""From numbers to settings a controller takes: whole steps, moved singly and in pairs until nothing is gained.

Rounding each number for itself breaks limits that hold between them. So the effect of one step of each setting up and
down is computed; which pairs of moves, some of them of several steps, would do best is foretold by adding effects up,
and the best of those are computed in full. Integer programmes on the same effects did no better and took longer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.course import Settings
from bagside.cure.design.polish import NEAR, PENALTY, Tried

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

REACH = (1, 2, 4)
"""Steps by which a setting is moved at once."""

PAIRS = 24
"""Pairs of moves that are computed in full in a round."""

Joint = tuple[Settings, ...]


def _stepped(joint: Joint, moves: Ints) -> list[Joint]:
    """Return settings of all stages moved by rows of steps, shape (g, p)."""
    columns, k = [], 0
    for settings in joint:
        n = len(settings.steps)
        columns.append(settings.mended(np.array(settings.steps)[None, :] + moves[:, k : k + n]))
        k += n
    return list(zip(*columns, strict=True))


def _steps(joint: Joint) -> tuple[int, ...]:
    return tuple(x for settings in joint for x in settings.steps)


def settled(
    joint: Joint,
    tried: Callable[[Sequence[Joint]], Tried],
    *,
    rounds: int = 12,
    going: Callable[[], bool] = lambda: True,
) -> tuple[Joint, float, float]:
    """Return better settings, their cost in minutes and the worst that is broken.

    Parameters
    ----------
    joint
        Settings of all stages to start from.
    tried
        What several of them come to.
    rounds
        At most so many.
    going
        Asked now and then whether to go on.
    """
    p = len(_steps(joint))
    unit = np.vstack([np.eye(p, dtype=np.int64), -np.eye(p, dtype=np.int64)])
    around: list[Joint] = []
    effects: Tried | None = None
    now = tried([joint])
    for _ in range(rounds):
        if not going():
            break
        fresh = effects is None
        if effects is None:
            around = _unlike(joint, _stepped(joint, unit))
            effects = tried([joint, *around])
            moved = np.array([_steps(j) for j in around]).reshape(-1, p) - np.array(_steps(joint))
        pairs = _unlike(joint, _stepped(joint, _foretold(now, effects, moved)))
        choices = list(zip(pairs, _each(tried(pairs)), strict=True)) if pairs else []
        if fresh:
            choices += list(zip(around, _each(effects)[1:], strict=True))
        best = min(choices, key=lambda c: float(c[1].merit[0]), default=None)
        if best is not None and float(best[1].merit[0]) < float(now.merit[0]) - 1e-6:
            joint, now = best
            # what a step does changes slowly: it is computed anew only when going by it gains nothing more
        elif fresh:
            break
        else:
            effects = None
    return joint, float(now.cost[0]), float(now.broken[:, 0].max(initial=-np.inf))


def _each(got: Tried) -> list[Tried]:
    """Return what each row came to."""
    return [Tried(cost=got.cost[i : i + 1], broken=got.broken[:, i : i + 1]) for i in range(len(got.cost))]


def _unlike(joint: Joint, others: Sequence[Joint]) -> list[Joint]:
    """Return those that differ from the first and from each other."""
    seen, out = {_steps(joint)}, []
    for other in others:
        if _steps(other) not in seen:
            seen.add(_steps(other))
            out.append(other)
    return out


def _foretold(at: Tried, got: Tried, moved: Ints) -> Ints:
    """Return the pairs of moves that promise most when effects are added up, shape (k, p)."""
    if not len(moved):
        return moved
    near = (got.broken > NEAR).any(axis=1) | (at.broken[:, 0] > NEAR)
    now = at.broken[near, 0]
    steps = np.concatenate([n * moved for n in REACH])
    cost = np.concatenate([n * (got.cost[1:] - got.cost[0]) for n in REACH])
    effect = np.concatenate([n * (got.broken[near, 1:] - got.broken[near, :1]).T for n in REACH])
    merit = np.empty((len(steps), len(steps)))
    for i in range(len(steps)):
        broken = np.maximum(now + effect[i] + effect, 0.0).sum(axis=1)
        merit[i] = cost[i] + cost + PENALTY * broken
    single = cost + PENALTY * np.maximum(now + effect, 0.0).sum(axis=1)
    np.fill_diagonal(merit, single)
    merit[np.tril_indices(len(steps), -1)] = np.inf
    order = np.argsort(merit, axis=None)[: 3 * PAIRS]
    a, b = np.unravel_index(order, merit.shape)
    promising = merit[a, b] < PENALTY * np.maximum(now, 0.0).sum() - 1e-6
    together = np.where((a == b)[:, None], steps[a], steps[a] + steps[b])[promising]
    _, first = np.unique(together, axis=0, return_index=True)
    out: Ints = together[np.sort(first)][:PAIRS]
    return out
