"""One thin laminate: what else may be asked of a cycle, each by the solver of plans or by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import cyclecases as cases
from bagside.cure import NOMINAL, Scenario, simulate
from bagside.cure.design import Aim, Bounds, Controller, Kind, designed, why
from bagside.errors import InputError, NotSolved

ZERO_C = cases.ZERO_C
MINUTE = 60.0


def thin(bounds, *, oven=cases.BOARD_OVEN, scenarios=(NOMINAL,), **more):
    return designed([cases.ON_BOARD], cases.VITRIFYING, oven, bounds, start=293.15, scenarios=scenarios, **more)


def test_cooling_counts_until_the_part_may_be_taken_out():
    bounds = Bounds(target=0.7, tool=110.0 + ZERO_C, demould=50.0 + ZERO_C)
    got = thin(bounds)
    (h,) = simulate([cases.ON_BOARD], cases.VITRIFYING, cases.BOARD_OVEN.air(got.programme), output_interval=30.0)
    part = h.temperature.max(axis=1)
    assert np.interp(got.duration, h.time, part) == pytest.approx(50.0 + ZERO_C, abs=0.5)
    assert part[-1] <= 50.0 + ZERO_C
    assert got.programme.segments[-1].target == pytest.approx(40.0 + ZERO_C)
    assert got.programme.duration - got.duration < 600.0
    assert why(got)[-1] == (
        "falls to 40 °C at 2.0 °C/min, as fast as the oven goes, until all of laminate and tool is below 50 °C"
    )


def test_the_controller_is_obeyed_and_costs_little():
    bounds = Bounds(target=0.7, tool=110.0 + ZERO_C)
    free = thin(bounds)
    coarse = Controller(segments=2, kind=Kind.TIME, temperature_step=5.0, time_step=300.0, slowest=0.05 / MINUTE)
    got = thin(bounds, controller=coarse)
    assert free.duration < got.duration < 1.35 * free.duration
    at, lines = 293.15, 0
    for s in got.programme.segments:
        lines += (abs(s.target - at) > 1e-6) + (s.hold > 0.0)
        assert (s.target - ZERO_C) % 5.0 == pytest.approx(0.0, abs=1e-6)
        assert (abs(s.target - at) / s.ramp) % 300.0 == pytest.approx(0.0, abs=1e-3)
        assert s.hold % 300.0 == 0.0
        at = s.target
    assert lines <= 2


def test_wet_prepreg_gels_below_its_own_limit_in_each_scenario():
    """A scenario may have its own void-free limit; by the solver no point is hotter before it gels."""
    wet = Scenario(name="humid", void_free=82.0 + ZERO_C)
    got = thin(Bounds(target=0.7, void_free=95.0 + ZERO_C), scenarios=(NOMINAL, wet))
    (h,) = simulate([cases.ON_BOARD], cases.VITRIFYING, cases.BOARD_OVEN.air(got.programme), output_interval=10.0)
    liquid = h.alpha < 0.5
    assert h.laminate_temperature[liquid].max() <= 82.0 + ZERO_C + 0.1
    assert h.laminate_temperature.max() > 90.0 + ZERO_C
    assert got.kept[[k.limit for k in got.kept].index("void")].scenario == "humid"


def test_stopped_early_it_gives_the_best_so_far_or_says_that_there_is_none():
    calls = iter(range(10_000))
    bounds = Bounds(target=0.7, tool=110.0 + ZERO_C)
    got = thin(bounds, going=lambda: next(calls) < 120)
    assert all(k.margin >= -0.05 for k in got.kept)
    with pytest.raises(NotSolved) as e:
        thin(bounds, going=lambda: False)
    assert str(e.value) == "cure: stopped before a cycle was found that keeps the limits"


def test_what_cannot_be_asked_is_refused():
    bare = replace(cases.THICK_RESIN, viscosity=None)
    with pytest.raises(InputError) as e:
        designed([cases.thick()], bare, cases.THICK_OVEN, cases.THICK_BOUNDS, start=293.15)
    assert str(e.value) == ("cure, limit, flow – a resin whose viscosity is known is wanted (or leave this limit out)")
    with pytest.raises(InputError) as e:
        thin(Bounds(target=0.7), aim=Aim.CHEAPEST)
    assert str(e.value) == ("costs – what energy and an hour of the oven cost is wanted for the cheapest cycle")
    with pytest.raises(InputError) as e:
        designed([], cases.VITRIFYING, cases.BOARD_OVEN, Bounds(target=0.7), start=293.15)
    assert str(e.value) == "cure – a section and a scenario, or more of them, are wanted"
    tool = replace(cases.ON_BOARD, layers=cases.ON_BOARD.layers[1:])
    with pytest.raises(InputError) as e:
        designed([tool], cases.VITRIFYING, cases.BOARD_OVEN, Bounds(target=0.7), start=293.15)
    assert str(e.value) == "4 mm on board – a section with a laminate is wanted"
