"""The clock of a log: past midnight, to summer time and back, set by hand, hanging, or too coarse for the readings.

What is certain is mended and said. What could mean two things is asked: an hour that is lost or won changes a cure.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from bagside.errors import Problem
from bagside.findings import Finding, Severity
from bagside.records.logger.dates import DAY_ZERO
from bagside.records.logger.options import Jumps
from bagside.records.logger.saying import Place, duration, told
from bagside.records.logger.times import DAY, How, TimePlan

Floats = NDArray[np.float64]
HOUR = 3600.0
CHANGE_MONTHS = (3, 4, 9, 10, 11)
"""Months in which some country changes to summer time or back."""


@dataclass(slots=True, kw_only=True)
class Clockwork:
    """Times of a log while they are mended.

    Parameters
    ----------
    time
        As they stand now [s].
    keep
        Rows that stay.
    interval
        Usual time between two readings [s].
    noticed
        What was mended.
    asked
        What must be asked.
    """

    time: Floats
    keep: NDArray[np.bool_]
    interval: float
    noticed: list[Finding] = field(default_factory=list)
    asked: list[Problem] = field(default_factory=list)


def mended(raw: Floats, plan: TimePlan, jumps: Jumps | None, place: Place) -> Clockwork:
    """Return times that rise, with what was mended and what must be asked.

    Parameters
    ----------
    raw
        As each row tells it, shape (k,) [s].
    plan
        How they were read.
    jumps
        What a step means that cannot be explained; None to ask.
    place
        Names rows for messages.

    Returns
    -------
    Clockwork
        Its times rise where nothing is asked.
    """
    if plan.how is How.EVERY:
        return Clockwork(time=raw, keep=np.ones(len(raw), bool), interval=plan.scale)
    work = Clockwork(time=raw.copy(), keep=np.ones(len(raw), bool), interval=_usual(raw, plan))
    if plan.half is not None:
        work.time = work.time % (DAY / 2)
    _newest_first(work, place)
    _out_of_order(work, plan, place)
    _steps(work, plan, jumps, place)
    if not work.asked:
        _same_times(work, jumps, place)
    return work


def _usual(raw: Floats, plan: TimePlan) -> float:
    """Return the usual time between readings that have different times [s]."""
    steps = np.abs(np.diff(raw))
    if plan.period is not None:
        steps = np.minimum(steps, np.abs(plan.period - steps))
    steps = steps[steps > 0.0]
    return float(np.median(steps)) if len(steps) else 0.0


def _newest_first(work: Clockwork, place: Place) -> None:
    """Turn a file round that begins with its last reading."""
    steps = np.diff(work.time)
    if len(steps) >= 3 and (steps < 0.0).sum() > 0.9 * (steps != 0.0).sum() > 0.0:
        work.time = work.time[::-1].copy()
        place.turn()
        work.noticed.append(
            told(
                Severity.SEEN, place.file, "the newest reading stands first",
                "a cure is judged from its first reading on", "nothing; the rows were turned round",
            )
        )  # fmt: skip


def _out_of_order(work: Clockwork, plan: TimePlan, place: Place) -> None:
    """Sort rows that stand a place or two from where their time belongs."""
    if plan.period is not None or not (np.diff(work.time) < 0.0).any():
        return
    order = np.argsort(work.time, kind="stable")
    moved = np.abs(order - np.arange(len(order)))
    if moved.max() <= 3 and len(np.unique(work.time)) == len(work.time) and (moved > 0).mean() <= 0.1:
        first = int(np.flatnonzero(moved)[0])
        work.time = work.time[order]
        place.sort(order)
        work.noticed.append(
            told(
                Severity.SEEN, place.at(first),
                f"{int((moved > 0).sum())} rows do not stand in the order of their times",
                "readings are taken in the order in which they were made", "nothing; the rows were sorted by time",
            )
        )  # fmt: skip


def _steps(work: Clockwork, plan: TimePlan, jumps: Jumps | None, place: Place) -> None:
    """Take each step back, and each that summer time or a set clock may explain."""
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


def _same_times(work: Clockwork, jumps: Jumps | None, place: Place) -> None:
    """Part readings that stand at one time: a clock too coarse, one that hung, or a row written twice."""
    steps = np.diff(work.time)
    if not (steps == 0.0).any() or work.interval == 0.0:
        return
    starts = np.flatnonzero(np.concatenate([[True], steps > 0.0]))
    counts = np.diff(np.concatenate([starts, [len(work.time)]]))
    if (steps == 0.0).mean() > 0.3:
        _spread(work, starts, counts, place)
        return
    for start, count in zip(starts.tolist(), counts.tolist(), strict=True):
        if count > 1:
            _hung(work, start, count, jumps, place)


def _spread(work: Clockwork, starts: NDArray[np.intp], counts: NDArray[np.intp], place: Place) -> None:
    """Spread readings evenly over the steps of a coarse clock."""
    usual = int(np.median(counts[1:-1])) if len(counts) > 2 else int(counts.max())
    at = work.time[starts]
    lengths = np.concatenate([np.minimum(np.diff(at), 1.5 * work.interval), [work.interval]])
    apart = lengths / np.maximum(counts, 1)
    apart[[0, -1]] = work.interval / max(usual, int(counts[0]), int(counts[-1]))
    within = np.arange(len(work.time)) - np.repeat(starts, counts)
    shift = np.zeros(len(starts))
    shift[0] = lengths[0] - counts[0] * apart[0] if len(starts) > 1 else 0.0  # the first minute may have begun before
    work.time = np.repeat(at + shift, counts) + within * np.repeat(apart, counts)
    work.noticed.append(
        told(
            Severity.SEEN, place.file,
            f"the clock steps by {duration(work.interval)} while there are {usual} readings to each step",
            "readings need times of their own", "nothing; they were spread evenly over each step",
        )
    )  # fmt: skip
    work.interval = work.interval / max(usual, 1)


def _hung(work: Clockwork, start: int, count: int, jumps: Jumps | None, place: Place) -> None:
    """Take a run of readings at one time."""
    at = work.time[start]
    after = work.time[start + count] - at if start + count < len(work.time) else None
    if after is not None and abs(after - count * work.interval) <= 0.3 * count * work.interval and count > 1:
        work.time[start : start + count] = at + np.arange(count) * after / count
        work.noticed.append(
            told(
                Severity.SEEN, place.at(start),
                f"the clock hung at {place.clock(at)} for {count} readings and caught up",
                "readings need times of their own", "nothing; they were spread evenly until it went on",
            )
        )  # fmt: skip
    elif count == 2:
        work.keep[start + 1] = False
        work.noticed.append(
            told(
                Severity.SEEN, place.at(start + 1), f"{place.clock(at)} stands twice",
                "there is one reading at a time", "nothing; the second row was left out",
            )
        )  # fmt: skip
    elif jumps is Jumps.CONTINUE:
        work.time[start + count :] += (count - (after is not None)) * work.interval if after is not None else 0.0
        work.time[start : start + count] = at + np.arange(count) * work.interval
        work.noticed.append(
            told(
                Severity.WATCH, place.at(start), f"the clock hung at {place.clock(at)} for {count} readings",
                "as stated, readings went on at their usual interval", "nothing; what follows was moved on",
            )
        )  # fmt: skip
    else:
        work.asked.append(
            Problem(
                place=place.at(start),
                came=f"{count} readings at {place.clock(at)}",
                wanted="the clock hung and the file does not tell for how long; if readings went on "
                f"{duration(work.interval)} apart, say --jumps continue, else take these rows out",
            )
        )
