"""The next step of a ride: which rates are tried, what each leads to when the oven falls back, which one is taken."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.course import Pace
from bagside.cure.design.limits import LimitSet
from bagside.cure.design.rig import Rig, Rows

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SHARES = (1.0, 0.8333, 0.6667, 0.5, 0.3333, 0.1667, 0.0667)
"""Rises that are tried, as shares of the largest in a step; and none at all."""

SMALL = (0.1, 0.3, 1.0)
"""Small ones that are tried as well [K]: so that a limit can be followed, whether steps are short or long."""

FALLS = (1.0, 0.5)
"""Falls that are tried where a programme may fall, as shares of the largest; and the small ones but the smallest."""

COOLING = (1200.0, 2400.0, 3600.0)
"""Stretches of cooling after which those that broke a limit are left out [s]."""

HOLDING = (600.0, 600.0, 1200.0, 1200.0, 1800.0, 1800.0, 3600.0, 3600.0, 5400.0, 5400.0, *(7200.0,) * 6)
"""Stretches of holding likewise: until the reaction is over the hill, as a hold may run away late [s]."""

OVER_THE_HILL = 0.3
"""Degree of cure from which on a part that does not get hotter in a hold is past the fastest reaction."""

LONG = 3600.0
"""Longest step of the solver in a hold [s]."""

NOISE = 0.05
"""By how much the fall-back may miss a limit when it is followed a step later, for the solver's error, in units of its
scale."""

HIGHER = 2
"""Rates above the last one that are tried; all of them when these are all safe."""

MISSED = 0.12
"""By how much a limit may be broken in a step that was safe before, for the solver's error, in units of its scale."""

