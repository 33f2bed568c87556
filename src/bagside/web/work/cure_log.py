"""A logger's file judged against its cure, in a process of its own: what the page and the records get of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside import bagging
from bagside import cure as curing
from bagside.cure import CureLog, Sensor
from bagside.cure.fit import post_cure_margin
from bagside.cure.judging import Judgement, LoggedState, Trust, in_words, judged, state_of
from bagside.cure.log import HEAT, without_gaps
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.planning.cure_case import CureCase
from bagside.records.logger import read_log, stated_options
from bagside.spec.material import Fitted

Singles = NDArray[np.float32]

SHEET_TG = 4.0
"""What a law fitted to a data sheet leaves open of the glass transition [K], as measured on invented sheets."""
READINGS = 240
"""Of a sensor that are drawn: closer ones would lie on each other."""
KINDS = {Sensor.AIR: "air", Sensor.PART: "part", Sensor.TOOL: "tool"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoggedLine:
    """What a sensor wrote.

    Parameters
    ----------
    name
        As the file heads it.
    kind
        ``air``, ``part`` or ``tool``.
    time
        Since heat on, shape (k,) [s].
    values
        Not a number where there is no reading, shape (k,) [K].
    """

    name: str
    kind: str
    time: Singles
    values: Singles


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishShown:
    """What finishes a part that is not cured enough.

    Parameters
    ----------
    where
        ``on the mould`` or free-standing, in the words of judging.
    words
        The programme.
    duration
        [s].
    cure, tg
        It comes to at least; the second in [K].
    """

    where: str
    words: str
    duration: float
    cure: float
    tg: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogJudged:
    """A log, and the verdict on the part.

    Parameters
    ----------
    name
        Of the file.
    post
        Whether it was judged as the post-cure.
    started
        Clock time of the first reading; None when the file tells none.
    heat_on, end
        Since the first reading [s].
    lines
        Temperatures.
    time, cure
        Degree of cure of the least cured place, computed from the log; shape (k,) [s] since heat on, shape (k,).
    verdict
        See `bagside.cure.judging.Verdict`.
    lagging
        The least cured place.
    wanted, wanted_tg
        Degree of cure and glass transition wanted [K].
    values
        By the keys of `bagside.web.views.cure.run.Kept`, and ``bag``: what it is, and between what it lies [SI].
    finish
        What finishes it, quickest first.
    measure
        The one measurement that would settle it; empty when nothing is open.
    reasons
        What speaks against the part, weightiest first, in words.
    findings
        Of the log and of the part.
    programme
        As it was meant to run, in words.
    sensors
        Names of the channels the air was taken from.
    settled
        What a person settled about the file.
    """

    name: str
    post: bool
    started: datetime | None
    heat_on: float
    end: float
    lines: tuple[LoggedLine, ...]
    time: Singles
    cure: Singles
    verdict: str
    lagging: str
    wanted: float
    wanted_tg: float
    values: dict[str, tuple[float, float, float]]
    finish: tuple[FinishShown, ...]
    measure: str
    reasons: tuple[str, ...]
    findings: tuple[Finding, ...]
    programme: str
    sensors: tuple[str, ...]
    settled: dict[str, str]


def judge_log(path: Path, case: CureCase, post: bool, texts: Mapping[str, str]) -> LogJudged:
    """Return the verdict on a logger's file.

    Parameters
    ----------
    path
        The file.
    case
        What it is a cure of.
    post
        Whether it is the log of the post-cure.
    texts
        What a person settled, by the names of the command line; of ``column``, ``at``, ``unit`` and ``pressure``
        several, with a semicolon between.

    Raises
    ------
    InputError
        When something must be settled first, or the log and the case do not go together.
    """
    held = _ready(case, post)
    log = read_log(path, stated_options(**_options(texts)))
    state = _state(log, held, bagged=not post)
    result = judged(
        state,
        held.limits,
        held.programme,
        held.oven,
        held.free,
        room=held.room.temperature,
        basis=held.basis,
        source=held.source,
        tg_margin=post_cure_margin(Fitted(held.fitted), held.tg_error).value,
        free_standing=post,
    )
    return _told(log, held, state, result, post, {k: v for k, v in texts.items() if v.strip()})


def _options(texts: Mapping[str, str]) -> dict[str, Any]:
    many = ("column", "at", "unit", "pressure")
    names = (*many, "ambient", "time", "time_column", "date_order", "every", "jumps", "decimal", "separator", "sheet")
    out: dict[str, Any] = {}
    for name in names:
        text = texts.get(name, "").strip()
        out[name] = tuple(p.strip() for p in text.split(";") if p.strip()) if name in many else text
    return out


def _ready(case: CureCase, post: bool) -> CureCase:
    """Return the case as a log is held against it; a post-cure begins with what the planned cure gives.

    Raises
    ------
    InputError
        When there is no post-cure.
    """
    if not post:
        return case
    if case.post is None or case.post_limits is None:
        raise InputError.one("post-cure", "", "this job states no post-cure")
    first = curing.simulate(case.on_mould, case.resin, case.oven.air(case.programme))
    free = tuple(curing.continued(s, h, warm=False) for s, h in zip(case.free, first, strict=True))
    return replace(case, on_mould=free, free=free, programme=case.post, limits=case.post_limits)


def _state(log: CureLog, case: CureCase, *, bagged: bool) -> LoggedState:
    low, high = bagging.voids.KARDOS_TEMPERATURES
    humidity = case.humidity

    def needed(temperature: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the pressure wanted in the resin; not a number outside the criterion's range [Pa]."""
        out = np.full(temperature.shape, np.nan)
        inside = (temperature >= low) & (temperature <= high)
        out[inside] = bagging.minimum_resin_pressure_kardos_1986(temperature[inside], humidity or 0.0)
        return out

    return state_of(
        log,
        case.on_mould,
        case.resin,
        case.programme,
        case.oven,
        target=case.limits.target,
        spread=case.spread,
        trust=Trust(tg=SHEET_TG if case.fitted == "data sheet" else 0.0),
        ambient=case.ambient,
        needed=needed if humidity else None,
        bagged=bagged,
    )


