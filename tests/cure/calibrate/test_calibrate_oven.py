"""The oven recovered: lag, limit on a rise, cooling, offset, spread; and when nothing is told of one, it stays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import Channel, CureLog, Programme, Segment, Sensor
from bagside.cure.calibrate import Beliefs, Told, Trial, calibrated, calibration_findings
from bagside.cure.calibrate.oven_fit import oven_fit
from bagside.cure.calibrate.spread import spread_seen
from trials import BOTH, OVEN, PROGRAMME, RESIN, Truth, drawn, panel, seats, trial_log, trial_logs

PANEL = panel()


@pytest.mark.parametrize("asked", [True, False], ids=["set point logged", "programme stated"])
def test_the_doubt_about_the_lag_holds(asked: bool) -> None:
    draws = [(rng := np.random.default_rng(k), drawn(rng, film=0.01, lag=0.5)) for k in range(30)]
    scaled = []
    for (_, truth), log in zip(draws, trial_logs(draws, PANEL, asked=asked, interval=120.0, late=600.0), strict=True):
        found = oven_fit([Trial(log=log, inert=True, programme=None if asked else PROGRAMME)], OVEN, Beliefs())
        assert found.fit is not None
        size, sd = found.fit.of("lag")
        scaled.append((size - np.log(truth.lag)) / sd)
        assert not found.limited
    assert 0.55 < (np.abs(scaled) < 1.0).mean() < 0.85
    assert (np.abs(scaled) < 1.96).mean() > 0.84


def test_a_limit_that_was_asked_for_is_seen() -> None:
    """Asked for 3 °C/min, it gives 1.5."""
    steep = Programme(start=293.15, segments=(Segment(target=393.15, ramp=0.05, hold=5400.0),))
    log = trial_log(np.random.default_rng(1), Truth(heating=0.6), PANEL, asked=True, programme=steep, interval=120.0)
    c = calibrated([Trial(log=log, inert=True, where=seats(BOTH))], [PANEL], RESIN, OVEN, foresee=False)
    assert c.heating is not None
    assert c.heating.low < 1.5 / 60.0 < c.heating.high
    assert c.heating.half < 0.1 / 60.0
    assert c.oven.heating == c.heating.value
    said = next(f for f in calibration_findings(c) if f.place == "fastest rise")
    assert said.what == (
        f"the oven rises at {60 * c.heating.value:.2f} °C/min at most, loaded as it was; 2.50 °C/min were stated"
    )


def test_a_fall_that_was_steered_tells_nothing_and_one_that_was_not_does() -> None:
    steered = trial_log(np.random.default_rng(1), Truth(), PANEL, asked=True)
    assert oven_fit([Trial(log=steered, inert=True)], OVEN, Beliefs()).cooling is None
    off = replace(PROGRAMME, segments=(*PROGRAMME.segments[:2], Segment(target=303.15, ramp=1.0, hold=6000.0)))
    log = trial_log(np.random.default_rng(1), Truth(), PANEL, asked=True, programme=off, interval=120.0)
    cooling = oven_fit([Trial(log=log, inert=True)], OVEN, Beliefs()).cooling
    assert cooling is not None
    assert cooling[0] == pytest.approx(1.2 / 60.0, rel=0.08)


def test_air_that_ran_another_programme_tells_nothing_of_the_lag() -> None:
    other = Programme(start=293.15, segments=(Segment(target=453.15, ramp=0.01, hold=3600.0),))
    log = trial_log(np.random.default_rng(1), Truth(), PANEL)
    trial = Trial(log=log, inert=True, programme=other, where=seats(BOTH))
    c = calibrated([trial], [PANEL], RESIN, OVEN, foresee=False)
    assert c.lag is None
    assert c.foreign == ("trial.csv",)
    assert c.oven.lag == OVEN.lag
    said = next(f for f in calibration_findings(c) if f.place == "trial.csv")
    assert said.what == "its air did not run the stated programme"
    assert c.film_tool.told is not Told.NOT  # films only want the air


def test_air_that_is_hotter_than_it_was_asked_for() -> None:
    log = trial_log(np.random.default_rng(1), Truth(), PANEL, asked=True)
    hot = tuple(
        replace(c, values=c.values + 8.0 * (c.values - 293.15) / 100.0) if c.sensor is Sensor.AIR else c
        for c in log.channels
    )
    c = calibrated(
        [Trial(log=replace(log, channels=hot), inert=True, where=seats(BOTH))], [PANEL], RESIN, OVEN, foresee=False
    )
    assert c.offset is not None
    assert c.offset.low < 8.0 < c.offset.high
    assert "hotter" in next(f for f in calibration_findings(c) if f.place == c.offset.name).what


def test_spread_between_places() -> None:
    """Differences when hottest, by hand; four places tell it, two only in part."""
    time = np.arange(0.0, 7200.0, 60.0)
    air = np.minimum(293.0 + time / 60.0, 353.0)
    rise = (air - 293.0) / 60.0
    channels = tuple(
        Channel(name=f"TC{k}", sensor=Sensor.AIR, values=air + off * rise)
        for k, off in enumerate((0.0, 4.0, -3.0, 1.0))
    )
    four = spread_seen([CureLog(name="a", time=time, channels=channels)], 6.0, 1.0)
    assert four is not None
    assert four.value == pytest.approx(7.0, abs=0.2)
    assert four.told is Told.MEASURED
    two = spread_seen([CureLog(name="a", time=time, channels=channels[:2])], 6.0, 1.0)
    assert two is not None
    assert two.value == pytest.approx(4.0, abs=0.2)
    assert two.told is Told.PARTLY
    assert spread_seen([CureLog(name="a", time=time, channels=channels[:1])], 6.0, 1.0) is None
