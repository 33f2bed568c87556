"""From a case to what chances are counted on: its oven runs with their limits, and what may turn out otherwise."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from bagside import bagging
from bagside.cure import NOMINAL, Programme, Segment, corners
from bagside.cure.chance import (
    Chance,
    Draws,
    Kind,
    Scatter,
    Spread,
    Stage,
    chance_findings,
    drawn,
    scatter_of_oven,
)
from bagside.cure.chance.notes import WANTED
from bagside.cure.design import Bounds
from bagside.errors import InputError
from bagside.findings import Basis, Finding
from bagside.planning.chances import Progress, Stop, counted
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_design import FoundCycle, bounds_free, bounds_on_mould, found_cycle
from bagside.planning.sure_cycle import ROUNDS, Say, designed_for_chance, sure_cycle_findings
from bagside.spec.job import CycleWanted

SHEET_RATE = 0.15  # sd of the logarithm of the rate when the law was fitted to a data sheet: gel times scatter by 15 %
AS_STATED = CycleWanted(voids=False, stiff=0.0)  # the limits of the part alone
COLDEST, HOTTEST = 280.0, 460.0  # [K] between which the criterion for voids holds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CaseChance:
    """How sure the cycle of a case is.

    Parameters
    ----------
    case
        With its cycle.
    chance
        Of every limit.
    scatter
        What it was drawn from.
    wanted
        Chance that is wanted.
    found
        The cycle that was looked for; None when it was stated.
    rounds
        How often a cycle was designed; zero when it was stated.
    findings
        What a person should know.
    """

    case: CureCase
    chance: Chance
    scatter: Scatter
    wanted: float
    found: FoundCycle | None
    rounds: int
    findings: tuple[Finding, ...]


def chance_of_case(
    case: CureCase,
    scatter: Scatter | None = None,
    *,
    draws: int = 2000,
    seed: int = 1,
    wanted: float | None = None,
    voids: bool = True,
    workers: int | None = None,
    cluster: str = "",
    progress: Progress | None = None,
    say: Say | None = None,
    stop: Stop | None = None,
    find: Callable[..., FoundCycle] = found_cycle,
) -> CaseChance:
    """Return how sure the cycle of a case is; when one is looked for and a chance is asked, one that is as sure.

    Parameters
    ----------
    case
        With its cycle, or with what is wanted of one.
    scatter
        What may be off; common practice when None. The oven's spread is always the case's, unless it is stated.
    draws, seed
        How many, and from what.
    wanted
        Chance wanted that every limit holds; when None, that of the job, or 95 %. A cycle that is looked for is made as
        sure only when a chance is asked here or by the job.
    voids
        Whether water must make no voids before gel, where humidity and vacuum are known.
    workers, cluster, progress, stop
        As for `counted`.
    say
        Told what is being done while a cycle is looked for.
    find
        Looks for a cycle; takes the case and ``scenarios``.

    Raises
    ------
    InputError
        When no cycle is to be had, or the cluster cannot be used.
    """
    drawn_from = scatter_of(case, scatter)
    wish = case.wanted
    asked = wanted if wanted is not None or wish is None else wish.chance
    level = WANTED if asked is None else asked
    wet = voids and (wish is None or wish.voids)
    share = 0.0 if wish is None else wish.fibre_share

    def some(n: int, number: int) -> Draws:
        return draws_of(case, drawn_from, n, number, fibre_share=share) if wet else drawn(drawn_from, n, number)

    if wish is None:
        got = counted(
            stages_of(case), case.resin, case.oven, some(draws, seed),
            workers=workers, cluster=cluster, progress=progress, stop=stop,
        )  # fmt: skip
        found, rounds, notes = None, 0, got.notes
    else:
        sure = designed_for_chance(
            lambda ways: find(case, scenarios=ways, going=None if stop is None else lambda: not stop()),
            lambda cycle: stages_of(cycle.case, wish), case.resin, case.oven, some,
            scenarios=corners(case.spread) if wish.robust else (NOMINAL,), wanted=level,
            search=min(draws, 1000), fresh=draws, seed=seed,
            rounds=1 if asked is None else ROUNDS, workers=workers, cluster=cluster, progress=say, stop=stop,
        )  # fmt: skip
        got, found, rounds = sure.counted, sure.design, sure.rounds
        unsure = sure_cycle_findings(sure, case.basis) if asked is not None else ()
        notes = (*unsure, *found.findings, *got.notes)
    told = chance_findings(got.chance, drawn_from, level, basis=case.basis, source=case.source)
    return CaseChance(
        case=case if found is None else found.case,
        chance=got.chance,
        scatter=drawn_from,
        wanted=level,
        found=found,
        rounds=rounds,
        findings=(*told, *notes),
    )


def stages_of(case: CureCase, wanted: CycleWanted | None = None) -> tuple[Stage, ...]:
    """Return the oven runs of a case with their limits.

    Parameters
    ----------
    case
        With its programme.
    wanted
        What was wanted of the cycle when it was looked for: its limits count. When None, those of the part alone: cure,
        glass transition, mould and resin, and that a part without its mould stays below its glass transition.

    Returns
    -------
    tuple of Stage
        The cure on the mould, and the post-cure when there is one; each with the cooling until the part may be taken
        out.

    Raises
    ------
    InputError
        When the programme is still to be found.
    """
    if case.wanted is not None:
        raise InputError.one(
            case.name, "", "a cycle is wanted, and this job still looks for one", "run: bagside cure design first"
        )
    asked = wanted or AS_STATED
    two = case.post is not None
    on_mould = replace(asked, two_stage=two and asked.two_stage)
    first = bounds_on_mould(case, on_mould) if wanted else stated_bounds(case)
    stages = [Stage(sections=case.on_mould, programme=_cooled(case, case.programme), bounds=_kept(first))]
    if case.post is None:
        return tuple(stages)
    free = bounds_free(case, asked)
    return (
        replace(stages[0], name="on the mould"),
        Stage(sections=case.free, programme=_cooled(case, case.post), bounds=_kept(free), name="post-cure"),
    )


def stated_bounds(case: CureCase) -> Bounds:
    """Return what a stated cycle on the mould must keep to: what cure, glass transition, mould and resin ask.

    Parameters
    ----------
    case
        With its programme.
    """
    return replace(bounds_on_mould(case, AS_STATED), overshoot=None)


def _kept(bounds: Bounds) -> Bounds:
    """Return the bounds without a temperature for voids: each draw has its own."""
    return replace(bounds, void_free=None)


def _cooled(case: CureCase, programme: Programme) -> Programme:
    last = programme.segments[-1]
    if last.target <= case.demould:
        return programme
    cooling = Segment(target=case.demould, ramp=case.oven.cooling)
    return replace(programme, segments=(*programme.segments, cooling))


def scatter_of(case: CureCase, base: Scatter | None = None) -> Scatter:
    """Return what may turn out otherwise in a case, as far as it says.

    Parameters
    ----------
    case
        Its oven's spread is the place's, unless that is stated; a law fitted to a data sheet is less certain.
    base
        All else; common practice when None.
    """
    stated = base is not None and base.place.basis is Basis.MEASURED
    scatter = base if base is not None and stated else scatter_of_oven(case.spread, base=base)
    if case.fitted == "data sheet" and scatter.rate.basis is Basis.COMMON and scatter.rate.size < SHEET_RATE:
        rate = Spread(
            kind=Kind.LOGNORMAL, size=SHEET_RATE, basis=Basis.DATA_SHEET, source="a law fitted to a data sheet"
        )
        scatter = replace(scatter, rate=rate)
    return scatter


def draws_of(case: CureCase, scatter: Scatter, n: int, seed: int, *, fibre_share: float = 0.0) -> Draws:
    """Return draws for a case, each with the hottest temperature at which water makes no voids on such a day.

    Parameters
    ----------
    case
        For the day's air, the pump and the humidity; without them no temperature for voids is told.
    scatter, n, seed
        As for `bagside.cure.chance.drawn`.
    fibre_share
        Of what presses, carried by the fibres.

    Notes
    -----
    Air is never wetter than saturated; a humidity drawn beyond counts as that. Where nothing presses on the resin, or
    the criterion's answer lies below 280 K, no cure is free of voids; above 460 K none makes any.
    """
    draws = drawn(scatter, n, seed)
    if case.ambient is None or case.vacuum is None or not case.humidity:
        return draws
    outside = case.ambient * (1.0 + draws.of("ambient"))
    left = case.vacuum + draws.of("leak")
    humidity = case.humidity + draws.of("humidity")
    each = [
        _void_free(float(p), float(v), float(h), fibre_share) for p, v, h in zip(outside, left, humidity, strict=True)
    ]
    return replace(draws, void_free=np.array(each))


def _void_free(outside: float, left: float, humidity: float, share: float) -> float:
    if humidity <= 0.0:
        return math.inf
    pressure = (outside - left) * (1.0 - share)
    wet = min(humidity, 1.0)
    if pressure <= float(bagging.minimum_resin_pressure_kardos_1986(COLDEST, wet)):
        return 0.0
    if pressure >= float(bagging.minimum_resin_pressure_kardos_1986(HOTTEST, wet)):
        return math.inf
    return bagging.void_free_temperature(outside, left, wet, share)
