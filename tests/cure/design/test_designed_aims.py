"""One thin laminate: a weak heater, and other aims than speed."""

from __future__ import annotations

import cyclecases as cases
from bagside.cure import NOMINAL
from bagside.cure.design import Aim, Bounds, Costs, Power, designed

ZERO_C = cases.ZERO_C
MINUTE = 60.0


def thin(bounds, *, oven=cases.BOARD_OVEN, scenarios=(NOMINAL,), **more):
    return designed([cases.ON_BOARD], cases.VITRIFYING, oven, bounds, start=293.15, scenarios=scenarios, **more)


def test_a_weak_heater_is_never_asked_for_more():
    power = Power(heater=1500.0, loss=8.0, heated=6.0e4, room=293.15)
    got = thin(Bounds(target=0.7, tool=110.0 + ZERO_C, power=power))
    at = 293.15
    for s in got.programme.segments:
        rate = s.ramp if s.target > at else 0.0
        assert 6.0e4 * rate + 8.0 * (s.target - 293.15) <= 1500.0 * (1.0 + 1e-6)
        at = s.target
    strong = thin(Bounds(target=0.7, tool=110.0 + ZERO_C))
    assert got.duration > strong.duration


def test_cheapest_and_gentlest_are_that():
    """Energy dear: it costs less than the fastest; gentle: it runs less over the air within the time given."""
    costs = Costs(energy=50.0 / 3.6e6, oven=1.0 / 3600.0, heated=6.0e4, loss=3.0, room=293.15)
    bounds = Bounds(target=0.7, overshoot=60.0, longest=8 * 3600.0)
    fast = thin(bounds, costs=costs)
    cheap = thin(bounds, aim=Aim.CHEAPEST, costs=costs)
    gentle = thin(bounds, aim=Aim.GENTLEST)
    assert cheap.cost < fast.cost
    assert cheap.duration > fast.duration
    over = {n: next(k.value for k in d.kept if k.limit == "overshoot") for n, d in (("f", fast), ("g", gentle))}
    assert over["g"] < 0.8 * over["f"]
    assert fast.duration < gentle.duration <= 8 * 3600.0
