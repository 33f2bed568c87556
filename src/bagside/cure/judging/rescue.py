"""A cure that went wrong: the state it left the part in, and every way on with what comes of it, computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.cure.judging.heated import Ask
from bagside.cure.judging.losses import Lost, lost_by
from bagside.cure.judging.mishap import Mishap
from bagside.cure.judging.onward import Onward, fall_of, oven_off
from bagside.cure.judging.option import Option, ranked
from bagside.cure.judging.pressed import LOST
from bagside.cure.judging.reason import Weight
from bagside.cure.judging.reasons_vacuum import RECOVERS
from bagside.cure.judging.rebagged import WATCHED, Deadlines, deadlines
from bagside.cure.judging.softness import flow_limit, flowing
from bagside.cure.judging.state import LoggedState, Stage
from bagside.cure.judging.verdict import wanted_cure
from bagside.cure.judging.ways import COOLED, ways
from bagside.cure.judging.wayward import Moment, moment, safety_findings
from bagside.cure.noticed import Limits
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.section import Section
from bagside.cure.solve import simulate
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.quantity import shown


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rescue:
    """What can be done.

    Parameters
    ----------
    what
        What went wrong.
    state
        What the log tells, to its end.
    moment
        The part when it went wrong.
    now
        The part at the end of the log.
    stage
        How far the resin was when it went wrong: what decides what is lost.
    lost
        What is lost whatever is done now.
    options
        Best first; never empty.
    deadlines
        How long there is to pull vacuum again; none when it was not lost or nothing flows.
    air_falls
        Time constant with which the oven cools without heat [s].
    air_falls_from
        Where that comes from, in words.
    findings
        Cautions, and what a person should know about the log.
    """

    what: Mishap
    state: LoggedState
    moment: Moment
    now: Moment
    stage: Stage
    lost: Lost
    options: tuple[Option, ...]
    deadlines: Deadlines | None
    air_falls: float
    air_falls_from: str
    findings: tuple[Finding, ...]

    @property
    def best(self) -> Option:
        """The first option."""
        return self.options[0]


def rescued(
    state: LoggedState,
    what: Mishap,
    programme: Programme,
    oven: Oven,
    limits: Limits,
    free: Sequence[Section] = (),
    *,
    at: float | None = None,
    out_for: float = 0.0,
    room: float = 293.15,
    cooling_time: float | None = None,
    flow_viscosity: float = 30.0,
    tg_margin: float = 5.0,
) -> Rescue:
    """Return every way on after a mishap, best first.

    Parameters
    ----------
    state
        From `state_of`, of the log as far as it goes.
    what
        What went wrong.
    programme, oven
        As planned.
    limits
        What the part is held against.
    free
        The sections without the mould, in the same order; without them no post-cure is worked out.
    at
        When it went wrong [s]; the end of the log when not given.
    out_for
        How much longer heat or vacuum will be gone, counted from the end of the log [s].
    room
        Temperature around the oven [K].
    cooling_time
        Time constant with which the oven cools without heat [s]; from the log where that shows it, else half an hour.
    flow_viscosity
        Viscosity below which resin flows in any cycle [Pa s].
    tg_margin
        By which Tg must stay above the temperature in a free-standing post-cure [K].

    Raises
    ------
    InputError
        When the time lies outside the log, or a time is below zero.
    """
    when = state.end if at is None else at
    _refuse(state, when, out_for, cooling_time)
    wanted = wanted_cure(state, limits)
    then, now = moment(state, when, wanted), moment(state, state.end, wanted)
    falls, why = _falls(state, when, room, cooling_time)
    start = Onward.of(state.places, state.resin, float(state.drive.mean.values[-1]))
    thin, enough = _flows(state, programme, oven, flow_viscosity)
    holding = _holding(what, state, when)
    if holding is not None:
        what = Mishap.PUMP
    elif what.heat_off and now.left is not None and now.left > LOST:
        what = Mishap.BOTH  # the log shows that the vacuum went as well
    lost = lost_by(what, state, then, now, limits) if holding is None else holding
    ask = Ask(
        state=start, oven=oven, limits=limits, wanted=wanted, flow_viscosity=thin, enough=enough, lost=lost.weight,
        risks=lost.risks,
    )  # fmt: skip
    segment, left = _place(state, programme, when, then.stage, what)
    dead = None
    if what.no_vacuum and holding is None and now.stage in (Stage.COLD, Stage.SOFT):
        dead = deadlines(ask, programme, segment, left, oven_off(start.air, room, falls, WATCHED))
    options = ways(what, state, ask, then, now, programme, segment, left, free, room, falls, out_for, dead, tg_margin)
    return Rescue(
        what=what,
        state=state,
        moment=then,
        now=now,
        stage=then.stage,
        lost=lost,
        options=ranked(options),
        deadlines=dead,
        air_falls=falls,
        air_falls_from=why,
        findings=(*safety_findings(what, state, now), *state.noticed),
    )


def _refuse(state: LoggedState, when: float, out_for: float, cooling_time: float | None) -> None:
    if not 0.0 <= when <= state.end + 1.0:
        raise InputError.one(
            "when it went wrong",
            shown(when, "min", 0),
            f"a time within the log is wanted, up to {shown(state.end, 'min', 0)}",
        )
    if out_for < 0.0:
        raise InputError.one("out for", shown(out_for, "min", 0), "zero or more is wanted")
    if cooling_time is not None and not cooling_time > 0.0:
        raise InputError.one("cooling time", shown(cooling_time, "min", 0), "more than zero is wanted")


def _flows(state: LoggedState, programme: Programme, oven: Oven, floor: float) -> tuple[float, float]:
    """Return below which viscosity this resin flows in this cycle [Pa s], and how long it must to lose its bubbles [s].

    Half an hour under vacuum is common practice; a cycle that never gives as much is held to half of what it gives.
    """
    fresh = simulate([p.section for p in state.places], state.resin, oven.air(programme), tolerance=0.1)
    limit = flow_limit(fresh, state.resin, floor)
    given = min(float(np.trapezoid(flowing(h, state.resin, limit).astype(np.float64), h.time)) for h in fresh)
    return limit, min(RECOVERS, 0.5 * given)


def _holding(what: Mishap, state: LoggedState, when: float) -> Lost | None:
    """Return what is lost when the pump stopped and the bag holds: nothing yet, and how long it will."""
    p = state.pressed
    if what is not Mishap.PUMP or p is None or p.left[-1] > LOST:
        return None
    since = p.time >= min(when, state.end - 300.0)
    rise = float(np.polyfit(p.time[since], p.left[since], 1)[0]) if since.sum() > 2 else 0.0
    left = (LOST - float(p.left[-1])) / rise if rise > 0.0 else np.inf
    how = "for hours at that rate" if left > 8 * 3600.0 else f"for {shown(left, 'min', 0)} at that rate"
    return Lost(
        weight=Weight.NOTHING,
        risks=(
            f"the bag holds: {shown(float(p.left[-1]), 'mbar', 0)} left in it, rising "
            f"{shown(max(rise, 0.0) * 600.0, 'mbar', 0)} in 10 min, below {shown(LOST, 'mbar', 0)} {how}; the pump "
            "must run again by then",
        ),
        spent=0.0,
    )


def _falls(state: LoggedState, when: float, room: float, stated: float | None) -> tuple[float, str]:
    seen = fall_of(state.drive.mean.time, state.drive.mean.values, when, room)
    if seen is not None:
        return seen, "as logged since"
    if stated is not None:
        return stated, "as stated"
    return 1800.0, "common practice, half an hour; state it, or let it cool a while and give the longer log"


def _place(state: LoggedState, programme: Programme, when: float, stage: Stage, what: Mishap) -> tuple[int, float]:
    """Return which segment to take up and what is left of its hold [s]: all of it when soft resin has cooled."""
    if stage is Stage.COLD:
        return 1, programme.segments[0].hold
    last = 1
    for s in state.course.stretches:
        if s.begins is not None and s.begins < when - 60.0:
            last = s.number
    s = state.course.stretches[last - 1]
    full = programme.segments[last - 1].hold
    cooled = what.heat_off or state.drive.mean.values[-1] < min(s.target, state.drive.mean.values.max()) - COOLED
    left = full if stage is Stage.SOFT and cooled else max(full - s.dwell, 0.0)
    if left < 60.0 and last < len(programme.segments):
        return last + 1, programme.segments[last].hold
    return last, left
