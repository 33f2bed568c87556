"""Joining: brackets bonded on, holes and what stands round them."""

from bagside.joining.bond import BondPlan, Foot, bond_findings, plan_bond
from bagside.joining.holes import HoleRule, hole_findings, hole_rule
from bagside.joining.lap import (
    LapStress,
    goland_reissner_1944,
    lap_length_by_rule,
    volkersen_1938,
)

__all__ = [
    "BondPlan",
    "Foot",
    "HoleRule",
    "LapStress",
    "bond_findings",
    "goland_reissner_1944",
    "hole_findings",
    "hole_rule",
    "lap_length_by_rule",
    "plan_bond",
    "volkersen_1938",
]
