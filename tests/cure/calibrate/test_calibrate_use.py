"""What a calibration is used for: the next plan, the next trial, and what a person should look at."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import simulate
from bagside.cure.calibrate import Told, Trial, Where, calibrated, calibration_findings
from trials import BOTH, OVEN, PROGRAMME, RESIN, Truth, panel, seats, trial_log

BACK_ONLY = BOTH[1:]


def test_the_thermocouple_that_is_advised_does_what_was_foreseen() -> None:
    """The same trial with it, fitted: what is left is what was foreseen, within the chance of one log."""
    section, truth = panel("board"), Truth(bag=1.2, tool=0.8)
    log = trial_log(np.random.default_rng(8), truth, section, BACK_ONLY)
    one = calibrated([Trial(log=log, inert=True)], [section], RESIN, OVEN, spread=6.0)
    best = next(a for a in one.advice if a.sensor)
    assert best.what == "one more thermocouple under the bag"
    assert best is min(one.advice, key=lambda a: a.left)
    log = trial_log(np.random.default_rng(8), truth, section, BOTH)
    two = calibrated([Trial(log=log, inert=True, where=seats(BOTH))], [section], RESIN, OVEN, spread=6.0, foresee=False)
    for v, foreseen in ((two.film_bag, best.film_bag), (two.film_tool, best.film_tool)):
        assert 0.5 * np.log(v.high / v.low) == pytest.approx(foreseen, rel=0.4)
    assert one.film_bag.left > 0.6
    assert two.film_bag.told is Told.MEASURED


def test_the_next_plan_is_nearer_the_truth() -> None:
    """A rise of the next plan, simulated with the true films and lag: expected within its doubt, planned was not."""
    section = panel("aluminium")
    truth = Truth(bag=0.6, tool=0.6, lag=1.8)
    log = trial_log(np.random.default_rng(2), truth, section, asked=True)
    c = calibrated(
        [Trial(log=log, inert=True, where=seats(BOTH))], [section], RESIN, OVEN, plan=PROGRAMME, foresee=False
    )
    real = replace(section, film_bag=12.0 * 0.6, film_tool=18.0 * 0.6)
    h = simulate([real], RESIN, replace(OVEN, lag=240.0 * 1.8).air(PROGRAMME), tolerance=0.01)[0]
    rise = c.effects[0]
    assert (rise.segment, rise.place) == (1, "panel")
    true = float(np.interp(3600.0, h.time, h.laminate_temperature.min(axis=1)))
    assert abs(rise.after - true) < 2.0 * rise.doubt + 0.3
    assert abs(rise.before - true) > 5.0
    assert rise.doubt < 1.5
    assert rise.dwell_before is not None
    assert rise.dwell_after is not None
    assert rise.dwell_after > rise.dwell_before + 600.0


def test_two_logs_tell_more_than_one() -> None:
    section = panel("carbon")
    logs = [replace(trial_log(np.random.default_rng(k), Truth(bag=1.3), section), name=f"{k}.csv") for k in (1, 2)]
    trials = [Trial(log=log, inert=True, where=seats(BOTH)) for log in logs]
    one = calibrated(trials[:1], [section], RESIN, OVEN, foresee=False)
    both = calibrated(trials, [section], RESIN, OVEN, foresee=False)
    assert both.logs == ("1.csv", "2.csv")
    assert len(both.sensors) == 4
    assert both.film_sum.high / both.film_sum.low < one.film_sum.high / one.film_sum.low
    assert both.film_bag.low < 12.0 * 1.3 < both.film_bag.high


def test_a_real_cure_is_fitted_with_its_reaction() -> None:
    """Films within their doubt from a real cure; taken for inert, the exotherm shows as a sensor the model misses."""
    section = panel("carbon", laminate=0.008)
    log = trial_log(np.random.default_rng(1), Truth(bag=1.3, tool=0.8, rate=1.2), section, inert=False)
    c = calibrated([Trial(log=log, where=seats(BOTH))], [section], RESIN, OVEN, rate=True, foresee=False)
    assert c.film_bag.low < 12.0 * 1.3 < c.film_bag.high
    assert c.film_tool.low < 18.0 * 0.8 < c.film_tool.high
    assert c.rate is not None
    assert c.rate.low < 1.2 < c.rate.high
    assert c.rate.left < 0.8
    wrong = calibrated([Trial(log=log, inert=True, where=seats(BOTH))], [section], RESIN, OVEN, foresee=False)
    assert max(s.rms for s in wrong.sensors) > 1.5 * max(s.rms for s in c.sensors)


def test_a_sensor_that_sat_elsewhere_is_told() -> None:
    """Said to be under the bag, it lay on the floor of the oven, and lagged by half an hour."""
    section = panel("carbon")
    log = trial_log(np.random.default_rng(6), Truth(), section)
    late = tuple(
        replace(c, values=np.interp(log.time - 1800.0, log.time, c.values)) if c.name == "TC2" else c
        for c in log.channels
    )
    c = calibrated(
        [Trial(log=replace(log, channels=late), inert=True, where=seats(BOTH))], [section], RESIN, OVEN, foresee=False
    )
    worst = max(c.sensors, key=lambda s: s.rms)
    said = [f for f in calibration_findings(c) if f.place == f"trial.csv, {worst.name}"]
    assert any(f.what.startswith(f"the model misses it by {worst.rms:.1f} K on average") for f in said)
    assert worst.fitted.shape == worst.measured.shape == worst.time.shape
    assert Where.BAG in {s.where for s in c.sensors}
