"""One rise and one hold: what a ride that came to nothing has to be measured by before a target is refused."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.course import Pace
from bagside.cure.design.limits import LimitSet
from bagside.cure.design.rig import Rig, Rows

Floats = NDArray[np.float64]

APART = 5.0
"""Distance of the holds that are tried [K]."""

SLOWER = (1.0, 0.25)
"""Shares of the fastest rise that are tried."""

STRETCH, LONG = 3600.0, 1200.0
"""Stretches in which the holds are followed, and the longest step of the solver [s]."""


def plain_hold(
    rig: Rig, rows: Rows, limits: LimitSet, pace: Pace, longest: float
) -> tuple[Floats, Floats, Rows] | None:
    """Return the corners, time and air [s, K], of the first plain hold to reach the target within all limits.

    Parameters
    ----------
    rig
        Places and scenarios.
    rows
        Where it starts: one row.
    limits
        What has to be kept.
    pace
        How fast the air may change.
    longest
        When to give up [s].

    Returns
    -------
    tuple or None
        The corners and the state at the end; None when there is no such hold.
    """
    start = float(rows.reference[0])
    to, share = (x.ravel() for x in np.meshgrid(np.arange(pace.hottest, start, -APART), SLOWER))
    if not len(to):
        return None
    rate = share * pace.limit(np.full(len(to), start), to)
    rise = (to - start) / rate
    on = rise < longest
    to, rate, rise = to[on], rate[on], rise[on]
    state = rig.stretched(rig.rising(rows.taken(np.zeros(len(to), dtype=np.int64)), to - rig.start), rise, rate)
    while len(to):
        _, by = limits.worst(state.seen, rig.watch, rig.resin.gel)
        end = state.seen.done.max(axis=1)
        good = (by <= 0.0) & (end <= longest)
        if good.any():
            k = int(np.argmin(np.where(good, end, np.inf)))
            time = np.array([0.0, rise[k], max(float(end[k]), float(rise[k]) + 1.0)])
            return time, np.array([start, to[k], to[k]]), state.taken(np.array([k]))
        on = (by <= 0.0) & np.isinf(end) & (state.time < longest)
        state, to, rise = state.taken(on), to[on], rise[on]
        span = np.minimum(STRETCH, longest - state.time)
        state = rig.stretched(state, span, np.zeros(len(to)), LONG)
    return None
