"""From readings to a log: times mended, numbers in SI, what cannot be a reading taken out and said."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Channel, CureLog, Sensor
from bagside.errors import InputError, Problem
from bagside.findings import Finding, Severity
from bagside.records.logger.channels import ChannelPlan
from bagside.records.logger.clockwork import Clockwork
from bagside.records.logger.form import Form
from bagside.records.logger.header import column_place
from bagside.records.logger.mend import mended
from bagside.records.logger.options import LoggerOptions
from bagside.records.logger.pressures import absolute, ambient_of, shown_by_readings
from bagside.records.logger.rows import Readings, together
from bagside.records.logger.saying import Place, clock_text, duration, told
from bagside.records.logger.times import DAY, How
from bagside.records.logger.units import Measures
from bagside.records.logger.watching import watched

Floats = NDArray[np.float64]
COLDEST, HOTTEST = 173.15, 773.15
"""No sensor of an oven cure reads beyond these: an open or shorted one does [K]."""
HIGHEST = 2.5e6
"""Highest pressure that is one [Pa]."""
MILLENNIUM = datetime(2000, 1, 1)


def log_from(
    form: Form, readings: Readings, options: LoggerOptions, name: str
) -> tuple[CureLog, tuple[ChannelPlan, ...]]:
    """Return the log that readings are, and its channels with what their readings alone could tell.

    Parameters
    ----------
    form
        How the file was read.
    readings
        All of them.
    options
        What was stated.
    name
        Of the file.

    Raises
    ------
    InputError
        With everything that must be asked, or when there are fewer than two readings.
    """
    raw = together(readings.raw, (0,))
    values = together(readings.values, (len(readings.channels), 0))
    asked = [_mark(name, readings.unclear)] if readings.unclear else []
    if len(raw) < 2:
        raise InputError([*asked, _too_few(name, len(raw))])
    asked += _of_columns(readings, name)
    lines = np.concatenate(readings.lines)
    dated = form.time.dated and form.time.half is None
    clocked = dated or form.time.how is How.CLOCK or form.time.half is not None
    place = Place(
        file=name,
        lines=lines,
        written=(lambda t: clock_text(t + (form.time.zone or 0), dated=dated)) if clocked else duration,
        rows=np.arange(len(raw)),
    )
    work = _timed(form, readings, raw, options, place)
    values = values[:, place.rows][:, work.keep]
    plans = tuple(map(shown_by_readings, readings.channels, values))
    numbers, more = _si(plans, values, options, name)
    asked += [*work.asked, *more]
    if asked:
        raise InputError(asked)
    times = work.time[work.keep]
    started = _started(form, raw[place.rows][0], float(times[0]))
    noticed = [*_of_rows(form, readings, name), *work.noticed]
    if form.time.zone == 0:
        noticed.append(
            told(
                Severity.SEEN, f"{name}, {column_place(form.time.name)}", "its clock is Greenwich's (UTC)",
                "the clock on the wall may show another hour", "nothing; times since the start are not touched",
            )
        )  # fmt: skip
    channels = []
    for plan, row in zip(plans, numbers, strict=True):
        kept = _possible(plan, row, noticed, name)
        channels.append(Channel(name=plan.name, sensor=plan.sensor, values=kept, section=plan.section))
    times = times - times[0]
    channels, more_noticed = watched(times, channels, started, name)
    log = CureLog(name=name, time=times, channels=tuple(channels), started=started, noticed=(*noticed, *more_noticed))
    return log, plans


def _of_columns(readings: Readings, name: str) -> list[Problem]:
    """Return a problem when columns change within the file."""
    if readings.strange_count > max(20, 0.2 * readings.count):
        first = readings.strange[0]
        wanted = f"{readings.strange_count} lines like this hold no time that is understood; say which column tells it"
        return [
            Problem(place=f"{name}, line {first[0]}", came=f'"{first[1][:40]}"', wanted=f"{wanted} (--time-column)")
        ]
    line = readings.changed or (readings.wide[0] if readings.wide_count > max(3, 0.05 * readings.count) else 0)
    if not line:
        return []
    wanted = "from here on the columns are others than above; cut the file in two here and read each part"
    return [Problem(place=f"{name}, line {line}", came="", wanted=wanted)]


def _timed(form: Form, readings: Readings, raw: Floats, options: LoggerOptions, place: Place) -> Clockwork:
    """Return mended times: of the clock, or of a column of elapsed time where the clock leaves a question."""
    work = mended(raw, form.time, options.jumps, place)
    spare = together(readings.spares, (0,))
    if not work.asked or form.spare is None or len(spare) != len(raw) or not (np.diff(spare) > 0.0).all():
        return work
    place.rows = np.arange(len(raw))
    question = work.asked[0]
    work = mended(spare, form.spare, options.jumps, place)
    work.time = work.time - work.time[0] + raw[0]
    work.noticed.append(
        told(
            Severity.WATCH, question.place, f"the clock cannot be trusted: {question.came}",
            f"the time passed is told beside it, in {column_place(form.spare.name)}", "nothing; that column was used",
        )
    )  # fmt: skip
    return work


def _too_few(name: str, count: int) -> Problem:
    came = "one row of readings" if count else "no row of readings"
    return Problem(place=name, came=came, wanted="two or more are wanted")


def _mark(name: str, text: str) -> Problem:
    both = text.replace(",", "").replace(".", "")
    point = text.replace(",", ".")
    return Problem(
        place=name,
        came=f'"{text}"',
        wanted=f'this may be {point} (--decimal "{"," if "," in text else "."}") or {both} '
        f'(--decimal "{"." if "," in text else ","}"); say which',
    )


def _si(
    plans: Sequence[ChannelPlan], values: Floats, options: LoggerOptions, name: str
) -> tuple[list[Floats], list[Problem]]:
    ambient = ambient_of(plans, values, options.ambient)
    found: list[Floats] = []
    asked: list[Problem] = []
    for plan, numbers in zip(plans, values, strict=True):
        if plan.unit.measures is Measures.TEMPERATURE:
            asked += _kind_of_thermocouple(plan, numbers, name)
            found.append(plan.unit.scale * (numbers + plan.unit.offset))
            continue
        pressure, problems = absolute(plan, numbers, ambient, name)
        found.append(pressure)
        asked += problems
    return found, asked


def _kind_of_thermocouple(plan: ChannelPlan, numbers: Floats, name: str) -> list[Problem]:
    """Return a question when a K in the head seems to be the thermocouple's type and no kelvin."""
    there = numbers[np.isfinite(numbers)]
    if plan.unit.text != "K" or not len(there) or float(np.median(there)) > COLDEST:
        return []
    wanted = "as kelvin this would be far below freezing; the K may be the thermocouple's type: say its unit"
    hint = f'as in --unit "{plan.name}=°C"'
    return [Problem(place=f"{name}, {column_place(plan.name)}", came=f"{there[0]:g} K", wanted=wanted, hint=hint)]


