"""Riding the active constraint: at each step the fastest oven rate from which a safe fall-back still exists.

Greedy in temperature and far-sighted in heat: a rate counts only when the fall-back afterwards keeps every limit. Where
a programme may only rise and hold the fall-back is to hold; where it may fall it is to cool as fast as the oven can,
so that programmes that heat, cool and heat again are found by themselves. No proof that nothing is faster: the polish
that follows looks for it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.course import Pace
from bagside.cure.design.limits import LimitSet
from bagside.cure.design.next_step import MISSED, OVEN, best
from bagside.cure.design.plain import plain_hold
from bagside.cure.design.rig import Rig, Rows

Floats = NDArray[np.float64]

STEP, LONG_STEP = 300.0, 1800.0
"""Time for which a rate is tried [s], at first and when nothing has changed for long."""

SHARE = 1.0 / 30.0
"""Share of the time gone by that a step takes at least, as late in a long cure little happens in five minutes."""

QUIET = 6
"""Steps without a change after which they become longer."""

CALM = 12
"""Short steps that follow one at which nothing was safe."""

FARTHER = (0.0, 0.06, 0.2, 0.6)
"""By how much more closely limits are kept when a ride has got stuck, in units of their scale."""


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
        Whether whatever the oven did broke a limit.
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
    plain: bool = True,
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
        Told the time and the state after every step of the ride that is returned, with one row only.
    plain
        Whether plain holds are tried where nothing else reaches the target.

    Notes
    -----
    A ride that got stuck is ridden again from its start with limits kept more closely, several times; one that may fall
    is then ridden without; and at last plain holds are tried. So what is not reached is not reached by these either.
    """
    out: dict[int, Ride] = {}
    left = np.arange(len(rows.time))
    ways = [(pace, more) for more in FARTHER]
    if pace.falls:
        ways += [(replace(pace, falls=False), more) for more in FARTHER]
    kept: list[tuple[float, Rows]] = []
    for way, more in ways:
        if not len(left) or (out and not going()):
            break
        told: list[tuple[float, Rows]] = []
        nearer = limits.guarded(more * limits.scales)
        some = _once(rig, rows.taken(left), nearer, way, longest, going, lambda t, r, to=told: to.append((t, r)))  # type: ignore[misc]
        for k, ride in zip(left.tolist(), some, strict=True):
            if _better(ride, out.get(k)):
                out[k], kept = ride, told
        at_once = all(ride.stuck and len(ride.time) <= 2 for ride in some)
        left = np.array([k for k in left.tolist() if out[k].stuck], dtype=np.int64)
        if at_once:
            break
    for k in range(len(rows.time)):
        if plain and going() and not out[k].reached and len(out[k].time) > 2:
            held = plain_hold(rig, rows.taken(np.array([k])), limits, pace, longest)
            if held is not None:
                time, air, state = held
                out[k] = Ride(
                    time=time,
                    air=air,
                    held_back=("",) * (len(time) - 1),
                    reached=True,
                    stuck=False,
                    cure=float(state.seen.alpha.min()),
                )
                kept = [(float(time[-1]), state)]
    if passed is not None and len(rows.time) == 1:
        for moment, state in kept:
            passed(moment, state)
    return tuple(out[k] for k in range(len(rows.time)))


def _better(ride: Ride, other: Ride | None) -> bool:
    """Return whether a ride is better than one before it."""
    if other is None:
        return True
    return (ride.reached, not ride.stuck, ride.cure) > (other.reached, not other.stuck, other.cure)


def _once(
    rig: Rig,
    rows: Rows,
    limits: LimitSet,
    pace: Pace,
    longest: float,
    going: Callable[[], bool],
    passed: Callable[[float, Rows], None],
) -> tuple[Ride, ...]:
    """Return one ride for each row, some of which may be stuck."""
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
    step, quiet, calm = STEP, 0, 0
    last: int | None = None
    while len(left) and going():
        state = replace(state, seen=state.seen.afresh())  # a limit missed by an error once is not missed for ever
        after = best(rig, state, limits, step, pace, last)
        if after.lost.any() and step > STEP:
            step, quiet = STEP, 0
            after = best(rig, state, limits, step, pace)
        calm = CALM if after.lost.any() else max(calm - 1, 0)
        ok = after.broken <= MISSED
        for k, name in zip(left[~ok], after.why[~ok], strict=True):
            stuck[k] = True
            times[k].append(times[k][-1] + step)
            airs[k].append(airs[k][-1])
            back[k].append(str(name))
        left, rate, why = left[ok], after.rate[ok], after.why[ok]
        state = after.rows.taken(ok)
        end = state.seen.done.max(axis=1)
        cure[left] = state.seen.alpha.min(axis=1)
        for i, k in enumerate(left):
            finished = bool(np.isfinite(end[i]))
            span = max(float(end[i]) - times[k][-1], 1.0) if finished else step
            reached[k] = finished
            times[k].append(times[k][-1] + span)
            airs[k].append(airs[k][-1] + float(rate[i]) * span)
            back[k].append(str(why[i]))
        if count == 1 and len(left):
            passed(times[left[0]][-1], state)
        quiet = quiet + 1 if (np.abs(rate) * step < 0.5).all() else 0
        if quiet and quiet % QUIET == 0:
            step = min(2.0 * step, LONG_STEP)
        elif not quiet and len(state.time):
            step = STEP if calm else min(max(STEP, SHARE * float(state.time.max())), LONG_STEP)
        last = int(after.place.max())
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
