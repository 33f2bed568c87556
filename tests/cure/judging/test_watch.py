"""A cure watched while it runs: the phases by the lagging sensor, and a forecast held against what then happened."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import Air, Programme, Segment
from bagside.cure.judging import Phase, state_of, watched
from bagside.cure.outcome import crossed
from bagside.findings import Severity
from cureruns import DOUBLER, EPOXY, LIMITS, OVEN, PANEL, PROGRAMME, SECTIONS, cooled, cut, logged, ran, with_bag

FULL = OVEN.air(cooled(PROGRAMME))
TRUTH = ran(FULL)
LOG = logged(FULL, TRUTH, noise=0.5)
LAGS = np.minimum(*(h.laminate_temperature.mean(axis=1) for h in TRUTH))
TIME = TRUTH[0].time


def look(log, programme=PROGRAMME, sections=SECTIONS, limits=LIMITS):
    state = state_of(log, sections, EPOXY, programme, OVEN, spread=6.0)
    return watched(state, programme, OVEN, limits)


@pytest.mark.parametrize(
    ("minutes", "phase", "segment"),
    [
        (40, Phase.RISING, 1),
        (66, Phase.WAITING, 1),
        (120, Phase.DWELL, 1),
        (210, Phase.RISING, 2),
        (300, Phase.DWELL, 2),
        (380, Phase.COOLING, 3),
        (470, Phase.OFF, 3),
    ],
)
def test_the_phase_is_the_lagging_sensors(minutes: int, phase: Phase, segment: int) -> None:
    now = look(LOG.until(60.0 * minutes))
    assert (now.phase, now.segment) == (phase, segment)
    at = [float(np.interp(60.0 * minutes, TIME, h.laminate_temperature.mean(axis=1))) for h in TRUTH]
    assert abs(at[0] - at[1]) < 1.5 or now.lagging_name == ("TC2" if at[0] < at[1] else "TC3")


def test_when_the_dwell_will_begin_is_when_it_did() -> None:
    now = look(LOG.until(50.0 * 60))
    arrived = crossed(TIME, LAGS, 348.15)
    assert arrived is not None
    assert now.dwell_in is not None
    assert now.dwell_in == pytest.approx(arrived - 50.0 * 60, abs=300.0)


def test_the_dwell_counts_from_the_lagging_sensor_and_the_end_with_it() -> None:
    """By hand: the dwell began when the lagging reading passed 75 °C, and is two hours; the rest is as planned."""
    now = look(LOG.until(120.0 * 60))
    arrived = crossed(TIME, LAGS, 348.15)
    assert arrived is not None
    assert now.dwell == pytest.approx(120.0 * 60 - arrived, abs=240.0)
    (first, second) = now.forecast.legs
    assert first.ends == pytest.approx(7200.0 - now.dwell, abs=61.0)
    # second rise: 35 K at 0.8 K/min = 44 min; the lagging point is there within 5 K some minutes before or after
    assert second.dwell_begins == pytest.approx(float(first.ends) + 44.0 * 60, abs=900.0)
    assert second.ends == pytest.approx(float(second.dwell_begins) + 7200.0, abs=61.0)
    assert now.finish == pytest.approx(now.time + float(second.ends), abs=1.0)
    end = float(np.interp(now.finish, TIME, TRUTH[0].alpha.min(axis=1)))
    assert now.forecast.cure == pytest.approx(end, abs=0.02)
    assert now.forecast.off is not None
    assert now.forecast.off > now.forecast.done


def test_films_worse_than_stated_put_the_end_off() -> None:
    """The prediction goes by what the log shows: films at 60 % let the dwell begin later."""
    slow = tuple(replace(s, film_bag=s.film_bag * 0.6, film_tool=s.film_tool * 0.6) for s in (PANEL, DOUBLER))
    log = logged(FULL, ran(FULL, slow), noise=0.5)
    stated, worse = look(LOG.until(55.0 * 60)), look(log.until(55.0 * 60))
    truth = ran(FULL, slow)
    lag = np.minimum(*(h.laminate_temperature.mean(axis=1) for h in truth))
    arrived = crossed(truth[0].time, lag, 348.15)
    assert arrived is not None
    assert worse.dwell_in == pytest.approx(arrived - 55.0 * 60, abs=420.0)
    assert worse.dwell_in > stated.dwell_in + 300.0


def test_the_dwell_had_says_move_on() -> None:
    """An operator who waits: the oven stays at 80 °C for three hours, two are asked."""
    held = Programme(start=293.15, segments=(replace(PROGRAMME.segments[0], hold=12000.0), PROGRAMME.segments[1]))
    air = OVEN.air(held)
    now = look(logged(air, ran(air), noise=0.5).until(240.0 * 60))
    assert now.phase is Phase.MOVE
    assert now.segment == 1
    assert now.dwell >= 7200.0


def test_the_last_dwell_had_but_not_cured_says_hold() -> None:
    short = Programme(start=293.15, segments=(Segment(target=353.15, ramp=1.0 / 60, hold=3600.0),))
    air = OVEN.air(replace(short, segments=(replace(short.segments[0], hold=9000.0),)))
    now = look(logged(air, ran(air), noise=0.5).until(150.0 * 60), short)
    assert now.phase is Phase.LONGER
    last = Programme(start=293.15, segments=(PROGRAMME.segments[0], replace(PROGRAMME.segments[1], hold=7200.0)))
    long = OVEN.air(replace(last, segments=(last.segments[0], replace(last.segments[1], hold=12000.0))))
    now = look(logged(long, ran(long), noise=0.5).until(400.0 * 60), last)
    assert now.phase is Phase.COOL


def test_a_thick_part_heated_fast_warns_of_its_exotherm_before_it_peaks() -> None:
    """A 20 mm laminate at 2.5 °C/min to 110 °C: the truth runs away; the warning must come before its peak."""
    block = (cut("block", 0.020, 0.003),)
    fast = Programme(start=293.15, segments=(Segment(target=383.15, ramp=2.5 / 60, hold=7200.0),))
    air = OVEN.air(fast)
    truth = ran(air, block)
    middle = truth[0].laminate_temperature.mean(axis=1)
    peak = float(truth[0].time[int(np.argmax(middle))])
    log = logged(air, truth, noise=0.5)
    early = look(log.until(peak - 900.0), fast, block)
    assert float(middle.max()) > 423.15
    assert early.leading < 423.15
    assert any(f.what.startswith("if the programme goes on, the laminate may reach") for f in early.warnings)
    assert early.forecast.hottest >= float(middle.max())
    late = look(log.until(peak), fast, block)
    hot = [f for f in late.warnings if f.what.startswith("exotherm: the part is")]
    assert hot[0].severity is Severity.STOP
    assert hot[0].do == (
        "heaters off, fan on, vacuum on; the door stays shut when there is smoke; go on when the leading sensor is "
        "back at the air"
    )


def test_a_vacuum_that_falls_is_told_with_the_minutes_that_are_left() -> None:
    log = LOG.until(90.0 * 60)
    left = 3000.0 + np.maximum(log.time - 60.0 * 60, 0.0) * 2.0  # 12 mbar in 10 min
    now = look(with_bag(log, left))
    (warned,) = [f for f in now.warnings if f.place == "bag"]
    # by hand: 30 + 36 = 66 mbar after half an hour, 34 more at 1.2 mbar/min: 28 min
    assert warned.what == (
        "the vacuum falls by 12 mbar in 10 min; 65 mbar are left in the bag, 100 mbar in 29 min"
    ) or warned.what == ("the vacuum falls by 12 mbar in 10 min; 66 mbar are left in the bag, 100 mbar in 29 min")
    gone = look(with_bag(log, np.where(log.time < 80.0 * 60, 3000.0, 60000.0)))
    (warned,) = [f for f in gone.warnings if f.place == "bag"]
    assert warned.severity is Severity.STOP
    assert warned.what == "no vacuum: 600 mbar left in the bag"


def test_an_oven_that_goes_on_by_its_clock_is_told() -> None:
    hasty = Programme(start=293.15, segments=(replace(PROGRAMME.segments[0], hold=2400.0), PROGRAMME.segments[1]))
    air = OVEN.air(hasty)
    now = look(logged(air, ran(air), noise=0.5).until(140.0 * 60))
    told = [f for f in now.warnings if f.place == "segment 1"]
    assert len(told) == 1
    assert told[0].what.startswith("the oven went on after")


def test_an_air_that_falls_in_a_hold_is_told_as_that() -> None:
    air = Air.recorded([0.0, 3600.0, 6000.0, 8400.0], [293.15, 353.15, 353.15, 313.15])
    now = look(logged(air, ran(air), noise=0.3))
    assert now.phase is Phase.STOPPED
    assert now.segment == 1


def test_a_set_point_that_the_lagging_place_never_reaches_has_no_end() -> None:
    cold = tuple(replace(s, air_offset=-9.0) for s in SECTIONS)
    air = OVEN.air(PROGRAMME)
    truth = ran(air, cold)
    now = look(logged(air, truth, noise=0.3).until(170.0 * 60))
    assert now.phase is Phase.WAITING
    assert now.finish is None
    assert any(f.what.startswith("its dwell will not begin") for f in now.warnings)
