"""Where a logged cure is in its programme, and where it left it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.judging.corners import smoothed
from bagside.cure.judging.readings import Series
from bagside.cure.judging.stretch import NEAR, Stretch, not_reached, passed, stretch_of
from bagside.cure.outcome import crossed
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme

Floats = NDArray[np.float64]

LEFT = 5.0
"""Air this far from what the programme would have given has left it [K]: an oven good to ±5 K does not show it."""

LASTS = 300.0
"""Time a departure must last [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Departure:
    """By how much the air was off what the oven gives for the programme.

    Parameters
    ----------
    first, first_by
        When it first left it for good reason [s since heat on], and by how much [K]; none when it never did.
    largest, largest_by
        When it was farthest off [s since heat on], and by how much [K].
    by_segment
        Mean difference in each segment of the programme that the log reached [K].
    """

    first: float | None
    first_by: float | None
    largest: float
    largest_by: float
    by_segment: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A log against its programme.

    Parameters
    ----------
    heat_on
        When heating began [s]; none when it has not.
    stretches
        Every segment.
    now
        Number of the segment the log ends in, from 1; zero before heating, one more than there are when it is over.
    departure
        By how much the air was off; none before heating.
    cooling
        Steepest fall of the lagging sensor over ten minutes after the last hold [K/s]; none when it did not fall.
    """

    heat_on: float | None
    stretches: tuple[Stretch, ...]
    now: int
    departure: Departure | None
    cooling: float | None


def coursed(
    air: Series, lagging: Series, leading: Series, programme: Programme, oven: Oven, *, band: float = 5.0
) -> Course:
    """Return where a log is in its programme and where it left it.

    Parameters
    ----------
    air
        Mean line of the air.
    lagging, leading
        Lines of the sensor that lags and of the one that leads, or what a model says of those points.
    programme
        As planned.
    oven
        What it was planned for.
    band
        How far below the target the lagging sensor may be for the dwell to count [K].

    Notes
    -----
    Segments are told by the air itself and not by the clock: somebody who waits for the lagging sensor is not off the
    plan's segments. The departure is against the clock.
    """
    time, values = air.time, smoothed(air)
    meant = oven.air(programme)
    plan_time = np.append(np.arange(0.0, meant.end, 30.0), meant.end)
    planned = meant.at(plan_time)
    on = _heat_on(time, values, programme, plan_time, planned)
    if on is None:
        return Course(
            heat_on=None,
            stretches=tuple(not_reached(i, programme) for i in range(len(programme.segments))),
            now=0,
            departure=None,
            cooling=None,
        )
    stretches: list[Stretch] = []
    at, before, now = on, programme.start, 1
    for i, s in enumerate(programme.segments):
        after = programme.segments[i + 1].target if i + 1 < len(programme.segments) else None
        if i + 1 > now:
            stretches.append(not_reached(i, programme))
            continue
        reached, left = passed(time, values, at, before, s.target, after)
        stretches.append(stretch_of(i, programme, at, reached, left, air, lagging, leading, band))
        before = s.target
        if left is None:
            continue
        at, now = left, i + 2
    held = [s.left for s in stretches if s.left is not None]
    return Course(
        heat_on=on,
        stretches=tuple(stretches),
        now=now,
        departure=_departure(time, values, on, programme, plan_time, planned),
        cooling=_cooling(lagging, held[-1]) if now > len(programme.segments) else None,
    )


def _heat_on(time: Floats, values: Floats, programme: Programme, corners: Floats, planned: Floats) -> float | None:
    """Return when heating began: by when the air passes a level on the first rise, as against the plan."""
    rise = programme.hottest - programme.start
    if rise <= NEAR:
        return float(time[0])
    level = max(programme.start, float(values[0])) + min(6.0, 0.2 * rise)
    if level >= programme.hottest:
        return float(time[0])  # the log begins hot
    seen, meant = crossed(time, values, level), crossed(corners, planned, level)
    if seen is None or meant is None:
        return None
    return max(seen - meant, float(time[0]))


def _departure(
    time: Floats, values: Floats, on: float, programme: Programme, corners: Floats, planned: Floats
) -> Departure:
    since = time - on
    counted = (since >= 0.0) & (since <= programme.duration)
    t, off = since[counted], (values - np.interp(since, corners, planned))[counted]
    if not len(t):
        t, off = since[-1:], np.zeros(1)
    far = np.abs(off) > LEFT
    first = None
    for k in np.flatnonzero(far):
        if far[(t >= t[k]) & (t <= t[k] + LASTS)].all() and t[-1] - t[k] >= LASTS:
            first = int(k)
            break
    worst = int(np.argmax(np.abs(off)))
    ends = np.append(0.0, _ends(programme))
    return Departure(
        first=None if first is None else float(t[first]),
        first_by=None if first is None else float(off[(t >= t[first]) & (t <= t[first] + LASTS)].mean()),
        largest=float(t[worst]),
        largest_by=float(off[worst]),
        by_segment=tuple(
            float(off[(t >= a) & (t < b)].mean())
            for a, b in itertools.pairwise(ends.tolist())
            if ((t >= a) & (t < b)).any()
        ),
    )


def _ends(programme: Programme) -> Floats:
    """Return when each segment ends [s]."""
    at, out, now = programme.start, [], 0.0
    for s in programme.segments:
        now += abs(s.target - at) / s.ramp + s.hold
        at = s.target
        out.append(now)
    return np.array(out)


def _cooling(line: Series, since: float) -> float | None:
    grid = np.arange(since, line.end, 120.0)
    if len(grid) < 6:
        return None
    y = line.at(grid)
    fall = float(np.max((y[:-5] - y[5:]) / 600.0))
    return fall if fall > 0.0 else None
