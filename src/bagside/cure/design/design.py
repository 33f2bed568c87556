"""The cycle that keeps every limit, in every scenario, as the controller can be told it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.aim import Aim, Costs
from bagside.cure.design.bounds import Bounds
from bagside.cure.design.controller import Controller
from bagside.cure.design.course import Settings
from bagside.cure.design.kept import Check, Kept, binds, checked, kept, lacking
from bagside.cure.design.limits import NAMES, SCALES, amount, wanted_cure
from bagside.cure.design.not_reached import not_reached
from bagside.cure.design.riding import Ride, ridden
from bagside.cure.design.search import Found, Going, Progress, again, searched
from bagside.cure.design.stage import Chain, Stage
from bagside.cure.outcome import Outcome
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.scenario import Scenario, corners
from bagside.cure.section import Section
from bagside.errors import InputError, NotSolved

Floats = NDArray[np.float64]

CHECKS = 5
"""Times a design may fail its check and be found again with limits kept more closely."""

SLACK = 0.003
"""What a check may be off by, in units of a limit's scale: three hundredths of a kelvin."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Design:
    """A cycle that was found.

    Parameters
    ----------
    programme
        As it is set on the controller; ends with the cooling when that counts.
    duration
        Until the end, or until all of laminate and tool is cool enough to be taken out [s].
    cost
        Of energy and oven hours [money]; none without `Costs`.
    kept
        How closely each limit is kept where it is closest.
    outcomes
        Of every place in every scenario, on a finer mesh: one tuple for each scenario.
    ride
        The course that was ridden first, and what held it back.
    check
        All that was computed of the programme as it is set.
    stage
        What was asked.
    settings
        The programme in steps of the controller, without the cooling.
    begin
        Degree of cure of every reacting cell of all lanes at the start of a post-cure, shape (1, r); none for a first
        cure.
    """

    programme: Programme
    duration: float
    cost: float | None
    kept: tuple[Kept, ...]
    outcomes: tuple[tuple[Outcome, ...], ...]
    ride: Ride
    check: Check
    stage: Stage
    settings: Settings
    begin: Floats | None = None

    @property
    def binding(self) -> tuple[str, ...]:
        """Limits that are kept so closely that they shape the cycle, closest first."""
        close = sorted((k for k in self.kept if binds(k)), key=lambda k: k.margin / SCALES[k.limit])
        return tuple(k.limit for k in close)

    @property
    def bounds(self) -> Bounds:
        """What was asked."""
        return self.stage.bounds

    @property
    def controller(self) -> Controller:
        """What it is set on."""
        return self.stage.controller

    @property
    def scenarios(self) -> tuple[Scenario, ...]:
        """What it holds in."""
        return self.stage.scenarios


def scenarios_of(oven: Oven, scenarios: Sequence[Scenario] | None) -> tuple[Scenario, ...]:
    """Return the scenarios, or those that a cycle has to hold in when none are stated.

    Parameters
    ----------
    oven
        Whose spread from place to place they take up.
    scenarios
        As stated, or None.
    """
    if scenarios is None:
        return corners(oven.offsets[1] - oven.offsets[0])
    return tuple(scenarios)


def designed(
    sections: Sequence[Section],
    resin: CureResin,
    oven: Oven,
    bounds: Bounds,
    *,
    start: float,
    scenarios: Sequence[Scenario] | None = None,
    controller: Controller = Controller(),  # noqa: B008 - a frozen value
    aim: Aim = Aim.FASTEST,
    costs: Costs | None = None,
    progress: Progress | None = None,
    going: Going | None = None,
) -> Design:
    """Return the cycle that keeps every limit in every scenario.

    Parameters
    ----------
    sections
        The places, at the oven's mean air; ten cells in a laminate are enough, the result is checked on twice as many.
    resin
        What they hold.
    oven
        What the air can do.
    bounds
        What has to be kept.
    start
        Temperature of air and part at the start [K].
    scenarios
        In which it has to hold. When None, five: heat of reaction ten per cent and films a quarter off either way, at
        the oven's hottest and coldest places.
    controller
        What the programme is set on.
    aim
        What the cycle is to be.
    costs
        What energy and hours cost; wanted for the cheapest.
    progress
        Told what is being done and the share that is done.
    going
        Asked now and then; when it says no, the best so far is finished and returned.

    Returns
    -------
    Design
        The programme and how it keeps the limits.

    Raises
    ------
    NotReached
        When no cycle keeps the limits and reaches the target; says which limit is in the way and what would free it.
    InputError
        When the input makes no sense.
    NotSolved
        When limits could not be kept by whole steps of the controller, or it was stopped before anything kept them.

    Notes
    -----
    No proof that nothing is faster: the ride is greedy and the polish finds the nearest best. Both hold every limit in
    every scenario on the check's mesh, to three hundredths of a kelvin or like.
    """
    told = progress or quiet
    on = going or always
    if aim is Aim.CHEAPEST and costs is None:
        raise InputError.one("costs", "", "what energy and an hour of the oven cost is wanted for the cheapest cycle")
    stage = Stage.of("cure", sections, resin, oven, bounds, controller, start, scenarios_of(oven, scenarios))
    told("ride", 0.0)
    ride = first_ride(stage, on)
    chain = Chain(stages=(stage,), aim=aim, costs=costs)
    found = searched(chain, [(ride.time, ride.air)], lambda what, share: told(what, 0.3 + 0.5 * share), on)
    chain, found, checks = proven(chain, found, told, on)
    told("done", 1.0)
    return design_of(chain, found, checks, 0, ride)


