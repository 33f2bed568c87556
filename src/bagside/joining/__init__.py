"""Joining: brackets bonded on, holes and what stands round them."""

from bagside.joining.bond import BondPlan, plan_bond
from bagside.joining.bond_notes import bond_findings
from bagside.joining.foot import Foot
from bagside.joining.holes import HoleRule, hole_findings, hole_rule
from bagside.joining.lap import (
    LapStress,
    goland_reissner_1944,
    heat_shear,
    lap_length_by_rule,
    volkersen_1938,
)
from bagside.joining.stack import HoleStack, hole_stack, stack_findings

__all__ = [
    "BondPlan",
    "Foot",
    "HoleRule",
    "HoleStack",
    "LapStress",
    "bond_findings",
    "goland_reissner_1944",
    "heat_shear",
    "hole_findings",
    "hole_rule",
    "hole_stack",
    "lap_length_by_rule",
    "plan_bond",
    "stack_findings",
    "volkersen_1938",
]
