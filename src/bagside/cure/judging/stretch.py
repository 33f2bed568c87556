"""One segment of a programme as it was run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.judging.readings import Series
from bagside.cure.outcome import crossed, time_above
from bagside.cure.programme import Programme

Floats = NDArray[np.float64]

NEAR = 3.0
"""Air this close to its target has reached it [K]."""

AWAY = 5.0
"""Air this far from its target has left it [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One segment of the programme as it was run.

    Parameters
    ----------
    number
        Of the segment, from 1.
    target, ramp, hold
        As asked [K], [K/s], [s].
    begins
        When its ramp began [s]; none when it was not come to.
    reached
        When the air reached the target [s]; none when it has not.
    left
        When the air went on from it [s]; the end of the log while it has not.
    rate
        Of the air on its ramp, by least squares [K/s]; none without three points.
    rate_lagging
        The same of the lagging sensor.
    dwell, dwell_tight
        Time the lagging sensor was within the band below the target, and within three kelvin [s].
    lagging_there
        When the lagging sensor first came within the band [s]; none when it has not.
    over
        Most by which the leading sensor exceeded the target [K].
    """

    number: int
    target: float
    ramp: float
    hold: float
    begins: float | None
    reached: float | None
    left: float | None
    rate: float | None
    rate_lagging: float | None
    dwell: float
    dwell_tight: float
    lagging_there: float | None
    over: float | None


def passed(
    time: Floats, values: Floats, begins: float, before: float, target: float, after: float | None
) -> tuple[float | None, float | None]:
    """Return when the air reached a target and when it went on from it [s]; none where it has not.

    Parameters
    ----------
    time, values
        Of the air [s], [K].
    begins
        When the rise to it began [s].
    before, target, after
        Temperature before, at, and after the hold [K]; none after the last.
    """
    later = time >= begins
    up = target >= before
    close = later & ((values >= target - NEAR) if up else (values <= target + NEAR))
    if not close.any():
        return None, None
    first = int(np.argmax(close))
    reached = float(time[first])
    rest = time > reached
    if after is None or after < target:
        low = target - AWAY if after is None else target - min(AWAY, 0.3 * (target - after))
        above = np.flatnonzero(rest & (values >= low))
        last = int(above[-1]) if len(above) else first
        return reached, (float(time[last]) if last + 1 < len(time) and time[-1] - time[last] > 120.0 else None)
    on = rest & (values > target + min(AWAY, 0.3 * (after - target)))
    # it has gone on only if it stays up: an overshoot comes back
    stays = np.flatnonzero(on)
    if not len(stays):
        return reached, None
    for k in stays:
        ahead = (time >= time[k]) & (time <= time[k] + 1200.0)
        if (values[ahead] > target + NEAR).all():
            back = np.flatnonzero((time <= time[k]) & (values <= target + NEAR))
            return reached, float(time[back[-1]]) if len(back) else float(time[k])
    return reached, None


def not_reached(i: int, programme: Programme) -> Stretch:
    """Return a segment that was not come to.

    Parameters
    ----------
    i
        Of the segment, from 0.
    programme
        As planned.
    """
    s = programme.segments[i]
    return Stretch(
        number=i + 1, target=s.target, ramp=s.ramp, hold=s.hold, begins=None, reached=None, left=None, rate=None,
        rate_lagging=None, dwell=0.0, dwell_tight=0.0, lagging_there=None, over=None,
    )  # fmt: skip


def stretch_of(
    i: int,
    programme: Programme,
    begins: float,
    reached: float | None,
    left: float | None,
    air: Series,
    lagging: Series,
    leading: Series,
    band: float,
) -> Stretch:
    """Return a segment as it was run.

    Parameters
    ----------
    i
        Of the segment, from 0.
    programme
        As planned.
    begins, reached, left
        As of `Stretch`.
    air, lagging, leading
        Lines of the air and of the sensors that lag and lead.
    band
        How far below the target the lagging sensor may be for the dwell to count [K].
    """
    s = programme.segments[i]
    end = float(air.time[-1]) if left is None else left
    up = reached if reached is not None else end
    inside = lagging.time[(lagging.time >= begins) & (lagging.time <= end)]
    grid = np.unique(np.concatenate([inside, [begins, end]]))
    low = lagging.at(grid)
    hot = leading.at(grid)
    return Stretch(
        number=i + 1,
        target=s.target,
        ramp=s.ramp,
        hold=s.hold,
        begins=begins,
        reached=reached,
        left=left,
        rate=_slope(air, begins, up),
        rate_lagging=_slope(lagging, begins, up),
        dwell=time_above(grid, low, s.target - band) if len(grid) > 1 else 0.0,
        dwell_tight=time_above(grid, low, s.target - NEAR) if len(grid) > 1 else 0.0,
        lagging_there=crossed(grid, low, s.target - band),
        over=float(hot.max() - s.target) if reached is not None else None,
    )


def _slope(line: Series, start: float, end: float) -> float | None:
    """Return the slope of a line by least squares over the middle of a stretch [K/s]."""
    a, b = start + 0.1 * (end - start), end - 0.1 * (end - start)
    inside = (line.time >= a) & (line.time <= b)
    if inside.sum() < 3:
        return None
    return float(np.polyfit(line.time[inside] - a, line.values[inside], 1)[0])