def _possible(plan: ChannelPlan, values: Floats, noticed: list[Finding], name: str) -> Floats:
    """Return readings with those taken out that cannot be one."""
    lowest, highest = (COLDEST, HOTTEST) if plan.unit.measures is Measures.TEMPERATURE else (0.0, HIGHEST)
    with np.errstate(invalid="ignore"):
        out = (values < lowest) | (values > highest)
    if out.any():
        k = int(np.flatnonzero(out)[0])
        number = values[k] / plan.unit.scale - plan.unit.offset
        count = int(out.sum())
        noticed.append(
            told(
                Severity.WATCH,
                f"{name}, {plan.name}",
                f"{count} reading{'s' if count > 1 else ''} cannot be one, the first {number:.4g} {plan.unit.text}",
                "an open or shorted sensor gives such numbers",
                "nothing was put in its place: look at plug and wire",
            )
        )
        values = np.where(out, np.nan, values)
    return values


def _started(form: Form, raw: float, first: float) -> datetime | None:
    """Return the clock time of the first reading, as far as the file tells it."""
    plan, begun = form.time, form.begun
    if not plan.dated and plan.how is How.CLOCK and plan.half is None and begun is not None:
        return datetime(begun.year, begun.month, begun.day) + timedelta(seconds=first)
    if not plan.dated:
        return begun if plan.how in (How.NUMBER, How.ELAPSED) and begun is not None and begun.time() != time() else None
    if plan.half is not None:
        return MILLENNIUM + timedelta(seconds=float(raw // DAY * DAY + plan.half + raw % (DAY / 2)))
    return MILLENNIUM + timedelta(seconds=round(first + (plan.zone or 0), 6))


def _of_rows(form: Form, readings: Readings, name: str) -> list[Finding]:
    """Return what the rows themselves showed."""
    found: list[Finding] = []
    if readings.again:
        some = ", ".join(map(str, readings.again[:5]))
        found.append(
            told(
                Severity.SEEN, f"{name}, line{'s' if len(readings.again) > 1 else ''} {some}",
                "the head of the table stands once more",
                "the logger was started again there", "nothing; readings go on",
            )
        )  # fmt: skip
    if readings.wide_count:
        found.append(_left(name, readings.wide, readings.wide_count, "more cells than the table has columns"))
    if readings.short_count:
        found.append(
            _left(name, readings.short, readings.short_count, "fewer cells than the table has columns", kept=True)
        )
    if readings.strange_count:
        first = readings.strange[0][1][:40]
        found.append(_left(name, [n for n, _ in readings.strange], readings.strange_count, f'no time ("{first}")'))
    if readings.broken:
        found.append(
            told(
                Severity.SEEN, f"{name}, line {readings.broken}", "the last line breaks off",
                "it was being written when the file was copied", "nothing; it was left out",
            )
        )  # fmt: skip
    for column, reason in form.plans.aside.items():
        if form.spare is not None and column == form.spare.name:
            continue
        found.append(
            told(
                Severity.SEEN, f"{name}, {column_place(column)}", f"left out: {reason}",
                "only sensors of the cure are read",
                f'if it is one, say so, as in --column "{column}=part"' if reason != "as stated" else "nothing",
            )
        )  # fmt: skip
    for plan in form.plans.channels:
        if plan.sensor is Sensor.SET:
            found.append(
                told(
                    Severity.SEEN, f"{name}, {column_place(plan.name)}", "read as the controller's set point",
                    "the run can be laid against the programme it was given", "nothing",
                )
            )  # fmt: skip
    return found


def _left(name: str, lines: Sequence[int], count: int, what: str, *, kept: bool = False) -> Finding:
    plural = "s" if count > 1 else ""
    where = f"{name}, line{plural} {', '.join(map(str, lines[:5]))}" + (" …" if count > 5 else "")
    return told(
        Severity.WATCH if count > 3 else Severity.SEEN,
        where,
        f"{count} line{plural} with {what}" if kept else f"{count} line{plural} left out, with {what}",
        "readings may be lost there",
        "nothing; what they hold was taken" if kept else "look at the file when they are not remarks or totals",
    )
