"""Steps of a clock: midnight, summer time, twelve hours, a clock that was set; mended where certain, else asked."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from bagside.errors import Problem
from bagside.findings import Severity
from bagside.records.logger.clockwork import Clockwork
from bagside.records.logger.dates import DAY_ZERO
from bagside.records.logger.options import Jumps
from bagside.records.logger.saying import Place, duration, told
from bagside.records.logger.times import DAY, How, TimePlan

Floats = NDArray[np.float64]
HOUR = 3600.0
CHANGE_MONTHS = (3, 4, 9, 10, 11)
"""Months in which some country changes to summer time or back."""


def take_steps(work: Clockwork, plan: TimePlan, jumps: Jumps | None, place: Place) -> None:
    """Take each step back, and each that summer time or a set clock may explain.

    Parameters
    ----------
    work
        Times as they stand; they are changed.
    plan
        How they were read.
    jumps
        What a step means that cannot be explained; None to ask.
    place
        Names rows for messages.
    """
    raw = work.time.copy()
    steps = np.diff(raw)
    usual = work.interval
    odd = np.flatnonzero((steps < 0.0) | (np.abs(steps - HOUR - usual) <= 0.5 * usual) | (steps > DAY))
    if plan.half is None and not plan.sure and plan.how is not How.ELAPSED and _twelve_hours(raw, odd, steps, usual):
        k = int(odd[steps[odd] < 0.0][0])
        work.asked.append(
            Problem(
                place=f"{place.at(k + 1)}",
                came=f"{place.clock(raw[k])} is followed by {place.clock(raw[k + 1])}",
                wanted="this looks like a 12-hour clock without AM and PM; say whether the first reading was in the "
                'morning (--time "12 h am") or the afternoon (--time "12 h pm"), or that the clock has 24 hours '
                "(--time clock)",
            )
        )
        return
    for k in odd.tolist():
        steps[k] = _step(work, plan, jumps, place, raw, k, float(steps[k]))
    work.time = np.concatenate([raw[:1], raw[0] + np.cumsum(steps)]) if len(odd) else raw


def _twelve_hours(raw: Floats, odd: NDArray[np.intp], steps: Floats, usual: float) -> bool:
    """Return whether a clock goes from one to twelve and begins anew."""
    back = odd[steps[odd] < 0.0]
    if not len(back):
        return False
    of_day = raw % DAY
    on = (steps[back] + DAY / 2 <= 3.0 * usual + 1.0) & (steps[back] + DAY / 2 > 0.0)
    return bool(on.all() and of_day.min() >= HOUR and of_day.max() < 13.0 * HOUR)


def _step(
    work: Clockwork, plan: TimePlan, jumps: Jumps | None, place: Place, raw: Floats, k: int, step: float
) -> float:
    """Return what one odd step really was [s]."""
    usual, period = work.interval, plan.period
    back = step < 0.0
    if plan.how not in (How.NUMBER, How.ELAPSED) and plan.half is None and _summer_time(raw, k, step, usual, plan):
        work.noticed.append(
            told(
                Severity.WATCH, place.at(k + 1),
                f"the clock goes {'back' if back else 'forward'} by an hour, from {place.clock(raw[k])} to "
                f"{place.clock(raw[k + 1])}",
                "it was changed to or from summer time in the night",
                f"nothing; readings go on {duration(usual)} apart there",
            )
        )  # fmt: skip
        return usual
    if back and period is not None:
        over = step + period
        near = 6.0 * HOUR if plan.how is How.CLOCK else period if plan.half is not None else 3.0 * usual
        if 0.0 < over <= near:
            return over
    if not back and (step <= DAY) and (plan.dated or plan.how in (How.NUMBER, How.ELAPSED) or not _night(raw, k, step)):
        return step
    if jumps is Jumps.CONTINUE:
        work.noticed.append(
            told(
                Severity.WATCH, place.at(k + 1),
                f"the clock goes from {place.clock(raw[k])} to {place.clock(raw[k + 1])}",
                "as stated, it was changed and no time was lost",
                f"nothing; readings go on {duration(usual)} apart there",
            )
        )  # fmt: skip
        return usual
    if jumps is Jumps.KEEP and (not back or plan.how is How.CLOCK):
        return step + (DAY if back else 0.0)
    work.asked.append(_question(plan, place, raw, k, step, usual, kept=jumps is Jumps.KEEP))
    return step


def _question(plan: TimePlan, place: Place, raw: Floats, k: int, step: float, usual: float, *, kept: bool) -> Problem:
    """Return what is asked about a step."""
    came = f"{place.clock(raw[k])} is followed by {place.clock(raw[k + 1])}"
    go_on = f"readings went on {duration(usual)} apart (--jumps continue)"
    if kept:
        wanted = f"time cannot run back, so --jumps keep cannot hold here; {go_on} or cut the file in two there"
    elif step < 0.0 and plan.how is How.CLOCK:
        wanted = (
            f"either the clock was set back and {go_on}, or {duration(step + DAY)} passed until the next day "
            "(--jumps keep); say which"
        )
    elif step < 0.0 and plan.how in (How.NUMBER, How.ELAPSED):
        wanted = f"the logger began anew and the file does not tell how long it paused; if it did not, {go_on}"
    elif step < 0.0:
        wanted = f"the clock was set back and the file does not tell how much time passed; if none was lost, {go_on}"
    else:
        wanted = (
            f"either the clock was set forward and {go_on}, or {duration(step)} passed without a reading "
            "(--jumps keep); say which"
        )
    return Problem(place=place.at(k + 1), came=came, wanted=wanted)


def _night(raw: Floats, k: int, step: float) -> bool:
    """Return whether a clock steps an hour where summer time begins: at a full hour between midnight and four."""
    before, after = raw[k] % DAY, raw[k + 1] % DAY
    mark = HOUR * np.floor(after / HOUR)
    if step < 0.0:
        mark = HOUR * np.ceil(before / HOUR)
        return bool(HOUR <= mark <= 4.0 * HOUR)
    return bool(HOUR <= mark <= 4.0 * HOUR and before < mark - HOUR + 1.0)


def _summer_time(raw: Floats, k: int, step: float, usual: float, plan: TimePlan) -> bool:
    """Return whether a step can only be the change to summer time or back."""
    if usual > 0.5 * HOUR or not _night(raw, k, step):
        return False
    won = step + HOUR if step < 0.0 else step - HOUR
    if not 0.0 < won <= 1.5 * usual:
        return False
    before, after = raw[k] % DAY, raw[k + 1] % DAY
    if step < 0.0:
        if before + usual < HOUR * np.ceil(before / HOUR):
            return False  # not at the end of an hour
    elif after - HOUR * np.floor(after / HOUR) > usual:
        return False
    if not plan.dated:
        return step < 0.0
    day = date.fromordinal(int(raw[k + 1] // DAY) + DAY_ZERO)
    return day.weekday() == 6 and day.month in CHANGE_MONTHS
