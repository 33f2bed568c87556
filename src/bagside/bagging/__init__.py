"""The bag: what goes into it, how big, how tight, and whether water makes voids in it."""

from bagside.bagging.air import air_left, air_time, farthest_path, time_to_leave
from bagside.bagging.breathing import BreathingPlan, breathing_plan
from bagside.bagging.breathing_over import (
    BreathingOver,
    breathing_findings,
    breathing_on,
    breathing_over,
    strips_along,
    ways_out,
)
from bagside.bagging.cover import Taped, plan_cover
from bagside.bagging.criteria import CRITERIA, Criterion
from bagside.bagging.debulk import BagPly, Debulk, PlyRecord, debulk_plan
from bagside.bagging.debulk_course import DebulkCourse, debulk_course
from bagside.bagging.debulk_step import DebulkPly, DebulkStep
from bagside.bagging.film import flange_reach, plan_bag
from bagside.bagging.items import BagItem, BagKind, BagPlan, LeakLimit, Pleats
from bagside.bagging.press import PressureMap, corner_factor, pressure_findings, pressure_map, pressure_on
from bagside.bagging.ratings import Consumable, Rated, consumable_of, offered, rated, rating_findings
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
from bagside.bagging.void_course import VoidCourse, void_course, void_course_findings
from bagside.bagging.void_pressure import BED_SHARES, most_in_bag, resin_pressure, void_free_temperature
from bagside.bagging.voids import (
    VoidMargin,
    hottest_gel_temperature,
    hottest_gel_temperatures,
    minimum_resin_pressure_kardos_1986,
    void_findings,
    void_margin,
)

__all__ = [
    "BED_SHARES",
    "CRITERIA",
    "NEEDED_FILMS",
    "BagItem",
    "BagKind",
    "BagPlan",
    "BagPly",
    "BreathingOver",
    "BreathingPlan",
    "Consumable",
    "Criterion",
    "Debulk",
    "DebulkCourse",
    "DebulkPly",
    "DebulkStep",
    "LeakLimit",
    "LeakVerdict",
    "Pleats",
    "PlyRecord",
    "PressureMap",
    "Rated",
    "Taped",
    "VoidCourse",
    "VoidMargin",
    "air_left",
    "air_time",
    "ambient_pressure",
    "available_pressure",
    "breathing_findings",
    "breathing_on",
    "breathing_over",
    "breathing_plan",
    "consumable_of",
    "corner_factor",
    "debulk_course",
    "debulk_plan",
    "distance_around",
    "farthest_path",
    "flange_reach",
    "hottest_gel_temperature",
    "hottest_gel_temperatures",
    "leak_rate",
    "leak_verdicts",
    "minimum_resin_pressure_kardos_1986",
    "most_in_bag",
    "offered",
    "plan_bag",
    "plan_cover",
    "pressure_findings",
    "pressure_map",
    "pressure_on",
    "pump_down",
    "rated",
    "rating_findings",
    "resin_pressure",
    "standard_flow",
    "strips_along",
    "time_to_leave",
    "void_course",
    "void_course_findings",
    "void_findings",
    "void_free_temperature",
    "void_margin",
    "ways_out",
]
