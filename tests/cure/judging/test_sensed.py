"""What the resin at a thermocouple went through, and how sure that is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import Channel, CureLog, HubertEtAl2001, Programme, Segment, Sensor
from bagside.cure.judging import Trust
from bagside.cure.judging.dose import cured_along
from bagside.cure.judging.readings import series
from bagside.cure.judging.sensed import sensed
from cureruns import EPOXY, OVEN, ran

LOW = OVEN.air(Programme(start=293.15, segments=(Segment(target=353.15, ramp=1.0 / 60, hold=14400.0),)))


def test_noise_and_short_gaps_are_harmless_offset_and_lag_are_not() -> None:
    """Four hours at 80 °C stop short of the plateau, where a wrong sensor matters most."""
    truth = ran(LOW)[1]
    time = np.arange(0.0, LOW.end, 60.0)
    middle = np.interp(time, truth.time, truth.laminate_temperature.mean(axis=1))
    draws = np.random.default_rng(5)

    def cure_of(values: np.ndarray, **trust: float):
        log = CureLog(name="r", time=time, channels=(Channel(name="TC", sensor=Sensor.PART, values=values),))
        line = series(log, log.channels[0])
        assert line is not None
        return sensed(line, EPOXY, 0.01, trust=Trust(**trust)).cure

    exact = cure_of(middle).value
    noisy = [cure_of(middle + draws.normal(0.0, 1.0, len(time))).value for _ in range(4)]
    assert max(abs(a - exact) for a in noisy) < 0.005
    gappy = middle.copy()
    for start in (3000.0, 9000.0, 14000.0):
        gappy[(time > start) & (time < start + 1200.0)] = np.nan
    assert abs(cure_of(gappy).value - exact) < 0.006
    # 1.5 K of offset: the range is what the law gives for three kelvin, either way
    only = cure_of(middle, lag=0.0, rate=0.0)
    rows = np.array([middle - 3.0, middle + 3.0])
    low, high = cured_along(EPOXY.kinetics, time, rows, 0.01)[:, -1]
    assert only.low == pytest.approx(float(low), abs=0.002)
    assert only.high == pytest.approx(float(high), abs=0.002)
    assert only.half > 5.0 * max(abs(a - exact) for a in noisy)


def test_offset_and_lag_of_a_published_law_spread_as_draws_of_them_do() -> None:
    """A two-dwell cycle to 177 °C with the law of Hubert et al. 2001: 400 draws against one range of two deviations."""
    law = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)
    resin = replace(EPOXY, kinetics=law, tg1=523.15, tg_lambda=0.78, gel=0.47)
    programme = Programme(
        start=293.15,
        segments=(
            Segment(target=380.15, ramp=2.0 / 60, hold=3600.0),
            Segment(target=450.15, ramp=2.0 / 60, hold=7200.0),
        ),
    )
    time = np.arange(0.0, programme.duration, 120.0)
    values = programme.air(time)
    log = CureLog(name="r", time=time, channels=(Channel(name="TC", sensor=Sensor.PART, values=values),))
    line = series(log, log.channels[0])
    assert line is not None
    rng = np.random.default_rng(8)
    offsets = cured_along(law, time, values + rng.normal(0.0, 1.5, (400, 1)), 0.01)[:, -1]
    by_offset = sensed(line, resin, 0.01, trust=Trust(sensor=1.5, lag=0.0, rate=0.0))
    assert by_offset.cure.half == pytest.approx(2.0 * float(offsets.std()), rel=0.12)
    assert by_offset.tg.half == pytest.approx(2.0 * float(resin.tg(offsets).std()), rel=0.12)
    late = np.array([np.interp(time + x, time, values) for x in rng.normal(0.0, 300.0, 400)])
    lags = cured_along(law, time, late, 0.01)[:, -1]
    by_lag = sensed(line, resin, 0.01, trust=Trust(sensor=0.0, lag=300.0, rate=0.0))
    assert by_lag.cure.half == pytest.approx(2.0 * float(lags.std()), rel=0.3)
    assert by_offset.cure.half > 2.0 * by_lag.cure.half  # the plateau forgives lag, not offset


def test_the_range_at_a_sensor_holds_the_truth_in_ninety_of_a_hundred_draws() -> None:
    """Offset, lag, rate, noise and gaps drawn at random; a reading each five minutes."""
    truth = ran(LOW)[1]
    time = np.arange(0.0, LOW.end, 300.0)
    middle = np.interp(time, truth.time, truth.laminate_temperature.mean(axis=1))
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(100):
        rate, late = 1.0 + rng.normal(0.0, 0.05), rng.normal(0.0, 300.0)
        real = cured_along(EPOXY.kinetics, time, middle[None, :], 0.01, rate)[0, -1]
        read = np.interp(time - late, time, middle) + rng.normal(0.0, 1.5) + rng.normal(0.0, 1.0, len(time))
        for start in rng.uniform(0.0, LOW.end - 2400.0, 3):
            read[(time > start) & (time < start + 1800.0)] = np.nan
        log = CureLog(name="r", time=time, channels=(Channel(name="TC", sensor=Sensor.PART, values=read),))
        line = series(log, log.channels[0])
        assert line is not None
        cure = sensed(line, EPOXY, 0.01).cure
        held += cure.low <= real <= cure.high
    assert held >= 90
