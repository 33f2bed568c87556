"""How the rest of a cure will go when every dwell begins with the sensor that lags."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from bagside.cure.judging.onward import BEHIND, PROBABLE, Onward, Went
from bagside.cure.outcome import crossed
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme, Segment

PATIENCE = 6 * 3600.0
"""Longest that a dwell is waited for [s]."""

COOLS = 3.0 / 60.0
"""Fastest cooling that is counted on [K/s]: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One segment still to come.

    Parameters
    ----------
    number
        From 1.
    dwell_begins
        When the lagging sensor will be within the band [s from now]; zero when it is, none when it never will be.
    ends
        When its hold is over by that [s from now].
    """

    number: int
    dwell_begins: float | None
    ends: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """How it will go.

    Parameters
    ----------
    legs
        Segments still to come, the present one first.
    done
        When the last hold is over [s from now]; none when a dwell never begins.
    off
        When the part is cool enough to take off [s from now]; none with ``done``, or when it takes over a day.
    cure, cure_low
        Degree of cure at the least cured point then, most probably, and as far behind as the log allows.
    hottest, hottest_in
        Hottest laminate still to come, as far ahead as the log allows [K], and when [s from now].
    tool_hottest
        Hottest tool still to come [K]; none without tools.
    """

    legs: tuple[Leg, ...]
    done: float | None
    off: float | None
    cure: float
    cure_low: float
    hottest: float
    hottest_in: float
    tool_hottest: float | None


def forecast(
    start: Onward,
    programme: Programme,
    oven: Oven,
    *,
    segment: int,
    dwell: float,
    error: float,
    band: float,
    demould: float,
) -> Forecast:
    """Return how the rest of a cure will go.

    Parameters
    ----------
    start
        The sections now.
    programme, oven
        As planned.
    segment
        Number of the one it is in, from 1; more than there are when the last hold is over.
    dwell
        How long the lagging sensor has been within the band in it [s].
    error
        Most probable error of that sensor [K]: what it will read is the model and this.
    band
        How far below the target it may be for the dwell to count [K].
    demould
        Temperature at which the part may come off [K].
    """
    at, legs, wents, done = start, [], [], True
    for number in range(segment, len(programme.segments) + 1):
        s = programme.segments[number - 1]
        have = dwell if number == segment else 0.0
        rising = s.target >= at.air - 1.0
        left = max(s.hold - have, 0.0)
        asked = Programme(start=at.air, segments=(replace(s, hold=left + (PATIENCE if rising else 60.0)),))
        went = at.asked(asked, oven)
        begins = _within(went, s.target - band, error) if rising else 0.0
        if begins is None:
            legs.append(Leg(number=number, dwell_begins=None, ends=None))
            wents.append(went)
            done = False
            break
        up = float(oven.air(asked).breaks[-1]) - left - (PATIENCE if rising else 60.0)
        end = max(begins + left, up if not rising else 0.0, 60.0)
        legs.append(Leg(number=number, dwell_begins=at.since + begins, ends=at.since + end))
        wents.append(_cut(went, end))
        at = went.at(end)
    off = _cool(at, oven, demould) if done else None
    peaks = [_peak(w) for w in wents] or [(max(float(np.max(s.temperatures_from(at.air))) for s in at.sections), 0.0)]
    tools = [t for w in wents if (t := w.tool_hottest()) is not None]
    hottest, when = max(peaks)
    return Forecast(
        legs=tuple(legs),
        done=at.since if done else None,
        off=None if off is None else at.since + off,
        cure=_least(at, PROBABLE),
        cure_low=_least(at, BEHIND),
        hottest=hottest,
        hottest_in=when,
        tool_hottest=max(tools) if tools else None,
    )


def _within(went: Went, level: float, error: float) -> float | None:
    """Return when the lagging sensor reads a level [s]; none when it never does."""
    runs = went.lanes(PROBABLE)
    low = np.min([h.laminate_temperature.min(axis=1) for h in runs], axis=0) + error
    return crossed(runs[0].time, low, level)


def _cut(went: Went, end: float) -> Went:
    return replace(
        went,
        runs=tuple(
            replace(
                h,
                time=h.time[h.time <= end + 60.0],
                temperature=h.temperature[h.time <= end + 60.0],
                alpha=h.alpha[h.time <= end + 60.0],
                air=h.air[h.time <= end + 60.0],
                programme=h.programme[h.time <= end + 60.0],
            )
            for h in went.runs
        ),
    )


def _peak(went: Went) -> tuple[float, float]:
    best = (-np.inf, 0.0)
    for h in went.runs:
        hot = h.laminate_temperature.max(axis=1)
        k = int(np.argmax(hot))
        best = max(best, (float(hot[k]), went.start.since + float(h.time[k])))
    return best


def _least(at: Onward, which: int) -> float:
    return min(float(np.min(s.cure_from(at.resin.alpha0))) for s in at.sections[which::3])


def _cool(at: Onward, oven: Oven, demould: float) -> float | None:
    """Return how long the part takes to where it may come off [s]."""
    hot = max(float(np.max(s.temperatures_from(at.air)[s.reacting[0] :])) for s in at.sections)
    if hot <= demould:
        return 0.0
    target = demould - 10.0
    if at.air <= target:
        target = at.air
    asked = Programme(
        start=at.air,
        segments=(Segment(target=target, ramp=min(oven.cooling, COOLS), hold=24 * 3600.0),),
    )
    went = at.asked(asked, oven)
    time = went.runs[0].time
    hottest = np.max([h.temperature[:, h.reacting[0] :].max(axis=1) for h in went.lanes(PROBABLE)], axis=0)
    return crossed(time, -hottest, -demould)
