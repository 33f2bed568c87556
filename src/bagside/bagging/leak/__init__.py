"""The leak test: how large, whether it is one, what it does, where to look."""

from bagside.bagging.leak.curve import Rise, RiseFit, RiseVerdict, rise_verdict
from bagside.bagging.leak.drop import Judged, LeakTest, leak_test
from bagside.bagging.leak.gauge import ROOM, Reading, checked_readings, reading_problems
from bagside.bagging.leak.hole import hole_diameter, orifice_flow
from bagside.bagging.leak.hot import HOT, HotCheck, hot_check, hot_limit
from bagside.bagging.leak.hunt import PLACES, Halving, LeakPlace, Suspect, halvings, suspects
from bagside.bagging.leak.notes import (
    caution_hot,
    caution_pump,
    caution_vessel,
    flow_words,
    hot_findings,
    leak_findings,
)
from bagside.bagging.leak.places import places_of
from bagside.bagging.leak.pump import Pump, Soak, pressure_held, time_held, time_to_reach
from bagside.bagging.leak.volume import FreeVolume, stated_volume, volume_by_bleed, volume_by_vessel, volume_of_area
from bagside.spec.leak_file import Gauge

__all__ = [
    "HOT",
    "PLACES",
    "ROOM",
    "FreeVolume",
    "Gauge",
    "Halving",
    "HotCheck",
    "Judged",
    "LeakPlace",
    "LeakTest",
    "Pump",
    "Reading",
    "Rise",
    "RiseFit",
    "RiseVerdict",
    "Soak",
    "Suspect",
    "caution_hot",
    "caution_pump",
    "caution_vessel",
    "checked_readings",
    "flow_words",
    "halvings",
    "hole_diameter",
    "hot_check",
    "hot_findings",
    "hot_limit",
    "leak_findings",
    "leak_test",
    "orifice_flow",
    "places_of",
    "pressure_held",
    "reading_problems",
    "rise_verdict",
    "stated_volume",
    "suspects",
    "time_held",
    "time_to_reach",
    "volume_by_bleed",
    "volume_by_vessel",
    "volume_of_area",
]
