"""The time column: every way of telling it, and what is asked when it can be read in two ways."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest
from written import asked, clock_rows, course, log_of, said, text_of

from bagside.records.logger import DateOrder, LoggerOptions, TimeIs

HEAD = ["Time", "Air (°C)"]


def with_times(times: list[str], head: str = "Time") -> str:
    return text_of([head, "Air (°C)"], [[t, f"{20 + k:.1f}"] for k, t in enumerate(times)])


@pytest.mark.parametrize(
    ("times", "head"),
    [
        (["2026-03-04T08:00:00Z", "2026-03-04T08:01:30Z"], "Time"),
        (["2026-03-04T23:59:00+01:00", "2026-03-05T00:00:30+01:00"], "Time"),
        (["Wed Mar 04 08:00:00 2026", "Wed Mar 04 08:01:30 2026"], "Time"),
        (["Mi 04.03.2026 08:00:00", "Mi 04.03.2026 08:01:30"], "Zeit"),
        (["4 mars 2026 08:00:00", "4 mars 2026 08:01:30"], "Heure"),
        (["4. März 2026 08:00:00", "4. März 2026 08:01:30"], "Zeit"),
        (["Mar 4, 2026 11:59:00 PM", "Mar 5, 2026 12:00:30 AM"], "Time"),
        (["04-03-2026 08.00.00", "04-03-2026 08.01.30"], "Date (DD-MM-YYYY)"),
        (["14.03.2026 08:00:00 Uhr", "14.03.2026 08:01:30 Uhr"], "Zeit"),
        (["08:00:00 h", "08:01:30 h"], "Zeit"),
        (["8:00:00", "8:01:30"], "Time"),
        (["9:59:00", "10:00:30"], "Time"),
        (["08:00:00.250", "08:01:30.250"], "Time"),
        (["08h00", "08h01m30s"], "Heure"),
        (["23:59:00", "0:00:30"], "Time"),
        (["11:59:00 AM", "12:00:30 PM"], "Time"),
        (["0", "90"], "Time (s)"),
        (["0", "90000"], "Time (ms)"),
        (["0", "1.5"], "Elapsed min"),
        (["0", "0.025"], "Zeit in h"),
        (["30:00:00", "30:01:30"], "Elapsed"),
        (["1d 00:00:00", "1d 00:01:30"], "Elapsed"),
        (["0.00:00:00", "0.00:01:30"], "Elapsed"),
        (["00:00.0", "01:30.0"], "Elapsed"),
        (["00:00", "01:30"], "Elapsed (mm:ss)"),
        (["1774684800", "1774684890"], "unix time (s)"),
        (["46085.333333", "46085.334375"], "Date"),
    ],
)
def test_ninety_seconds_are_ninety_seconds(times: list[str], head: str) -> None:
    assert log_of(with_times(times, head)).time.tolist() == pytest.approx([0.0, 90.0], abs=0.06)


def test_unix_time_counts_from_1970_in_greenwich() -> None:
    # 1 774 684 800 s is 20 540 days: 28 March 2026, as `date -u -d @1774684800` says.
    log = log_of(with_times(["1774684800", "1774684890"], "unix time (s)"))
    assert log.started == datetime(2026, 3, 28, 8)
    assert said(log) == [
        "seen: run.csv, column unix time: its clock is Greenwich's (UTC); the clock on the wall may show another hour; "
        "nothing; times since the start are not touched"
    ]


def test_a_spreadsheets_day_number_counts_from_the_end_of_1899() -> None:
    # 46 085 is 4 March 2026 in every spreadsheet.
    log = log_of(with_times(["46085.333333", "46085.334375"]), time=TimeIs.DAYS)
    assert log.started is not None
    assert abs(log.started - datetime(2026, 3, 4, 8)) < timedelta(seconds=0.1)


def test_two_columns_and_their_order_do_not_matter() -> None:
    rows = [["08:00:00", "20.0", "14/03/2026"], ["08:01:30", "21.0", "14/03/2026"]]
    log = log_of(text_of(["Time", "Air (°C)", "Date"], rows))
    assert (log.started, log.time.tolist()) == (datetime(2026, 3, 14, 8), [0.0, 90.0])


def test_number_of_the_reading_is_no_time() -> None:
    rows = [["1", "08:00:00", "20.0"], ["2", "08:01:00", "21.0"]]
    log = log_of(text_of(["No.", "Time", "Air (°C)"], rows))
    assert log.time.tolist() == [0.0, 60.0]
    assert [c.name for c in log.channels] == ["Air"]


def test_a_number_without_a_unit_is_asked_about() -> None:
    assert asked(with_times(["0", "10", "20"])) == (
        'run.csv, column Time: "0" – the unit of this time is not told and is not guessed; say --time s, ms, min, h, '
        'days (a spreadsheet\'s day number), "unix s" or "unix ms"'
    )
    assert log_of(with_times(["0", "10", "20"]), time=TimeIs.MINUTES).time.tolist() == [0.0, 600.0, 1200.0]


def test_two_numbers_from_zero_are_asked_about() -> None:
    times = ["00:00", "00:10", "00:20"]
    assert asked(with_times(times)) == (
        'run.csv, column Time: "00:00" – this may be the time of day (--time clock), hours and minutes passed '
        "(--time h:min) or minutes and seconds passed (--time min:s); say which"
    )
    assert log_of(with_times(times), time=TimeIs.HOURS_MINUTES).time.tolist() == [0.0, 600.0, 1200.0]
    assert log_of(with_times(times), time=TimeIs.CLOCK).time.tolist() == [0.0, 600.0, 1200.0]
    assert log_of(with_times(times), time=TimeIs.MINUTES_SECONDS).time.tolist() == [0.0, 10.0, 20.0]


def test_a_clock_that_begins_at_eight_is_no_elapsed_time() -> None:
    assert log_of(with_times(["08:00", "08:10", "08:20"])).time.tolist() == [0.0, 600.0, 1200.0]


def test_minutes_and_seconds_that_begin_anew_each_hour() -> None:
    log = log_of(with_times(["58:00", "59:00", "00:00", "01:00"]), time=TimeIs.MINUTES_SECONDS)
    assert log.time.tolist() == [0.0, 60.0, 120.0, 180.0]


def test_an_option_that_does_not_go_with_the_cells() -> None:
    assert asked(with_times(["08:00:00", "08:01:00"]), time=TimeIs.UNIX) == (
        'run.csv, column Time: "08:00:00" – a number is wanted for --time "unix s"'
    )
    assert asked(with_times(["5", "6"]), time=TimeIs.CLOCK) == (
        'run.csv, column Time: "5" – a time on a clock is wanted for --time "clock"'
    )


def test_no_time_at_all() -> None:
    text = text_of(["Air (°C)", "Part (°C)"], [["20.0", "20.0"], ["21.0", "20.5"], ["22.0", "21.0"]])
    assert asked(text) == (
        "run.csv: Air, Part – none of these columns tells the time; say which with --time-column "
        '(state --every, as in --every "10 s", when readings come at one interval)'
    )
    assert log_of(text, every=10.0).time.tolist() == [0.0, 10.0, 20.0]


def test_the_time_column_by_its_name() -> None:
    text = text_of(["k", "Air (°C)"], [["0", "20.0"], ["1", "21.0"]])
    assert log_of(text, time_column="k", time=TimeIs.MINUTES).time.tolist() == [0.0, 60.0]
    assert asked(text, time_column="kk") == '--time-column: "kk" – no column has this name (did you mean "k"?)'


# ---- dates


def test_a_date_that_can_be_read_in_two_ways() -> None:
    text = with_times(["03/04/2026 08:00", "03/04/2026 08:01"])
    assert asked(text) == (
        'run.csv, column Time: "03/04/2026 08:00" – this may be 3 April 2026 (--date-order day) or 4 March 2026 '
        "(--date-order month); say which"
    )
    assert log_of(text, date_order=DateOrder.DAY).started == datetime(2026, 4, 3, 8)
    assert log_of(text, date_order=DateOrder.MONTH).started == datetime(2026, 3, 4, 8)


def test_a_short_year_may_stand_first() -> None:
    text = with_times(["05-04-03 08:00", "05-04-03 08:01"])
    assert asked(text) == (
        'run.csv, column Time: "05-04-03 08:00" – this may be 5 April 2003 (--date-order day), 4 May 2003 '
        "(--date-order month) or 3 April 2005 (--date-order year); say which"
    )
    assert log_of(text, date_order=DateOrder.YEAR).started == datetime(2005, 4, 3, 8)


@pytest.mark.parametrize(
    ("times", "head", "start"),
    [
        (["13/04/2026 08:00", "13/04/2026 08:01"], "Time", datetime(2026, 4, 13, 8)),  # there is no month 13
        (["04/13/2026 08:00", "04/13/2026 08:01"], "Time", datetime(2026, 4, 13, 8)),
        (["03/04/2026 23:59", "04/04/2026 00:00"], "Time", datetime(2026, 4, 3, 23, 59)),  # the next day, no month on
        (["03/04/2026 23:59", "03/05/2026 00:00"], "Time", datetime(2026, 3, 4, 23, 59)),
        (["05/05/2026 08:00", "05/05/2026 08:01"], "Time", datetime(2026, 5, 5, 8)),  # the same either way
        (["03.04.2026 08:00", "03.04.2026 08:01"], "Time", datetime(2026, 4, 3, 8)),  # points: the day first
        (["03.04.26 08:00", "03.04.26 08:01"], "Time", datetime(2026, 4, 3, 8)),
        (["03/04/2026 08:00", "03/04/2026 08:01"], "Time (MM/DD/YYYY hh:mm)", datetime(2026, 3, 4, 8)),
        (["03/04/2026 08:00", "03/04/2026 08:01"], "Datum (TT/MM/JJJJ)", datetime(2026, 4, 3, 8)),
        (["03/04/2026 08:00", "03/04/2026 08:01"], "Date (JJ/MM/AAAA)", datetime(2026, 4, 3, 8)),
    ],
)
def test_what_settles_a_date(times: list[str], head: str, start: datetime) -> None:
    assert log_of(with_times(times, head)).started == start


def test_a_long_log_is_settled_by_the_day_after_it_began() -> None:
    _, (air, *_) = course()
    start = datetime(2026, 4, 3, 14)
    rows = clock_rows([np.tile(air, 4)], start=start, form="%d/%m/%Y %H:%M:%S")  # midnight is after the first 400 rows
    assert log_of(text_of(HEAD, rows)).started == start


def test_an_order_that_does_not_go_with_the_dates() -> None:
    text = with_times(["04/13/2026 08:00", "04/13/2026 08:01"])
    assert asked(text, date_order=DateOrder.DAY) == (
        'run.csv, column Time: "04/13/2026" – this is no date with the day first'
    )


def test_options_do_not_change_what_needs_none() -> None:
    assert log_of(with_times(["2026-03-04 08:00", "2026-03-04 08:01"]), date_order=DateOrder.MONTH).started == datetime(
        2026, 3, 4, 8
    )
    assert LoggerOptions().columns == {}


@pytest.mark.parametrize(
    ("above", "times", "head", "start"),
    [
        ("Start: 2026-03-04 08:00:00", ["0", "10"], "Time (s)", datetime(2026, 3, 4, 8)),
        ("Startzeit;04.03.2026 08:00", ["0:00:00", "0:00:10"], "Zeit", datetime(2026, 3, 4, 8)),
        ("Date: 14/03/2026", ["08:00:00", "08:00:10"], "Time", datetime(2026, 3, 14, 8)),
        ("Date: 03/04/2026", ["08:00:00", "08:00:10"], "Time", None),  # of two days that it may be none is taken
        ("Printed: 2026-03-04 08:00:00", ["0", "10"], "Time (s)", None),
        ("Date: 2026-03-04", ["0", "10"], "Time (s)", None),  # the day alone is no moment
    ],
)
def test_when_it_began_may_stand_above_the_head(
    above: str, times: list[str], head: str, start: datetime | None
) -> None:
    log = log_of(f"{above}\n\n{with_times(times, head)}")
    assert (log.started, log.time.tolist()) == (start, [0.0, 10.0])
