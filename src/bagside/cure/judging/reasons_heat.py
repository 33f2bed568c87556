"""What too much heat, too fast a ramp and too hot an end say against a part."""

from __future__ import annotations

from bagside.cure.judging.reason import Reason, Weight, reason
from bagside.cure.judging.state import LoggedState
from bagside.cure.noticed import EXOTHERM_DECIDE, EXOTHERM_SEEN, Limits
from bagside.cure.programme import Programme
from bagside.findings import Basis
from bagside.quantity import shown

SCORCHED, DISCOLOURED = 25.0, 10.0
"""Over the resin's hottest: from where the part is lost, and from where it discolours [K]; common practice."""

WARPS = 10.0
"""Difference through the laminate from which it may warp [K]; common practice, no source."""

OVER_SET = 10.0
"""By how much the leading sensor may exceed the set point [K]: common practice, 5 to 10 K."""

FASTER = 1.3
"""Ramp against the planned one from which it is told; common practice, no source."""

STIFF_ENOUGH = 5.0
"""By which Tg should exceed the temperature of a part without its mould [K]; common practice."""

COOLED = 3.0 / 60.0
"""Fall of the part from which it may warp [K/s]: common practice, 2 to 3 °C/min."""


def heat_reasons(state: LoggedState, limits: Limits, programme: Programme) -> list[Reason]:
    """Return what heat says against a part.

    Parameters
    ----------
    state
        What the log tells.
    limits
        What mould and resin bear.
    programme
        As planned.
    """
    return [
        *_resin(state, limits),
        *_tool(state, limits),
        *_exotherm(state),
        *_over(state),
        *_gradient(state),
        *_ramps(state),
        *_end(state, limits, programme),
        *_plan(state),
    ]


def _resin(state: LoggedState, limits: Limits) -> list[Reason]:
    if limits.resin is None or state.hottest <= limits.resin:
        return []
    over = state.hottest - limits.resin
    gel = state.gel_time
    early = gel is None or state.first_over(limits.resin + min(over, SCORCHED)) <= gel
    if over > SCORCHED:
        weight = Weight.LOST if early else Weight.STRUCTURE
        do = "scrap it; look the mould over before it is used again"
    elif over > DISCOLOURED:
        weight, do = Weight.NOTE, "look for brown edges; check bag and tape before the next cure; show parts by eye"
    else:
        weight, do = Weight.NOTE, "write it down; check that bag, tape and breather bear it"
    return [
        reason(
            "overshoot", weight, state.hottest, limits.resin, "°C", state.hottest_at,
            f"it reached {shown(state.hottest, '°C', 0)} after {shown(state.hottest_time, 'min', 0)}, "
            f"{shown(over, 'K', 0)} over what the resin bears",
            "over its limit resin darkens, then degrades" + ("" if early else "; it had gelled by then"),
            do,
        )
    ]  # fmt: skip


def _tool(state: LoggedState, limits: Limits) -> list[Reason]:
    if limits.tool is None or state.tool_hottest is None or state.tool_hottest <= limits.tool:
        return []
    return [
        reason(
            "mould", Weight.NOTE, state.tool_hottest, limits.tool, "°C", "mould",
            f"the mould reached {shown(state.tool_hottest, '°C', 0)}; it may be {shown(limits.tool, '°C', 0)}",
            "a mould over its limit softens and takes another shape, under vacuum at once",
            "measure mould and part against each other before either is used",
        )
    ]  # fmt: skip


def _exotherm(state: LoggedState) -> list[Reason]:
    if state.exotherm <= EXOTHERM_SEEN:
        return []
    hard = state.exotherm > EXOTHERM_DECIDE
    return [
        reason(
            "exotherm", Weight.NOTE if hard else Weight.NOTHING, state.exotherm, EXOTHERM_DECIDE, "K", "leading sensor",
            f"the part ran {shown(state.exotherm, 'K', 0)} over the air after {shown(state.exotherm_time, 'min', 0)}",
            "heat of reaction could not leave; unlike cure through the thickness warps a part",
            "lay it on a flat face or back on the mould and look for a gap" if hard else "no need to do anything",
        )
    ]  # fmt: skip


def _over(state: LoggedState) -> list[Reason]:
    """Return by how much the leading sensor exceeded a set point, at the worst of them."""
    over = [s for s in state.course.stretches if s.over is not None and s.over > OVER_SET]
    if not over:
        return []
    worst = max(over, key=lambda s: s.over or 0.0)
    return [
        reason(
            "set point", Weight.NOTE, worst.over or 0.0, OVER_SET, "K", f"segment {worst.number}",
            f"the part was up to {shown(worst.over or 0.0, 'K', 0)} over the set point of "
            f"{shown(worst.target, '°C', 0)}",
            "a set point not kept, or heat of reaction: what was planned for bag, mould and shape is not what was",
            "check consumables and colour; find out whether the air or the part was too hot",
        )
    ]  # fmt: skip


