"""Many programmes tried at once against the solver that people's plans are computed with."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import cyclecases as cases
from bagside.cure import Air, corners, outcomes, simulate
from bagside.cure.design import Bounds, Flow
from bagside.cure.design.limits import SCALES, LimitSet
from bagside.cure.design.rig import Rig
from bagside.cure.design.seen import Watch, until_gel
from bagside.cure.design.trial import Cooling, tried

ZERO_C = cases.ZERO_C
BOUNDS = Bounds(
    target=0.8,
    hottest=1000.0,
    tool=1000.0,
    spread=1.0,
    overshoot=500.0,
    void_free=1000.0,
    stiff=-500.0,
    flow=Flow(viscosity=30.0, time=60.0),
    demould=60.0 + ZERO_C,
)
TIME = np.array([[50.0, 5.0, 60.0, 20.0, 30.0], [80.0, 40.0, 30.0, 20.0, 60.0], [45.0, 60.0, 25.0, 50.0, 10.0]]) * 60.0
END = np.array([[170.0, 170.0, 122.0, 180.0, 180.0], [110, 110, 160, 175, 175], [105, 105, 150, 178, 178]]) + ZERO_C


def rig_and_limits(oven, scenarios, section=None):
    section = cases.thick() if section is None else section
    lanes = [x for s in scenarios for x in s.of([section])]
    watch = Watch(lanes, cases.THICK_RESIN, BOUNDS, 0.8)
    return Rig(lanes, cases.THICK_RESIN, oven, 293.15, watch), LimitSet.of(BOUNDS, 0.8, scenarios, 1), lanes


def course(time, end, cooling):
    """Return the air's reference with the cooling that follows, as corners."""
    t, y = np.concatenate([[0.0], np.cumsum(time)]), np.concatenate([[293.15], end])
    fall = (y[-1] - cooling.to) / cooling.rate
    t, y = np.append(t, [t[-1] + fall, t[-1] + fall + 4 * 3600.0]), np.append(y, [cooling.to, cooling.to])
    keep = np.append(True, np.diff(t) > 0.0)
    return t[keep], y[keep]


def flowed(history, seen, b, g):
    """Return how long the lagging point flows: two ends of a laminate may lag by as good as the same."""
    lagging = int(seen.dose[g, 10 * b : 10 * b + 10].argmin())
    a, t = history.alpha[:, lagging], history.laminate_temperature[:, lagging]
    liquid = a < 0.47
    mu = cases.THICK_RESIN.viscosity.at(np.where(liquid, a, 0.0), t)
    return float(np.trapezoid(((mu < 30.0) & liquid).astype(float), history.time))


def alike(a, b, limits):
    """Whether measures of limits differ by less than half a kelvin, or what is like it."""
    return bool((np.abs(a - b) <= 0.06 * np.array([[SCALES[n]] for n in limits.names])).all())


