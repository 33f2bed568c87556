"""What a person should know of the bag once its cure is known: water before gel, and what films and tape stand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside import bagging
from bagside.bagging import BagPlan
from bagside.bagging.voids import KARDOS_TEMPERATURES
from bagside.cure import SectionHistory
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_stage import CurePlan
from bagside.quantity import shown
from bagside.spec.job import Bag
from bagside.spec.library import Library


def bag_findings(plan: BagPlan, bag: Bag, library: Library, cure: CurePlan, case: CureCase) -> tuple[Finding, ...]:
    """Return what bagging noticed, whether water makes voids before the resin gels, and what the films stand.

    Parameters
    ----------
    plan
        The bag.
    bag
        As stated.
    library
        For its films.
    cure
        The cure in it.
    case
        What is cured, on which day.
    """
    run = cure.first
    time = run.histories[0].time
    found = list(plan.findings)
    found.extend(_voids(run.histories, case))
    hottest = np.max([np.maximum(h.air, h.laminate_temperature[:, 0]) for h in run.histories], axis=0)
    names = (bag.film, bag.release, bag.breather, bag.tape)
    rated = bagging.rated([bagging.consumable_of(n, library.film[n]) for n in dict.fromkeys(names)], time, hottest)
    told = {f.place for f in found}
    found.extend(f for f in bagging.rating_findings(rated) if f.place not in told)
    return tuple(found)


def _voids(histories: Sequence[SectionHistory], case: CureCase) -> tuple[Finding, ...]:
    """Return whether water makes voids before gel, at every place and for both shares of the fibres."""
    if case.ambient is None or case.vacuum is None or not case.humidity:
        return ()
    temperature, gelled = _liquid(histories), _gelled(histories, case.resin.gel)
    low, high = KARDOS_TEMPERATURES
    wet = temperature[~gelled]
    if len(wet) and not (wet.min() >= low and wet.max() <= high):
        worst = float(wet.max() if wet.max() > high else wet.min())
        return (
            Finding(
                severity=Severity.WATCH,
                stage="bagging",
                place="resin before gel",
                what=f"it is at {shown(worst, '°C', 0)}; whether water boils in it is not judged there",
                why=f"the criterion was made for {shown(low, '°C', 0)} to {shown(high, '°C', 0)}",
                do="let it gel cooler, or cure a coupon and look at its edge",
                basis=Basis.PUBLISHED,
                source="Kardos, Dudukovic & Dave 1986",
            ),
        )
    time, (vacuum, ambient) = histories[0].time, (case.vacuum, case.ambient)
    courses = tuple(
        bagging.void_course(time, temperature, gelled, vacuum, ambient, case.humidity, share)
        for share in bagging.BED_SHARES
    )
    return bagging.void_course_findings(courses, tuple(h.name for h in histories))


def _liquid(histories: Sequence[SectionHistory]) -> NDArray[np.float64]:
    """Return the hottest of each place at each time, shape (n, k) [K]."""
    return np.column_stack([h.laminate_temperature.max(axis=1) for h in histories])


def _gelled(histories: Sequence[SectionHistory], gel: float) -> NDArray[np.bool_]:
    """Return whether the last point of each place has gelled at each time, shape (n, k)."""
    return np.column_stack([h.alpha.min(axis=1) >= gel for h in histories])
