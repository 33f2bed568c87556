"""From the part's area and the room to coats, what is mixed for them, and whether the room is fit."""

from __future__ import annotations

from dataclasses import dataclass

from bagside import finishing
from bagside.findings import Finding
from bagside.finishing import Climate, CoatPlan
from bagside.spec.job import Finish
from bagside.spec.library import Library
from bagside.spec.material import Coating
from bagside.spec.workshop import Room


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


def finish_plan(
    area: float, finish: Finish, room: Room, coatings: dict[str, Coating], fill_rate: float, coat_rate: float
) -> FinishPlan:
    """Return filling and coats.

    Parameters
    ----------
    area
        One face of all parts [m²].
    finish
        As stated.
    room
        As stated.
    coatings
        By name.
    fill_rate, coat_rate
        At which a pass is put on [m²/s].
    """
    fill = None
    if finish.filler and finish.fill_passes:
        fill = finishing.plan_coat(
            finish.filler, coatings[finish.filler], area=area, times=finish.fill_passes, rate=fill_rate
        )
    coats = tuple(
        finishing.plan_coat(c.coating, coatings[c.coating], area=area, times=c.times, rate=coat_rate)
        for c in finish.coats
    )
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
