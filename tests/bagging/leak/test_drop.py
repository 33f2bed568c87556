"""A leak test by hand, by another gauge, in another room, and how far its readings tell."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.bagging import CRITERIA
from bagside.bagging.leak import Gauge, Reading, leak_test, stated_volume
from bagside.errors import InputError

VOLUME = stated_volume(0.020)


def reading(
    minutes: float,
    mbar: float,
    *,
    gauge: Gauge = Gauge.ABSOLUTE,
    step: float = 1.0,
    ambient: float = 1013.0,
    celsius: float | None = None,
) -> Reading:
    return Reading(
        time=60 * minutes,
        shows=100 * mbar,
        gauge=gauge,
        step=100 * step,
        ambient=100 * ambient,
        temperature=None if celsius is None else celsius + 273.15,
    )


def test_rate_of_rise_by_hand() -> None:
    """Derived: 20 L, 10 mbar in 5 min is 0.667 mbar L/s = 0.0667 Pa m³/s = 39.5 cm³/min at 1013 mbar."""
    found = leak_test((reading(0, 20), reading(5, 30)), VOLUME)
    assert found.leak * 10 == pytest.approx(0.667, abs=0.0005)
    assert found.flow * 6e7 == pytest.approx(20 * 1000 * 10 / 1013.25 / 5, rel=1e-9)
    assert 60e-6 < found.hole < 70e-6  # 200 m/s through (65 µm)²


def test_a_gauge_below_ambient_wants_the_weather_of_each_reading() -> None:
    """The barometer falls by 8 mbar during the test: the dial loses 8 mbar, the bag nothing."""
    falls = leak_test(
        (
            reading(0, -980, gauge=Gauge.BELOW, ambient=1000.0),
            reading(60, 972, gauge=Gauge.BELOW, ambient=992.0),  # with or without the minus
        ),
        VOLUME,
    )
    assert falls.rise == pytest.approx(0.0, abs=1e-6)
    assert falls.raw == pytest.approx(800.0)
    assert falls.reached == pytest.approx(2000.0)


def test_two_gauges_of_two_kinds() -> None:
    found = leak_test((reading(0, 20), reading(10, -985, gauge=Gauge.BELOW, ambient=1013.0)), VOLUME)
    assert found.rise == pytest.approx(800.0)
    assert found.raw == pytest.approx(800.0)


def test_a_warmer_bag_is_not_a_leak() -> None:
    """p / T stays: 20 mbar at 20 °C is 20.68 mbar at 30 °C."""
    warmed = leak_test((reading(0, 20, celsius=20.0, step=0.01), reading(10, 20.6822, celsius=30.0, step=0.01)), VOLUME)
    assert warmed.rise == pytest.approx(0.0, abs=0.05)
    assert warmed.raw == pytest.approx(68.22)
    assert warmed.temperature == pytest.approx(293.15)


def test_a_temperature_that_was_not_read_lies_between_its_neighbours() -> None:
    steady = [reading(m, 20 * (293.15 + m) / 293.15, celsius=20.0 + m, step=0.01) for m in (0, 5, 10)]
    gap = [steady[0], reading(5, steady[1].shows / 100, step=0.01), steady[2]]
    assert leak_test(tuple(gap), VOLUME).rise == pytest.approx(leak_test(tuple(steady), VOLUME).rise, abs=1e-6)


@settings(deadline=None)
@given(st.floats(0, 200), st.floats(1, 60))
def test_verdicts_do_not_hang_on_the_volume(drop: float, minutes: float) -> None:
    rows = (reading(0, 20), reading(minutes, 20 + drop))
    one, ten = leak_test(rows, stated_volume(0.002)), leak_test(rows, stated_volume(0.020))
    assert [j.passed for j in one.judged] == [j.passed for j in ten.judged]
    assert ten.leak == pytest.approx(10 * one.leak)


def test_every_criterion_is_judged_in_the_table_s_order() -> None:
    found = leak_test((reading(0, 20), reading(5, 40)), VOLUME)
    assert [j.criterion for j in found.judged] == list(CRITERIA)
    assert [j.criterion.name for j in found.judged if j.passed] == [
        c.name for c in CRITERIA if c.name != "cosmetic oven cure"
    ]


def test_too_short_to_tell_and_how_long_it_must_be() -> None:
    """A dial of 10 mbar: 0.41 · 10 mbar of spread in 2 min is 20 mbar in 10 min, against a limit of 10."""
    dial = leak_test((reading(0, 20, step=10), reading(2, 20, step=10)), VOLUME)
    judged = dial.of("cosmetic oven cure")
    assert judged.tight is None
    assert judged.passed is None
    assert judged.drop_spread == pytest.approx(1000.0 * np.sqrt(2 / 12) * 5, rel=1e-9)
    assert judged.needed == pytest.approx(120.0 * 2 * judged.drop_spread / 1000.0)
    long = leak_test((reading(0, 20, step=10), reading(judged.needed / 60 + 0.01, 20, step=10)), VOLUME)
    assert long.of("cosmetic oven cure").tight is True
    assert not dial.told


def test_spread_is_that_of_many_rounded_readings() -> None:
    rng = np.random.default_rng(8)
    rises = []
    for _ in range(600):
        start = rng.uniform(1500.0, 2500.0)
        rows = [(t, round((start + 2.13 * t) / 100.0) * 100.0) for t in (0.0, 300.0, 600.0)]
        found = leak_test(tuple(reading(t / 60, p / 100) for t, p in rows), VOLUME)
        rises.append(found.rise)
    assert np.std(rises) == pytest.approx(found.rise_spread, rel=0.12)
    assert np.mean(rises) == pytest.approx(1278.0, rel=0.01)


def test_altitude_is_no_leak() -> None:
    """At 1500 m (846 mbar) a bag at 20 mbar reads −826: good by absolute pressure and by share of ambient."""
    found = leak_test(
        (reading(0, -826, gauge=Gauge.BELOW, ambient=846.0), reading(10, -825, gauge=Gauge.BELOW, ambient=846.0)),
        VOLUME,
    )
    assert found.of("cosmetic oven cure").passed
    assert found.of("resin maker").passed


def test_bad_readings_all_at_once() -> None:
    rows = (
        reading(0, -980),
        reading(0, 30, step=0.0),
        reading(5, 500, gauge=Gauge.BELOW, ambient=400.0),
    )
    with pytest.raises(InputError) as told:
        leak_test(rows, VOLUME)
    assert str(told.value) == (
        "leak test, reading 1: −980.0 mbar – an absolute pressure cannot be negative "
        "(does this gauge show pressure below ambient?)\n"
        "leak test, reading 2: 0.0 min – a later time than the one before is wanted\n"
        "leak test, reading 2: 0.0 mbar – a step of the gauge above zero is wanted\n"
        "leak test, reading 3: 500 mbar below ambient – it is no vacuum at 400 mbar ambient "
        "(is it the other kind of gauge, or is the ambient pressure of another place?)"
    )
    with pytest.raises(InputError) as told:
        leak_test((reading(0, 0, gauge=Gauge.BELOW), reading(5, 0, gauge=Gauge.BELOW)), VOLUME)
    assert str(told.value) == (
        "leak test, reading 1: 0 mbar below ambient – it is no vacuum at 1\u2009013 mbar ambient "
        "(is it the other kind of gauge, or is the ambient pressure of another place?)"
    )
    with pytest.raises(InputError) as told:
        leak_test((reading(0, 20),), VOLUME)
    assert str(told.value) == "leak test: 1 – two readings or more are wanted"
    with pytest.raises(KeyError):
        leak_test((reading(0, 20), reading(5, 30)), VOLUME).of("nobody's")
