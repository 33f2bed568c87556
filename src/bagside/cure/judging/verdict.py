"""Whether a part is good: the verdict on a logged cure, with every reason, its number and its limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from bagside.cure.hold import cure_for_tg
from bagside.cure.judging.finish import Finish, held_longer
from bagside.cure.judging.places import PlaceState
from bagside.cure.judging.post_cure import post_cured
from bagside.cure.judging.reason import Reason, Weight
from bagside.cure.judging.reasons import reasons_of
from bagside.cure.judging.state import LoggedState
from bagside.cure.noticed import Limits
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.section import Section
from bagside.findings import Basis, Finding, Severity


class Verdict(StrEnum):
    """What becomes of a part."""

    GOOD = "good"
    NOTE = "good with a note"
    FINISH = "finish it like this"
    SCRAP_STRUCTURE = "scrap for structure"
    SCRAP = "scrap"


_VERDICT = {
    Weight.NOTHING: Verdict.GOOD,
    Weight.NOTE: Verdict.NOTE,
    Weight.SHORT: Verdict.FINISH,
    Weight.STRUCTURE: Verdict.SCRAP_STRUCTURE,
    Weight.LOST: Verdict.SCRAP,
}

ORDER = tuple(Weight)
"""Lightest first."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judgement:
    """The verdict on a logged cure.

    Parameters
    ----------
    verdict
        In a word.
    reasons
        Everything that was looked at and said something, weightiest first.
    finish
        What finishes it, the quickest first; empty when nothing is needed or nothing helps.
    measure
        The one measurement that would settle it; empty when the range of the log settles it.
    state
        What it rests on.
    wanted
        Degree of cure wanted at the least cured point.
    wanted_tg
        Glass transition wanted there [K].
    """

    verdict: Verdict
    reasons: tuple[Reason, ...]
    finish: tuple[Finish, ...]
    measure: str
    state: LoggedState
    wanted: float
    wanted_tg: float

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What a person should know, of the log and of the part."""
        return (*(r.finding for r in self.reasons), *self.state.noticed)


def wanted_cure(state: LoggedState, limits: Limits) -> float:
    """Return the degree of cure that target and glass transition ask for; the target where no cure reaches that Tg.

    Parameters
    ----------
    state
        For its resin.
    limits
        What is wanted.
    """
    for_tg = cure_for_tg(state.resin, limits.service + limits.margin)
    return max(limits.target, for_tg) if 0.0 < for_tg < 0.999 else limits.target


def judged(
    state: LoggedState,
    limits: Limits,
    programme: Programme,
    oven: Oven,
    free: Sequence[Section] = (),
    *,
    room: float = 293.15,
    basis: Basis = Basis.PUBLISHED,
    source: str = "",
    tg_margin: float = 5.0,
    free_standing: bool = False,
) -> Judgement:
    """Return the verdict on a logged cure.

    Parameters
    ----------
    state
        From `state_of`.
    limits
        What the part is held against.
    programme, oven
        As planned.
    free
        The sections without the mould, in the same order; without them no post-cure is worked out.
    room
        Temperature at which a part that has cooled starts again [K].
    basis, source
        On what the resin's law rests.
    tg_margin
        By which Tg must stay above the temperature in a free-standing post-cure [K].
    free_standing
        Whether the log is of such a post-cure: then there is no mould to hold it on.

    Raises
    ------
    NotSolved
        When a programme that should finish it cannot be computed.
    """
    wanted, wanted_tg = wanted_cure(state, limits), limits.service + limits.margin
    reasons = sorted(
        reasons_of(state, limits, programme, wanted, basis, source, free_standing=free_standing),
        key=lambda r: ORDER.index(r.weight),
        reverse=True,
    )
    weight = reasons[0].weight if reasons else Weight.NOTHING
    if weight is Weight.NOTHING and any(f.severity in (Severity.DECIDE, Severity.STOP) for f in state.noticed):
        weight = Weight.NOTE
    finish = (
        _finish(state, wanted, limits, programme, oven, free, room, tg_margin, free_standing)
        if _is_short(reasons)
        else ()
    )
    return Judgement(
        verdict=_VERDICT[weight],
        reasons=tuple(reasons),
        finish=finish,
        measure=next((r.measure for r in reasons if r.measure), ""),
        state=state,
        wanted=wanted,
        wanted_tg=wanted_tg,
    )


def _is_short(reasons: Sequence[Reason]) -> bool:
    return any(r.weight is Weight.SHORT for r in reasons)


def _finish(
    state: LoggedState,
    wanted: float,
    limits: Limits,
    programme: Programme,
    oven: Oven,
    free: Sequence[Section],
    room: float,
    margin: float,
    free_standing: bool,
) -> tuple[Finish, ...]:
    """Return what finishes the part: at once while it is hot, else from the room."""
    warm = state.temperature[1] > limits.demould
    air = float(state.drive.mean.values[-1]) if warm else room
    places: tuple[PlaceState, ...] = state.places
    found = [
        None
        if free_standing
        else held_longer(places, state.resin, wanted, limits, oven, programme, air=air, warm=warm),
        post_cured(places, free, state.resin, wanted, limits, oven, room=room, margin=margin) if free else None,
    ]
    return tuple(sorted((f for f in found if f is not None), key=lambda f: f.duration))
