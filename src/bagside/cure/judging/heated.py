"""Ways on with heat: the rest of the programme, a longer hold, a post-cure, or clamped back to its shape."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from bagside.cure.judging.finish import LONGEST, STEP, Finish, in_words
from bagside.cure.judging.onward import BEHIND, PROBABLE, Onward, Went
from bagside.cure.judging.option import Action, Option
from bagside.cure.judging.reason import Weight
from bagside.cure.noticed import Limits
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme, Segment
from bagside.quantity import shown

GENTLE = 1.0 / 60.0
"""Fastest rise of a cure that is taken up again [K/s]: common practice, 1 °C/min."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ask:
    """What a way on is tried with.

    Parameters
    ----------
    state
        Where it begins.
    oven
        What it can do.
    limits
        What mould and resin bear.
    wanted
        Degree of cure at the least cured point.
    flow_viscosity
        Viscosity below which resin flows in this cycle [Pa s].
    enough
        Time it must flow under vacuum to press bubbles out [s].
    lost
        What is lost whatever is done now.
    risks
        In words.
    """

    state: Onward
    oven: Oven
    limits: Limits
    wanted: float
    flow_viscosity: float
    enough: float
    lost: Weight
    risks: tuple[str, ...]


def rest_of(programme: Programme, segment: int, hold: float, air: float, ramp: float = GENTLE) -> Programme:
    """Return the rest of a programme from a segment on.

    Parameters
    ----------
    programme
        As planned.
    segment
        Number of the segment to take up, from 1.
    hold
        What is left of its hold [s].
    air
        Of the oven when it begins [K].
    ramp
        Fastest rise to it [K/s].
    """
    first, *others = programme.segments[segment - 1 :]
    gentle = replace(first, ramp=min(first.ramp, ramp), hold=hold)
    if not others and abs(gentle.target - air) < 1e-6 and hold <= 0.0:
        gentle = replace(gentle, hold=60.0)
    return Programme(start=air, segments=(gentle, *others))


def going_on(ask: Ask, programme: Programme, words: str, before: float | None = None) -> Option:
    """Return what comes of the rest of a programme as it stands.

    Parameters
    ----------
    ask
        Where it begins, and what is wanted.
    programme
        The rest.
    words
        What to do.
    before
        Time from now by which it must have begun [s].
    """
    return _option(ask, Action.CONTINUE, ask.state.asked(programme, ask.oven), programme, words, 0.0, before)


def held_on(ask: Ask, programme: Programme, words: str) -> Option | None:
    """Return the rest of a programme with its last hold as long as it needs; nothing when no hold is long enough.

    Parameters
    ----------
    ask
        Where it begins, and what is wanted.
    programme
        The rest.
    words
        What to do; the minutes are added.
    """
    *before, last = programme.segments
    long = replace(programme, segments=(*before, replace(last, hold=LONGEST)))
    went = ask.state.asked(long, ask.oven)
    need = went.reached(ask.wanted, BEHIND)
    if need is None:
        return None
    up = programme.duration - last.hold
    hold = STEP * math.ceil(max(need - up, 0.0) / STEP)
    if hold <= last.hold:
        return None
    final = replace(programme, segments=(*before, replace(last, hold=hold)))
    extra = hold - last.hold
    return _option(
        ask,
        Action.EXTEND,
        went,
        final,
        f"{words}; hold the last {shown(extra, 'min', 0)} longer, {shown(hold, 'min', 0)} in all",
        extra,
        None,
        until=up + hold,
    )


def finished(ask: Ask, finish: Finish, action: Action, words: str, after: float = 0.0) -> Option:
    """Return a finishing programme as a way on.

    Parameters
    ----------
    ask
        What is wanted.
    finish
        The programme and what comes of it.
    action
        In a word.
    words
        What to do before it.
    after
        Time from now to its beginning [s].
    """
    return Option(
        action=action,
        words=f"{words}: {finish.words}",
        programme=finish.programme,
        end=after + finish.duration,
        cure_low=finish.cure,
        cure=finish.cure,
        tg=finish.tg,
        hottest=finish.hottest,
        meets=finish.cure >= ask.wanted - 1e-6,
        weight=ask.lost,
        risks=ask.risks,
    )


def clamped(ask: Ask, room: float) -> Option:
    """Return a part that sprang, clamped to its mould again and warmed to just below its glass transition.

    Parameters
    ----------
    ask
        What is wanted.
    room
        Temperature it begins at [K].

    Notes
    -----
    Ten kelvin below Tg for an hour and a half is common practice; what that does to the cure is computed.
    """
    resin = ask.state.resin
    low = min(min(s.cure_from(resin.alpha0)) for s in ask.state.sections[BEHIND::3])
    tg = float(resin.tg(low))
    ceiling = min(ask.oven.hottest, *(x for x in (ask.limits.tool, ask.limits.resin) if x is not None))
    target = min(tg - 10.0, ceiling)
    programme = Programme(start=room, segments=(Segment(target=max(target, room + 5.0), ramp=GENTLE, hold=5400.0),))
    went = ask.state.cold(room).asked(programme, ask.oven)
    return _option(
        ask,
        Action.CLAMP,
        went,
        programme,
        f"clamp it back to its mould and {in_words(programme)}, ten kelvin below its glass transition of "
        f"{shown(tg, '°C', 0)}; cool slowly and unclamp cold",
        0.0,
        None,
    )


def _option(
    ask: Ask,
    action: Action,
    went: Went,
    programme: Programme,
    words: str,
    extra: float,
    before: float | None,
    until: float | None = None,
) -> Option:
    resin = went.resin
    low, probable = went.least(BEHIND, until), went.least(PROBABLE, until)
    hottest, tool = went.hottest(until), went.tool_hottest(until)
    risks, meets = list(ask.risks), probable >= ask.wanted - 1e-6
    if ask.limits.resin is not None and hottest > ask.limits.resin:
        risks.append(f"it may reach {shown(hottest, '°C', 0)}; the resin bears {shown(ask.limits.resin, '°C', 0)}")
        meets = False
    if ask.limits.tool is not None and tool is not None and tool > ask.limits.tool:
        risks.append(f"the mould may reach {shown(tool, '°C', 0)}; it may be {shown(ask.limits.tool, '°C', 0)}")
        meets = False
    gelled = min(min(s.cure_from(resin.alpha0)) for s in ask.state.sections[PROBABLE::3]) >= resin.gel
    return Option(
        action=action,
        words=words,
        programme=programme,
        extra=extra,
        before=before,
        end=ask.state.since + programme.duration,
        cure_low=low,
        cure=probable,
        tg=float(resin.tg(low)),
        hottest=hottest,
        flow=None if gelled else went.flow_time(ask.flow_viscosity),
        meets=meets,
        weight=ask.lost,
        risks=tuple(risks),
    )
