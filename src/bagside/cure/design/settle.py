"""From numbers to settings a controller takes: whole steps, chosen together by small integer programmes.

Rounding each number for itself breaks limits that hold between them. So the effect of one step of each setting is
computed, an integer programme picks the best combination of steps by it, and what it picks is computed in full.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds as Box
from scipy.optimize import LinearConstraint, milp

from bagside.cure.design.course import Settings
from bagside.cure.design.polish import NEAR, PENALTY, Tried

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

REACH = 4
"""Most steps a setting is moved at once."""

TIGHT = (0.0, 0.02, 0.06, 0.15)
"""By how much limits are tightened in the integer programmes that are tried side by side, in units of their scale."""

SECONDS = 0.5
"""Time an integer programme may take [s]; what it has by then is computed in full anyway."""

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
    rounds: int = 6,
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
        At most so many integer programmes in turn.
    going
        Asked now and then whether to go on.
    """
    p = len(_steps(joint))
    for _ in range(rounds):
        around = _unlike(joint, _stepped(joint, np.vstack([np.eye(p, dtype=np.int64), -np.eye(p, dtype=np.int64)])))
        got = tried([joint, *around])
        best, merit = joint, float(got.merit[0])
        cost, worst = float(got.cost[0]), float(got.broken[:, 0].max(initial=-np.inf))
        if not going():
            return best, cost, worst
        # other settings may have been brought along by mending: slopes by least squares over what really moved
        moved = np.array([_steps(j) for j in around]) - np.array(_steps(joint))
        picks = _unlike(joint, _stepped(joint, _picked(joint, got, moved)))
        after = tried(picks) if picks else None
        for joints, result, first in ((around, got, 1), (picks, after, 0)):
            if result is None:
                continue
            i = int(np.argmin(result.merit[first:]))
            if result.merit[first + i] < merit - 1e-6:
                best, merit = joints[i], float(result.merit[first + i])
                cost = float(result.cost[first + i])
                worst = float(result.broken[:, first + i].max(initial=-np.inf))
        if best is joint:
            break
        joint = best
    return joint, cost, worst


def _unlike(joint: Joint, others: Sequence[Joint]) -> list[Joint]:
    """Return those that differ from the first and from each other."""
    seen, out = {_steps(joint)}, []
    for other in others:
        if _steps(other) not in seen:
            seen.add(_steps(other))
            out.append(other)
    return out


def _picked(joint: Joint, got: Tried, moved: Ints) -> Ints:
    """Return the steps that integer programmes pick, shape (k, p)."""
    p = moved.shape[1]
    if not len(moved):
        return np.zeros((0, p), dtype=np.int64)
    change = np.linalg.pinv(moved.astype(np.float64))
    slope = change @ (got.cost[1:] - got.cost[0])
    near = (got.broken[:, 0] > NEAR) | (got.broken > 0.0).any(axis=1)
    rows = (got.broken[near, 1:] - got.broken[near, :1]) @ change.T
    now, c = got.broken[near, 0], int(near.sum())
    out = []
    for tight in TIGHT:
        answer = milp(
            np.concatenate([slope, np.full(c, PENALTY)]),
            constraints=LinearConstraint(np.hstack([rows, -np.eye(c)]), ub=-now - tight) if c else (),
            integrality=np.concatenate([np.ones(p), np.zeros(c)]),
            bounds=Box(
                np.concatenate([np.full(p, -REACH), np.zeros(c)]), np.concatenate([np.full(p, REACH), np.full(c, np.inf)])
            ),
            options={"time_limit": SECONDS, "mip_rel_gap": 1e-3},
        )
        if answer.x is not None:
            out.append(np.round(answer.x[:p]).astype(np.int64))
    return np.array(out, dtype=np.int64).reshape(-1, p)
