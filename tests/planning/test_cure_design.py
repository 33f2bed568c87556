"""What is wanted of a cycle, as the limits that it is looked for with; and the cycle in the plan's own terms."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bagside import bagging
from bagside.cure import NOMINAL
from bagside.cure.fit import post_cure_margin
from bagside.errors import InputError
from bagside.findings import Basis, Severity
from bagside.planning.cure_case import FREE_STANDING, CureCase, case_of_file, wanted_case
from bagside.planning.cure_design import (
    FoundCycle,
    bounds_free,
    bounds_on_mould,
    controller_of,
    found_cycle,
    stiff_margin,
    void_free,
    without_cooling,
)
from bagside.planning.cure_stage import cure_findings, cure_plan
from bagside.sheets.cycle_toml import cycle_toml
from bagside.spec.bench import CureFile
from bagside.spec.job import CycleWanted
from bagside.spec.library import generic_library
from bagside.spec.material import Fitted
from bagside.spec.opening import open_job
from bagside.spec.reading import stated_from
from bagside.spec.workshop import Controller, Steering
from tapeshop import TAPED, written_in

STATED = {
    "service": "75 °C",
    "target": "90 %",
    "design": {"overshoot": "12 K", "flow": "6 min", "spread": "30 %", "longest": "12 h", "robust": False},
    "sections": [
        {"name": "panel", "laminate": "2 mm", "prepreg": "twill-200", "tool": "carbon-epoxy", "tool_thickness": "6 mm"}
    ],
    "oven": {
        "hottest": "150 °C", "heating": "2.5 °C/min", "cooling": "1.2 °C/min", "lag": "4 min", "spread": "6 K",
        "film_bag": "12 W/(m² K)", "film_tool": "18 W/(m² K)", "power": "3.2 kW", "loss": "9 W/K", "load": "10 kg",
    },
    "room": {"temperature": "20 °C", "humidity": "60 %", "altitude": "300 m"},
    "pump": {"flow": "6 m³/h", "reaches": "30 mbar"},
}  # fmt: skip


@pytest.fixture(scope="module")
def case() -> CureCase:
    return case_of_file(stated_from(STATED, CureFile, "cure.toml"), generic_library(), "cure.toml")


@pytest.fixture(scope="module")
def found(case: CureCase) -> FoundCycle:
    return found_cycle(case)


def wanted(case: CureCase) -> CycleWanted:
    assert case.wanted is not None
    return case.wanted


def test_limits_by_hand(case: CureCase) -> None:
    b = bounds_on_mould(case, wanted(case))
    assert b.target == 0.9
    assert b.tg == pytest.approx(273.15 + 75.0 + 20.0)
    assert b.hottest == pytest.approx(273.15 + 150.0)  # what the resin takes
    assert b.tool == generic_library().tool["carbon-epoxy"].limit
    assert (b.overshoot, b.spread) == (pytest.approx(12.0), pytest.approx(0.3))
    assert b.flow is not None
    assert (b.flow.time, b.flow.viscosity) == (360.0, 30.0)
    assert b.longest == 12 * 3600.0
    assert b.power is not None
    assert (b.power.heater, b.power.loss, b.power.heated) == (3200.0, 9.0, pytest.approx(10.0 * 480.0))


def test_water_is_kept_by_the_pressure_of_the_place_and_the_pump(case: CureCase) -> None:
    """300 m above the sea, 30 mbar left in the bag; the criterion of Kardos, Dudukovic & Dave 1986."""
    ambient = bagging.ambient_pressure(300.0)
    assert bounds_on_mould(case, wanted(case)).void_free == bagging.void_free_temperature(ambient, 3000.0, 0.6)
    assert void_free(case, replace(wanted(case), voids=False)) is None
    assert void_free(replace(case, vacuum=None), wanted(case)) is None
    shared = void_free(case, replace(wanted(case), fibre_share=0.4))
    assert shared is not None
    assert shared < (bounds_on_mould(case, wanted(case)).void_free or 0.0)


def test_two_stages_come_off_the_mould_when_they_stand_and_a_fitted_law_keeps_away(case: CureCase) -> None:
    two = wanted_case(case, replace(wanted(case), two_stage=True))
    first, post = bounds_on_mould(two, wanted(two)), bounds_free(two, wanted(two))
    assert first.target == FREE_STANDING
    assert first.tg == pytest.approx(max(293.15 + 20.0, 323.15 + 10.0))
    assert (post.target, post.stiff, post.tool) == (0.9, 10.0, None)
    assert post.tg == pytest.approx(273.15 + 95.0)
    fitted = replace(two, tg_error=35.0, fitted="data sheet")
    assert stiff_margin(fitted, wanted(two)) == post_cure_margin(Fitted.SHEET, 35.0).value >= 40.0
    assert stiff_margin(replace(two, tg_error=35.0), wanted(two)) == 10.0  # a law that was not fitted here
    back = wanted_case(two, replace(wanted(two), two_stage=False))
    assert bounds_on_mould(back, wanted(back)) == bounds_on_mould(case, wanted(case))


def test_the_controller_is_the_workshops() -> None:
    told = controller_of(Controller(segments=4, told=Steering.TIME, time_step=300.0))
    assert (told.segments, told.kind.value, told.time_step) == (4, "time", 300.0)


def test_a_cycle_is_found_that_the_plan_agrees_with(found: FoundCycle) -> None:
    assert found.case.wanted is None
    assert len(found.reasons) >= len(found.case.programme.segments)
    assert found.design.scenarios == (NOMINAL,)
    plan = cure_plan(replace(found.case, spread=0.0))
    o = plan.first.outcomes[0]
    assert o.alpha_lagging >= 0.9
    assert o.tg >= 273.15 + 95.0
    assert o.overshoot <= 12.0 + 0.2
    assert (o.flow_time or 0.0) >= 360.0 - 61.0
    assert not [
        f
        for f in cure_findings(plan, replace(found.case, spread=0.0))
        if f.severity in (Severity.STOP, Severity.DECIDE)
    ]
    assert plan.first.duration == pytest.approx(found.design.duration, abs=120.0)
    again = stated_from(
        {**{k: v for k, v in STATED.items() if k != "design"}, **_read(cycle_toml(found))}, CureFile, "cure.toml"
    )
    same = case_of_file(again, generic_library(), "cure.toml").programme
    for a, b in zip(same.segments, found.case.programme.segments, strict=True):
        assert (a.target, a.hold) == pytest.approx((b.target, b.hold))
        assert a.ramp == pytest.approx(b.ramp, rel=1e-3)


def _read(text: str) -> dict[str, object]:
    import tomllib

    return tomllib.loads(text)


def test_nothing_known_of_water_is_told(case: CureCase) -> None:
    found = found_cycle(replace(case, humidity=None))
    (told,) = [f for f in found.findings if f.what.startswith("nothing keeps the cycle from boiling water")]
    assert told.severity is Severity.WATCH
    assert told.basis is Basis.PUBLISHED
    assert told.what == "nothing keeps the cycle from boiling water in the resin: the humidity is not stated"


def test_cooling_at_the_end_is_left_to_the_plan(case: CureCase, found: FoundCycle) -> None:
    assert without_cooling(found.case.programme, case.demould) == found.case.programme
    assert found.case.programme.segments[-1].target > case.demould


def test_a_case_without_a_wish_is_refused(case: CureCase) -> None:
    with pytest.raises(InputError) as told:
        found_cycle(replace(case, wanted=None))
    assert str(told.value) == "cure, design – nothing says what is wanted of a cycle (state [cure.design])"


def test_a_cycle_stated_and_wanted_is_refused(tmp_path: Path) -> None:
    job = TAPED.replace("[[brackets]]", '[cure.design]\naim = "fastest"\n[[brackets]]', 1)
    with pytest.raises(InputError) as told:
        open_job(written_in(tmp_path, job=job))
    assert str(told.value) == (
        "job.toml, cure, design: segments beside it – a cycle is either stated or looked for "
        "(leave out [cure.design], or segments and post_cure)"
    )


def test_neither_stated_nor_wanted_is_refused(tmp_path: Path) -> None:
    job = TAPED.replace('segments = [{ to = "120 °C", rate = "2 °C/min", hold = "2 h" }]\n', "", 1)
    with pytest.raises(InputError) as told:
        open_job(written_in(tmp_path, job=job))
    assert str(told.value) == (
        "job.toml, cure, segments – at least one segment is wanted (or state [cure.design], and a cycle is looked for)"
    )