def _told(
    log: CureLog, case: CureCase, state: LoggedState, result: Judgement, post: bool, settled: dict[str, str]
) -> LogJudged:
    heat_on = state.course.heat_on or 0.0
    lag = min(state.places, key=lambda p: p.cure.value)
    history = lag.history
    alpha = history.alpha[:, history.lagging]
    there = history.time >= heat_on
    pick = np.flatnonzero(there)[:: max(1, int(there.sum()) // READINGS)]
    return LogJudged(
        name=log.name,
        post=post,
        started=log.started,
        heat_on=heat_on,
        end=state.end,
        lines=_lines(log, heat_on),
        time=(history.time[pick] - heat_on).astype(np.float32),
        cure=alpha[pick].astype(np.float32),
        verdict=result.verdict.value,
        lagging=state.lagging,
        wanted=result.wanted,
        wanted_tg=result.wanted_tg,
        values=_values(state),
        finish=tuple(
            FinishShown(where=f.where.value, words=f.words, duration=f.duration, cure=f.cure, tg=f.tg)
            for f in result.finish
        ),
        measure=result.measure,
        reasons=tuple(r.finding.what for r in result.reasons),
        findings=result.findings,
        programme=in_words(case.programme),
        sensors=tuple(state.drive.channels),
        settled=settled,
    )


def _values(state: LoggedState) -> dict[str, tuple[float, float, float]]:
    def one(value: float) -> tuple[float, float, float]:
        return (float(value), float(value), float(value))

    out = {
        "cure": (state.cure.value, state.cure.low, state.cure.high),
        "tg": (state.tg.value, state.tg.low, state.tg.high),
        "laminate": one(state.hottest),
        "over": one(state.exotherm),
        "duration": one(state.end - (state.course.heat_on or 0.0)),
    }
    if state.tool_hottest is not None:
        out["tool"] = one(state.tool_hottest)
    stretches = state.course.stretches
    if stretches:
        top = max(s.target for s in stretches)
        out["dwell"] = one(sum(s.dwell for s in stretches if s.target == top))
    if state.pressed is not None:
        out["bag"] = (state.pressed.worst, state.pressed.mean, state.pressed.worst)
    return out


def _lines(log: CureLog, heat_on: float) -> tuple[LoggedLine, ...]:
    found = []
    for channel in log.of(*HEAT):
        if channel.sensor not in KINDS or len(without_gaps(log, channel)[0]) < 2:
            continue
        there = np.flatnonzero(log.time >= heat_on)
        pick = there[:: max(1, len(there) // READINGS)]
        found.append(
            LoggedLine(
                name=channel.name,
                kind=KINDS[channel.sensor],
                time=(log.time[pick] - heat_on).astype(np.float32),
                values=channel.values[pick].astype(np.float32),
            )
        )
    return tuple(found)