OVEN = "oven"
"""What held a ride back when it was no limit of the part: the oven's height, its rate or its heater."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """What was done next, row by row.

    Parameters
    ----------
    rows
        The state after it.
    rate
        What the air did [K/s].
    lost
        Whether nothing that was tried was safe.
    broken
        By how much the worst limit was broken in this step, in units of its scale.
    why
        What forbade a faster rate.
    place
        Which of the rates were taken, counted from the slowest, shape (g,).
    """

    rows: Rows
    rate: Floats
    lost: Bools
    broken: Floats
    why: NDArray[np.object_]
    place: Ints


def best(rig: Rig, state: Rows, limits: LimitSet, step: float, pace: Pace, last: int | None = None) -> Next:
    """Return the fastest step from which the fall-back is safe; where there is none, the one that breaks least.

    Parameters
    ----------
    rig
        Places and scenarios.
    state
        Before, with nothing seen yet.
    limits
        What has to be kept.
    step
        How long [s].
    pace
        How fast the air may change.
    last
        Place of the highest rate that was taken a step ago, when what is far above it need not be tried.
    """
    count = len(state.time)
    rates = _rates(step, pace)
    high = np.minimum((pace.hottest - state.reference) / step, pace.limit(state.reference, state.reference + 1e-9))
    if pace.power is not None and pace.power.heated > 0.0:
        p = pace.power
        spare = p.heater - p.loss * (state.reference - p.room)
        high = np.minimum(high, spare / (p.heated + p.loss * step))
    low = np.zeros(count)
    if pace.falls:
        low = (min(rig.start, float(state.reference.min())) - state.reference) / step
    each = np.broadcast_to(rates[None, :], (count, len(rates)))
    wanted = np.clip(each, np.minimum(low, high)[:, None], high[:, None])
    fresh = np.ones_like(wanted, dtype=np.bool_)
    fresh[:, :-1] = wanted[:, 1:] - wanted[:, :-1] > 1e-9  # of equal ones the last
    few = last is not None and last + HIGHER < len(rates) - 1
    if few and last is not None:
        fresh[:, last + HIGHER + 1 :] = False
        fresh[:, last + HIGHER] |= wanted[:, last + HIGHER + 1] - wanted[:, last + HIGHER] <= 1e-9
        few = bool((wanted[:, -1] - wanted[:, last + HIGHER] > 1e-9).any())
    row, column = np.nonzero(fresh)
    tried = rig.stretched(state.taken(row), np.full(len(row), step), wanted[row, column])
    _, own = limits.worst(tried.seen, rig.watch, rig.resin.gel)
    name, by = np.full(fresh.shape, -1), np.full(fresh.shape, np.inf)
    name[row, column], by[row, column] = _falls_back(rig, tried, limits, pace, NOISE)
    safe = by <= 0.0
    least = np.argmax(fresh, axis=1)
    safe[np.arange(count), least] |= by[np.arange(count), least] <= NOISE  # what was the fall-back a step ago
    if few and safe[:, : (last or 0) + HIGHER + 1].any(axis=1).all():
        top = fresh.shape[1] - 1 - np.argmax(fresh[:, ::-1], axis=1)
        few = bool(safe[np.arange(count), top].any())
    if few:
        return best(rig, state, limits, step, pace)
    lost: Bools = np.asarray(~safe.any(axis=1))
    if lost.any():
        again = np.flatnonzero(lost[row])
        back = _falls_back(rig, tried.taken(again), limits, pace, np.inf)
        name[row[again], column[again]], by[row[again], column[again]] = back
    fastest, mildest = fresh.shape[1] - 1 - np.argmax(safe[:, ::-1], axis=1), np.argmin(by, axis=1)
    pick = np.where(lost, mildest, fastest)
    why = np.full(count, OVEN, dtype=object)
    for k in range(count):
        faster = [j for j in range(pick[k] + (not lost[k]), len(rates)) if fresh[k, j] and not safe[k, j]]
        if faster:
            why[k] = limits.names[int(name[k, faster[0]])]
    number = np.full(fresh.shape, -1)
    number[row, column] = np.arange(len(row))
    chosen = number[np.arange(count), pick]
    return Next(
        rows=tried.taken(chosen),
        rate=wanted[np.arange(count), pick],
        lost=lost,
        broken=own[chosen],
        why=why,
        place=pick,
    )


def _rates(step: float, pace: Pace) -> Floats:
    """Return the rates that are tried, slowest first [K/s]."""
    up = pace.heating * step
    changes = {0.0, *(share * up for share in SHARES), *(c for c in SMALL if c < up)}
    if pace.falls:
        down = pace.cooling * step
        changes |= {*(-share * down for share in FALLS), *(-c for c in SMALL[1:] if c < down)}
    return np.array(sorted(changes)) / step


def _falls_back(rig: Rig, rows: Rows, limits: LimitSet, pace: Pace, enough: float) -> tuple[Ints, Floats]:
    """Return the limit that each row breaks most, now or when the oven falls back, and by how much.

    Rows that break one by more than enough are not followed further.
    """
    name, by = limits.worst(rows.seen, rig.watch, rig.resin.gel)
    index = np.flatnonzero(by <= enough)
    state = rows.taken(index)
    floor = min(rig.start, float(rows.reference.min()))
    for span in COOLING if pace.falls else HOLDING:
        if not len(index):
            break
        fall = np.clip((state.reference - floor) / pace.cooling, 0.0, span) if pace.falls else np.zeros(len(index))
        before = state
        longest = None if pace.falls else LONG
        state = rig.stretched(state, np.full(len(index), span), -pace.cooling * fall / span, longest)
        found, worst = limits.worst(state.seen, rig.watch, rig.resin.gel)
        name[index], by[index] = found, worst
        on = worst <= enough
        if not pace.falls:
            over = np.isfinite(state.seen.done).all(axis=1)
            past = (state.seen.peak <= before.seen.peak) & (state.seen.alpha >= OVER_THE_HILL)
            on &= ~(over | past.all(axis=1))
        state, index = state.taken(on), index[on]
    return name, by
