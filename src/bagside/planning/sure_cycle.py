"""A cycle that is as sure as was asked: designed, counted, and designed again for the draws it must hold in as well."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from bagside.cure import CureResin, Oven, Scenario, Section
from bagside.cure.chance import Draws, Stage
from bagside.errors import InputError, NotSolved
from bagside.findings import Basis, Finding, Severity
from bagside.planning.chances import Counted, Stop, counted

D = TypeVar("D")

ROUNDS = 4
"""Times a cycle is designed again before the surest is taken."""

CLOSER, ENOUGH = 0.6, 0.8
"""Share of what may fail that a design is made for, and that may fail in the draws it is tried on: the rest is for what
the next draws bring."""

Say = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SureCycle(Generic[D]):
    """A cycle and how sure it is.

    Parameters
    ----------
    design
        The surest that was found.
    counted
        How sure it is, on draws that had no part in finding it.
    scenarios
        In which it was made to hold.
    rounds
        How often a cycle was designed.
    wanted
        Chance that was wanted.
    stopped_by
        Why it was not designed once more, in words; empty when it was sure enough or the rounds were used up.
    """

    design: D
    counted: Counted
    scenarios: tuple[Scenario, ...]
    rounds: int
    wanted: float
    stopped_by: str

    @property
    def reached(self) -> bool:
        """Whether the chance counted is the wanted one or more."""
        return self.counted.chance.all_hold.chance >= self.wanted


def designed_for_chance(
    design: Callable[[tuple[Scenario, ...]], D],
    stages: Callable[[D], Sequence[Stage]],
    resin: CureResin,
    oven: Oven,
    draws: Callable[[int, int], Draws],
    *,
    scenarios: tuple[Scenario, ...],
    wanted: float = 0.95,
    search: int = 1000,
    fresh: int = 2000,
    seed: int = 1,
    rounds: int = ROUNDS,
    workers: int | None = None,
    cluster: str = "",
    progress: Say | None = None,
    stop: Stop | None = None,
) -> SureCycle[D]:
    """Return a cycle whose limits all hold with a wanted chance, or the surest that was found.

    Parameters
    ----------
    design
        Returns a cycle that holds in all scenarios; raises InputError or NotSolved when there is none.
    stages
        Returns the oven runs of a cycle, with their limits.
    resin, oven
        As for `counted`.
    draws
        Returns so many draws of a seed.
    scenarios
        To begin with.
    wanted
        Chance wanted that all limits hold at once.
    search, fresh
        Draws in each round, and for the chance that is told.
    seed
        Of the draws for the chance that is told; each round takes another.
    rounds
        How often a cycle is designed at most.
    workers, cluster
        As for `counted`.
    progress
        Told what is being done and the share that is done.
    stop
        Asked between steps; the surest cycle so far is then taken.

    Returns
    -------
    SureCycle
        With its chance on draws that had no part in finding it.

    Raises
    ------
    InputError, NotSolved
        When not even the first design can be made, or the wanted chance makes no sense.

    Notes
    -----
    The lag of the oven scatters in the count but not in the design, which knows one oven only. Places that start from
    different degrees of cure keep their own in the design.
    """
    if not 0.0 < wanted < 1.0:
        raise InputError.one("wanted chance", repr(wanted), "a chance above 0 % and below 100 % is wanted")
    say: Say = progress or (lambda what, share: None)
    ways, why, k = scenarios, "", 0
    best: tuple[float, D, tuple[Scenario, ...]] | None = None
    while best is None or k < rounds:
        k += 1
        say(f"cycle {k} in {len(ways)} scenarios", (k - 1) / (rounds + 1))
        try:
            found = design(ways)
        except (InputError, NotSolved) as error:
            if best is None:
                raise
            why = f"no cycle holds in what else was drawn: {error}"
            break
        say(f"chance of cycle {k}", (k - 0.5) / (rounds + 1))
        tried = draws(search, seed + k)
        got = counted(stages(found), resin, oven, tried, workers=workers, cluster=cluster, stop=stop).chance
        if best is None or got.all_hold.chance > best[0]:
            best = (got.all_hold.chance, found, ways)
        if got.all_hold.chance >= 1.0 - ENOUGH * (1.0 - wanted):
            break
        if stop is not None and stop():
            why = "it was stopped"
            break
        start = _start(stages(found)[0].sections, resin)
        ways = (*ways, *(got.draws.scenario(int(i), start) for i in got.to_hold(1.0 - CLOSER * (1.0 - wanted))))
    _, found, ways = best
    say("chance on fresh draws", rounds / (rounds + 1))
    told = counted(stages(found), resin, oven, draws(fresh, seed), workers=workers, cluster=cluster, stop=stop)
    return SureCycle(design=found, counted=told, scenarios=ways, rounds=k, wanted=wanted, stopped_by=why)


def _start(sections: Sequence[Section], resin: CureResin) -> float | None:
    """Return the degree of cure that all places start from; nothing when they differ."""
    starts = {resin.alpha0 if s.alpha0 is None else s.alpha0 for s in sections}
    (one, *others) = starts
    return one if not others and isinstance(one, float) else None


def sure_cycle_findings(sure: SureCycle[D], basis: Basis = Basis.COMMON) -> tuple[Finding, ...]:
    """Return what a person should know beside the chance itself.

    Parameters
    ----------
    sure
        What was found.
    basis
        Of the resin's law.

    Returns
    -------
    tuple of Finding
        Decide when the wanted chance was not reached; empty else.
    """
    if sure.reached:
        return ()
    return (
        Finding(
            severity=Severity.DECIDE,
            stage="cure",
            place="design",
            what=f"the surest of {sure.rounds} cycles is not as sure as wanted",
            why=sure.stopped_by or "each cycle that was made to hold in more draws failed in others",
            do="know better what scatters most, let go of a limit, or take the chance",
            basis=basis,
        ),
    )