@pytest.mark.parametrize("lag", [0.0, 300.0])
def test_what_limits_ask_agrees_with_the_histories_of_the_solver(lag):
    oven = replace(cases.THICK_OVEN, lag=lag)
    scenarios = corners(6.0)
    rig, limits, lanes = rig_and_limits(oven, scenarios)
    cooling = Cooling(demould=60.0 + ZERO_C, to=50.0 + ZERO_C, rate=1.0 / 60.0)
    trial = tried(rig, limits, TIME, END, cooling=cooling)
    for g in range(len(TIME)):
        t, y = course(TIME[g], END[g], cooling)
        values = [y[0]]
        slopes = np.diff(y) / np.diff(t)
        for dt, slope, a, b in zip(np.diff(t), slopes, y[:-1], y[1:], strict=True):
            values.append(b if lag == 0.0 else b - slope * lag + (values[-1] - a + slope * lag) * np.exp(-dt / lag))
        air = Air(breaks=t, reference=y, values=np.array(values), lag=lag, programme=y)
        histories = simulate(lanes, cases.THICK_RESIN, air, output_interval=20.0, tolerance=0.02)
        results = outcomes(histories, cases.THICK_RESIN)
        value = dict(zip(limits.names, trial.measured[:, g], strict=True))
        assert value["laminate"] == pytest.approx([o.hottest for o in results], abs=0.3)
        assert value["tool"] == pytest.approx([o.tool_hottest for o in results], abs=0.3)
        assert value["stiff"] == pytest.approx([o.stiff_margin for o in results], abs=1.0)
        assert value["flow"] == pytest.approx(
            [flowed(h, trial.rows.seen, b, g) for b, h in enumerate(histories)], abs=60.0
        )
        assert value["spread"] == pytest.approx([np.ptp(h.alpha, axis=1).max() for h in histories], abs=0.005)
        for b, h in enumerate(histories):
            over = (h.laminate_temperature.max(axis=1) - np.maximum.accumulate(h.air)).max()
            assert value["overshoot"][b] == pytest.approx(over, abs=0.4)
            wet = max(
                np.interp(0.47, h.alpha[:, i], h.laminate_temperature[:, i])
                if h.alpha[-1, i] > 0.47
                else h.laminate_temperature[:, i].max()
                for i in range(h.alpha.shape[1])
            )
            assert value["void"][b] >= wet - 0.5  # hottest until gel is at least the temperature of gel
            ready = trial.rows.seen.warm[g, b]
            part = np.interp(ready, h.time, h.temperature.max(axis=1))
            assert part == pytest.approx(60.0 + ZERO_C, abs=0.6)
            assert trial.rows.seen.done[g, b] == pytest.approx(
                np.interp(0.8, h.alpha.min(axis=1), h.time) if h.alpha[-1].min() > 0.8 else np.inf, abs=45.0
            )


def test_rows_do_not_touch_each_other():
    rig, limits, _ = rig_and_limits(cases.THICK_OVEN, corners(0.0)[:2])
    together = tried(rig, limits, TIME, END)
    for g in range(len(TIME)):
        alone = tried(rig, limits, TIME[g : g + 1], END[g : g + 1])
        assert alike(together.measured[:, g], alone.measured[:, 0], limits)


def test_a_state_may_be_gone_on_from():
    rig, _, _ = rig_and_limits(cases.THICK_OVEN, corners(0.0))
    rows = rig.rows(1, 453.15)
    whole = rig.stretched(rows, np.array([3600.0]), np.array([0.03]))
    half = rig.stretched(
        rig.stretched(rows, np.array([1500.0]), np.array([0.03])), np.array([2100.0]), np.array([0.03])
    )
    assert half.temperature == pytest.approx(whole.temperature, abs=0.1)
    assert half.alpha == pytest.approx(whole.alpha, abs=1e-3)
    assert half.reference == pytest.approx(whole.reference)


def test_some_lanes_are_the_lanes_they_are():
    rig, limits, _ = rig_and_limits(cases.THICK_OVEN, corners(6.0))
    some = np.array([1, 4])
    whole = tried(rig, limits, TIME, END)
    part = tried(rig.of_lanes(some), limits.of_lanes(some), TIME, END)
    for g in range(len(TIME)):
        assert alike(part.measured[:, g], whole.measured[:, g, some], limits)


def test_temperature_until_gel_by_hand():
    before, now = np.array([0.3, 0.4, 0.6]), np.array([0.4, 0.6, 0.7])
    got = until_gel(before, now, np.array([300.0, 300.0, 300.0]), np.array([310.0, 310.0, 310.0]), 0.5)
    assert got.tolist() == [310.0, 305.0, -np.inf]  # not yet, half-way between, gelled before


def test_held_faces_need_no_film():
    """A face held at the air has the air's temperature at the tool's back."""
    section = replace(cases.thick(), film_tool=np.inf)
    rig, _limits, _ = rig_and_limits(cases.THICK_OVEN, corners(0.0)[:1], section)
    rows = rig.stretched(rig.rows(1, 453.15), np.array([600.0]), np.array([0.05]))
    tool = rows.seen.tool[0, 0]
    assert tool == pytest.approx(293.15 + 30.0, abs=1e-6)
