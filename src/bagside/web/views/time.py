"""What the page of time shows."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.planning.plan import BuildPlan
from bagside.planning.stages import Stages
from bagside.sheets.plan_pictures import calendar_picture


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeView:
    """What the page of time shows.

    Parameters
    ----------
    timetable
        Who and what is busy when, as a drawing.
    attended
        Hands on one part [s].
    """

    timetable: str
    attended: float


def view(plan: BuildPlan, stages: Stages) -> TimeView:
    """Return what the page of time shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out.
    """
    n = plan.job.quantity
    return TimeView(
        timetable=calendar_picture(plan, 240.0),
        attended=sum(s.attended if s.each else s.attended / n for s in plan.steps),
    )
