"""Each finding: when it comes, when it does not, and its sentence."""

from __future__ import annotations

import dataclasses
import math

import pytest

from bagside.cure import CureResin, Limits, NthOrder, Outcome, Oven, Programme, Segment, findings, oven_findings
from bagside.findings import Basis, Severity

ZERO_C = 273.15
GOOD = Outcome(
    name="wing root",
    hottest=122 + ZERO_C,
    hottest_time=7200.0,
    hottest_depth=0.002,
    air_hottest=120 + ZERO_C,
    overshoot=2.0,
    alpha_lagging=0.95,
    alpha_leading=0.96,
    tg=130 + ZERO_C,
    stiff_margin=-60.0,
    gel_time=5000.0,
    gel_temperature=380.0,
    gel_first=4900.0,
    viscosity=5.0,
    viscosity_time=3000.0,
    flow_time=2400.0,
    flow_viscosity=30.0,
    spread=5.0,
    dwell=7000.0,
    dwell_asked=7200.0,
    dwell_band=5.0,
    tool_hottest=121 + ZERO_C,
    tool_hottest_time=7300.0,
    end=48 + ZERO_C,
    beyond_law=0.0,
)
LIMITS = Limits(service=90 + ZERO_C, margin=20.0, target=0.9, tool=130 + ZERO_C, resin=150 + ZERO_C)


def one(**changes):
    got = findings([dataclasses.replace(GOOD, **changes)], LIMITS, basis=Basis.DATA_SHEET, source="sheet of the resin")
    assert len(got) == 1, [f.what for f in got]
    assert got[0].place == "section wing root"
    assert got[0].stage == "cure"
    assert (got[0].basis, got[0].source) == (Basis.DATA_SHEET, "sheet of the resin")
    return got[0]


def test_a_good_cure_is_quiet():
    assert findings([GOOD], LIMITS) == ()
    unknown = dataclasses.replace(LIMITS, tool=None, resin=None)
    assert findings([dataclasses.replace(GOOD, tool_hottest=500.0)], unknown) == ()


@pytest.mark.parametrize(
    ("changes", "severity", "what"),
    [
        (
            {"tool_hottest": 141 + ZERO_C},
            Severity.STOP,
            "the tool reaches 141 °C after 122 min; it may be 130 °C",
        ),
        (
            {"hottest": 160 + ZERO_C},
            Severity.STOP,
            "the laminate reaches 160 °C after 120 min; the resin may be 150 °C",
        ),
        ({"overshoot": 8.0}, Severity.WATCH, "the laminate runs 8 K hotter than the air, up to 122 °C"),
        ({"overshoot": 22.0}, Severity.DECIDE, "the laminate runs 22 K hotter than the air, up to 122 °C"),
        (
            {"beyond_law": 12.0},
            Severity.WATCH,
            "the laminate gets 12 K hotter than the resin's rate law was fitted for",
        ),
        (
            {"beyond_cure": 0.04},
            Severity.WATCH,
            "the laminate cures 4 % further than the resin's rate law was fitted for",
        ),
        (
            {"gel_time": None, "gel_temperature": None, "alpha_lagging": 0.41},
            Severity.STOP,
            "the laminate does not gel everywhere; the lagging point ends at 41 %",
        ),
        (
            {"tg": 100 + ZERO_C},
            Severity.DECIDE,
            "the glass transition ends at 100 °C; 110 °C is wanted for service at 90 °C",
        ),
        (
            {"tg": 80 + ZERO_C},
            Severity.STOP,
            "the glass transition ends at 80 °C; 110 °C is wanted for service at 90 °C",
        ),
        ({"alpha_lagging": 0.85}, Severity.DECIDE, "the lagging point ends at 85.0 % cure; 90.0 % is wanted"),
        (
            {"dwell": 3600.0},
            Severity.WATCH,
            "of 120 min dwell the coolest point of the laminate gets 60 min within 5 K",
        ),
        (
            {"end": 80 + ZERO_C},
            Severity.DECIDE,
            "when the programme ends part and tool are still at 80 °C; demould is at 50 °C",
        ),
    ],
)
def test_each_finding(changes, severity, what):
    f = one(**changes)
    assert (f.severity, f.what) == (severity, what)
    assert f.why
    assert f.do


