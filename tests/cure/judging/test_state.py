"""What a log tells, against cures of which the truth is known: noise, wrong sensors, gaps, other films and air."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import Air, Channel, CureLog, Programme, Segment, Sensor
from bagside.cure.judging import Stage, Trust, state_of
from bagside.cure.outcome import crossed
from bagside.errors import InputError
from cureruns import (
    DOUBLER,
    EPOXY,
    OVEN,
    PANEL,
    PROGRAMME,
    SECTIONS,
    ZERO_C,
    cooled,
    logged,
    ran,
    with_bag,
)

FULL = OVEN.air(cooled(PROGRAMME))
TRUTH = ran(FULL)
LOW = OVEN.air(Programme(start=293.15, segments=(Segment(target=353.15, ramp=1.0 / 60, hold=14400.0),)))


def state(log, **more):
    return state_of(log, SECTIONS, EPOXY, PROGRAMME, OVEN, spread=6.0, **more)


@pytest.fixture(scope="module")
def clean():
    truth = ran(FULL)
    return truth, state(logged(FULL, truth, noise=0.0))


def test_a_clean_log_gives_the_truth(clean) -> None:
    truth, s = clean
    for h, place in zip(truth, s.places, strict=True):
        assert place.cure.value == pytest.approx(float(h.alpha[-1].min()), abs=0.002)
        assert place.tg.value == pytest.approx(float(EPOXY.tg(h.alpha[-1].min())), abs=0.5)
        gel = crossed(h.time, h.alpha.min(axis=1), EPOXY.gel)
        assert place.gel is not None
        assert place.gel.value == pytest.approx(gel, abs=120.0)
    for h, sensor in zip(truth, s.sensors, strict=True):
        assert sensor.cure.value == pytest.approx(float(h.alpha[-1].mean()), abs=0.003)
    assert s.fit.film == pytest.approx(1.0, abs=0.03)
    assert s.stage is Stage.CURED
    assert s.noticed == ()


def test_ramp_dwell_overshoot_and_cooling_are_those_of_the_truth(clean) -> None:
    truth, s = clean
    lagging = np.minimum(*(h.laminate_temperature.mean(axis=1) for h in truth))
    leading = np.maximum(*(h.laminate_temperature.mean(axis=1) for h in truth))
    first, second = s.course.stretches
    assert s.lagging_line.name == "TC2 or TC3"  # the thick one while it heats, the thin one once that heats itself
    assert first.rate == pytest.approx(1.0 / 60, rel=0.02)
    assert second.rate == pytest.approx(0.8 / 60, rel=0.02)
    # by hand from the truth: minutes from 75 °C up until the air goes on, and from 110 °C until it cools
    time = truth[0].time
    on, off = 11220.0, float(second.left)
    expected = float(((lagging >= 348.15) & (time < on))[1:] @ np.diff(time))
    assert first.dwell == pytest.approx(expected, abs=180.0)
    expected = float(((lagging >= 383.15) & (time < off + 60.0))[1:] @ np.diff(time))
    assert second.dwell == pytest.approx(expected, abs=240.0)
    inside = (time > 3000.0) & (time < on)
    assert first.over == pytest.approx(float(leading[inside].max() - 353.15), abs=0.5)
    assert s.exotherm == pytest.approx(float((leading - FULL.at(truth[1].time))[inside].max()), abs=0.7)
    assert s.course.cooling == pytest.approx(1.2 / 60, rel=0.05)
    assert s.course.departure is not None
    assert s.course.departure.first is None
    assert s.course.now == 3


def test_other_films_and_air_are_found_from_the_sensors() -> None:
    """Films 30 % better than stated, one place two kelvin colder: what a stated model would get wrong."""
    truth = ran(
        FULL,
        (
            replace(PANEL, film_bag=PANEL.film_bag * 1.3, film_tool=PANEL.film_tool * 1.3),
            replace(DOUBLER, film_bag=DOUBLER.film_bag * 1.3, film_tool=DOUBLER.film_tool * 1.3, air_offset=-2.0),
        ),
    )
    s = state(logged(FULL, truth))
    assert s.fit.film == pytest.approx(1.3, abs=0.12)
    assert s.fit.offsets[1] == pytest.approx(-2.0, abs=1.5)
    assert max(s.fit.misses.values()) < 1.3  # the noise that was put in
    for h, place in zip(truth, s.places, strict=True):
        assert place.cure.low <= float(h.alpha[-1].min()) <= place.cure.high
        hold = float(np.interp(9000.0, h.time, h.laminate_temperature.mean(axis=1)))
        mine = float(np.interp(9000.0, place.history.time, place.history.laminate_temperature.mean(axis=1)))
        assert mine == pytest.approx(hold, abs=1.5)


def test_the_range_of_a_place_holds_the_truth_however_films_air_and_batch_turn_out() -> None:
    """Six draws here; a hundred in ``benchmarks/judging.py``."""
    rng = np.random.default_rng(2)
    held = []
    for _ in range(6):
        film, rate = np.exp(rng.normal(0.0, 0.2)), 1.0 + rng.normal(0.0, 0.05)
        real = tuple(
            replace(
                x,
                film_bag=x.film_bag * film,
                film_tool=x.film_tool * film,
                air_offset=float(rng.uniform(-3.0, 3.0)),
                rate_factor=rate,
            )
            for x in SECTIONS
        )
        truth = ran(LOW, real)
        s = state(
            logged(
                LOW,
                truth,
                rng=rng,
                errors=tuple(rng.normal(0.0, 1.5, 2)),
                air_error=rng.normal(0.0, 1.5),
                interval=120.0,
            )
        )
        held += [p.cure.low <= float(h.alpha[-1].min()) <= p.cure.high for p, h in zip(s.places, truth, strict=True)]
    assert sum(held) >= 11


def test_without_a_sensor_on_the_part_the_range_is_wide_and_that_is_said() -> None:
    truth = ran(LOW)
    s = state(logged(LOW, truth, sensors=False))
    with_sensor = state(logged(LOW, truth))
    assert s.places[0].cure.half > with_sensor.places[0].cure.half
    assert s.sensors == ()
    assert [f.what for f in s.noticed] == [
        "no thermocouple on the part was logged; the part is computed from the air alone"
    ]


def test_without_air_the_set_point_drives_and_without_that_the_part() -> None:
    truth = ran(FULL)
    log = logged(FULL, truth, noise=0.0)
    air, *parts, bag = log.channels
    asked = Channel(name="SP", sensor=Sensor.SET, values=FULL.asked(log.time))
    by_set = state(replace(log, channels=(asked, *parts, bag)))
    assert by_set.drive.by.value == "set point"
    assert by_set.cure.value == pytest.approx(float(truth[0].alpha[-1].min()), abs=0.004)
    by_part = state(replace(log, channels=(*parts, bag)))
    assert by_part.drive.by.value == "thermocouples on the part"
    assert by_part.places[1].cure.value == pytest.approx(float(truth[1].alpha[-1].min()), abs=0.006)
    assert by_part.places[1].section.film_bag == pytest.approx(DOUBLER.film_bag)  # what comes after has its films again
    assert air.sensor is Sensor.AIR


def test_a_sensor_that_dies_is_told_and_its_place_goes_on_by_the_air() -> None:
    truth = ran(FULL)
    log = logged(FULL, truth)
    tc3 = log.channels[2]
    dead = replace(tc3, values=np.where(log.time > 9000.0, np.nan, tc3.values))
    s = state(replace(log, channels=(*log.channels[:2], dead, log.channels[3])))
    assert s.sensors[1].lost
    assert s.places[1].cure.low <= float(truth[1].alpha[-1].min()) <= s.places[1].cure.high
    assert [f.what for f in s.noticed] == ["no reading after 150 min; the log goes on to 474 min"]


def test_a_power_cut_inside_a_gap_of_the_whole_log_is_within_the_range() -> None:
    """The logger lost its power too: an hour is missing, in which the oven cooled by 40 K and came back."""
    air = Air.recorded(
        [0.0, 3600.0, 7200.0, 9000.0, 10200.0, 16000.0], [293.15, 353.15, 353.15, 313.15, 353.15, 353.15]
    )
    truth = ran(air)
    log = logged(air, truth)
    there = (log.time < 7200.0) | (log.time > 10800.0)
    cut = CureLog(
        name="run.csv",
        time=log.time[there],
        channels=tuple(replace(c, values=c.values[there]) for c in log.channels),
    )
    s = state(cut)
    for h, place in zip(truth, s.places, strict=True):
        assert place.cure.low <= float(h.alpha[-1].min()) <= place.cure.high
    assert "no reading of the air from 119 min to 181 min" in [f.what for f in s.noticed]


def test_a_thermocouple_under_the_mould_corrects_as_well() -> None:
    slow = tuple(replace(x, film_bag=x.film_bag * 0.7, film_tool=x.film_tool * 0.7) for x in SECTIONS)
    truth = ran(LOW, slow)
    log = logged(LOW, truth)
    back = np.interp(log.time, truth[1].time, truth[1].tool_face)
    noisy = back + np.random.default_rng(4).normal(0.0, 1.0, len(log.time))
    under = Channel(name="TT", sensor=Sensor.TOOL, section="doubler", values=noisy)
    s = state(replace(log, channels=(log.channels[0], under, log.channels[3])))
    assert s.fit.film == pytest.approx(0.7, abs=0.06)
    assert s.places[1].cure.low <= float(truth[1].alpha[-1].min()) <= s.places[1].cure.high
    assert s.places[1].sensors == ("TT",)


@pytest.mark.parametrize("readings", [2, 3, 5, 9, 20])
def test_a_log_that_has_just_begun_is_a_log(readings: int) -> None:
    s = state(logged(FULL, TRUTH).until(60.0 * (readings - 1)))
    assert s.stage is Stage.COLD
    assert s.cure.value == pytest.approx(0.01, abs=1e-3)


def test_a_sensor_of_which_the_place_is_not_stated_is_judged_alone() -> None:
    log = logged(FULL, TRUTH)
    loose = replace(log, channels=(*log.channels[:2], replace(log.channels[2], section=""), log.channels[3]))
    s = state(loose)
    assert s.places[1].sensors == ()
    assert [(f.place, f.what) for f in s.noticed] == [("TC3", "it is not stated at which place of the part it sat")]


def test_an_oven_that_switches_on_and_off_is_still_in_its_segments() -> None:
    """Four kelvin up and down every ten minutes, as a cheap controller does it: the swing is not an event."""
    time = np.append(np.arange(0.0, FULL.end, 30.0), FULL.end)
    swinging = Air.recorded(time, FULL.at(time) + 4.0 * np.sin(2.0 * np.pi * time / 600.0))
    truth = ran(swinging)
    s = state(logged(swinging, truth, interval=30.0))
    calm = state(logged(FULL, TRUTH))
    for mine, other in zip(s.course.stretches, calm.course.stretches, strict=True):
        assert mine.rate == pytest.approx(other.rate, rel=0.08)
        assert mine.dwell == pytest.approx(other.dwell, abs=600.0)
    assert s.course.now == 3
    for h, place in zip(truth, s.places, strict=True):
        assert place.cure.low <= float(h.alpha[-1].min()) <= place.cure.high


def test_swapped_thermocouples_are_told_and_right_ones_are_not() -> None:
    log = logged(FULL, TRUTH)
    air, two, three, bag = log.channels
    wrong = state(replace(log, channels=(air, replace(two, section="doubler"), replace(three, section="panel"), bag)))
    assert wrong.fit.swapped == (("TC2", "TC3"),)
    assert "they fit far better at each other's place: most probably they are swapped" in [
        f.what for f in wrong.noticed
    ]
    slow = tuple(replace(x, film_bag=x.film_bag * 0.7, film_tool=x.film_tool * 0.7) for x in SECTIONS)
    assert state(logged(FULL, ran(FULL, slow))).fit.swapped == ()


def test_a_thermocouple_that_fell_off_is_told() -> None:
    """From 80 min on it hangs in the air: the model cannot follow it, whatever films and air it is given."""
    log = logged(FULL, TRUTH, noise=0.5)
    air, two, three, bag = log.channels
    off = replace(three, values=np.where(log.time > 4800.0, air.values, three.values))
    s = state(replace(log, channels=(air, two, off, bag)))
    told = [f for f in s.noticed if f.place == "TC3"]
    assert told
    assert told[0].what.startswith("the model misses it by")
    assert [f for f in state(log).noticed if f.place in ("TC2", "TC3")] == []


def test_a_log_that_begins_hot_is_told() -> None:
    log = logged(FULL, TRUTH)
    late = CureLog(
        name="run.csv",
        time=log.time[100:] - log.time[100],
        channels=tuple(replace(c, values=c.values[100:]) for c in log.channels),
    )
    assert [f.what for f in state(late).noticed] == ["the part is at 82 °C when the log begins"]


def test_vacuum_lost_is_told_with_the_cure_it_was_lost_at() -> None:
    truth = ran(FULL)
    log = logged(FULL, truth)
    left = np.full(len(log.time), 3000.0)
    left[(log.time >= 6000.0) & (log.time < 7200.0)] = 60000.0
    p = state(with_bag(log, left)).pressed
    assert p is not None
    (loss,) = p.losses
    assert loss.start == pytest.approx(6000.0, abs=61.0)
    assert loss.end == pytest.approx(7200.0, abs=61.0)
    assert loss.back
    assert not loss.through_gel
    alpha = float(np.interp(6000.0, truth[1].time, truth[1].alpha.max(axis=1)))
    assert loss.alpha_leading == pytest.approx(alpha, abs=0.02)
    assert loss.soft == pytest.approx(1200.0, abs=120.0)
    assert p.worst == pytest.approx(60000.0)


def test_the_void_margin_is_the_pressure_there_is_less_what_water_needs() -> None:
    """By hand at the hottest soft resin: ambient less bag, less a line through what is needed."""
    truth = ran(FULL)
    log = logged(FULL, truth, noise=0.0)
    s = state(log, ambient=101325.0, needed=lambda t: 1000.0 * (t - ZERO_C))
    assert s.pressed is not None
    hottest = np.max([p.history.laminate_temperature.max(axis=1) for p in s.places], axis=0)
    i = int(np.searchsorted(s.places[0].history.time, s.pressed.margin_time))
    assert s.pressed.margin == pytest.approx(101325.0 - 3000.0 - 1000.0 * (hottest[i] - ZERO_C), abs=1.0)
    assert s.pressed.margin_shared == pytest.approx(0.6 * (101325.0 - 3000.0) - 1000.0 * (hottest[i] - ZERO_C), abs=1.0)


def test_where_the_log_left_the_programme() -> None:
    """A set point of 100 °C instead of 115 °C: off by −15 K from when the second rise passes 100 °C."""
    wrong = Programme(
        start=293.15, segments=(PROGRAMME.segments[0], Segment(target=373.15, ramp=0.8 / 60, hold=8000.0))
    )
    air = OVEN.air(wrong)
    d = state(logged(air, ran(air), noise=0.3)).course.departure
    assert d is not None
    # the rise begins at 180 min and passes 100 °C after 25 more; five kelvin of difference 6 min later
    assert d.first == pytest.approx((180.0 + 25.0 + 6.3) * 60.0, abs=300.0)
    assert d.largest_by == pytest.approx(-15.0, abs=1.0)
    assert d.by_segment[0] == pytest.approx(0.0, abs=0.5)


def test_a_place_that_is_not_there_is_refused_with_the_name_that_was_meant() -> None:
    log = logged(FULL, ran(FULL))
    wrong = replace(log, channels=(*log.channels[:2], replace(log.channels[2], section="dobler"), log.channels[3]))
    with pytest.raises(InputError) as error:
        state(wrong)
    assert str(error.value) == 'run.csv, TC3: "dobler" – a place of this part is wanted (did you mean "doubler"?)'


def test_a_log_without_temperature_is_refused() -> None:
    log = logged(FULL, ran(FULL))
    with pytest.raises(InputError) as error:
        state(replace(log, channels=(log.channels[3],)))
    assert str(error.value) == (
        "run.csv: P1 – a channel of temperature with two readings or more is wanted (name them, as in TC1=air or "
        "TC2=part)"
    )


def test_trust_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(InputError) as error:
        Trust(sensor=-1.0, rate=float("nan"))
    assert str(error.value) == (
        "trust, sensor: -1.0 – zero or more is wanted\ntrust, rate: nan – zero or more is wanted"
    )
