"""Sensors that cannot be right are said; those that are right never are. Courses are closed forms, with noise."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from written import air_at, behind, clock_rows, following, log_of, said, text_of

from bagside.cure import CureLog
from bagside.records.logger.gaps import gaps

Floats = NDArray[np.float64]
HEAD = ["Time", "Air (°C)", "Part (°C)", "Tool (°C)"]


def times(step: float = 60.0, hours: float = 4.0) -> Floats:
    return np.arange(0.0, hours * 3600.0 + 0.5 * step, step)


def run(*columns: Floats, step: float = 60.0, noise: float = 0.2, head: list[str] = HEAD) -> CureLog:
    """Return a log of these columns [°C], with noise that no two readings share."""
    rng = np.random.default_rng(7)
    noisy = [c + noise * rng.standard_normal(len(c)) for c in columns]
    return log_of(text_of(head, clock_rows(noisy, step=step)))


@settings(max_examples=60, deadline=None)
@given(
    ramps=st.tuples(st.floats(0.2, 5.0), st.floats(0.5, 20.0)),
    top=st.floats(60.0, 180.0),
    lags=st.tuples(st.floats(250.0, 1500.0), st.floats(250.0, 5000.0)),
    noise=st.floats(0.0, 0.6),
    step=st.sampled_from([10.0, 30.0, 60.0, 120.0, 600.0]),
    waits=st.tuples(st.floats(0.0, 900.0), st.floats(0.0, 18000.0)),
)
def test_a_run_that_is_right_is_never_suspected(
    ramps: tuple[float, float],
    top: float,
    lags: tuple[float, float],
    noise: float,
    step: float,
    waits: tuple[float, float],
) -> None:
    # Time constants of trade practice: a thin carbon laminate on its mould 4.5 min, a board tool over an hour.
    t = times(step, hours=7.0)
    hot = waits[0] + 60.0 * (top - 20.0) / ramps[0]
    off = hot + waits[1]
    corners = [0.0, waits[0], hot, off, off + 60.0 * (top - 20.0) / ramps[1]]
    air = np.interp(t, corners, [20.0, 20.0, top, top, 20.0])
    log = run(air, following(t, air, lags[0]), following(t, air, lags[1]), step=step, noise=noise)
    assert said(log) == []
    assert all(np.isfinite(c.values).all() for c in log.channels)


def test_an_exotherm_above_the_air_is_no_fault() -> None:
    t = times()
    hump = 40.0 * np.exp(-(((t - 5400.0) / 900.0) ** 2))
    assert said(run(air_at(t), behind(t, 400.0) + hump, behind(t, 900.0) + 0.4 * hump)) == []


def test_an_oven_door_opened_for_ten_minutes_is_no_fault() -> None:
    t = times(step=10.0)
    open_ = np.exp(-(np.maximum(t - 7200.0, 0.0) / 240.0)) * (t >= 7200.0)
    assert said(run(air_at(t) - 60.0 * open_, behind(t, 400.0), behind(t, 900.0), step=10.0)) == []


def test_one_that_hangs_in_the_room() -> None:
    t = times()
    assert said(run(air_at(t), behind(t, 400.0), 22.0 + 0.0 * t)) == [
        "decide: run.csv, Tool: it stays between 21.4 °C and 22.5 °C while the others rise by 99 K; it hangs in the "
        "room, or "
        'is shorted outside the oven; leave it out, as in --column "Tool=-", or look at it'
    ]


def test_one_that_stands_still_to_the_last_digit() -> None:
    t = times()
    tool = behind(t, 900.0)
    tool[20:] = tool[20]
    rows = clock_rows([air_at(t), behind(t, 400.0), tool])
    assert said(log_of(text_of(HEAD, rows))) == [
        "decide: run.csv, Tool, 20 min in: it stands at 37.9 °C to the last digit for 3 h 40 min while the others "
        "move away by 66 K; a sensor at a part or in air is never that still: it is dead, or its channel hangs; leave "
        "it out, as in "
        '--column "Tool=-", or look at it'
    ]


def test_one_with_its_wires_on_the_wrong_clamps() -> None:
    t = times()
    assert said(run(air_at(t), behind(t, 400.0), 40.0 - behind(t, 900.0), noise=0.0)) == [
        "decide: run.csv, Tool: it falls by 100 K while the others rise by 99 K; its two wires are on the wrong "
        "clamps; "
        'leave it out, as in --column "Tool=-", and change its wires over'
    ]


def test_one_that_never_reads() -> None:
    rows = [[*row[:3], "OPEN"] for row in clock_rows([air_at(times()), behind(times(), 400.0)])]
    assert said(log_of(text_of(HEAD, rows))) == [
        "decide: run.csv, Tool: it has no reading at all; the sensor is open, not plugged in, or its channel is off; "
        "judge the run by the others, and mend it before the next one"
    ]


def test_one_that_stops_reading() -> None:
    rows = clock_rows([air_at(times()), behind(times(), 400.0), behind(times(), 900.0)])
    for row in rows[121:]:
        row[3] = "----"
    assert said(log_of(text_of(HEAD, rows))) == [
        "decide: run.csv, Tool, 2 h in: it stops reading 2 h before the log ends; its wire or plug failed; what the "
        "part did after that it does not tell; judge the end of the run by the others"
    ]


def test_one_without_readings_for_a_while() -> None:
    rows = clock_rows([air_at(times()), behind(times(), 400.0), behind(times(), 900.0)])
    for row in rows[30:50]:
        row[3] = "OL"
    rows[60][2] = ""
    assert said(log_of(text_of(HEAD, rows))) == [
        "seen: run.csv, Part: 1 of its 241 readings are missing; short gaps change little; nothing",
        "watch: run.csv, Tool, 29 min in: it has no reading for 21 min; what it would have read is not known; a "
        "straight line between the ends is taken; look at plug and wire",
    ]


@pytest.mark.parametrize("step", [10.0, 60.0])
def test_one_that_falls_off_reads_the_air(step: float) -> None:
    t = times(step)
    air, part = air_at(t), behind(t, 400.0)
    log = run(air, np.where(t > 1800.0, air, part), behind(t, 900.0), step=step, noise=0.05)
    assert len(log.noticed) == 1
    told = log.noticed[0]
    assert told.place.startswith("run.csv, Part, ")
    assert told.what == "it goes 15 K to the air's temperature in 1 min and stays there"
    assert told.why == "no part follows the air that fast: it has come off its place and reads the air"
    assert np.isfinite(log.channels[1].values).all()


def test_two_taken_one_for_the_other() -> None:
    t = times()
    assert said(run(behind(t, 400.0), air_at(t), behind(t, 900.0))) == [
        "decide: run.csv, Part and Air: Part, read as part, runs 7 min ahead of the oven's air while it heats; heat "
        "comes from the air: the two are taken one for the other, unless the mould is heated itself; say which is "
        "which, as in "
        '--column "Part=air" --column "Air=part"'
    ]


def test_one_that_may_be_the_air() -> None:
    t = times()
    log = run(behind(t, 400.0), air_at(t), behind(t, 900.0), head=["Time", "TC1 (°C)", "TC2 (°C)", "TC3 (°C)"])
    assert said(log) == [
        "seen: run.csv, TC2: it runs ahead of every other sensor; the oven's air does so; the file does not say that "
        "this is "
        'it; if it is, say so: --column "TC2=air"'
    ]


def test_single_readings_that_no_heat_can_make_are_taken_out() -> None:
    t = times()
    part = behind(t, 400.0)
    part[50] += 80.0
    part[100:102] -= 60.0
    log = run(air_at(t), part, behind(t, 900.0), noise=0.0)
    assert np.flatnonzero(np.isnan(log.channels[1].values)).tolist() == [50, 100, 101]
    assert said(log) == [
        "seen: run.csv, Part, 50 min in: 3 single readings, the first of 186.7 °C, stand off those around them "
        "further than heat can carry; a plug that makes and breaks, or a switching heater, gives such readings; they "
        "were taken out; nothing"
    ]


def test_a_loose_contact() -> None:
    t = times()
    part = behind(t, 400.0)
    part[5::20] += 70.0
    log = run(air_at(t), part, behind(t, 900.0))
    assert np.flatnonzero(np.isnan(log.channels[1].values)).tolist() == list(range(5, 239, 20))
    assert log.noticed[0].severity.value == "decide"
    assert log.noticed[0].do == "mend its contact; until then judge by another sensor"


def test_one_that_stands_off_in_the_room() -> None:
    since = np.maximum(times() - 600.0, 0.0)
    assert said(run(air_at(since), behind(since, 400.0) + 4.0, behind(since, 900.0), noise=0.05)) == [
        "watch: run.csv, Part: it reads 4.0 K above the others before the heat is on; they should all read the room; "
        "an offset moves degree of cure and Tg, most after a short cure; check it in ice and in boiling water, unless "
        "its place was warmer or colder"
    ]


def test_of_two_that_differ_none_is_blamed() -> None:
    since = np.maximum(times() - 600.0, 0.0)
    assert said(run(air_at(since), behind(since, 400.0) - 3.0, noise=0.05, head=HEAD[:3])) == [
        "watch: run.csv, Air: it reads 3.0 K above Part before the heat is on; they should all read the room; an "
        "offset moves degree of cure and Tg, most after a short cure; check it in ice and in boiling water, unless "
        "its place was warmer or colder"
    ]


def test_an_oven_that_is_warm_already_is_no_offset() -> None:
    t = times()
    assert said(run(80.0 + 0.0 * t, 21.0 + 0.0 * t + 59.0 * (1 - np.exp(-t / 2000.0)), noise=0.05, head=HEAD[:3])) == []


def test_one_that_drifts() -> None:
    # 4 K over 4 h; looked at in the middle of the first 5 min and of the last 15: 4 x (13950 - 150) / 14400 = 3.8
    t = times()
    since = np.maximum(t - 600.0, 0.0)
    cold = np.clip((since / 3600.0 - 2.5) * 2.0, 0.0, 1.0)  # back to the room within half an hour
    air, part, tool = (
        20.0 + (c - 20.0) * (1.0 - cold) for c in (air_at(since), behind(since, 400.0), behind(since, 900.0))
    )
    assert said(run(air, part + 4.0 * t / t[-1], tool, noise=0.0)) == [
        "watch: run.csv, Part: against the others it has moved by 3.8 K between start and end; a sensor that drifts "
        "in the heat reads wrong by an unknown part of it all the way; check it in ice and in boiling water; put a "
        "new one in its place"
    ]


@given(st.lists(st.sampled_from([1.0, 1.0, 1.0, 10.0, 100.0]), min_size=3, max_size=60))
def test_gaps_are_steps_and_no_more_than_there_are(steps: list[float]) -> None:
    time = np.concatenate([[0.0], np.cumsum(steps)])
    found = gaps(time)
    assert set(found.tolist()) <= {k for k, s in enumerate(steps) if s > 1.0}
    if steps.count(1.0) == len(steps):
        assert len(found) == 0


def test_a_contact_that_was_gone_for_a_while() -> None:
    t = times()
    part = behind(t, 400.0)
    part[100:130] = 0.0
    log = run(air_at(t), part, behind(t, 900.0), noise=0.0)
    assert np.flatnonzero(np.isnan(log.channels[1].values)).tolist() == list(range(100, 130))
    assert said(log) == [
        "watch: run.csv, Part, 1 h 40 min in: for 30 min it reads about 0.0 °C between two jumps that no heat can "
        "make; its contact was gone; what it would have read is not known, and these readings were taken out; look at "
        "plug and wire"
    ]


def test_a_part_taken_out_and_put_back_is_not_cut_when_it_came_back_colder() -> None:
    t = times()
    part = behind(t, 400.0)
    part[100:] -= 60.0
    part[130:] += 20.0
    assert np.isfinite(run(air_at(t), part, behind(t, 900.0)).channels[1].values).all()
