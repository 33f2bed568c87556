"""Clocks that pass midnight, change to summer time, are set, hang or are too coarse: mended and said, or asked."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest
from written import asked, clock_rows, course, log_of, said, text_of

from bagside.records.logger import Jumps, TimeIs

HEAD = ["Time", "Air (°C)", "Part (°C)"]
TIME, (AIR, PART, _) = course()
DATED = "%Y-%m-%d %H:%M:%S"


def jumping(start: datetime, at: datetime, by: timedelta, form: str = "%H:%M:%S") -> str:
    """Return a log whose clock is set by so much when it shows a time."""
    rows = clock_rows([AIR, PART], start=start, form=form)
    for k, row in enumerate(rows):
        now = start + timedelta(seconds=60.0 * k)
        row[0] = (now + (by if now >= at else timedelta())).strftime(form)
    return text_of(HEAD, rows)


def regular(text: str, **settled: object) -> list[str]:
    """Return what was said about a log whose time came out right."""
    log = log_of(text, **settled)
    assert log.time.tolist() == pytest.approx(TIME.tolist())
    np.testing.assert_allclose(log.channels[0].values - 273.15, AIR, atol=0.051)
    return said(log)


def test_midnight() -> None:
    assert regular(text_of(HEAD, clock_rows([AIR, PART], start=datetime(2026, 3, 4, 22)))) == []


def test_am_and_pm_over_noon_and_midnight() -> None:
    for hour in (10, 22):
        text = text_of(HEAD, clock_rows([AIR, PART], start=datetime(2026, 3, 4, hour), form="%I:%M:%S %p"))
        assert regular(text) == []


@pytest.mark.parametrize("form", ["%H:%M:%S", DATED])
def test_back_from_summer_time(form: str) -> None:
    # In 2026 it ends in Europe on Sunday, 25 October, at three in the morning.
    text = jumping(datetime(2026, 10, 25, 1), datetime(2026, 10, 25, 3), -timedelta(hours=1), form)
    day = "2026-10-25 " if form == DATED else ""
    assert regular(text) == [
        f"watch: run.csv, line 122: the clock goes back by an hour, from {day}02:59:00 to {day}02:00:00; "
        "it was changed to or from summer time in the night; nothing; readings go on 1 min apart there"
    ]


def test_to_summer_time() -> None:
    text = jumping(datetime(2026, 3, 29, 0, 10), datetime(2026, 3, 29, 2), timedelta(hours=1), DATED)
    assert regular(text) == [
        "watch: run.csv, line 112: the clock goes forward by an hour, from 2026-03-29 01:59:00 to 2026-03-29 03:00:00; "
        "it was changed to or from summer time in the night; nothing; readings go on 1 min apart there"
    ]


def test_an_hour_without_readings_on_any_other_night_is_a_gap() -> None:
    log = log_of(jumping(datetime(2026, 3, 28, 0, 10), datetime(2026, 3, 28, 2), timedelta(hours=1), DATED))
    assert log.time[-1] == TIME[-1] + 3600.0
    assert said(log) == [
        "watch: run.csv, 1 h 49 min in (01:59): there is no reading for 1 h 1 min; what happened in it is not known; "
        "a straight line between its ends is taken; nothing, unless the oven was opened or stopped then"
    ]


def test_an_hour_lost_at_two_in_the_night_without_a_date_is_asked_about() -> None:
    text = jumping(datetime(2026, 3, 29, 0, 10), datetime(2026, 3, 29, 2), timedelta(hours=1))
    assert asked(text) == (
        "run.csv, line 112: 01:59:00 is followed by 03:00:00 – either the clock was set forward and readings went on "
        "1 min apart (--jumps continue), or 1 h 1 min passed without a reading (--jumps keep); say which"
    )
    assert log_of(text, jumps=Jumps.KEEP).time[-1] == TIME[-1] + 3600.0
    assert regular(text, jumps=Jumps.CONTINUE) == [
        "watch: run.csv, line 112: the clock goes from 01:59:00 to 03:00:00; as stated, it was changed and no time was "
        "lost; nothing; readings go on 1 min apart there"
    ]


def test_a_clock_set_back() -> None:
    text = jumping(datetime(2026, 3, 4, 9), datetime(2026, 3, 4, 10), -timedelta(minutes=12))
    assert asked(text) == (
        "run.csv, line 62: 09:59:00 is followed by 09:48:00 – either the clock was set back and readings went on 1 min "
        "apart (--jumps continue), or 23 h 49 min passed until the next day (--jumps keep); say which"
    )
    regular(text, jumps=Jumps.CONTINUE)
    assert log_of(text, jumps=Jumps.KEEP).time[-1] == TIME[-1] + 86400.0 - 720.0
    dated = jumping(datetime(2026, 3, 4, 9), datetime(2026, 3, 4, 10), -timedelta(minutes=12), DATED)
    assert asked(dated) == (
        "run.csv, line 62: 2026-03-04 09:59:00 is followed by 2026-03-04 09:48:00 – the clock was set back and the "
        "file does not tell how much time passed; if none was lost, readings went on 1 min apart (--jumps continue)"
    )
    assert asked(dated, jumps=Jumps.KEEP) == (
        "run.csv, line 62: 2026-03-04 09:59:00 is followed by 2026-03-04 09:48:00 – time cannot run back, so --jumps "
        "keep cannot hold here; readings went on 1 min apart (--jumps continue) or cut the file in two there"
    )
    regular(dated, jumps=Jumps.CONTINUE)


def test_a_clock_that_was_set_years_on() -> None:
    text = jumping(datetime(2000, 1, 1), datetime(2000, 1, 1, 0, 30), timedelta(days=9559), DATED)
    assert asked(text) == (
        "run.csv, line 32: 2000-01-01 00:29:00 is followed by 2026-03-04 00:30:00 – either the clock was set forward "
        "and readings went on 1 min apart (--jumps continue), or 9559 days passed without a reading (--jumps keep); "
        "say which"
    )
    regular(text, jumps=Jumps.CONTINUE)


def test_a_clock_of_twelve_hours_without_am_and_pm() -> None:
    question = (
        "run.csv, line 122: {0}12:59:00 is followed by {0}01:00:00 – this looks like a 12-hour clock without AM and "
        "PM; "
        'say whether the first reading was in the morning (--time "12 h am") or the afternoon (--time "12 h pm"), or '
        "that "
        "the clock has 24 hours (--time clock)"
    )
    start = datetime(2026, 3, 4, 11)
    plain = text_of(HEAD, clock_rows([AIR, PART], start=start, form="%I:%M:%S"))
    assert asked(plain) == question.format("")
    assert regular(plain, time=TimeIs.AM) == []
    dated = text_of(HEAD, clock_rows([AIR, PART], start=start, form="%d.%m.%Y %I:%M:%S"))
    assert asked(dated) == question.format("2026-03-04 ")
    assert regular(dated, time=TimeIs.PM) == []
    assert log_of(dated, time=TimeIs.AM).started == start
    assert log_of(dated, time=TimeIs.PM).started == datetime(2026, 3, 4, 23)


def test_readings_more_often_than_the_clock_steps() -> None:
    start = datetime(2026, 3, 4, 8, 0, 20)
    time, columns = course(step=10.0, hours=1.0)
    log = log_of(text_of([*HEAD, "Tool (°C)"], clock_rows(columns, step=10.0, start=start, form="%H:%M")))
    assert log.time.tolist() == pytest.approx(time.tolist())
    assert said(log) == [
        "seen: run.csv: the clock steps by 1 min while there are 6 readings to each step; readings need times of their "
        "own; nothing; they were spread evenly over each step"
    ]


def test_a_clock_that_hung_and_caught_up() -> None:
    rows = clock_rows([AIR, PART])
    for k in range(50, 60):
        rows[k][0] = rows[50][0]
    assert regular(text_of(HEAD, rows)) == [
        "seen: run.csv, line 52: the clock hung at 08:50:00 for 10 readings and caught up; readings need times of "
        "their own; nothing; they were spread evenly until it went on"
    ]


def test_a_clock_that_hung_and_went_on_from_there() -> None:
    rows = clock_rows([AIR, PART])
    times = [r[0] for r in rows]
    for k in range(50, len(rows)):
        rows[k][0] = times[50] if k < 60 else times[k - 9]
    assert asked(text_of(HEAD, rows)) == (
        "run.csv, line 52: 10 readings at 08:50:00 – the clock hung and the file does not tell for how long; if "
        "readings went on 1 min apart, say --jumps continue, else take these rows out"
    )
    assert regular(text_of(HEAD, rows), jumps=Jumps.CONTINUE) == [
        "watch: run.csv, line 52: the clock hung at 08:50:00 for 10 readings; as stated, readings went on at their "
        "usual interval; nothing; what follows was moved on"
    ]


def test_a_row_written_twice() -> None:
    rows = clock_rows([AIR, PART])
    assert regular(text_of(HEAD, rows[:60] + rows[59:])) == [
        "seen: run.csv, line 62: 08:59:00 stands twice; there is one reading at a time; nothing; the second row was "
        "left out"
    ]


def test_rows_out_of_order() -> None:
    rows = clock_rows([AIR, PART], form=DATED)
    rows[50], rows[51] = rows[51], rows[50]
    assert regular(text_of(HEAD, rows)) == [
        "seen: run.csv, line 53: 2 rows do not stand in the order of their times; readings are taken in the order in "
        "which they were made; nothing; the rows were sorted by time"
    ]


def test_the_newest_first() -> None:
    assert regular(text_of(HEAD, clock_rows([AIR, PART])[::-1])) == [
        "seen: run.csv: the newest reading stands first; a cure is judged from its first reading on; nothing; the "
        "rows were turned round"
    ]


def test_a_logger_started_again_that_counts_from_nought() -> None:
    rows = [[f"{60 * (k % 100)}", *row[1:]] for k, row in enumerate(clock_rows([AIR, PART]))]
    text = text_of(["Time (s)", *HEAD[1:]], rows)
    question = (
        "{} is followed by 0 s – the logger began anew and the file does not tell how long it paused; if it did not, "
        "readings went on 1 min apart (--jumps continue)"
    )
    assert asked(text) == "\n".join(
        ["run.csv, line 102: " + question.format("1 h 39 min"), "run.csv, line 202: " + question.format("1 h 39 min")]
    )
    regular(text, jumps=Jumps.CONTINUE)


def test_a_column_of_elapsed_time_stands_in_for_a_clock_that_was_set() -> None:
    rows = clock_rows([AIR, PART], form=DATED)
    rows = [[row[0] if k < 100 else rows[k - 20][0], f"{60 * k}", *row[1:]] for k, row in enumerate(rows)]
    assert regular(text_of(["Date", "Elapsed (s)", *HEAD[1:]], rows)) == [
        "watch: run.csv, line 102: the clock cannot be trusted: 2026-03-04 09:39:00 is followed by 2026-03-04 "
        "09:20:00; the time passed is told beside it, in column Elapsed; nothing; that column was used"
    ]


def test_a_logger_whose_interval_was_changed_has_no_gap() -> None:
    rows = clock_rows([AIR, PART])
    log = log_of(text_of(HEAD, rows[:60] + rows[60::10]))
    assert len(log.time) == 60 + 19
    assert said(log) == []


def test_gaps_are_listed_with_the_longest_first_five() -> None:
    rows = clock_rows([AIR, PART])
    keep = [r for k, r in enumerate(rows) if k < 100 or k % 20 > 4 + (k // 20 == 7)]
    told = said(log_of(text_of(HEAD, keep)))
    assert told[0] == (
        "watch: run.csv, 1 h 39 min in: there is no reading for 6 min; what happened in it is not known; a straight "
        "line between its ends is taken; nothing, unless the oven was opened or stopped then"
    )
    assert [line.split(": ")[1] for line in told] == [
        "run.csv, 1 h 39 min in", "run.csv, 1 h 59 min in", "run.csv, 2 h 19 min in", "run.csv, 2 h 39 min in",
        "run.csv, 2 h 59 min in", "run.csv",
    ]  # fmt: skip
    assert told[-1] == (
        "seen: run.csv: there are 2 more gaps, the longest of 6 min, 12 min in all; what happened in them is not "
        "known; see that the logger's memory and wire are sound"
    )


def test_a_clock_of_which_a_person_says_that_it_has_24_hours() -> None:
    text = text_of(HEAD, clock_rows([AIR, PART], start=datetime(2026, 3, 4, 11), form="%I:%M:%S"))
    assert asked(text, time=TimeIs.CLOCK) == (
        "run.csv, line 122: 12:59:00 is followed by 01:00:00 – either the clock was set back and readings went on 1 "
        "min apart (--jumps continue), or 12 h 1 min passed until the next day (--jumps keep); say which"
    )
    assert log_of(text, time=TimeIs.CLOCK, jumps=Jumps.KEEP).time[-1] == TIME[-1] + 43200.0
