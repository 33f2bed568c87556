"""Mean kinetic temperature as it is defined, and hours of a log that are never kinder than its readings."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cure.life import LifeSheet
from bagside.errors import InputError
from bagside.ledger.clocks.mean_kinetic import HIGH, LOW, mean_kinetic_temperature, safe_temperature, thinned

DAY = 86400.0
FREEZER = 255.15


def used(sheet: LifeSheet, times: np.ndarray, temperatures: np.ndarray) -> float:
    return float(sheet.mean_rates(temperatures[:-1], temperatures[1:]) @ np.diff(times))


def sheets() -> st.SearchStrategy[LifeSheet]:
    """Sheets of one to three points, every slope within the energies that are allowed for."""

    @st.composite
    def one(draw: st.DrawFn) -> LifeSheet:
        at = sorted(draw(st.lists(st.floats(250.0, 300.0), min_size=1, max_size=3, unique_by=lambda t: round(t))))
        life, points = 400 * DAY, []
        for k, t in enumerate(at):
            if k:
                life *= math.exp(-draw(st.floats(LOW, HIGH)) / 8.314 * (1 / at[k - 1] - 1 / t))
            points.append((t, life))
        return LifeSheet(points=tuple(points))

    return one()


@pytest.mark.published("USP <1079> / ICH Q1A: formula and 83.144 kJ/mol (from memory); figures worked by hand")
def test_mean_kinetic_temperature_by_hand():
    """20 °C and 30 °C: exp(−10000/T) 1.532e-15 and 4.720e-15, mean 3.126e-15, ln −33.399, 299.41 K."""
    mkt = mean_kinetic_temperature([293.15, 303.15])
    assert mkt - 273.15 == pytest.approx(26.26, abs=0.005)
    # three days at 25 °C and one at 40 °C, above their mean of 28.75 °C
    hot = mean_kinetic_temperature([298.15, 313.15], [3 * DAY, DAY])
    wanted = 10_000 / -math.log(0.75 * math.exp(-10_000 / 298.15) + 0.25 * math.exp(-10_000 / 313.15))
    assert hot == pytest.approx(wanted, abs=2e-3)
    assert hot > 301.9


@given(st.lists(st.floats(240.0, 320.0), min_size=1, max_size=8), st.floats(10e3, 120e3), st.floats(10e3, 120e3))
def test_between_the_arithmetic_mean_and_the_warmest_and_rising_with_energy(temperatures, one, other):
    low, high = sorted((one, other))
    cool, warm = (mean_kinetic_temperature(temperatures, energy=e) for e in (low, high))
    assert np.mean(temperatures) - 1e-9 <= cool <= warm + 1e-9 <= max(temperatures) + 2e-9


@given(st.lists(st.floats(240.0, 320.0), min_size=1, max_size=8), st.floats(10e3, 120e3))
def test_with_one_energy_the_safe_temperature_is_the_mean_kinetic_one(temperatures, energy):
    safe = safe_temperature(temperatures, low=energy, high=energy)
    assert safe == pytest.approx(mean_kinetic_temperature(temperatures, energy=energy), abs=1e-6)


@given(st.lists(st.floats(240.0, 320.0), min_size=1, max_size=8), sheets())
def test_no_sheet_counts_less_by_the_safe_temperature(temperatures, sheet):
    assert float(sheet.rate(safe_temperature(temperatures))) >= float(np.mean(sheet.rate(temperatures))) * (1 - 1e-9)


def test_the_mean_kinetic_temperature_with_the_high_energy_alone_would_be_too_kind():
    """Why two energies: half an hour at −18 °C and half at 40 °C by a sheet with 35 kJ/mol below and 80 above 21 °C."""
    sheet = LifeSheet(points=((294.15, 30 * DAY),))
    readings = [FREEZER, 313.15]
    true = float(np.mean(sheet.rate(readings)))
    assert float(sheet.rate(mean_kinetic_temperature(readings, energy=HIGH))) < true
    assert float(sheet.rate(safe_temperature(readings))) >= true


@st.composite
def logs(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, list[tuple[float, float]]]:
    """A log of some hours, readings seconds to minutes apart, with pauses."""
    steps = draw(st.lists(st.sampled_from([10.0, 60.0, 61.3, 300.0, 900.0, 5000.0, 30_000.0]), min_size=3, max_size=60))
    times = np.concatenate([[0.0], np.cumsum(steps)])
    base = draw(st.floats(245.0, 300.0))
    values = np.array([base + draw(st.floats(-10.0, 10.0)) for _ in times])
    gaps = [(float(a), float(b)) for a, b in pairwise(times) if b - a > 4000.0]
    return times, values, gaps


@given(logs(), sheets())
def test_hours_are_never_kinder_than_the_readings(log, sheet):
    times, values, gaps = log
    t, v = thinned(times, values, gaps)
    assert (np.diff(t) > 0.0).all()
    assert (t[0], t[-1]) == (times[0], times[-1])
    edges = [times[0], *(x for g in gaps for x in g), times[-1]]
    for a, b in zip(edges[::2], edges[1::2], strict=True):  # between the pauses
        mine, full = (t >= a) & (t <= b), (times >= a) & (times <= b)
        assert {a, b} <= set(t.tolist()) | {times[0], times[-1]}
        assert used(sheet, t[mine], v[mine]) >= used(sheet, times[full], values[full]) * (1 - 1e-9)


def test_a_year_of_minutes_becomes_hours_at_little_price():
    """A compressor that lets the air swing by 1.5 K: its life falls by 8 % at most, an hour is two numbers at most."""
    times = np.arange(0.0, 20 * DAY, 60.0)
    values = FREEZER + 1.5 * np.sin(2 * np.pi * times / 2400)
    t, v = thinned(times, values)
    assert len(t) <= 2 * 20 * 24
    sheet = LifeSheet(points=((FREEZER, 365 * DAY), (294.15, 30 * DAY)))
    assert 1.0 <= used(sheet, t, v) / used(sheet, times, values) < 1.08
    still = thinned(times, np.full(times.shape, FREEZER))
    assert len(still[0]) == 2
    assert still[1] == pytest.approx([FREEZER, FREEZER], abs=0.051)


def test_readings_an_hour_apart_stay_as_they_are():
    times, values = np.arange(10) * 3600.0, FREEZER + np.arange(10.0)
    t, v = thinned(times, values)
    assert (t == times).all()
    assert (v == values).all()


def test_what_is_no_log_is_refused():
    for wrong in ([], [-1.0]):
        with pytest.raises(InputError, match="one reading or more above 0 K"):
            mean_kinetic_temperature(wrong)
    with pytest.raises(InputError, match="none negative, not all zero"):
        mean_kinetic_temperature([300.0], [0.0])
    with pytest.raises(InputError, match="rising times"):
        thinned([0.0, 0.0], [1.0, 1.0])


def test_a_warm_hour_is_warm_from_its_first_second_to_its_last():
    """An hour at −18 °C, one at 27 °C, one at −18 °C: the way from one to the other lies within the cold hours."""
    times = np.arange(0.0, 3 * 3600.0 + 1.0, 60.0)
    values = np.where((times >= 3600.0) & (times <= 7200.0), 300.15, FREEZER)
    t, v = thinned(times, values)
    inside = np.interp(np.linspace(3600.0, 7200.0, 50), t, v)
    assert inside.min() >= 300.15
    assert len(t) <= 8


def test_hours_that_drift_are_one_stretch_at_the_warmest():
    """A freezer that warms by 0.02 K an hour: every moment of the stretch is at least as warm as it was."""
    times = np.arange(0.0, 100 * 3600.0, 600.0)
    for slope in (0.02, -0.02):
        values = FREEZER + slope * times / 3600.0
        t, v = thinned(times, values)
        assert len(t) < 40
        assert (np.interp(times, t, v) >= values - 1e-9)[1:-1].all()
        assert (np.interp(times, t, v) <= values + 0.35).all()
