"""What a person must look at while a cure runs."""

from __future__ import annotations

import numpy as np

from bagside.cure.judging.forecast import Forecast
from bagside.cure.judging.pressed import LOST
from bagside.cure.judging.state import LoggedState, Stage
from bagside.cure.noticed import EXOTHERM_DECIDE, EXOTHERM_SEEN, Limits
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

RECENT = 600.0
"""Time over which a trend is read [s]."""

LEAKS = 1000.0 / 600.0
"""Rise of the pressure in the bag from which it is told [Pa/s]: 10 mbar in 10 min, common practice."""

BEHIND_PLAN = 900.0
"""Delay from which it is told [s]; common practice, no source."""

TOO_EARLY = 0.8
"""Share of a dwell that must be had before the programme goes on."""


def watch_findings(
    state: LoggedState, programme: Programme, oven: Oven, limits: Limits, ahead: Forecast, wanted: float
) -> tuple[Finding, ...]:
    """Return what a person must look at now, weightiest first.

    Parameters
    ----------
    state
        What the log tells so far.
    programme, oven
        As planned.
    limits
        What mould and resin bear.
    ahead
        How the rest will go.
    wanted
        Degree of cure wanted.
    """
    found = [
        *_exotherm(state, limits, ahead),
        *_vacuum(state),
        *_plan(state, programme, oven, ahead),
        *_end(state, ahead, wanted),
        *(f for f in state.noticed if f.severity in (Severity.STOP, Severity.DECIDE)),
    ]
    order = list(Severity)
    return tuple(sorted(found, key=lambda f: order.index(f.severity)))


def _note(severity: Severity, place: str, what: str, why: str, do: str, basis: Basis = Basis.COMMON) -> Finding:
    return Finding(severity=severity, stage="cure", place=place, what=what, why=why, do=do, basis=basis)


def _exotherm(state: LoggedState, limits: Limits, ahead: Forecast) -> list[Finding]:
    if state.stage is Stage.CURED:
        return []
    found = []
    lead, air = state.leading_line, state.drive.mean
    now = lead.time >= lead.end - 180.0
    over = float((lead.values - air.at(lead.time))[now].mean())
    before = float(air.at(np.array([air.end - RECENT]))[0])
    falling = float(air.values[air.time >= air.end - 180.0].mean()) < before - 3.0
    if over > EXOTHERM_SEEN and not falling:
        hard = over > EXOTHERM_DECIDE
        found.append(
            _note(
                Severity.STOP if hard else Severity.DECIDE,
                lead.name,
                f"exotherm: the part is {shown(over, 'K', 0)} over the air",
                "resin heats itself faster than the air can take it away; it can run away, smoke and burn",
                "heaters off, fan on, vacuum on; the door stays shut when there is smoke; go on when the leading "
                "sensor is back at the air"
                if hard
                else "stay with it; hold the set point where it is; heaters off and fan on if it rises further",
            )
        )
    for what, hot, limit in (
        ("the laminate", ahead.hottest, limits.resin),
        ("the mould", ahead.tool_hottest, limits.tool),
    ):
        if limit is not None and hot is not None and hot > limit:
            found.append(
                _note(
                    Severity.DECIDE,
                    "forecast",
                    f"if the programme goes on, {what} may reach {shown(hot, '°C', 0)}; it may be "
                    f"{shown(limit, '°C', 0)}",
                    "computed from what the log shows so far, with what it leaves open",
                    f"lower the set point by {shown(np.ceil(hot - limit), 'K', 0)} or more, or rise more slowly",
                )
            )
    return found


def _vacuum(state: LoggedState) -> list[Finding]:
    p = state.pressed
    if p is None or state.stage is Stage.CURED:
        return []
    now = float(p.left[p.time >= p.time[-1] - 60.0].mean())
    if now > LOST:
        gelled = state.stage is Stage.GELLED
        return [
            _note(
                Severity.WATCH if gelled else Severity.STOP,
                "bag",
                f"no vacuum: {shown(now, 'mbar', 0)} left in the bag",
                "resin has gelled; the part is locked" if gelled else "nothing presses on resin that can still move",
                "go on; keep it on the mould" if gelled else "heaters off; find the leak; see bagside cure rescue",
            )
        ]
    recent = p.time >= p.time[-1] - RECENT
    if recent.sum() < 3:
        return []
    slope = float(np.polyfit(p.time[recent] - p.time[-1], p.left[recent], 1)[0])
    if slope <= LEAKS:
        return []
    return [
        _note(
            Severity.DECIDE,
            "bag",
            f"the vacuum falls by {shown(slope * 600.0, 'mbar', 0)} in 10 min; {shown(now, 'mbar', 0)} are left in the "
            f"bag, {shown(LOST, 'mbar', 0)} in {shown((LOST - now) / slope, 'min', 0)}",
            "a bag that leaks more when hot seldom heals",
            "pump on; press the seal where it hisses, joints and thermocouple wires first; a hot oven burns",
        )
    ]


def _plan(state: LoggedState, programme: Programme, oven: Oven, ahead: Forecast) -> list[Finding]:
    on = state.course.heat_on
    if on is None:
        return []
    found = []
    for s in state.course.stretches:
        if s.left is not None and s.hold > 0.0 and s.dwell < TOO_EARLY * s.hold and s.number < len(programme.segments):
            found.append(
                _note(
                    Severity.WATCH,
                    f"segment {s.number}",
                    f"the oven went on after {shown(s.dwell, 'min', 0)} of {shown(s.hold, 'min', 0)} dwell by the "
                    "lagging sensor",
                    "it went by its clock or by the air",
                    "hold the next segments by the lagging sensor; the degree of cure below counts what was missed",
                )
            )
    since = state.end - on
    if since <= programme.duration:
        planned = float(oven.air(programme).at(min(since, programme.duration)))
        now = float(state.drive.mean.values[state.drive.mean.time >= state.drive.mean.end - 300.0].mean())
        if now < planned - 8.0:
            found.append(
                _note(
                    Severity.WATCH,
                    "air",
                    f"the air is {shown(planned - now, 'K', 0)} behind the programme",
                    "the oven cannot follow, the door is open, or another programme runs",
                    "look at heater, fan, door and controller",
                )
            )
    late = None if ahead.done is None else state.end + ahead.done - on - programme.duration
    if late is not None and late > BEHIND_PLAN and ahead.done:
        found.append(
            _note(
                Severity.SEEN,
                "forecast",
                f"it will be over {shown(late, 'min', 0)} later than the programme says",
                "each dwell begins with the sensor that lags",
                "plan the evening by it",
                Basis.MEASURED,
            )
        )
    return found


def _end(state: LoggedState, ahead: Forecast, wanted: float) -> list[Finding]:
    never = [leg.number for leg in ahead.legs if leg.dwell_begins is None]
    if never:
        return [
            _note(
                Severity.DECIDE,
                f"segment {never[0]}",
                "its dwell will not begin: the lagging sensor stays outside the band at this set point",
                "the air at that place is colder than the set point says, or the sensor reads low",
                "raise the set point by what it stays behind, within what the mould bears",
            )
        ]
    if ahead.cure < wanted and ahead.legs:
        return [
            _note(
                Severity.DECIDE,
                "forecast",
                f"the programme will end at {shown(ahead.cure, '%', 0)} of cure; {shown(wanted, '%', 0)} is wanted",
                "computed from what the log shows so far",
                "hold the last segment longer; this watch says how long when it comes to it",
            )
        ]
    return []
