"""What a pump makes of a leak, against closed forms and a root finder of scipy."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from bagside.bagging.leak import Pump, Soak, pressure_held, time_held, time_to_reach
from bagside.errors import InputError

HOSE = {"hose_length": 5.0, "hose_bore": 0.008}


@pytest.mark.parametrize(
    ("litres", "per_hour", "end", "seconds"), [(50, 10, 10, 83.1), (200, 25, 50, 86.7)], ids=["50 L", "200 L"]
)
def test_ideal_pump_down(litres: float, per_hour: float, end: float, seconds: float) -> None:
    """Derived: V / S · ln(p0 / p1) from 1013.25 mbar."""
    pump = Pump(flow=per_hour / 3600, ultimate=0.0)
    assert time_to_reach(pump, litres / 1e3, end * 100, start=101325.0) == pytest.approx(seconds, abs=0.05)


@pytest.mark.published("Engineering toolbox, evacuation of 1 m³ at 0.1 m³/s from 1000 mbar: 6.9, 23, 46 s")
@pytest.mark.parametrize(("end", "seconds"), [(500, 6.93), (100, 23.03), (10, 46.05)])
def test_a_cubic_metre(end: float, seconds: float) -> None:
    assert time_to_reach(Pump(flow=0.1, ultimate=0.0), 1.0, end * 100, start=1e5) == pytest.approx(seconds, abs=0.01)


@settings(deadline=None)
@given(st.floats(1e-4, 0.05), st.floats(0.0, 2000.0), st.floats(0.0, 1.0))
def test_ultimate_pressure_and_leak_in_closed_form(volume: float, ultimate: float, leak: float) -> None:
    """p = p∞ + (p0 − p∞) exp(−S t / V), p∞ = ultimate + leak / S."""
    pump = Pump(flow=1e-3, ultimate=ultimate)
    end = pressure_held(pump, leak)
    assert end == pytest.approx(ultimate + leak / 1e-3)
    target = end + 500.0
    closed = volume / 1e-3 * math.log((1e5 - end) / (target - end))
    assert time_to_reach(pump, volume, target, start=1e5, leak=leak) == pytest.approx(closed, rel=1e-5)
    assert end <= 500.0 or time_to_reach(pump, volume, 0.99 * end, start=1e5, leak=leak) is None


@settings(deadline=None)
@given(st.floats(1e-4, 5.0), st.floats(100.0, 2000.0))
def test_pump_behind_a_hose(leak: float, ultimate: float) -> None:
    """Two resistances in line, solved for the pressure between them by a root finder."""
    pump = Pump(flow=6 / 3600, ultimate=ultimate, **HOSE)
    bag = pressure_held(pump, leak)
    per_pascal = math.pi * 0.008**4 / (128 * 1.82e-5 * 5.0)

    def unbalanced(at: float) -> float:
        return pump.flow * (at - ultimate) - per_pascal * (bag**2 - at**2) / 2

    between = brentq(unbalanced, ultimate, bag, xtol=1e-9)
    assert pump.flow * (between - ultimate) == pytest.approx(leak, rel=1e-6)
    assert pump.drawn(bag) == pytest.approx(leak, rel=1e-6)
    assert bag > pressure_held(Pump(flow=pump.flow, ultimate=ultimate), leak)


def test_a_hose_slows_the_last_of_it() -> None:
    """t = ∫ V dp / drawn(p), by quadrature."""
    pump = Pump(flow=6 / 3600, ultimate=300.0, **HOSE)
    volume = 0.02
    integral, _ = quad(lambda p: volume / pump.drawn(p), 2000.0, 1e5, limit=200)
    assert time_to_reach(pump, volume, 2000.0, start=1e5) == pytest.approx(integral, rel=1e-5)


def test_outgassing_makes_it_last_three_times_as_long_and_more() -> None:
    pump = Pump(flow=6 / 3600, ultimate=300.0)
    clean = time_to_reach(pump, 0.02, 2000.0, start=1e5)
    moist = time_to_reach(pump, 0.02, 2000.0, start=1e5, soak=Soak(first=20.0, half=60.0))
    assert clean is not None
    assert moist is not None
    assert 3.0 < moist / clean < 20.0
    assert Soak(first=2.0, half=60.0).at(60.0) == pytest.approx(1.0)


def test_minutes_until_the_margin_is_lost() -> None:
    """2 L, 0.01 Pa m³/s, from 20 to 100 mbar: 2e-3 · 8000 / 0.01 = 1600 s; 20 L of receiver make it eleven times."""
    alone = time_held(0.002, 0.01, 2000.0, 10000.0, ambient=1e5)
    assert alone == pytest.approx(1600.0)
    assert time_held(0.002, 0.01, 2000.0, 10000.0, ambient=1e5, receiver=0.020) == pytest.approx(11 * 1600.0)
    assert time_held(0.002, 0.0, 2000.0, 10000.0, ambient=1e5) == math.inf
    assert time_held(0.002, 0.01, 12000.0, 10000.0, ambient=1e5) == 0.0


@settings(deadline=None)
@given(st.floats(0, 1), st.floats(0.001, 1))
def test_a_larger_leak_is_never_held_deeper(leak: float, more: float) -> None:
    pump = Pump(flow=1e-3, ultimate=300.0, **HOSE)
    assert pressure_held(pump, leak + more) > pressure_held(pump, leak)
    assert time_held(0.002, leak + more, 2e3, 1e4, ambient=1e5) <= time_held(0.002, leak, 2e3, 1e4, ambient=1e5)


def test_whole_messages() -> None:
    with pytest.raises(InputError) as told:
        Pump(flow=0.0, ultimate=100.0)
    assert str(told.value) == "pump: 0.0 m³/s down to 100.0 Pa – a flow above zero is wanted"
    with pytest.raises(InputError) as told:
        time_to_reach(Pump(flow=1.0, ultimate=1.0), 1.0, 2e5, start=1e5)
    assert str(told.value) == (
        "pump-down: 1.0 m³ from 100000.0 to 200000.0 Pa – a volume and a target below the start are wanted"
    )
    with pytest.raises(InputError) as told:
        pressure_held(Pump(flow=1.0, ultimate=1.0), -1.0)
    assert str(told.value) == "leak: -1.0 Pa m³/s – a leak of zero or more is wanted"
    with pytest.raises(InputError) as told:
        time_held(0.001, 1.0, 1e3, 2e5, ambient=1e5)
    assert str(told.value) == (
        "pump stopped: 0.001 m³, 1000.0 to 200000.0 Pa, 100000.0 Pa outside – "
        "pressures below ambient and a volume are wanted"
    )
    assert np.isinf(Pump(flow=1.0, ultimate=1.0).hose())
