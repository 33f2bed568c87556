"""From the part, the plies and the pump to the bag."""

from __future__ import annotations

from bagside import bagging
from bagside.bagging import BagPlan, PlyRecord
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.workshop import Workshop


def bag_plan(
    part: Surface,
    whole: Surface,
    plies: tuple[PlyRecord, ...],
    job: Job,
    workshop: Workshop,
    library: Library,
) -> BagPlan:
    """Return the bag over the part.

    Parameters
    ----------
    part
        What is laid up.
    whole
        The mould's whole surface.
    plies
        In the order they are laid.
    """
    hottest = max(segment.to for segment in job.cure.segments) + 0.5 * workshop.oven.spread
    films = {
        word: (library.film[name].limit, library.film[name].width)
        for word, name in (
            ("bag film", job.bag.film),
            ("release film", job.bag.release),
            ("breather", job.bag.breather),
            ("sealant tape", job.bag.tape),
        )
    }
    return bagging.plan_bag(
        part,
        whole,
        plies,
        cure_max_temperature=hottest,
        films=films,
        ambient_pressure=bagging.ambient_pressure(workshop.room.altitude),
        vacuum=workshop.pump.reaches,
        pump_flow=workshop.pump.flow,
        kind=job.bag.kind.value,
        flange_wanted=job.bag.flange,
        visible=job.laying.show,
    )


def bag_findings(plan: BagPlan, gel_temperature: float | None, workshop: Workshop) -> tuple[Finding, ...]:
    """Return what bagging noticed, and whether water makes voids before the resin gels.

    Parameters
    ----------
    gel_temperature
        Hottest temperature at which a section gels [K]; None when one does not.
    """
    if gel_temperature is None:
        return plan.findings
    return (*plan.findings, *bagging.void_findings(gel_temperature, plan.pressure, workshop.room.humidity))
