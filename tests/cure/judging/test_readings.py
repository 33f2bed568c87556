"""Lines through readings: noise averaged, gaps bridged and bounded, few corners kept."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cure import Channel, CureLog, Sensor
from bagside.cure.judging.corners import few_corners, smoothed
from bagside.cure.judging.readings import bounds_in_gaps, mean_of, series, with_middles
from cureruns import OVEN, PROGRAMME, cooled


def line_of(time: np.ndarray, values: np.ndarray, name: str = "TC1", sensor: Sensor = Sensor.AIR):
    log = CureLog(name="run.csv", time=time, channels=(Channel(name=name, sensor=sensor, values=values),))
    return series(log, log.channels[0])


def test_readings_closer_than_a_minute_are_averaged_and_a_straight_line_stays_straight() -> None:
    time = np.arange(0.0, 7200.0, 5.0)
    line = line_of(time, 300.0 + 0.01 * time)
    assert line is not None
    assert len(line.time) < 130
    np.testing.assert_allclose(line.values, 300.0 + 0.01 * line.time, atol=1e-9)
    assert line.count == len(time)


def test_fewer_than_two_readings_are_no_line() -> None:
    values = np.full(10, np.nan)
    values[3] = 300.0
    assert line_of(np.arange(10.0) * 60.0, values) is None


def test_a_gap_without_witness_is_bounded_by_how_fast_the_part_ever_moved() -> None:
    """By hand: the part rises 1 K/min for an hour; in a level gap of 20 min it can have gone 10 K up and back."""
    time = np.arange(0.0, 10800.0, 60.0)
    values = 300.0 + np.minimum(time, 3600.0) / 60.0
    values[(time > 7200.0) & (time < 8400.0)] = np.nan
    line = line_of(time, values)
    assert line is not None
    assert line.gaps == ((7200.0, 8400.0),)
    low, high = bounds_in_gaps(line, ())
    at = with_middles(line)[0]
    middle = int(np.flatnonzero(at == 7800.0)[0])
    # never hotter than the hottest reading and five kelvin, colder by ten
    assert low[middle] == pytest.approx(10.0, abs=0.2)
    assert high[middle] == pytest.approx(5.0, abs=0.2)
    assert low[at < 7200.0].max() == 0.0


def test_a_gap_with_a_witness_is_bounded_by_the_witness() -> None:
    time = np.arange(0.0, 10800.0, 60.0)
    air = np.where((time >= 7500.0) & (time < 8100.0), 348.0, 353.0)
    part = np.full(len(time), 352.0)
    part[(time > 7200.0) & (time < 8400.0)] = np.nan
    line, witness = line_of(time, part, "TC2", Sensor.PART), line_of(time, air)
    assert line is not None
    assert witness is not None
    low, high = bounds_in_gaps(line, (witness,))
    assert low.max() == pytest.approx(6.0)  # the air dipped by five, and one more
    assert high.max() == pytest.approx(1.0)


def test_the_mean_goes_on_with_those_that_lasted() -> None:
    time = np.arange(0.0, 3600.0, 60.0)
    gone = np.where(time <= 1800.0, 310.0, np.nan)
    a, b = line_of(time, gone), line_of(time, np.full(len(time), 300.0))
    assert a is not None
    assert b is not None
    both = mean_of((a, b), "air")
    assert both.at(np.array([600.0]))[0] == pytest.approx(305.0)
    assert both.at(np.array([3000.0]))[0] == pytest.approx(300.0)


@settings(max_examples=25, deadline=None)
@given(slope=st.floats(-0.05, 0.05), level=st.floats(280.0, 450.0), every=st.floats(10.0, 240.0))
def test_averaging_leaves_a_straight_line_alone(slope: float, level: float, every: float) -> None:
    time = np.arange(0.0, 14400.0, every)
    line = line_of(time, level + slope * time)
    assert line is not None
    np.testing.assert_allclose(smoothed(line), level + slope * line.time, atol=1e-6)


def test_few_corners_follow_a_noisy_air_within_what_averaging_leaves() -> None:
    """The truth is the oven's own air; noise of 1 K each minute."""
    air = OVEN.air(cooled(PROGRAMME))
    time = np.arange(0.0, air.end, 60.0)
    noisy = air.at(time) + np.random.default_rng(3).normal(0.0, 1.0, len(time))
    line = line_of(time, noisy)
    assert line is not None
    t, y = few_corners(line)
    off = np.interp(time, t, y) - air.at(time)
    assert len(t) < 60
    assert np.sqrt(np.mean(off**2)) < 0.5
    assert abs(off.mean()) < 3.0 / np.sqrt(len(time))
    assert np.abs(off).max() < 1.5


def test_few_corners_of_a_clean_line_are_its_own() -> None:
    time = np.arange(0.0, 14400.0, 60.0)
    values = np.interp(time, [0.0, 3600.0, 9000.0, 14400.0], [300.0, 360.0, 360.0, 310.0])
    line = line_of(time, values)
    assert line is not None
    t, y = few_corners(line)
    assert np.abs(np.interp(time, t, y) - values).max() < 0.7
    assert len(t) < 14