def first_ride(stage: Stage, going: Going) -> Ride:
    """Return the ride of a stage from its own start.

    Parameters
    ----------
    stage
        What is asked.
    going
        Asked now and then whether to go on.

    Raises
    ------
    NotReached
        When it does not reach the target.
    NotSolved
        When it was stopped.
    """
    if wanted_cure(stage.bounds, stage.resin) >= 1.0:
        raise not_reached(stage, None, going)
    begin = stage.rig.rows(1, stage.top)
    (ride,) = ridden(stage.rig, begin, stage.limits, stage.pace, longest=stage.bounds.longest, going=going)
    if not ride.reached:
        if not going():
            raise NotSolved(f"{stage.name}: stopped before a cycle was found that keeps the limits")
        raise not_reached(stage, ride, going)
    return ride


def proven(chain: Chain, found: Found, progress: Progress, going: Going) -> tuple[Chain, Found, tuple[Check, ...]]:
    """Return settings whose check keeps every limit, with the chain they were found on and their checks.

    Parameters
    ----------
    chain
        What is asked.
    found
        Settings to start from.
    progress, going
        Told how far it is; asked whether to go on.

    Raises
    ------
    NotSolved
        When the check still fails after limits were kept more closely several times.
    """
    worst = np.inf
    for i in range(CHECKS):
        progress("check", 0.8 + 0.2 * i / CHECKS)
        checks: list[Check] = []
        for stage, settings, ready in zip(chain.stages, found.joint, found.ready, strict=True):
            checks.append(checked(stage, stage.whole(settings, ready), checks[-1] if checks else None))
        lacks = [lacking(s, c) for s, c in zip(chain.stages, checks, strict=True)]
        scales = [np.array([[SCALES[n]] for n in s.limits.names]) for s in chain.stages]
        worst = max(float((x / s).max()) for x, s in zip(lacks, scales, strict=True))
        if worst <= SLACK and all(np.isfinite(c.ready) for c in checks):
            return chain, found, tuple(checks)
        stages = tuple(
            s.guarded(np.where(x > 0.0, 1.2 * x + 0.02 * scale, 0.0))
            for s, x, scale in zip(chain.stages, lacks, scales, strict=True)
        )
        chain = Chain(stages=stages, aim=chain.aim, costs=chain.costs)
        found = again(chain, found, going)
    one = _worst(chain, checks)
    where = f"{one.place}, {one.scenario}" if one.scenario else one.place
    raise NotSolved(
        f"{chain.stages[0].name}: no programme in whole steps of the controller was found that keeps every limit; "
        f"{NAMES[one.limit]} is missed by {amount(one.limit, -one.margin)} at {where}; finer steps of the controller, "
        "or more segments, would help"
    )


def _worst(chain: Chain, checks: Sequence[Check]) -> Kept:
    """Return the limit that is broken most, of all stages."""
    each = [k for s, c in zip(chain.stages, checks, strict=True) for k in kept(s, c)]
    return min(each, key=lambda k: k.margin / SCALES[k.limit])


def design_of(chain: Chain, found: Found, checks: Sequence[Check], number: int, ride: Ride) -> Design:
    """Return the design of one stage of a chain.

    Parameters
    ----------
    chain, found, checks
        What was asked, found and checked.
    number
        Of the stage, from zero.
    ride
        What was ridden first.
    """
    stage, settings, check = chain.stages[number], found.joint[number], checks[number]
    time, end = (x[None, :] for x in settings.lines)
    cost = None
    if chain.costs is not None:
        cost = float(chain.costs.of(stage.start, time, end, np.array([check.ready]))[0])
    places = len(stage.sections)
    begin = None
    if number:
        lines = [tuple(x[None, :] for x in s.lines) for s in found.joint]
        begin = chain.trials([(t, e) for t, e in lines])[number - 1].rows.alpha
    return Design(
        programme=stage.whole(settings, found.ready[number]),
        duration=check.ready,
        cost=cost,
        kept=kept(stage, check),
        outcomes=tuple(check.outcomes[i : i + places] for i in range(0, len(check.outcomes), places)),
        ride=ride,
        check=check,
        stage=stage,
        settings=settings,
        begin=begin,
    )


def quiet(_what: str, _share: float) -> None:
    """Tell nobody."""


def always() -> bool:
    """Go on."""
    return True
