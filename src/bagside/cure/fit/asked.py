"""Whether the rows determine what the law will be used for, and which one more row would.

What is asked is what a maker can check on a part: when it gels and what its glass transition is after a stated cycle.
The degree of cure is never asked: a sheet does not determine it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.course import along
from bagside.cure.fit.family import GEL, TG1
from bagside.cure.fit.fitted import Fit
from bagside.cure.fit.row import ROOM, USUAL_SD, Kind, Row, predicted
from bagside.cure.programme import Programme, Segment
from bagside.errors import InputError
from bagside.quantity import shown

Floats = NDArray[np.float64]

STEP = 1e-4
"""Difference by which slopes of an answer are taken, in deviations of the prior."""
USUAL_RAMP = 1.0 / 60.0
"""Heating rate of the cycle that is asked when none is stated [K/s]."""
HOLDS = (1800.0, 3600.0, 7200.0, 14400.0, 28800.0, 57600.0)
"""Holds after which one more glass transition might be measured [s]."""
PER_KELVIN, FREELY = 0.7, 5.0
"""Doubt of a glass transition for each kelvin by which a cycle is hotter than the hottest cure that a row tells the
outcome of, but for so many of them [K]: from sheets of known resins with one option, benchmarks/resin_fit.py."""
SURE = 5.0
"""A glass transition of fully reacted resin known as well as this makes a hotter cycle no leap [K]."""
SHORTEST, LONGEST = 180.0, 86400.0
"""Gel times that a maker can measure [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the law will be used for.

    Parameters
    ----------
    programme
        The cycle.
    tg_within
        Deviation of the glass transition after it that is good enough [K].
    gel_within
        Deviation of the gel time that is good enough, as a share.
    """

    programme: Programme
    tg_within: float
    gel_within: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """What a fit says of what was asked.

    Parameters
    ----------
    time
        Along the cycle, shape (steps,) [s].
    tg
        Glass transition after it [K].
    tg_sd
        Its deviation [K].
    gel
        When it gels [s]; infinite when it does not.
    gel_sd
        Its deviation, as a share; not a number when it does not gel.
    along
        Glass transition along the course, shape (steps,) [K].
    along_sd
        Its deviation, shape (steps,) [K].
    leap
        The part of ``tg_sd`` that comes of the cycle being hotter than the rows [K].
    slopes
        Of glass transition and ln gel time by the unknowns, shape (2, n).
    """

    time: Floats
    tg: float
    tg_sd: float
    gel: float
    gel_sd: float
    along: Floats
    along_sd: Floats
    leap: float
    slopes: Floats

    @property
    def worst(self) -> float:
        """Largest deviation of the glass transition from gel to the end: what a post-cure along it must fear [K]."""
        after = self.time >= min(self.gel, self.time[-1])
        return float(self.along_sd[after].max())


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMore:
    """A row that is not there yet, and what it would bring.

    Parameters
    ----------
    row
        What would be measured; its value is what the fit expects.
    tg_sd
        Deviation of the asked glass transition with it [K].
    gel_sd
        Deviation of the asked gel time with it, as a share.
    """

    row: Row
    tg_sd: float
    gel_sd: float

    @property
    def words(self) -> str:
        """What to measure, in words."""
        at = shown(self.row.temperature, "°C", 0)
        return f"the gel time at {at}" if self.row.kind is Kind.GEL else f"Tg after {hours(self.row.time)} at {at}"


def hours(seconds: float) -> str:
    """Return a time as people say it: minutes up to two hours, hours up to three days, then days.

    Parameters
    ----------
    seconds
        Time [s].
    """
    if seconds < 7200.0:
        return shown(seconds, "min", 0)
    if seconds < 3 * 86400.0:
        return shown(seconds, "h", 0 if abs(seconds / 3600.0 - round(seconds / 3600.0)) < 0.05 else 1)
    return f"{seconds / 86400.0:.0f} d"


def usual_cycle(rows: Sequence[Row]) -> Programme:
    """Return a cycle within the rows' temperatures: an hour at the coldest, then the hottest as long as a row says.

    Parameters
    ----------
    rows
        At least one that is no out-life.
    """
    held = [r for r in rows if r.kind is not Kind.LIFE]
    cold, hot = min(r.temperature for r in held), max(r.temperature for r in held)
    last = [r.time for r in held if r.temperature == hot and r.kind is not Kind.GEL]
    segments = [Segment(target=cold, ramp=USUAL_RAMP, hold=3600.0)] if hot - cold >= 10.0 and cold > ROOM else []
    segments.append(Segment(target=hot, ramp=USUAL_RAMP, hold=max(last, default=7200.0)))
    return Programme(start=ROOM, segments=tuple(segments))


def answered(fit: Fit, asked: Asked) -> Answer:
    """Return what a fit says of what is asked, and how sure it is.

    Parameters
    ----------
    fit
        The fitted law.
    asked
        The cycle.
    """
    sets, times = fit.nearby(STEP), asked.programme.breaks
    course = along(sets, fit.prior.middle, times, asked.programme.air(times), fit.start)
    tg = course.tg(sets)
    gel = course.time_to(sets[:, GEL])
    slopes = np.zeros((2, len(fit.z)))
    slopes[0] = (tg[1:, -1] - tg[0, -1]) / STEP
    gels = bool(np.isfinite(gel).all())
    if gels:
        slopes[1] = (np.log(gel[1:]) - np.log(gel[0])) / STEP
    sd = fit.sd_of(slopes)
    leap = _leap(fit, asked, fit.rows)
    return Answer(
        time=course.time[0],
        tg=float(tg[0, -1]),
        tg_sd=float(np.hypot(sd[0], leap)),
        gel=float(gel[0]),
        gel_sd=float(sd[1]) if gels else float("nan"),
        along=tg[0],
        along_sd=fit.sd_of(((tg[1:] - tg[0]) / STEP).T),
        leap=leap,
        slopes=slopes,
    )


def one_more(fit: Fit, asked: Asked, answer: Answer) -> OneMore | None:
    """Return the row that would do most for what is asked; none when nothing around can be measured.

    Parameters
    ----------
    fit
        The fitted law.
    asked
        What it is for.
    answer
        What the fit says of it.

    Notes
    -----
    Every candidate is a gel time or a glass transition after a hold, at temperatures 10 K apart around the rows and
    the cycle; what it would bring follows from the slopes at the best fit, not from what would come out.
    """
    rows = _candidates(fit, asked)
    if not rows:
        return None
    sets = fit.nearby(STEP)
    said = predicted(sets, fit.prior.middle, fit.start, rows)
    slopes = ((said[1:] - said[0]) / STEP).T / np.array([r.sd for r in rows])[:, None]
    found: list[tuple[float, int, OneMore]] = []
    gels = not np.isnan(answer.gel_sd)
    for k, (row, slope) in enumerate(zip(rows, slopes, strict=True)):
        seen = fit.covariance @ slope
        left = fit.covariance - np.outer(seen, seen) / (1.0 + slope @ seen)
        tg, gel = np.sqrt(np.maximum(np.einsum("qn,nm,qm->q", answer.slopes, left, answer.slopes), 0.0))
        more = OneMore(row=row, tg_sd=float(np.hypot(tg, _leap(fit, asked, (*fit.rows, row)))), gel_sd=float(gel))
        found.append((_short(asked, more.tg_sd, more.gel_sd if gels else float("nan")), k, more))
    return min(found, key=lambda x: (round(x[0], 2), x[1]))[2]


def short_of(asked: Asked, answer: Answer) -> bool:
    """Return whether the rows leave more doubt than is good enough.

    Parameters
    ----------
    asked
        What is good enough.
    answer
        What the fit says.
    """
    return _short(asked, answer.tg_sd, answer.gel_sd) > 1.0


def required(fit: Fit, asked: Asked, answer: Answer, place: str) -> None:
    """Refuse rows that do not determine what is asked.

    Parameters
    ----------
    fit, asked, answer
        What was fitted, what for, and what came of it.
    place
        The sheet, for messages.

    Raises
    ------
    InputError
        Saying how much doubt is left and which one more row would do most.
    """
    if not short_of(asked, answer):
        return
    more = one_more(fit, asked, answer)
    gels = not np.isnan(answer.gel_sd)
    hint = "ask for less, or for a cycle nearer to the rows"
    if more is not None:
        with_it = f"±{more.tg_sd:.1f} K" + (f" and ±{100 * more.gel_sd:.0f} %" if gels else "")
        enough = _short(asked, more.tg_sd, more.gel_sd) <= 1.0
        hint = f"one more row would do most: {more.words}; it brings {with_it}" + ("" if enough else ", not yet enough")
    raise InputError.one(
        f"{place}, rows",
        f"Tg after the asked cycle is {shown(answer.tg, '°C', 0)} ±{answer.tg_sd:.1f} K"
        + (f" and its gel time ±{100 * answer.gel_sd:.0f} %" if gels else ""),
        f"they do not determine it: ±{asked.tg_within:g} K and ±{100 * asked.gel_within:.0f} % are asked",
        hint,
    )


def _short(asked: Asked, tg: float, gel: float) -> float:
    """Return how many times what is good enough the worse of two deviations is."""
    return max(tg / asked.tg_within, 0.0 if np.isnan(gel) else gel / asked.gel_within)


def _leap(fit: Fit, asked: Asked, rows: Sequence[Row]) -> float:
    """Return how unsure a glass transition is because the cycle is hotter than the cures whose outcome is told [K]."""
    told = [r.temperature for r in rows if r.kind is Kind.TG]
    if not told or fit.prior.sd[TG1] <= SURE:
        return 0.0
    return PER_KELVIN * max(0.0, asked.programme.hottest - max(told) - FREELY)


def _candidates(fit: Fit, asked: Asked) -> list[Row]:
    """Return rows that could be measured, easy ones first."""
    heats = [r.temperature for r in fit.rows if r.kind is not Kind.LIFE]
    heats += [s.target for s in asked.programme.segments]
    low, high = (273.15 + 10.0 * round((t - 273.15) / 10.0) for t in (min(heats), max(heats)))
    theta = fit.theta[None, :]
    out: list[Row] = []
    grid = np.arange(low - 10.0, high + 10.5, 10.0)
    gels = [Row(name="", kind=Kind.GEL, temperature=t, time=1.0, sd=USUAL_SD[Kind.GEL]) for t in grid]
    times = np.exp(predicted(theta, fit.prior.middle, fit.start, gels)[0])
    for row, time in zip(gels, times, strict=True):
        if SHORTEST <= time <= LONGEST:
            out.append(
                Row(name="", kind=Kind.GEL, temperature=row.temperature, time=float(time), sd=USUAL_SD[Kind.GEL])
            )
    for t, time in zip(grid, times, strict=True):
        for hold in HOLDS:
            if hold >= 1.5 * time:  # softer ones cannot be measured
                row = Row(name="", kind=Kind.TG, temperature=t, time=hold, value=0.0, sd=USUAL_SD[Kind.TG])
                value = float(predicted(theta, fit.prior.middle, fit.start, [row])[0, 0])
                out.append(Row(name="", kind=Kind.TG, temperature=t, time=hold, value=value, sd=row.sd))
    return out
