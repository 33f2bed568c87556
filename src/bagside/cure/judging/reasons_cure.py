"""What degree of cure and glass transition say against a part, and how sure that is."""

from __future__ import annotations

from bagside.cure.judging.reason import Reason, Weight, reason
from bagside.cure.judging.state import LoggedState
from bagside.cure.judging.trust import Range
from bagside.cure.noticed import DWELL_SHARE, Limits
from bagside.findings import Basis
from bagside.quantity import shown

HARDNESS = "hardness with an indentation tester at the lagging place, beside a coupon of the same prepreg fully cured"
COUPON = "the glass transition (DSC or DMA) of a coupon cut from the trim at the lagging place"


def cure_reasons(state: LoggedState, limits: Limits, wanted: float, basis: Basis, source: str) -> list[Reason]:
    """Return what degree of cure, glass transition and dwell say against a part.

    Parameters
    ----------
    state
        What the log tells.
    limits
        What is wanted.
    wanted
        Degree of cure wanted at the least cured point.
    basis, source
        On what the resin's law rests.
    """
    found = []
    gel = state.resin.gel
    if state.cure.high < gel or (state.cure.value < gel):
        open_ = state.cure.high >= gel
        found.append(
            reason(
                "gel", Weight.SHORT, state.cure.value, gel, "%", state.lagging,
                f"it has not gelled: {_range(state.cure, '%', 0)} of cure, gel is at {shown(gel, '%', 0)}",
                "ungelled resin flows again when warm; without mould and vacuum the part is lost",
                "leave it on the mould under vacuum and finish it as told",
                basis, source, HARDNESS if open_ else "",
            )
        )  # fmt: skip
    else:
        found += _cured(state, limits, basis, source)
    found += _dwell(state, wanted)
    return found


def _cured(state: LoggedState, limits: Limits, basis: Basis, source: str) -> list[Reason]:
    tg_wanted = limits.service + limits.margin
    found = []
    weight, words = _held_against(state.tg, tg_wanted)
    if float(state.resin.tg1) < tg_wanted:
        found.append(
            reason(
                "glass transition", Weight.NOTE, float(state.resin.tg1), tg_wanted, "°C", state.lagging,
                f"fully cured resin has its glass transition at {shown(float(state.resin.tg1), '°C', 0)}; "
                f"{shown(tg_wanted, '°C', 0)} is wanted",
                "no cure of this resin reaches it",
                f"use the part up to {shown(float(state.tg.low) - limits.margin, '°C', 0)}, or another resin",
                basis, source,
            )
        )  # fmt: skip
    elif weight is not Weight.NOTHING:
        found.append(
            reason(
                "glass transition", weight, state.tg.value, tg_wanted, "°C", state.lagging,
                f"the glass transition is {_range(state.tg, '°C', 0)}; {shown(tg_wanted, '°C', 0)} is wanted: {words}",
                f"in service at {shown(limits.service, '°C', 0)} a part near its glass transition loses its shape",
                "finish it as told" if weight is Weight.SHORT else f"measure {COUPON}",
                basis, source, COUPON if state.tg.low < tg_wanted <= state.tg.high else "",
            )
        )  # fmt: skip
    weight, words = _held_against(state.cure, limits.target)
    if weight is not Weight.NOTHING:
        found.append(
            reason(
                "cure", weight, state.cure.value, limits.target, "%", state.lagging,
                f"it is cured to {_range(state.cure, '%', 0)}; {shown(limits.target, '%', 0)} is wanted: {words}",
                "what has not reacted softens the part and may react later in the sun",
                "finish it as told" if weight is Weight.SHORT else f"measure {HARDNESS}",
                basis, source, HARDNESS if state.cure.low < limits.target <= state.cure.high else "",
            )
        )  # fmt: skip
    return found


def _held_against(value: Range, limit: float) -> tuple[Weight, str]:
    if value.high < limit:
        return Weight.SHORT, "it is short of it"
    if value.value < limit:
        return Weight.SHORT, "most probably it is short of it, but the log leaves it open"
    if value.low < limit:
        return Weight.NOTE, "most probably it is enough, but the log leaves it open"
    return Weight.NOTHING, "it is enough"


def _range(value: Range, unit: str, digits: int) -> str:
    low, high = shown(value.low, unit, digits), shown(value.high, unit, digits)
    if low == high:
        return low
    return f"{shown(value.value, unit, digits)} ({low.rsplit(' ', 1)[0]} to {high})"


def _dwell(state: LoggedState, wanted: float) -> list[Reason]:
    """Return the shortest dwell against what was asked; what it did to the cure is told there."""
    found = []
    for s in state.course.stretches:
        if s.left is None or s.hold <= 0.0 or s.dwell >= DWELL_SHARE * s.hold:
            continue
        enough = state.cure.low >= wanted
        found.append(
            reason(
                "dwell", Weight.NOTE, s.dwell, s.hold, "min", f"segment {s.number}",
                f"of {shown(s.hold, 'min', 0)} at {shown(s.target, '°C', 0)} the lagging sensor "
                f"({state.lagging_line.name}) got {shown(s.dwell, 'min', 0)}",
                "a dwell counts from when the lagging sensor is within 5 K of the set point, not from when the air is",
                "nothing more: the degree of cure is reached all the same" if enough else
                "go by the degree of cure and what is told about it",
            )
        )  # fmt: skip
    return found
