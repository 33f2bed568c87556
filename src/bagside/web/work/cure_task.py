"""The tasks of the page of bag and cure: a cycle simulated, looked for, counted."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from bagside.cure.chance import Chance
from bagside.findings import Finding
from bagside.planning.chance_case import chance_of_case
from bagside.planning.cure_case import CureCase, wanted_case
from bagside.planning.cure_design import found_cycle
from bagside.spec.job import CycleWanted
from bagside.web.views.cure.run import RunShown, runs_shown, with_segments
from bagside.web.work.child import Teller

DRAWS = 400
"""Ways a cycle may turn out that are drawn for a page: a chance of 95 % is then known to about two per cent."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CycleShown:
    """A cycle that was tried.

    Parameters
    ----------
    runs
        What the oven run under the hand comes to.
    seconds
        It took to compute.
    """

    runs: tuple[RunShown, ...]
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleNews:
    """How far a search or a count has come.

    Parameters
    ----------
    what
        What is being done, in words.
    done
        Share of it.
    seconds
        Since it began.
    """

    what: str
    done: float
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CycleFound:
    """A cycle that was looked for.

    Parameters
    ----------
    case
        With its programme, and its post-cure when there is one.
    runs
        What each oven run comes to.
    reasons, post_reasons
        What holds back each segment, in a sentence.
    findings
        What the search wants to be known.
    whole
        Whether the search came to its end; the best so far else.
    """

    case: CureCase
    runs: tuple[RunShown, ...]
    reasons: tuple[str, ...]
    post_reasons: tuple[str, ...]
    findings: tuple[Finding, ...]
    whole: bool


def simulate_cycle(
    tell: Teller, case: CureCase, name: str, segments: tuple[tuple[float, float, float], ...]
) -> CycleShown:
    """Return what a cycle does to the part, as far as the run whose segments these are: the hand waits for it.

    Parameters
    ----------
    tell
        Hears nothing: it is over before it could be told.
    case
        What is cured, in which oven.
    name
        ``cure`` or ``post-cure``: the run whose segments these are.
    segments
        Target [K], ramp [K/s] and hold [s] of each.

    Raises
    ------
    InputError
        When it cannot be run.
    """
    begun = time.perf_counter()
    moved = with_segments(case, name, segments)
    if name == "cure":  # what the post-cure makes of it is not looked at meanwhile, and is planned when it is let go
        moved = replace(moved, post=None, post_limits=None)
    runs = tuple(r for r in runs_shown(moved) if r.name == name)
    return CycleShown(runs=runs, seconds=time.perf_counter() - begun)


def design_cycle(tell: Teller, case: CureCase, wanted: CycleWanted, energy: float, oven: float) -> CycleFound:
    """Return the cycle that is wanted, or the best so far when it is stopped.

    Parameters
    ----------
    tell
        Takes `CycleNews`.
    case
        What is cured, in which oven.
    wanted
        Of the cycle.
    energy, oven
        Price of energy [money/J] and of the oven's time [money/s].

    Raises
    ------
    InputError
        When none keeps to every limit: says which binds and what would free it.
    """
    begun = time.monotonic()

    def news(what: str, done: float) -> None:
        tell(CycleNews(what=what, done=done, seconds=time.monotonic() - begun))

    found = found_cycle(wanted_case(case, wanted), energy, oven, progress=news, going=lambda: not tell.stopping)
    return CycleFound(
        case=found.case,
        runs=runs_shown(found.case),
        reasons=found.reasons,
        post_reasons=found.post_reasons,
        findings=found.findings,
        whole=not tell.stopping,
    )


def count_chance(
    tell: Teller, case: CureCase, name: str, segments: tuple[tuple[float, float, float], ...]
) -> tuple[Chance, tuple[Finding, ...]]:
    """Return how often every limit of a cycle holds when heat, films, air and place are off as they usually are.

    Parameters
    ----------
    tell
        Takes `CycleNews`.
    case, name, segments
        See `simulate_cycle`.
    """
    begun = time.monotonic()

    def news(done: int, of: int) -> None:
        tell(CycleNews(what="", done=done / of, seconds=time.monotonic() - begun))

    counted = chance_of_case(
        replace(with_segments(case, name, segments), wanted=None),
        draws=DRAWS,
        workers=1,
        progress=news,
        stop=lambda: tell.stopping,
    )
    return counted.chance, counted.findings
