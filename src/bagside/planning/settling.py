"""The cycle of a case is settled: as stated, or looked for, and when that is wanted until it is sure enough."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from bagside.cure.chance import Chance
from bagside.planning.chance_case import chance_of_case
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_design import FoundCycle, found_cycle
from bagside.planning.stages import Stages
from bagside.spec.workshop import Workshop


def settled(case: CureCase, workshop: Workshop, stages: Stages) -> tuple[CureCase, FoundCycle | None, Chance | None]:
    """Return a case with its cycle, looked for when one is wanted, how it was found, and how sure it is.

    Parameters
    ----------
    case
        What is cured.
    workshop
        For the price of energy and of the oven.
    stages
        Keep what is worked out.

    Returns
    -------
    tuple
        Nothing was found when the cycle is stated; a chance is counted when the job asks for one.

    Raises
    ------
    InputError
        When no cycle keeps to every limit.
    """
    if case.wanted is None:
        return case, None, None
    prices = workshop.prices
    if case.wanted.chance is None:
        found = stages.run("Looking for the cycle", found_cycle, case, prices.energy, prices.oven)
        return found.case, found, None
    found, chance = stages.run("Looking for a cycle that is sure enough", sure, case, prices.energy, prices.oven)
    return found.case, found, chance


def sure(case: CureCase, energy: float, oven: float) -> tuple[FoundCycle, Chance]:
    """Return a cycle that is as sure as the job asks, and its chance.

    Parameters
    ----------
    case
        What is cured; says what is wanted.
    energy, oven
        Price of energy [money/J] and of the oven's time [money/s].

    Raises
    ------
    InputError
        When no cycle keeps to every limit.
    """
    got = chance_of_case(case, find=partial(found_cycle, energy=energy, oven=oven))
    if got.found is None:
        raise ValueError("a cycle was wanted and none was looked for")
    told = tuple(f for f in got.findings if f not in got.found.findings)
    return replace(got.found, findings=(*got.found.findings, *told)), got.chance
