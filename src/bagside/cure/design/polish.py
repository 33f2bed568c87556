"""Successive linear programmes: what a small change of each number does, and the best step by it, again and again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

PENALTY = 600.0
"""Minutes that a limit broken by one unit of its scale counts as; too small a penalty stalls outside the limits."""

SMALL_K, SMALL_S = 1.0, 90.0
"""Changes by which slopes are taken [K, s]."""

SCALE_K, SCALE_S = 10.0, 1200.0
"""Size of a trust radius of one [K, s]."""

RADII = np.array([3.0, 1.0, 0.5, 0.25, 0.1, 0.03])
"""Tried at once, times the present one."""

NEAR = -1.5
"""Limits kept by more are left out of a linear programme."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What rows of numbers come to.

    Parameters
    ----------
    cost
        What is to become small, in minutes, shape (g,).
    broken
        By how much each limit is broken, shape (c, g).
    """

    cost: Floats
    broken: Floats

    @property
    def merit(self) -> Floats:
        """Cost with what is broken added, shape (g,)."""
        out: Floats = self.cost + PENALTY * np.maximum(self.broken, 0.0).sum(axis=0)
        return out


def polished(
    numbers: Floats,
    temperature: Bools,
    lower: Floats,
    upper: Floats,
    tried: Callable[[Floats], Tried],
    *,
    rounds: int = 8,
    enough: float = 0.3,
    going: Callable[[], bool] = lambda: True,
) -> tuple[Floats, float, float]:
    """Return better numbers, what they cost and the worst that is broken.

    Parameters
    ----------
    numbers
        To start from, shape (p,).
    temperature
        Which of them are temperatures, the others being times, shape (p,).
    lower, upper
        What each may be, shape (p,).
    tried
        What rows of numbers come to, shape (g, p).
    rounds
        At most so many linear programmes.
    enough
        Improvement below which it ends, in minutes.
    going
        Asked now and then whether to go on.
    """
    small = np.where(temperature, SMALL_K, SMALL_S)
    scale = np.where(temperature, SCALE_K, SCALE_S)
    x, radius = np.clip(numbers, lower, upper), 1.0
    weak = 0
    merit = cost = worst = np.inf
    for _ in range(rounds):
        if not going():
            break
        step = np.where(x + small > upper, -small, small)
        got = tried(np.vstack([x, x[None, :] + np.diag(step)]))
        if not np.isfinite(got.merit[0]):
            break
        merit, cost, worst = float(got.merit[0]), float(got.cost[0]), float(got.broken[:, 0].max(initial=-np.inf))
        slope = (got.cost[1:] - got.cost[0]) / step * scale
        near = (got.broken[:, 0] > NEAR) | (got.broken > 0.0).any(axis=1)
        rows = (got.broken[near, 1:] - got.broken[near, :1]) / step * scale
        low, high, reach = (lower - x) / scale, (upper - x) / scale, radius * RADII
        steps = _steps(slope, rows, [got.broken[near, 0]] * len(reach), low, high, reach)
        points = np.clip(x + steps * scale, lower, upper)
        after = tried(points)
        # limits bend away from their slopes: the same steps again, with what was really met put in
        met = [after.broken[near, i] - rows @ steps[i] for i in range(len(steps))]
        bent = np.clip(x + _steps(slope, rows, met, low, high, reach) * scale, lower, upper)
        points, more = np.vstack([points, bent]), tried(bent)
        after = Tried(
            cost=np.concatenate([after.cost, more.cost]), broken=np.concatenate([after.broken, more.broken], axis=1)
        )
        best = int(np.argmin(after.merit))
        gained = merit - float(after.merit[best])
        if gained > 0.0:
            x, radius = points[best], float(np.clip(radius * RADII[best % len(RADII)], 0.05, 4.0))
            merit, cost = float(after.merit[best]), float(after.cost[best])
            worst = float(after.broken[:, best].max(initial=-np.inf))
            weak = weak + 1 if gained < enough else 0
        else:
            radius *= 0.1
        if weak >= 2 or radius < 0.003:
            break
    return x, cost, worst


def _steps(slope: Floats, rows: Floats, broken: Sequence[Floats], low: Floats, high: Floats, radii: Floats) -> Floats:
    """Return the best step of the linearised problem within each radius, shape (k, p); no step where there is none."""
    p, out = len(slope), []
    for radius, now in zip(radii, broken, strict=True):
        c = len(now)
        answer = linprog(
            np.concatenate([slope, np.full(c, PENALTY)]),
            A_ub=np.hstack([rows, -np.eye(c)]) if c else None,
            b_ub=-now if c else None,
            bounds=np.column_stack(
                [
                    np.concatenate([np.maximum(low, -radius), np.zeros(c)]),
                    np.concatenate([np.minimum(high, radius), np.full(c, np.inf)]),
                ]
            ),
            method="highs",
        )
        out.append(np.zeros(p) if answer.x is None else answer.x[:p])
    return np.array(out)
