"""Riding the active constraint: at each step the fastest oven rate from which a safe fall-back still exists.

Greedy in temperature and far-sighted in heat: a rate counts only when cooling afterwards, as fast as the oven can,
keeps every limit. So exotherm is foreseen by as long as it takes to come, and programmes that heat, cool and heat
again are found by themselves. No proof that nothing is faster: the polish that follows looks for it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.course import Pace
from bagside.cure.design.limits import LimitSet
from bagside.cure.design.rig import Rig, Rows

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

STEP, LONG_STEP = 300.0, 1800.0
"""Time for which a rate is tried [s], at first and when nothing has changed for long."""

SHARE = 1.0 / 30.0
"""Share of the time gone by that a step takes at least, as late in a long cure little happens in five minutes."""

QUIET = 6
"""Steps without a change after which they become longer."""

HEATING, COOLING = (1.0, 0.8333, 0.6667, 0.5, 0.3333, 0.1667, 0.0667), (0.5, 1.0)
"""Rates that are tried, as shares of the fastest; and none at all."""

FALL_BACK = (1200.0, 2400.0, 3600.0)
"""Stretches of cooling after which those that broke a limit are left out [s]."""

NOISE = 0.03
"""By how much a limit may seem broken for the solver's error alone, in units of its scale: 0.3 K."""

