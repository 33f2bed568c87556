"""A cure while it runs: where it is, what comes next and when, and what a person must look at now."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from bagside.cure.judging.forecast import Forecast, forecast
from bagside.cure.judging.onward import Onward
from bagside.cure.judging.state import LoggedState
from bagside.cure.judging.trust import Range
from bagside.cure.judging.verdict import wanted_cure
from bagside.cure.judging.watch_notes import watch_findings
from bagside.cure.judging.wayward import Moment, moment
from bagside.cure.log import Sensor
from bagside.cure.noticed import Limits
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.findings import Finding

FALLEN = 15.0
"""By how much the air must be below a target it had reached for the heat to be gone [K]."""


STAYS = 1.5
"""By how much further a dwell that has begun may dip before it is said to wait again [K]."""


class Phase(StrEnum):
    """What the cure is doing, by the sensor that lags."""

    BEFORE = "not yet heated"
    RISING = "rising"
    WAITING = "waiting for the lagging sensor"
    DWELL = "dwell"
    MOVE = "move on"
    LONGER = "hold longer"
    STOPPED = "the air has fallen"
    COOL = "cool down"
    COOLING = "cooling"
    OFF = "may come off"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Watch:
    """A look at a running cure.

    Parameters
    ----------
    time
        Since the first reading [s].
    phase
        What it is doing.
    segment, segments
        Number of the segment it is in, and how many there are.
    target
        Of that segment [K]; none before heating and after the last hold.
    air, lagging, leading
        Now: mean air, the sensor that lags and the one that leads [K].
    lagging_name
        Of that sensor.
    dwell, hold
        How long the lagging sensor has been within the band in this segment, and how long it should be [s].
    dwell_in
        Time until the dwell begins [s]; none when it has, or never will.
    cure, tg
        Now, at the least cured point [–], [K].
    now
        The part now.
    forecast
        The rest.
    finish
        When the last hold will be over [s since the first reading]; none when it never will.
    planned
        When it was to be over by the programme, from when heating began [s]; none before heating.
    wanted
        Degree of cure wanted.
    warnings
        What a person must look at, weightiest first.
    """

    time: float
    phase: Phase
    segment: int
    segments: int
    target: float | None
    air: float
    lagging: float
    leading: float
    lagging_name: str
    dwell: float
    hold: float
    dwell_in: float | None
    cure: Range
    tg: Range
    now: Moment
    forecast: Forecast
    finish: float | None
    planned: float | None
    wanted: float
    warnings: tuple[Finding, ...]


def watched(state: LoggedState, programme: Programme, oven: Oven, limits: Limits, *, band: float = 5.0) -> Watch:
    """Return a look at a running cure.

    Parameters
    ----------
    state
        From `state_of`, of the log so far.
    programme, oven
        As planned.
    limits
        What the part is held against.
    band
        How far below the target the lagging sensor may be for the dwell to count [K].
    """
    wanted = wanted_cure(state, limits)
    number, count = max(state.course.now, 1), len(programme.segments)
    over = number > count
    here = state.course.stretches[min(number, count) - 1]
    air = _last(state.drive.mean.time, state.drive.mean.values)
    lagging = _last(state.lagging_line.time, state.lagging_line.values)
    name = _lagging_now(state)
    start = Onward.of(state.places, state.resin, air)
    ahead = forecast(
        start,
        programme,
        oven,
        segment=number,
        dwell=here.dwell,
        error=state.fit.errors.get(name, 0.0),
        band=band,
        demould=limits.demould,
    )
    begins = ahead.legs[0].dwell_begins if ahead.legs else None
    phase = _phase(
        state,
        over,
        here.target - air > FALLEN,
        here.reached is not None,
        lagging >= here.target - band - (STAYS if here.dwell > 300.0 else 0.0),
        here.dwell >= here.hold,
    )
    if phase is Phase.MOVE and number == count:
        phase = Phase.COOL if state.cure.value >= wanted else Phase.LONGER
    if phase is Phase.COOLING and state.temperature[1] <= limits.demould:
        phase = Phase.OFF
    return Watch(
        time=state.end,
        phase=phase,
        segment=number,
        segments=count,
        target=None if over or state.course.heat_on is None else here.target,
        air=air,
        lagging=lagging,
        leading=_last(state.leading_line.time, state.leading_line.values),
        lagging_name=name,
        dwell=here.dwell,
        hold=here.hold,
        dwell_in=begins if phase in (Phase.RISING, Phase.WAITING) else None,
        cure=state.cure,
        tg=state.tg,
        now=moment(state, state.end, wanted),
        forecast=ahead,
        finish=None if ahead.done is None else state.end + ahead.done,
        planned=None if state.course.heat_on is None else state.course.heat_on + programme.duration,
        wanted=wanted,
        warnings=watch_findings(state, programme, oven, limits, ahead, wanted),
    )


def _lagging_now(state: LoggedState) -> str:
    """Return the name of the sensor on the part that is coolest now; the model's where there is none."""
    on = [s for s in state.sensors if s.sensor is Sensor.PART and not s.lost]
    if not on:
        return state.lagging_line.name
    return min(on, key=lambda s: _last(s.time, s.temperature)).name


def _last(time: np.ndarray, values: np.ndarray) -> float:
    """Return the mean of the last three minutes: one noisy reading moves nothing."""
    return float(values[time >= time[-1] - 180.0].mean())


def _phase(state: LoggedState, over: bool, fallen: bool, air_there: bool, lagging_there: bool, dwelt: bool) -> Phase:
    if state.course.heat_on is None:
        return Phase.BEFORE
    if over:
        return Phase.COOLING
    if not air_there:
        return Phase.RISING
    if fallen:
        return Phase.STOPPED
    if dwelt:
        return Phase.MOVE
    return Phase.DWELL if lagging_there else Phase.WAITING
