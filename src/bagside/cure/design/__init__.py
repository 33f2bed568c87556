"""Cycle design: the fastest, cheapest or gentlest cycle that keeps every limit, whatever is a little off."""

from bagside.cure.design.aim import Aim, Costs
from bagside.cure.design.bounds import Bounds, Flow, Power
from bagside.cure.design.controller import Controller, Kind
from bagside.cure.design.design import Design, designed
from bagside.cure.design.kept import Kept
from bagside.cure.design.not_reached import Freed, NotReached
from bagside.cure.design.noted import design_findings, two_stage_findings
from bagside.cure.design.riding import Ride
from bagside.cure.design.two_stage import Scanned, TwoStage, two_stage
from bagside.cure.design.why import why

__all__ = [
    "Aim",
    "Bounds",
    "Controller",
    "Costs",
    "Design",
    "Flow",
    "Freed",
    "Kept",
    "Kind",
    "NotReached",
    "Power",
    "Ride",
    "Scanned",
    "TwoStage",
    "design_findings",
    "designed",
    "two_stage",
    "two_stage_findings",
    "why",
]