def test_a_cure_that_falls_short_is_told_how_much_longer():
    """First order at 120 °C with k 1e-4 1/s: from 0.8 to 0.9 takes ln 2/k = 6931 s; Tg 110 °C needs α 0.857 here."""
    resin = CureResin(
        kinetics=NthOrder(A=1e-4, E=0.0, n=1.0),
        heat=400e3,
        density=1200.0,
        heat_capacity=1200.0,
        conductivity=0.2,
        tg0=ZERO_C,
        tg1=140 + ZERO_C,
        tg_lambda=0.5,
        gel=0.5,
        alpha0=0.0,
    )
    (f,) = findings([dataclasses.replace(GOOD, alpha_lagging=0.8)], LIMITS, resin=resin)
    assert f.do == "hold 116 min longer at 120 °C, or hotter; or add a post-cure"
    (f,) = findings([dataclasses.replace(GOOD, gel_time=None, alpha_lagging=0.4)], LIMITS, resin=resin)
    assert f.do == "hold 31 min longer at 120 °C, or hotter"
    alpha = 11 / 14 / (0.5 + 11 / 14 * 0.5)
    (f, _) = findings([dataclasses.replace(GOOD, alpha_lagging=0.8, tg=100 + ZERO_C)], LIMITS, resin=resin)
    minutes = math.ceil(math.log(0.2 / (1 - alpha)) / 1e-4 / 60)
    assert f.do == (
        f"hold {minutes} min longer at 120 °C, or hotter; or add a post-cure, or state a lower service temperature"
    )
    hot = dataclasses.replace(LIMITS, service=150 + ZERO_C)
    (f,) = findings([dataclasses.replace(GOOD, tg=130 + ZERO_C)], hot, resin=resin)
    assert f.do.startswith("cure hotter: no hold at 120 °C gets there within a day; or add a post-cure")


def test_a_part_without_its_mould_must_stay_stiff():
    assert findings([GOOD], LIMITS, free_standing=False) == ()
    (f,) = findings([GOOD], LIMITS, free_standing=True)
    assert f.severity is Severity.STOP
    assert f.what == "without its mould the part gets 60 K hotter than its glass transition"
    assert findings([dataclasses.replace(GOOD, stiff_margin=3.0)], LIMITS, free_standing=True) == ()


def test_an_oven_that_can_follow_is_quiet_and_one_that_cannot_says_by_how_much():
    p = Programme(
        start=20 + ZERO_C,
        segments=(
            Segment(target=120 + ZERO_C, ramp=2 / 60, hold=3600.0),
            Segment(target=50 + ZERO_C, ramp=2 / 60),
        ),
    )
    able = Oven(hottest=200 + ZERO_C, heating=3 / 60, cooling=2 / 60)
    assert oven_findings(p, able) == ()
    weak = Oven(hottest=110 + ZERO_C, heating=1 / 60, cooling=1 / 60)
    hot, slow, cooling = oven_findings(p, weak)
    assert (hot.severity, hot.what) == (Severity.STOP, "120 °C is asked for; the oven holds 110 °C")
    assert (slow.severity, slow.place) == (Severity.WATCH, "oven, segment 1")
    assert slow.what == "2.0 °C/min is asked for; the oven manages 1.0 °C/min"
    assert slow.why == "it arrives 50 min late, and the hold after it is shorter by as much"
    assert cooling.place == "oven, segment 2"
    assert findings([GOOD], LIMITS, programme=p, oven=weak) == (hot, slow, cooling)