def _gradient(state: LoggedState) -> list[Reason]:
    worst = max(state.places, key=lambda p: p.outcome.spread)
    if worst.outcome.spread <= WARPS:
        return []
    return [
        reason(
            "gradient", Weight.NOTE, worst.outcome.spread, WARPS, "K", worst.name,
            f"there were {shown(worst.outcome.spread, 'K', 0)} between the hottest and the coolest ply",
            "plies that gel apart in time and heat leave stress behind: thick laminates warp by it",
            "check the shape after demoulding",
        )
    ]  # fmt: skip


def _ramps(state: LoggedState) -> list[Reason]:
    found = []
    gel = state.gel_time
    for s in state.course.stretches:
        if s.begins is None or s.rate is None or (gel is not None and s.begins >= gel):
            continue
        before = state.course.stretches[s.number - 2].target if s.number > 1 else None
        if (before is not None and s.target < before) or s.rate <= FASTER * s.ramp:
            continue
        found.append(
            reason(
                "ramp", Weight.NOTE, s.rate, s.ramp, "°C/min", f"segment {s.number}",
                f"the air rose at {shown(s.rate, '°C/min')}; {shown(s.ramp, '°C/min')} was planned, before gel",
                "resin that thickens sooner shuts air in",
                "expect pinholes; look the show face over before paint",
            )
        )  # fmt: skip
    return found


def _end(state: LoggedState, limits: Limits, programme: Programme) -> list[Reason]:
    found = []
    fall = state.course.cooling
    if fall is not None and fall > COOLED:
        found.append(
            reason(
                "cooling", Weight.NOTE, fall, COOLED, "°C/min", state.lagging_line.name,
                f"it cooled at {shown(fall, '°C/min')}",
                "a part cooled fast against its mould springs",
                "leave it on the mould until it is cold; check the shape; if it sprang, clamp it back and hold it 1 to "
                "2 h ten kelvin below its glass transition",
            )
        )  # fmt: skip
    hot = state.temperature[1]
    if hot > limits.demould and state.course.now <= len(programme.segments):
        found.append(
            reason(
                "demoulding", Weight.NOTHING, hot, limits.demould, "°C", "end of the log",
                f"the log ends in segment {max(state.course.now, 1)} of {len(programme.segments)} with the part at "
                f"{shown(hot, '°C', 0)}",
                "a part taken off hot springs and warps",
                f"once cured: vacuum on, cool at no more than {shown(COOLED, '°C/min', 0)}, and take it off below "
                f"{shown(limits.demould, '°C', 0)}; a hot oven burns",
            )
        )  # fmt: skip
    if hot > limits.demould and state.course.now > len(programme.segments):
        below = float(state.tg.low) - hot
        found.append(
            reason(
                "demoulding", Weight.NOTE, hot, limits.demould, "°C", "end of the log",
                f"the log ends with the part at {shown(hot, '°C', 0)}, {shown(abs(below), 'K', 0)} "
                f"{'below' if below > 0 else 'above'} the lowest its glass transition may be",
                "a part taken off hot springs and warps",
                f"take it off below {shown(limits.demould, '°C', 0)}; if it is off already and sprang, clamp it back "
                "and hold it 1 to 2 h ten kelvin below its glass transition",
            )
        )  # fmt: skip
    return found


def _plan(state: LoggedState) -> list[Reason]:
    d = state.course.departure
    if d is None or d.first is None or d.first_by is None:
        return []
    return [
        reason(
            "programme", Weight.NOTHING, d.largest_by, 5.0, "K", "programme",
            f"the air left the programme {shown(d.first, 'min', 0)} after heat on, by {_signed(d.first_by)}; at most "
            f"by {_signed(d.largest_by)} after {shown(d.largest, 'min', 0)}",
            "what was planned is not what was run; all that is told here is computed from what was run",
            "find out why before the next cure: a wrong programme, a door, a heater, or an oven calibrated otherwise",
            Basis.MEASURED,
        )
    ]  # fmt: skip


def _signed(value: float) -> str:
    return ("+" if value > 0 else "") + shown(value, "K", 0)


def standing_reasons(state: LoggedState) -> list[Reason]:
    """Return what a part without its mould went through: whether it was ever near its own glass transition.

    Parameters
    ----------
    state
        What the log tells.
    """
    worst = min(state.places, key=lambda p: p.outcome.stiff_margin)
    least = worst.outcome.stiff_margin
    if least >= STIFF_ENOUGH:
        return []
    soft = least < 0.0
    return [
        reason(
            "shape", Weight.NOTE, least, STIFF_ENOUGH, "K", worst.name,
            f"without its mould it came {'above' if soft else 'close to'} its glass transition: "
            f"{shown(abs(least), 'K', 0)} {'over' if soft else 'below'} it",
            "a part above its glass transition sags and keeps that shape" if soft else
            "near its glass transition a part creeps under its own weight",
            "lay it on its mould and look for gaps; clamp it back and repeat the post-cure if it sagged",
        )
    ]  # fmt: skip
