"""From the part's area and the room to coats, what is mixed for them, and whether the room is fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bagside import finishing
from bagside.findings import Finding
from bagside.finishing import Climate, CoatPlan
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishPlan:
    """Filling and coats for all parts together.

    Parameters
    ----------
    fill
        Pinholes; none when they are left.
    coats
        In order.
    climate
        Of the room, the part as warm as the air.
    grits
        From the filled face to the flat before polish.
    """

    fill: CoatPlan | None
    coats: tuple[CoatPlan, ...]
    climate: Climate
    grits: tuple[str, ...]


def finish_plan(area: float, job: Job, workshop: Workshop, library: Library, times: Mapping[str, float]) -> FinishPlan:
    """Return filling and coats.

    Parameters
    ----------
    area
        One face of one part [m²].
    times
        Attended rates.
    """
    whole = area * job.quantity
    fill = None
    if job.finish.filler and job.finish.fill_passes:
        fill = finishing.plan_coat(
            job.finish.filler,
            library.coating[job.finish.filler],
            area=whole,
            times=job.finish.fill_passes,
            rate=times["fill"],
        )
    coats = tuple(
        finishing.plan_coat(c.coating, library.coating[c.coating], area=whole, times=c.times, rate=times["coat"])
        for c in job.finish.coats
    )
    room = workshop.room
    return FinishPlan(
        fill=fill,
        coats=coats,
        climate=finishing.climate_of(room.temperature, room.humidity),
        grits=finishing.grit_sequence("P320", "P2000") if coats else (),
    )


def finish_findings(plan: FinishPlan, library: Library) -> tuple[Finding, ...]:
    """Return what finishing noticed."""
    found: list[Finding] = []
    for coat in (*((plan.fill,) if plan.fill else ()), *plan.coats):
        coating = library.coating[coat.name]
        found.extend(
            finishing.climate_findings(
                plan.climate, coldest=coating.coldest, wettest=coating.wettest, place=f"coat {coat.name}"
            )
        )
        found.extend(finishing.coat_findings(coat, coating))
    return tuple(found)
