"""From what is wanted of a cycle to the cycle: limits of the case, humidity and vacuum of the day, the controller."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from bagside import bagging
from bagside.cure import NOMINAL, Programme, Scenario
from bagside.cure import design as cycles
from bagside.cure.design import Aim, Bounds, Controller, Costs, Design, Flow, Kind, Power, TwoStage
from bagside.cure.fit import post_cure_margin
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cure_case import CureCase
from bagside.quantity import shown
from bagside.spec.job import CycleWanted
from bagside.spec.material import Fitted
from bagside.spec.workshop import Controller as StatedController

UP = 20.0  # [K] of the glass transition over the start of a free-standing post-cure: common practice

Progress = Callable[[str, float], None]
Going = Callable[[], bool]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundCycle:
    """A cycle that was looked for.

    Parameters
    ----------
    case
        With its programme, and its post-cure when there is one.
    design
        The cycle on the mould.
    both
        Both stages, when the part comes off the mould half cured; None else.
    reasons, post_reasons
        A sentence for each segment: what holds it back.
    findings
        What a person should know.
    """

    case: CureCase
    design: Design
    both: TwoStage | None
    reasons: tuple[str, ...]
    post_reasons: tuple[str, ...]
    findings: tuple[Finding, ...]


def controller_of(stated: StatedController) -> Controller:
    """Return the controller as the cure bench takes it.

    Parameters
    ----------
    stated
        As the workshop states it.
    """
    return Controller(
        segments=stated.segments,
        kind=Kind(stated.told.value),
        slowest=stated.slowest,
        fastest=stated.fastest,
        rate_step=stated.rate_step,
        temperature_step=stated.temperature_step,
        time_step=stated.time_step,
        falls=stated.falls,
    )


def void_free(case: CureCase, wanted: CycleWanted) -> float | None:
    """Return the hottest temperature before gel at which water makes no voids [K]; nothing when it is not asked.

    Parameters
    ----------
    case
        For the day's air, the pump and the humidity.
    wanted
        What is wanted.
    """
    if not wanted.voids or case.ambient is None or case.vacuum is None or not case.humidity:
        return None
    return bagging.void_free_temperature(case.ambient, case.vacuum, case.humidity, wanted.fibre_share)


def stiff_margin(case: CureCase, wanted: CycleWanted) -> float:
    """Return the margin of the glass transition over the temperature of a free-standing part [K].

    A law that was fitted here says less half-way through a cure than at its end; its own error decides then.

    Parameters
    ----------
    case
        For the error of its law.
    wanted
        What is wanted.
    """
    if not case.fitted:
        return wanted.stiff
    return max(wanted.stiff, post_cure_margin(Fitted(case.fitted), case.tg_error).value)


def bounds_on_mould(case: CureCase, wanted: CycleWanted) -> Bounds:
    """Return what the cycle on the mould has to keep to.

    Parameters
    ----------
    case
        What is cured.
    wanted
        What is wanted.
    """
    limits = case.limits
    tg = limits.service + limits.margin
    if wanted.two_stage:
        tg = max(case.room.temperature + UP + case.tg_error, case.demould + stiff_margin(case, wanted))
    return Bounds(
        target=limits.target,
        tg=tg,
        hottest=_least(wanted.hottest, limits.resin),
        tool=limits.tool,
        spread=wanted.spread,
        overshoot=wanted.overshoot,
        void_free=void_free(case, wanted),
        flow=Flow(viscosity=wanted.flow_viscosity, time=wanted.flow) if wanted.flow else None,
        power=_power(case, case.heated),
        demould=case.demould,
        longest=wanted.longest,
    )


def bounds_free(case: CureCase, wanted: CycleWanted) -> Bounds:
    """Return what the post-cure has to keep to.

    Parameters
    ----------
    case
        What is cured.
    wanted
        What is wanted.
    """
    limits = case.post_limits or case.limits
    return Bounds(
        target=limits.target,
        tg=limits.service + limits.margin,
        hottest=_least(wanted.hottest, limits.resin),
        stiff=stiff_margin(case, wanted),
        power=_power(case, case.post_heated),
        demould=case.demould,
        longest=wanted.longest,
    )


def _least(*values: float | None) -> float | None:
    return min((v for v in values if v is not None), default=None)


def _power(case: CureCase, heated: Mapping[str, float]) -> Power | None:
    total = sum(heated.values())
    if total <= 0.0:
        return None  # nobody stated what mould and part weigh
    oven = case.stated_oven
    return Power(heater=oven.power, loss=oven.loss, heated=total, room=case.room.temperature)


def found_cycle(
    case: CureCase,
    energy: float = 0.0,
    oven: float = 0.0,
    scenarios: tuple[Scenario, ...] | None = None,
    progress: Progress | None = None,
    going: Going | None = None,
) -> FoundCycle:
    """Return the cycle that is wanted.

    Parameters
    ----------
    case
        What is cured; says what is wanted.
    energy, oven
        Price of energy [money/J] and of the oven's time [money/s]; for the cheapest cycle.
    scenarios
        In which it must hold; those of the workshop's usual scatter when None.
    progress
        Who watches.
    going
        Asked now and then whether to go on.

    Raises
    ------
    InputError
        When no cycle is wanted, or none keeps to every limit: says which binds and what would free it.
    """
    wanted = case.wanted
    if wanted is None:
        raise InputError.one("cure, design", "", "nothing says what is wanted of a cycle", "state [cure.design]")
    if scenarios is None and not wanted.robust:
        scenarios = (NOMINAL,)
    aim = Aim(wanted.aim.value)
    controller = controller_of(case.stated_oven.controller)
    costs = None
    if aim is Aim.CHEAPEST:
        costs = Costs(
            energy=energy,
            oven=oven,
            heated=sum(case.heated.values()),
            loss=case.stated_oven.loss,
            room=case.room.temperature,
        )
    on_mould = bounds_on_mould(case, wanted)
    common: dict[str, Any] = {
        "scenarios": scenarios,
        "controller": controller,
        "aim": aim,
        "costs": costs,
        "progress": progress,
        "going": going,
    }
    if not wanted.two_stage:
        one = cycles.designed(case.on_mould, case.resin, case.oven, on_mould, start=case.start, **common)
        return FoundCycle(
            case=replace(case, programme=without_cooling(one.programme, case.demould), wanted=None),
            design=one,
            both=None,
            reasons=cycles.why(one),
            post_reasons=(),
            findings=(*cycles.design_findings(one, basis=case.basis, source=case.source), *_told(case, wanted)),
        )
    both = cycles.two_stage(
        case.on_mould,
        case.free,
        case.resin,
        case.oven,
        on_mould,
        bounds_free(case, wanted),
        start=case.start,
        post_start=case.room.temperature,
        handling=wanted.handling,
        **common,
    )
    return FoundCycle(
        case=replace(
            case,
            programme=without_cooling(both.first.programme, case.demould),
            post=without_cooling(both.post.programme, case.demould),
            wanted=None,
        ),
        design=both.first,
        both=both,
        reasons=cycles.why(both.first),
        post_reasons=cycles.why(both.post),
        findings=(*cycles.two_stage_findings(both, basis=case.basis, source=case.source), *_told(case, wanted)),
    )


def without_cooling(programme: Programme, demould: float) -> Programme:
    """Return a programme up to where it only cools to be taken out; every plan adds that by itself.

    Parameters
    ----------
    programme
        With cooling as its last segment, or without.
    demould
        Temperature at which the part may be taken out [K].
    """
    last = programme.segments[-1]
    if len(programme.segments) > 1 and last.target <= demould and last.target < programme.segments[-2].target:
        return replace(programme, segments=programme.segments[:-1])
    return programme


def _told(case: CureCase, wanted: CycleWanted) -> tuple[Finding, ...]:
    """Return what the search was not asked or could not know."""
    found = []
    if wanted.voids and void_free(case, wanted) is None:
        known = case.vacuum is not None and case.ambient is not None
        missing = "the humidity is" if known else "pump and room are"
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place="design",
                what=f"nothing keeps the cycle from boiling water in the resin: {missing} not stated",
                why="a resin that gels too hot for the bag's pressure is full of voids",
                do="state them, and the cycle gels where the bag's pressure is enough",
                basis=Basis.PUBLISHED,
                source="Kardos, Dudukovic & Dave 1986",
            )
        )
    if case.fitted and wanted.two_stage:
        margin = post_cure_margin(Fitted(case.fitted), case.tg_error)
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place="design, post-cure",
                what=f"it keeps {shown(stiff_margin(case, wanted), 'K', 0)} under the glass transition",
                why=f"{margin.why}; a part that is too hot sags",
                do="have one or two DSC curves taken and fit to them: the margin and the time shrink",
                basis=margin.basis,
                source=margin.source,
            )
        )
    return tuple(found)
