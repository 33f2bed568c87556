"""The parts of the search, each against a closed form, a library or every possibility tried."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from bagside.cure import Oven, Programme, Segment, oven_energy
from bagside.cure.design import Bounds, Controller, Costs, Flow, Kind, Power
from bagside.cure.design.course import Pace, Settings, Shape, segments_needed
from bagside.cure.design.fitting import corners_of
from bagside.cure.design.polish import PENALTY, Tried, polished
from bagside.cure.design.settle import settled
from bagside.errors import InputError

ZERO_C = 273.15
OVEN = Oven(hottest=180.0 + ZERO_C, heating=3.0 / 60.0, cooling=1.0 / 60.0)


def test_lines_are_found_again_where_there_are_some():
    t = np.arange(0.0, 41.0)
    y = np.interp(t, [0, 10, 25, 40], [20.0, 100.0, 60.0, 180.0])
    assert corners_of(t, y, 3) == (0, 10, 25, 40)
    assert corners_of(t, y, 40) == tuple(range(41))
    assert corners_of(t, np.full(41, 7.0), 3)[0 :: len(corners_of(t, np.full(41, 7.0), 3)) - 1] == (0, 40)


@settings(deadline=None, max_examples=25)
@given(st.lists(st.floats(20.0, 180.0), min_size=8, max_size=9), st.integers(1, 4))
def test_no_other_choice_of_corners_comes_nearer(air, pieces):
    """Every choice of corners tried, with the square of the difference summed over time."""
    t, y = np.arange(len(air), dtype=float) * 300.0, np.array(air)
    weight = np.gradient(t)

    def off(corners):
        return float((weight * (y - np.interp(t, t[list(corners)], y[list(corners)])) ** 2).sum())

    inner = range(1, len(air) - 1)
    best = min(off((0, *c, len(air) - 1)) for k in range(pieces) for c in itertools.combinations(inner, k))
    assert off(corners_of(t, y, pieces)) == pytest.approx(best, rel=1e-6, abs=1e-6 * float(weight.sum()))


def test_polish_finds_what_a_general_solver_finds():
    """Shortest two-step heating under two curved limits; scipy's SLSQP on the same functions."""

    def cost(x):
        return 60.0 + x[1] / 60.0 - 0.2 * (x[0] - 350.0) / 10.0

    def limits(x):
        warm = (x[0] - 350.0) / 10.0
        return np.array([warm**2 / 4.0 + 10.0 / (1.0 + x[1] / 600.0) - 5.0, warm - 3.0])

    def tried(rows):
        return Tried(cost=np.array([cost(x) for x in rows]), broken=np.array([limits(x) for x in rows]).T)

    _x, got, worst = polished(
        np.array([360.0, 6000.0]),
        np.array([True, False]),
        np.array([300.0, 0.0]),
        np.array([450.0, 36000.0]),
        tried,
        rounds=60,
        enough=1e-4,
    )
    peer = minimize(
        lambda z: cost([350.0 + 10.0 * z[0], 600.0 * z[1]]),
        [1.0, 10.0],
        constraints=[{"type": "ineq", "fun": lambda z: -limits([350.0 + 10.0 * z[0], 600.0 * z[1]])}],
        bounds=[(-5, 10), (0, 60)],
        method="SLSQP",
    )
    assert peer.success
    assert got == pytest.approx(peer.fun, abs=0.05)
    assert worst <= 1e-3


def pace(**changes):
    return Pace.of(OVEN, Controller(**changes), None)


def settings_of(numbers, controller, ramps=(True, False, True, False)):
    shape = Shape(start=293.15, ramps=ramps, pace=Pace.of(OVEN, controller, None))
    return Settings.rounded(shape, np.array(numbers), controller)


def test_whole_steps_are_the_best_of_all_near_ones():
    """Four settings, a curved limit: every combination within reach tried."""
    controller = Controller(rate_step=0.5 / 60.0)
    begin = settings_of([395.0, 600.0, 1800.0, 420.0, 0.0, 600.0], controller)

    def tried(joints):
        cost, broken = [], []
        for (s,) in joints:
            time, end = s.lines
            dose = float((time * np.exp((end - 400.0) / 12.0)).sum()) / 60.0
            cost.append(time.sum() / 60.0)
            broken.append([(120.0 - dose) / 50.0, (end.max() - 415.3) / 10.0])
        return Tried(cost=np.array(cost), broken=np.array(broken).T)

    (best,), cost, worst = settled((begin,), tried)
    assert worst <= 0.0
    around = [range(-6, 7) if k in (0, 3) else range(-2, 3) for k in range(6)]
    every = [(s,) for s in begin.mended(np.array([np.array(begin.steps) + m for m in itertools.product(*around)])[::7])]
    peer = tried(every)
    fine = peer.cost[(peer.broken <= 0.0).all(axis=0)]
    assert cost <= fine.min() + 0.5
    assert cost == pytest.approx(best.programme.duration / 60.0)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.floats(20.0, 190.0), st.floats(0.0, 9000.0), st.floats(0.0, 9000.0)), min_size=1, max_size=4),
    st.sampled_from(Kind),
    st.sampled_from([1.0, 2.0, 5.0]),
    st.sampled_from([60.0, 300.0]),
)
def test_what_is_set_is_what_a_controller_takes_and_an_oven_follows(ramps, kind, degrees, seconds):
    controller = Controller(
        kind=kind, temperature_step=degrees, time_step=seconds, rate_step=0.25 / 60.0, slowest=0.25 / 60
    )
    numbers, flags = [], []
    for target, slack, hold in ramps:
        numbers += [target + ZERO_C, slack, *([hold] if kind is Kind.RATE else [])]
        flags += [True, *([False] if kind is Kind.RATE else [])]
    made = settings_of(numbers, controller, tuple(flags))
    assume(made.lines[0].sum() > 0.0)
    programme = made.programme
    at = programme.start
    for s in programme.segments:
        change = s.target - at
        limit = OVEN.heating if change > 0.0 else OVEN.cooling
        assert s.ramp <= limit * (1.0 + 1e-9)
        assert s.target <= OVEN.hottest
        assert (s.target - ZERO_C) / degrees == pytest.approx(round((s.target - ZERO_C) / degrees), abs=1e-6)
        assert s.hold / seconds == pytest.approx(round(s.hold / seconds), abs=1e-6)
        if abs(change) > 1e-6 and kind is Kind.RATE:
            assert s.ramp / controller.rate_step == pytest.approx(round(s.ramp / controller.rate_step), abs=1e-6)
            assert s.ramp >= controller.slowest * (1.0 - 1e-9)
        if abs(change) > 1e-6 and kind is Kind.TIME:
            time = abs(change) / s.ramp
            assert time / seconds == pytest.approx(round(time / seconds), abs=1e-6)
        at = s.target
    air = OVEN.air(programme)
    assert air.values == pytest.approx(air.programme, abs=1e-6)  # the oven is nowhere late
    time, end = made.shape.lines(made.numbers[None, :])
    assert time[0] == pytest.approx(made.lines[0], abs=1e-6)
    assert end[0] == pytest.approx(made.lines[1], abs=1e-6)


