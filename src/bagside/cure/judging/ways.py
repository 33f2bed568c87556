"""Every way on after a mishap, each computed: with the bag made tight, with more heat, off the mould, or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from bagside.cure.judging.finish import held_longer
from bagside.cure.judging.heated import GENTLE, Ask, clamped, finished, going_on, held_on, rest_of
from bagside.cure.judging.mishap import Mishap
from bagside.cure.judging.onward import PROBABLE, oven_off
from bagside.cure.judging.option import Action, Option
from bagside.cure.judging.places import PlaceState
from bagside.cure.judging.post_cure import FREE_FROM, post_cured
from bagside.cure.judging.reason import Weight
from bagside.cure.judging.reasons_vacuum import RECOVERS
from bagside.cure.judging.rebagged import Deadlines, after
from bagside.cure.judging.state import LoggedState, Stage
from bagside.cure.judging.wayward import Moment
from bagside.cure.noticed import Limits
from bagside.cure.programme import Programme
from bagside.cure.section import Section
from bagside.quantity import shown

COOLS = 3.0 / 60.0
"""Fastest that a part is cooled [K/s]: common practice."""

COOLED = 15.0
"""By how much the air must have fallen for a cure to count as interrupted [K]."""

SLOW_REST = 0.5 / 60.0
"""Rise after a ramp that was too fast [K/s]: common practice, half a degree a minute."""


def ways(
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
    """Return every way on after a mishap, in no order.

    Parameters
    ----------
    what
        What went wrong.
    state
        What the log tells.
    ask
        Where they begin, and what is wanted.
    then, now
        The part when it went wrong, and at the end of the log.
    programme
        As planned.
    segment, left
        Segment to take up, and what is left of its hold [s].
    free
        The sections without the mould.
    room
        Temperature around the oven [K].
    falls
        Time constant with which the oven cools without heat [s].
    out_for
        How much longer heat or vacuum will be gone [s].
    dead
        How long there is to pull vacuum again; none when that is no question.
    margin
        By which Tg must stay above the temperature in a free-standing post-cure [K].
    """
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
