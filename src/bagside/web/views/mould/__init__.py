"""What a whole plan says of the mould: heat, size and spring-in, which hang on laminate and cure."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.planning.plan import BuildPlan
from bagside.planning.stages import Stages


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldPlanned:
    """What a plan says of the mould.

    Parameters
    ----------
    laid
        Area that is laid up [m²].
    part
        Longest side of the part as it comes out [m].
    grown
        By how much it is longer than the mould was drawn, negative when shorter [m].
    spring
        Closing of a bend of 90° [rad].
    heat_margin
        The mould's limit less the hottest it gets [K].
    material
        Of the mould.
    has_mesh
        Whether its surface is known.
    """

    laid: float
    part: float
    grown: float
    spring: float
    heat_margin: float
    material: str
    has_mesh: bool


def view(plan: BuildPlan, stages: Stages) -> MouldPlanned:
    """Return what a plan says of the mould.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out.
    """
    report = plan.mould
    return MouldPlanned(
        laid=report.area,
        part=report.size.part,
        grown=report.size.part - report.size.mould,
        spring=report.spring_per_right_angle,
        heat_margin=report.heat_margin,
        material=plan.job.mould.material,
        has_mesh=plan.surface is not None,
    )