def test_segments_are_counted_as_a_controller_counts_them():
    t, y = np.array([0.0, 10.0, 20.0, 30.0]), np.array([300.0, 350.0, 350.0, 400.0])
    assert segments_needed(t, y, Kind.RATE) == 2
    assert segments_needed(t, y, Kind.TIME) == 3


def test_a_weak_heater_slows_the_ramp_and_lowers_the_top():
    """2 kW, 10 W/K, 100 kJ/K, room 20 °C: at 120 °C 1 kW is left, 0.01 K/s; it can hold 220 °C."""
    power = Power(heater=2000.0, loss=10.0, heated=1.0e5, room=293.15)
    assert power.rate_at(393.15) == pytest.approx(0.01)
    slow = Pace.of(OVEN, Controller(), power)
    assert slow.fastest(293.15, 393.15) == pytest.approx(0.01)
    assert slow.fastest(393.15, 293.15) == pytest.approx(1.0 / 60.0)
    weak = Pace.of(OVEN, Controller(), Power(heater=1000.0, loss=10.0, heated=1.0e5, room=293.15))
    assert weak.hottest == pytest.approx(393.15)


def test_cost_is_the_energy_of_the_meter_and_the_hours():
    """Against the bench's own energy of the same programme."""
    costs = Costs(energy=0.3 / 3.6e6, oven=8.0 / 3600.0, heated=5.0e4, loss=12.0, room=295.15)
    programme = Programme(
        start=288.15, segments=(Segment(target=393.15, ramp=0.02, hold=3600.0), Segment(target=333.15, ramp=0.01))
    )
    time = np.array([[105.0 / 0.02, 3600.0, 6000.0]])
    end = np.array([[393.15, 393.15, 333.15]])
    energy = oven_energy({"all": 5.0e4}, programme, loss=12.0, room=295.15)
    wanted = energy.total * costs.energy + programme.duration * costs.oven
    assert costs.of(288.15, time, end, time.sum(axis=1)) == pytest.approx([wanted], rel=1e-4)


def test_what_makes_no_sense_is_refused_with_all_its_problems():
    with pytest.raises(InputError) as e:
        Bounds(hottest=-1.0, flow=Flow(viscosity=0.0, time=60.0), stiff=float("nan"))
    assert str(e.value) == (
        "limit, hottest: -1.0 – above zero is wanted\n"
        "limit, target – a degree of cure or a glass transition is wanted\n"
        "limit, stiff: nan – a finite number is wanted\n"
        "limit, flow: 0.0 Pa s, 60.0 s – above zero is wanted"
    )
    with pytest.raises(InputError) as e:
        Bounds(target=1.0)
    assert str(e.value) == "limit, target: 1.0 – below 1 is wanted"
    with pytest.raises(InputError) as e:
        Controller(segments=0, time_step=0.0)
    assert str(e.value) == (
        "controller, segments: 0 – one segment or more is wanted\ncontroller, time_step: 0.0 – above zero is wanted"
    )
    with pytest.raises(InputError) as e:
        Controller(slowest=2.0, fastest=1.0)
    assert str(e.value) == "controller, slowest: 2.0 – not above the fastest rate, 1.0 K/s, is wanted"
    with pytest.raises(InputError) as e:
        Costs(energy=-1.0, oven=0.0, heated=1.0, loss=1.0, room=0.0)
    assert str(e.value) == "costs, energy: -1.0 – zero or more is wanted\ncosts, room: 0.0 – above 0 K is wanted"
    with pytest.raises(InputError) as e:
        Costs(energy=0.0, oven=0.0, heated=1.0, loss=1.0, room=293.15)
    assert str(e.value) == "costs: 0 – a price of energy or of oven hours above zero is wanted"
    assert PENALTY > 0.0
