"""A cure that went wrong: the state it left the part in, and every way on with what comes of it, computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside.cure.judging.finish import FREE_FROM, held_longer, post_cured
from bagside.cure.judging.heated import GENTLE, Ask, clamped, finished, going_on, held_on, rest_of
from bagside.cure.judging.losses import Lost, lost_by
from bagside.cure.judging.mishap import Mishap
from bagside.cure.judging.onward import PROBABLE, Onward, fall_of, oven_off
from bagside.cure.judging.option import Action, Option, ranked
from bagside.cure.judging.places import PlaceState
from bagside.cure.judging.pressed import LOST, flow_limit, flowing
from bagside.cure.judging.reason import Weight
from bagside.cure.judging.reasons_vacuum import RECOVERS
from bagside.cure.judging.rebagged import WATCHED, Deadlines, after, deadlines
from bagside.cure.judging.state import LoggedState, Stage
from bagside.cure.judging.verdict import wanted_cure
from bagside.cure.judging.wayward import Moment, moment, safety_findings
from bagside.cure.noticed import Limits
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.section import Section
from bagside.cure.solve import simulate
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.quantity import shown

COOLS = 3.0 / 60.0
"""Fastest that a part is cooled [K/s]: common practice."""

COOLED = 15.0
"""By how much the air must have fallen for a cure to count as interrupted [K]."""

SLOW_REST = 0.5 / 60.0
"""Rise after a ramp that was too fast [K/s]: common practice, half a degree a minute."""


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
    options = _options(
        what, state, ask, then, now, programme, segment, left, free, room, falls, out_for, dead, tg_margin
    )
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


def _options(
    what: Mishap,
    state: LoggedState,
    ask: Ask,
    then: Moment,
    now: Moment,
    programme: Programme,
    segment: int,
    left: float,
    free: Sequence[Section],
    room: float,
    falls: float,
    out_for: float,
    dead: Deadlines | None,
    margin: float,
) -> list[Option]:
    out: list[Option] = []
    if ask.lost is Weight.LOST:
        return [_stop(ask, "switch the heat off and let it cool; the part is lost")]
    if now.stage is Stage.CURED and what not in (Mishap.COOLED, Mishap.DEMOULDED):
        return [_done(ask, limits_words(ask.limits))]
    begun = ask
    if (what.heat_off and out_for > 0.0) or (what.no_vacuum and out_for > 0.0 and dead is not None):
        went = ask.state.under(oven_off(ask.state.air, room, falls, out_for))
        begun = replace(ask, state=after(went))
    if what in (Mishap.COOLED, Mishap.DEMOULDED) and now.stage in (Stage.GELLED, Stage.CURED):
        out.append(clamped(ask, room))
    if dead is not None:
        out += _bagged(begun, ask, dead, programme, (segment, left), out_for)
    elif now.stage is not Stage.CURED:
        out += _on(what, begun, programme, segment, left)
    if then.stage is not Stage.COLD and now.stage is not Stage.CURED:
        out += _off_mould(ask, state.places, free, room, margin, out_for)
    if not any(o.meets for o in out):
        hotter = held_longer(
            state.places, ask.state.resin, ask.wanted, ask.limits, ask.oven, programme, air=ask.state.air, warm=True
        )
        if hotter is not None and now.stage is Stage.GELLED:
            out.append(finished(ask, hotter, Action.EXTEND, "go on at another temperature"))
    out.append(_stop(ask, "heat off, cool under what vacuum there is: nothing is gained, and nothing more is spent"))
    return out


def limits_words(limits: Limits) -> str:
    """Return when a cured part may come off, in words.

    Parameters
    ----------
    limits
        Of the cure.
    """
    return f"cool at no more than 3 °C/min and take it off below {shown(limits.demould, '°C', 0)}"


def _on(what: Mishap, ask: Ask, programme: Programme, segment: int, left: float) -> list[Option]:
    """Return the rest of the programme, and with a longer last hold where that alone falls short."""
    ramp = SLOW_REST if what is Mishap.RAMP else GENTLE
    rest = rest_of(programme, segment, left, ask.state.air, ramp)
    if segment == 1 and left >= programme.segments[0].hold:
        words = f"begin the programme again, rising at no more than {shown(ramp, '°C/min')}"
    elif not what.heat_off and ask.state.air > programme.segments[segment - 1].target - COOLED:
        target = shown(programme.segments[segment - 1].target, "°C", 0)
        words = f"go on with the programme: {shown(left, 'min', 0)} more at {target}, then the rest"
        if segment == len(programme.segments):
            words = f"go on with the programme: {shown(left, 'min', 0)} more at {target}"
    else:
        words = (
            f"take it up in segment {segment} at {shown(programme.segments[segment - 1].target, '°C', 0)}, rising at "
            f"no more than {shown(ramp, '°C/min')}, with {shown(left, 'min', 0)} of its hold"
        )
    if what is Mishap.OVERSHOOT:
        words = f"heaters off and fan on until the leading sensor is back at the air; then {words}"
    out = [going_on(ask, rest, words)]
    if out[0].cure_low < ask.wanted:
        longer = held_on(ask, rest, words)
        if longer is not None:
            out.append(longer)
    return out


def _bagged(
    ask: Ask, at_once: Ask, dead: Deadlines, programme: Programme, place: tuple[int, float], out_for: float
) -> list[Option]:
    """Return the programme from its beginning after the bag is tight again, or without."""
    rest = rest_of(programme, 1, programme.segments[0].hold, ask.state.air)
    hot = _mended(at_once, dead, programme, place, out_for)
    if dead.rebag is None and hot:
        return hot
    if dead.rebag is None:
        option = going_on(ask, rest, "")
        late = (*ask.risks, "resin is too far to press bubbles out: porosity, not for structure")
        return [
            replace(
                option, action=Action.CONTINUE, weight=Weight.STRUCTURE, risks=late,
                words="it is too late to save it by a new bag: seal what can be sealed, go on, and keep it as a trial "
                "or for show",
            )
        ]  # fmt: skip
    option = going_on(ask, rest, "", before=dead.rebag_sure or dead.rebag)
    words = (
        "heaters off now; find the leak or bag again, hold vacuum for half an hour, then begin the programme again; "
        f"vacuum must be back {_by(dead.rebag, dead.rebag_sure)}{' or more' if dead.whole_day else ''}"
    )
    too_late = out_for > dead.rebag
    found = replace(
        option,
        action=Action.REBAG,
        words=words,
        end=None if option.end is None else option.end + RECOVERS,
        meets=option.meets and not too_late,
        weight=Weight.STRUCTURE if too_late else option.weight,
        risks=(*option.risks, "vacuum comes back too late to press bubbles out") if too_late else option.risks,
    )
    if found.cure_low < ask.wanted:
        longer = held_on(ask, rest, words)
        if longer is not None:
            return [
                *hot,
                found,
                replace(
                    longer, action=Action.REBAG, before=dead.rebag_sure or dead.rebag,
                    meets=longer.meets and not too_late, weight=found.weight, risks=found.risks,
                    end=None if longer.end is None else longer.end + RECOVERS,
                ),
            ]  # fmt: skip
    return [*hot, found]


def _by(probable: float, sure: float | None) -> str:
    """Return a deadline in words: the sure one, and the probable one where that is later."""

    def span(time: float) -> str:
        return shown(time, "h") if time >= 7200.0 else shown(time, "min", 0)

    if sure is None:
        return f"within {span(probable)} most probably; it may be too late already"
    if span(sure) == span(probable):
        return f"within {span(sure)}"
    return f"within {span(sure)} to be sure, {span(probable)} most probably"


def _mended(ask: Ask, dead: Deadlines, programme: Programme, place: tuple[int, float], out_for: float) -> list[Option]:
    """Return the programme going on while the bag is made tight; nothing when it is too late for that."""
    if dead.mend is None or dead.mend < max(out_for, 60.0):
        return []
    words = (
        "leave the heat on and make the bag tight at once, at the seal or the pump, without taking it off; vacuum must "
        f"be back {_by(dead.mend, dead.mend_sure)}"
    )
    option = going_on(ask, rest_of(programme, *place, ask.state.air), words, before=dead.mend_sure or dead.mend)
    return [replace(option, action=Action.REBAG)]


def _off_mould(
    ask: Ask, places: tuple[PlaceState, ...], free: Sequence[Section], room: float, margin: float, out_for: float
) -> list[Option]:
    if not free or min(p.cure.low for p in places) < max(FREE_FROM, ask.state.resin.gel):
        return []
    post = post_cured(places, free, ask.state.resin, ask.wanted, ask.limits, ask.oven, room=room, margin=margin)
    if post is None:
        return []
    return [
        finished(
            ask,
            post,
            Action.POST_CURE,
            f"{limits_words(ask.limits)}; then without the mould, supported, Tg staying "
            f"{shown(post.margin or margin, 'K', 0)} above it",
            after=max(out_for, (_numbers(ask)[3] - ask.limits.demould) / COOLS, 0.0),
        )
    ]


def _numbers(ask: Ask) -> tuple[float, float, float, float]:
    resin = ask.state.resin
    lanes = [[float(np.min(s.cure_from(resin.alpha0))) for s in ask.state.sections[k::3]] for k in (0, 1)]
    hottest = max(float(np.max(s.temperatures_from(ask.state.air)[s.reacting])) for s in ask.state.sections)
    low = min(lanes[1])
    return low, min(lanes[PROBABLE]), float(resin.tg(low)), hottest


def _stop(ask: Ask, words: str) -> Option:
    low, probable, tg, hottest = _numbers(ask)
    return Option(
        action=Action.STOP, words=words, cure_low=low, cure=probable, tg=tg, hottest=hottest, meets=False,
        weight=max(ask.lost, Weight.STRUCTURE, key=list(Weight).index), risks=ask.risks,
    )  # fmt: skip


def _done(ask: Ask, words: str) -> Option:
    low, probable, tg, hottest = _numbers(ask)
    return Option(
        action=Action.CONTINUE, words=f"it is cured: {words}", cure_low=low, cure=probable, tg=tg, hottest=hottest,
        end=0.0, meets=True, weight=ask.lost, risks=ask.risks,
    )  # fmt: skip
