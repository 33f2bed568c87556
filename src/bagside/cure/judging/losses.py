"""What a mishap has cost already, whatever is done now: from the state of the resin when it happened."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.cure.judging.mishap import Mishap
from bagside.cure.judging.reason import Weight
from bagside.cure.judging.reasons_heat import DISCOLOURED, SCORCHED
from bagside.cure.judging.reasons_vacuum import BRIEF
from bagside.cure.judging.state import LoggedState, Stage
from bagside.cure.judging.wayward import Moment
from bagside.cure.noticed import Limits
from bagside.quantity import shown

SPENT = 0.01
"""Degree of cure that must have gone by before it is told as life used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """What is lost.

    Parameters
    ----------
    weight
        What it makes of the part.
    risks
        In words; empty when nothing is lost.
    spent
        Degree of cure gained since the log began, at the most cured point: life and flow that will not come back.
    """

    weight: Weight
    risks: tuple[str, ...]
    spent: float


def lost_by(what: Mishap, state: LoggedState, then: Moment, now: Moment, limits: Limits) -> Lost:
    """Return what a mishap has cost already.

    Parameters
    ----------
    what
        What went wrong.
    state
        What the log tells.
    then, now
        The part when it went wrong, and at the end of the log.
    limits
        What mould and resin bear.
    """
    weight = Weight.NOTHING
    risks: list[str] = []
    spent = now.leading - max(float(p.history.alpha[0].max()) for p in state.places)
    if what.no_vacuum:
        weight, risks = _vacuum(state, then, now)
    if limits.resin is not None and state.hottest > limits.resin:
        heavier, words = _overshoot(state, limits.resin)
        weight = max(weight, heavier, key=list(Weight).index)
        risks.append(words)
    if limits.tool is not None and state.tool_hottest is not None and state.tool_hottest > limits.tool:
        weight = max(weight, Weight.NOTE, key=list(Weight).index)
        risks.append(f"the mould was at {shown(state.tool_hottest, '°C', 0)} and may be {shown(limits.tool, '°C', 0)}")
    if what in (Mishap.COOLED, Mishap.DEMOULDED) and then.stage in (Stage.GELLED, Stage.CURED):
        weight = max(weight, Weight.NOTE, key=list(Weight).index)
        risks.append("it may have sprung: lay it on its mould and look for gaps")
    if what is Mishap.RAMP and then.stage is Stage.SOFT:
        weight = max(weight, Weight.NOTE, key=list(Weight).index)
        risks.append("pinholes: resin thickened before air was out")
    if now.stage in (Stage.COLD, Stage.SOFT) and spent > SPENT:
        risks.append(f"{shown(spent, '%', 0)} of cure are used up; resin flows less when it is heated again")
    return Lost(weight=weight, risks=tuple(risks), spent=spent)


def _vacuum(state: LoggedState, then: Moment, now: Moment) -> tuple[Weight, list[str]]:
    gel = state.resin.gel
    if then.lagging >= gel:
        return Weight.NOTHING, []
    if now.lagging >= gel:
        return Weight.STRUCTURE, ["resin gelled without vacuum: porosity is locked in; weigh it, tap it, cut the trim"]
    if then.stage is Stage.COLD and now.stage is Stage.COLD:
        return Weight.NOTHING, []
    since = now.time - then.time
    if now.leading >= gel:
        return Weight.STRUCTURE, ["some of it has gelled without vacuum: porosity there"]
    if since <= BRIEF:
        return Weight.NOTE, ["resin was soft when the vacuum went: look for pinholes"]
    return Weight.NOTE, [f"resin was soft without vacuum for {shown(since, 'min', 0)}: expect porosity"]


def _overshoot(state: LoggedState, limit: float) -> tuple[Weight, str]:
    over = state.hottest - limit
    gel = state.gel_time
    early = gel is None or state.first_over(limit + min(over, SCORCHED)) <= gel
    words = f"it was {shown(over, 'K', 0)} over what the resin bears"
    if over > SCORCHED:
        return (Weight.LOST if early else Weight.STRUCTURE), f"{words}: degraded; look the mould over"
    if over > DISCOLOURED:
        return (
            Weight.NOTE,
            f"{words}: brown edges; check bag and tape" if early else f"{words}: look at mould and colour",
        )
    return Weight.NOTE, f"{words}: write it down; check the consumables"