OVEN = "oven"
"""What held a ride back when it was no limit of the part: the oven's height, its rate or its heater."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ride:
    """What was ridden.

    Parameters
    ----------
    time, air
        Corners of the air's reference, shape (k,) [s, K].
    held_back
        What kept the air from rising faster in each step, shape (k − 1,).
    reached
        Whether every lane reached its target.
    stuck
        Whether no rate was safe, not even cooling.
    cure
        Least degree of cure at the end, of all lanes.
    """

    time: Floats
    air: Floats
    held_back: tuple[str, ...]
    reached: bool
    stuck: bool
    cure: float

    @property
    def mostly(self) -> str:
        """What held it back most of the time in its second half, the oven only when nothing else did."""
        late = self.held_back[len(self.held_back) // 2 :]
        spans = np.diff(self.time)[len(self.held_back) // 2 :]
        total: dict[str, float] = {}
        for name, span in zip(late, spans, strict=True):
            total[name] = total.get(name, 0.0) + float(span)
        ranked = sorted(total, key=lambda name: -total[name])
        others = [name for name in ranked if name != OVEN]
        return others[0] if others and total[others[0]] > 0.1 * sum(total.values()) else (ranked or [OVEN])[0]


def ridden(
    rig: Rig,
    rows: Rows,
    limits: LimitSet,
    pace: Pace,
    *,
    longest: float,
    going: Callable[[], bool] = lambda: True,
    passed: Callable[[float, Rows], None] | None = None,
) -> tuple[Ride, ...]:
    """Return one ride for each row.

    Parameters
    ----------
    rig
        Places and scenarios.
    rows
        Where each ride starts.
    limits
        What has to be kept.
    pace
        How fast the air may change.
    longest
        When to give up [s].
    going
        Asked now and then whether to go on.
    passed
        Told the time and the state after every step, with one row only.
    """
    tried = np.array([*(-pace.cooling * c for c in COOLING), 0.0, *(pace.heating * h for h in HEATING)])
    tried.sort()
    count = len(rows.time)
    times: list[list[float]] = [[0.0] for _ in range(count)]
    airs = [[float(x)] for x in rows.reference]
    back: list[list[str]] = [[] for _ in range(count)]
    reached, stuck = np.zeros(count, dtype=np.bool_), np.zeros(count, dtype=np.bool_)
    cure = rows.seen.alpha.min(axis=1)
    done = np.isfinite(rows.seen.done).all(axis=1)
    reached |= done
    left = np.flatnonzero(~done)
    state = rows.taken(left)
    step, quiet = STEP, 0
    while len(left) and going():
        state, chosen, ok, why = _best(rig, state, limits, tried, step, pace)
        for k, name in zip(left[~ok], why[~ok], strict=True):
            stuck[k] = True
            times[k].append(times[k][-1] + step)
            airs[k].append(airs[k][-1])
            back[k].append(str(name))
        left, rate, why = left[ok], chosen[ok], why[ok]
        end = state.seen.done.max(axis=1)
        cure[left] = state.seen.alpha.min(axis=1)
        for i, k in enumerate(left):
            finished = bool(np.isfinite(end[i]))
            span = max(float(end[i]) - times[k][-1], 1.0) if finished else step
            reached[k] = finished
            times[k].append(times[k][-1] + span)
            airs[k].append(airs[k][-1] + float(rate[i]) * span)
            back[k].append(str(why[i]))
        if passed is not None and len(left):
            passed(times[left[0]][-1], state)
        quiet = quiet + 1 if (np.abs(rate) * step < 0.5).all() else 0
        if quiet and quiet % QUIET == 0:
            step = min(2.0 * step, LONG_STEP)
        elif not quiet and len(state.time):
            step = min(max(STEP, SHARE * float(state.time.max())), LONG_STEP)
        on = ~np.isfinite(end) & (state.time + step <= longest + 1.0)
        state, left = state.taken(on), left[on]
    return tuple(
        Ride(
            time=np.array(times[k]),
            air=np.array(airs[k]),
            held_back=tuple(back[k]),
            reached=bool(reached[k]),
            stuck=bool(stuck[k]),
            cure=float(cure[k]),
        )
        for k in range(count)
    )


def _best(
    rig: Rig, state: Rows, limits: LimitSet, rates: Floats, step: float, pace: Pace
) -> tuple[Rows, Floats, Bools, NDArray[np.object_]]:
    """Return the rows after the best step, every row's rate, whether it was safe, and what forbade a faster one."""
    count = len(state.time)
    high = np.minimum((pace.hottest - state.reference) / step, pace.limit(state.reference, state.reference + 1e-9))
    if pace.power is not None and pace.power.heated > 0.0:
        p = pace.power
        spare = p.heater - p.loss * (state.reference - p.room)
        high = np.minimum(high, spare / (p.heated + p.loss * step))
    low = (min(rig.start, float(state.reference.min())) - state.reference) / step
    each = np.broadcast_to(rates[None, :], (count, len(rates)))
    wanted = np.clip(each, np.minimum(low, high)[:, None], high[:, None])
    fresh = np.ones_like(wanted, dtype=np.bool_)
    fresh[:, :-1] = wanted[:, 1:] - wanted[:, :-1] > 1e-9  # of equal ones the last
    row, column = np.nonzero(fresh)
    tried = rig.stretched(state.taken(row), np.full(len(row), step), wanted[row, column])
    broken = _falls_back(rig, tried, limits, pace)
    number = np.full((count, len(rates)), -1)
    number[row, column] = np.arange(len(row))
    safe = np.zeros_like(fresh)
    safe[row, column] = broken < 0
    lost: Bools = np.asarray(~safe.any(axis=1))
    if lost.any():
        # what cooling kept a step ago it may now miss by the solver's own error
        retried = np.flatnonzero(lost[row])
        again = _falls_back(rig, tried.taken(retried), limits.guarded(-NOISE * limits.scales), pace)
        safe[row[retried], column[retried]] = again < 0
    ok: Bools = np.asarray(safe.any(axis=1))
    pick = np.where(ok, len(rates) - 1 - np.argmax(safe[:, ::-1], axis=1), 0)
    why = np.full(count, OVEN, dtype=object)
    for k in range(count):
        faster = [j for j in range(pick[k] + 1 if ok[k] else 0, len(rates)) if fresh[k, j]]
        if faster:
            why[k] = limits.names[int(broken[number[k, faster[0]]])]
    chosen = number[np.arange(count), pick]
    return tried.taken(chosen[ok]), wanted[np.arange(count), pick], ok, why


def _falls_back(rig: Rig, rows: Rows, limits: LimitSet, pace: Pace) -> Ints:
    """Return which limit each row breaks, now or when the oven cools from here on as fast as it can; −1 for none."""
    broken = limits.first_broken(rows.seen, rig.watch, rig.resin.gel)
    index = np.flatnonzero(broken < 0)
    state = rows.taken(index)
    floor = min(rig.start, float(rows.reference.min()))
    for span in FALL_BACK:
        if not len(index):
            break
        fall = np.clip((state.reference - floor) / pace.cooling, 0.0, span)
        state = rig.stretched(state, np.full(len(index), span), -pace.cooling * fall / span)
        found = limits.first_broken(state.seen, rig.watch, rig.resin.gel)
        broken[index] = found
        state, index = state.taken(found < 0), index[found < 0]
    return broken
