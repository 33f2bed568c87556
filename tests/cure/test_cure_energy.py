"""Energy of the oven."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cure import Oven, Programme, Segment, oven_energy
from bagside.errors import InputError


def test_a_heavy_tool():
    """60 kg aluminium by 100 K: 5.4 MJ = 1.5 kWh (derived here)."""
    p = Programme(start=293.15, segments=(Segment(target=393.15, ramp=0.03, hold=3600.0), Segment(target=300, ramp=1)))
    e = oven_energy({"tool": 60 * 900.0}, p, loss=0.0, room=293.15)
    assert (e.load, e.walls) == (pytest.approx(5.4e6), 0.0)
    assert e.total / 3.6e6 == pytest.approx(1.5)


def test_a_small_oven_as_the_trade_counts_it():
    """0.4 m³ box, 15 kg tool, 100 K for 6 h takes about 2 kWh (trade figure); walls: 3 W/K by 100 K by 6 h = 1.8."""
    p = Programme(start=293.15, segments=(Segment(target=393.15, ramp=1.0, hold=6 * 3600.0),))
    e = oven_energy({"tool": 15 * 900.0}, p, loss=3.0, room=293.15)
    assert e.walls / 3.6e6 == pytest.approx(1.8, rel=0.01)
    assert 1.5 < e.total / 3.6e6 < 2.5


def test_the_loss_under_a_lagging_air_in_closed_form():
    """A ramp from the room with lag: ∫ = r (t²/2 − τ t + τ²(1 − e^(−t/τ)))."""
    p = Programme(start=300.0, segments=(Segment(target=400.0, ramp=0.05),))
    air = Oven(hottest=500.0, heating=1.0, cooling=1.0, lag=200.0).air(p)
    t, tau = 2000.0, 200.0
    wanted = 0.05 * (t * t / 2 - tau * t + tau**2 * (1 - math.exp(-t / tau)))
    assert oven_energy({}, air, loss=1.0, room=300.0).walls == pytest.approx(wanted, rel=1e-3)


@given(st.floats(1.0, 1e5), st.floats(0.0, 20.0), st.floats(330.0, 450.0))
def test_energy_is_linear_in_load_and_loss(capacity, loss, top):
    p = Programme(start=293.15, segments=(Segment(target=top, ramp=0.03, hold=3600.0),))
    one = oven_energy({"a": capacity}, p, loss=loss, room=293.15)
    two = oven_energy({"a": capacity, "b": capacity}, p, loss=2 * loss, room=293.15)
    assert two.total == pytest.approx(2 * one.total)


def test_what_makes_no_sense_is_refused():
    p = Programme(start=293.15, segments=(Segment(target=400.0, ramp=0.03),))
    with pytest.raises(InputError) as e:
        oven_energy({"tool": -1.0}, p, loss=math.nan, room=20.0 - 273.15)
    assert [q.place for q in e.value.problems] == ["load, tool", "oven, loss", "room"]
