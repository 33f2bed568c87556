"""The bag: what goes into it, how big, how tight, and whether water makes voids in it."""

from bagside.bagging.cover import Taped, plan_cover
from bagside.bagging.criteria import CRITERIA, Criterion
from bagside.bagging.debulk import BagPly, Debulk, PlyRecord, debulk_plan
from bagside.bagging.film import flange_reach, plan_bag
from bagside.bagging.items import BagItem, BagKind, BagPlan, LeakLimit, Pleats
from bagside.bagging.reach import distance_around
from bagside.bagging.sheet import NEEDED_FILMS
from bagside.bagging.vacuum import (
    LeakVerdict,
    ambient_pressure,
    available_pressure,
    leak_rate,
    leak_verdicts,
    pump_down,
    standard_flow,
)
from bagside.bagging.voids import (
    VoidMargin,
    hottest_gel_temperature,
    minimum_resin_pressure_kardos_1986,
    void_findings,
    void_margin,
)

__all__ = [
    "CRITERIA",
    "NEEDED_FILMS",
    "BagItem",
    "BagKind",
    "BagPlan",
    "BagPly",
    "Criterion",
    "Debulk",
    "LeakLimit",
    "LeakVerdict",
    "Pleats",
    "PlyRecord",
    "Taped",
    "VoidMargin",
    "ambient_pressure",
    "available_pressure",
    "debulk_plan",
    "distance_around",
    "flange_reach",
    "hottest_gel_temperature",
    "leak_rate",
    "leak_verdicts",
    "minimum_resin_pressure_kardos_1986",
    "plan_bag",
    "plan_cover",
    "pump_down",
    "standard_flow",
    "void_findings",
    "void_margin",
]
