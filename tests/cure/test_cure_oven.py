"""Programme and oven: closed forms against hand values and against a general solver."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bagside.cure import Air, Oven, Programme, Segment
from bagside.errors import InputError

temperatures = st.floats(290.0, 460.0)
segments = st.builds(
    Segment, target=temperatures, ramp=st.floats(0.002, 0.2), hold=st.one_of(st.just(0.0), st.floats(60.0, 7200.0))
)
programmes = st.builds(
    lambda start, parts: Programme(start=start, segments=(*parts, Segment(target=320.0, ramp=0.02, hold=600.0))),
    temperatures,
    st.lists(segments, max_size=4),
)


def test_a_programme_by_hand():
    p = Programme(
        start=300.0,
        segments=(Segment(target=360.0, ramp=0.05, hold=600.0), Segment(target=330.0, ramp=0.1)),
    )
    assert p.breaks == pytest.approx([0.0, 1200.0, 1800.0, 2100.0])
    assert p.air([0.0, 600.0, 1500.0, 1950.0, 2100.0, 9999.0]) == pytest.approx([300, 330, 360, 345, 330, 330])
    assert (p.duration, p.hottest) == (2100.0, 360.0)


def test_a_ramp_over_nothing_takes_no_time():
    p = Programme(
        start=300.0,
        segments=(
            Segment(target=300.0 + 6e-14, ramp=0.1, hold=100.0),
            Segment(target=320.0, ramp=0.1, hold=1e-12),
            Segment(target=320.0, ramp=0.1, hold=50.0),
        ),
    )
    assert p.breaks == pytest.approx([0.0, 100.0, 300.0, 350.0])
    air = Oven(hottest=400.0, heating=0.05, cooling=0.05, lag=60.0).air(p)
    assert np.isfinite(air.at(np.linspace(0.0, 350.0, 50))).all()


def test_an_oven_that_is_too_slow_is_late_and_then_catches_up():
    """Asked 3 K/min to 360 K, manages 2 K/min: arrives after 30 min instead of 20 (by hand)."""
    p = Programme(start=300.0, segments=(Segment(target=360.0, ramp=0.05, hold=1200.0),))
    air = Oven(hottest=500.0, heating=2 / 60, cooling=1 / 60).air(p)
    assert air.at([1200.0, 1800.0, 2400.0]) == pytest.approx([340.0, 360.0, 360.0])
    assert air.asked([600.0, 1800.0]) == pytest.approx([330.0, 360.0])


def test_a_ramp_lags_by_rate_times_time_constant():
    p = Programme(start=300.0, segments=(Segment(target=400.0, ramp=0.02),))
    air = Oven(hottest=500.0, heating=1.0, cooling=1.0, lag=300.0).air(p)
    assert float(air.at(5000.0)) == pytest.approx(400.0 - 0.02 * 300.0, abs=1e-5)


def test_an_oven_does_not_get_hotter_than_it_can():
    p = Programme(start=300.0, segments=(Segment(target=400.0, ramp=0.05, hold=1000.0), Segment(target=320, ramp=0.05)))
    air = Oven(hottest=370.0, heating=1.0, cooling=1.0).air(p)
    t = np.linspace(0.0, air.end, 1000)
    assert air.at(t) == pytest.approx(np.minimum(p.air(t), 370.0))


@given(programmes, st.floats(0.005, 0.1), st.floats(0.005, 0.1), st.floats(300.0, 480.0))
def test_the_oven_keeps_to_its_ramps_and_never_overtakes(p, heating, cooling, top):
    air = Oven(hottest=max(top, p.start), heating=heating, cooling=cooling).air(p)
    assert (air.slopes <= heating * (1 + 1e-6)).all()
    assert (air.slopes >= -cooling * (1 + 1e-6)).all()
    assert (air.reference <= max(top, p.start) + 1e-6).all()
    assert air.breaks[-1] == pytest.approx(p.duration)
    low, high = min(p.start, *(s.target for s in p.segments)), p.hottest
    assert low - 1e-6 <= air.reference.min() <= air.reference.max() <= high + 1e-6


@given(programmes, st.floats(30.0, 900.0))
def test_the_lag_in_closed_form_is_the_lag_integrated(p, lag):
    air = Oven(hottest=480.0, heating=0.05, cooling=0.03, lag=lag).air(p)
    y = air.values[0]
    for i, (a, b) in enumerate(zip(air.breaks[:-1], air.breaks[1:], strict=True)):
        r, slope = air.reference[i], air.slopes[i]
        got = solve_ivp(lambda t, y, r=r, s=slope, a=a: (r + s * (t - a) - y) / lag, (a, b), [y], rtol=1e-8, atol=1e-8)
        y = got.y[0, -1]
        assert float(air.values[i + 1]) == pytest.approx(y, abs=1e-4)
        assert float(air.at(b)) == pytest.approx(float(air.values[i + 1]), abs=1e-6)


@given(programmes)
def test_an_ideal_oven_gives_the_programme(p):
    air = Oven(hottest=500.0, heating=10.0, cooling=10.0).air(p)
    t = np.linspace(0.0, p.duration, 97)
    assert air.at(t) == pytest.approx(p.air(t), abs=1e-6)
    assert air.at(t) == pytest.approx([float(air.at(float(x))) for x in t], abs=1e-12)


def test_a_log_is_straight_between_readings_and_is_refused_when_it_is_not_one():
    air = Air.recorded([0.0, 60.0, 180.0], [300.0, 310.0, 305.0])
    assert air.at([30.0, 120.0]) == pytest.approx([305.0, 307.5])
    with pytest.raises(InputError, match="rising times"):
        Air.recorded([0.0, 0.0], [300.0, 300.0])
    with pytest.raises(InputError, match="two readings"):
        Air.recorded([0.0], [300.0])
    with pytest.raises(ValueError, match="known from"):
        air.at(181.0)


def test_what_cannot_be_run_is_refused_with_every_reason():
    with pytest.raises(InputError) as e:
        Programme(start=20.0 - 273.15, segments=(Segment(target=400.0, ramp=0.0, hold=-1.0),))
    assert [p.place for p in e.value.problems] == [
        "programme, start",
        "programme, segment 1, ramp",
        "programme, segment 1, hold",
    ]
    with pytest.raises(InputError, match="one segment or more"):
        Programme(start=300.0, segments=())
    with pytest.raises(InputError, match="that lasts"):
        Programme(start=300.0, segments=(Segment(target=300.0, ramp=1.0),))
    with pytest.raises(InputError) as e:
        Oven(hottest=450.0, heating=0.0, cooling=1.0, lag=math.nan, offsets=(3.0, -3.0))
    assert [p.place for p in e.value.problems] == ["oven, heating", "oven, lag", "oven, offsets"]
