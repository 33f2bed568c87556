"""Logger files of a freezer: read as logs of a cure are, thinned to hours, asked where two things may be meant."""

from __future__ import annotations

import hashlib
import math
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import openpyxl
import pytest

from bagside.cure.life import LifeSheet
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.ledger.bodies import body_data, body_from
from bagside.records.freezer_log import logged_body
from bagside.records.logger import Jumps, LoggerOptions, stated_options

BERLIN = ZoneInfo("Europe/Berlin")
DAY = 86400.0


def rows(start: datetime, count: int, step: timedelta, celsius: float = -18.0) -> list[tuple[datetime, float]]:
    """Return readings of a freezer that swings a little."""
    return [(start + k * step, round(celsius + 0.8 * math.sin(0.7 * k), 2)) for k in range(count)]


def csv(path: Path, told: list[tuple[datetime, float]], head: str = "Time,Temperature (°C)") -> Path:
    path.write_text(head + "\n" + "".join(f"{t:%Y-%m-%d %H:%M:%S},{v}\n" for t, v in told), encoding="utf-8")
    return path


def ten_minutes(tmp_path: Path, count: int = 300, start: datetime = datetime(2026, 2, 2, 8)) -> Path:
    return csv(tmp_path / "freezer.csv", rows(start, count, timedelta(minutes=10)))


def test_a_file_becomes_hours_with_the_time_of_its_first_reading(tmp_path):
    path = ten_minutes(tmp_path)
    found = logged_body(path, "chest freezer", zone=BERLIN)
    assert found.at == datetime(2026, 2, 2, 7, tzinfo=UTC)
    assert found.last == found.at + timedelta(minutes=2990)
    assert (found.readings, found.noticed) == (300, ())
    body = found.body
    assert (body.place, body.called, body.gaps) == ("chest freezer", "freezer.csv", ())
    assert body.file == hashlib.sha256(path.read_bytes()).hexdigest()
    assert (body.times[0], body.times[-1]) == (0.0, 299 * 600.0)
    assert len(body.times) <= 2 * 50
    assert body_from("logged", body_data(body)) == body
    told = [v + 273.15 for _, v in rows(datetime(2026, 2, 2), 300, timedelta(minutes=10))]
    assert (found.coldest, found.warmest) == (pytest.approx(min(told)), pytest.approx(max(told)))
    assert min(told) < found.mean_kinetic < max(told)
    sheet = LifeSheet(points=((255.15, 365 * DAY), (294.15, 30 * DAY)))
    full = sheet.mean_rates(told[:-1], told[1:]).sum() * 600.0
    kept = float(sheet.mean_rates(body.temperatures[:-1], body.temperatures[1:]) @ np.diff(body.times))
    assert full <= kept <= 1.05 * full


def test_tabs_and_workbooks_are_read_too(tmp_path):
    told = rows(datetime(2026, 2, 2, 8), 40, timedelta(minutes=30))
    tabs = tmp_path / "freezer.txt"
    tabs.write_text("Date\tTime\tTemp °C\n" + "".join(f"{t:%d.%m.%Y}\t{t:%H:%M}\t{v}\n" for t, v in told), "utf-8")
    book = openpyxl.Workbook()
    book.active.append(["Time", "Temperature (°C)"])
    for row in told:
        book.active.append(list(row))
    book.save(tmp_path / "freezer.xlsx")
    one, other = (logged_body(p, "freezer", zone=UTC) for p in (tabs, tmp_path / "freezer.xlsx"))
    assert one.body.times == other.body.times
    assert one.body.temperatures == pytest.approx(other.body.temperatures)
    assert one.at == other.at == datetime(2026, 2, 2, 8, tzinfo=UTC)


def test_a_gap_is_kept_as_one_and_said(tmp_path):
    before = rows(datetime(2026, 2, 2, 8), 60, timedelta(minutes=10))
    path = csv(tmp_path / "f.csv", [*before, *rows(datetime(2026, 2, 2, 23), 60, timedelta(minutes=10))])
    found = logged_body(path, "freezer", zone=UTC)
    assert found.body.gaps == ((59 * 600.0, 15 * 3600.0),)
    assert set(found.body.gaps[0]) <= set(found.body.times)
    assert len([f for f in found.noticed if "no reading" in f.what or "pause" in f.what or "gap" in f.what]) == 1


def test_a_pause_of_days_is_a_gap_where_the_days_are_told(tmp_path):
    before = rows(datetime(2026, 2, 2, 8), 60, timedelta(minutes=10))
    path = csv(tmp_path / "f.csv", [*before, *rows(datetime(2026, 2, 6, 8), 60, timedelta(minutes=10))])
    found = logged_body(path, "freezer", zone=UTC)
    assert found.body.gaps == ((59 * 600.0, 4 * DAY),)
    # but a person may say that the clock was set, and then it counts
    set_forward = logged_body(path, "freezer", LoggerOptions(jumps=Jumps.CONTINUE), zone=UTC)
    assert set_forward.body.gaps == ()
    assert set_forward.last - set_forward.at == timedelta(minutes=119 * 10)


def test_a_clock_that_jumps_back_is_refused_in_one_sentence(tmp_path):
    before = rows(datetime(2026, 2, 2, 8), 60, timedelta(minutes=10))
    path = csv(tmp_path / "f.csv", [*before, *rows(datetime(2026, 2, 2, 12), 60, timedelta(minutes=10))])
    with pytest.raises(InputError) as error:
        logged_body(path, "freezer", zone=UTC)
    assert str(error.value) == (
        "f.csv, line 62: 2026-02-02 17:50:00 is followed by 2026-02-02 12:00:00 – the clock was set back and the file "
        "does not tell how much time passed; if none was lost, readings went on 10 min apart (--jumps continue)"
    )
    found = logged_body(path, "freezer", LoggerOptions(jumps=Jumps.CONTINUE), zone=UTC)
    assert found.last - found.at == timedelta(minutes=119 * 10)
    assert any("the clock goes from" in f.what for f in found.noticed)


@pytest.mark.parametrize(("month", "day", "ahead"), [(10, 25, 2), (3, 29, 1)])
def test_a_clock_that_goes_along_with_summer_time(tmp_path, month, day, ahead):
    """24 October to 26, or 28 March to 30, 2026: written in local time, evenly spaced in truth."""
    start = datetime(2026, month, day - 1, 12, tzinfo=UTC)
    told = [
        ((start + k * timedelta(minutes=10)).astimezone(BERLIN).replace(tzinfo=None), -18.0 + 0.1 * (k % 7))
        for k in range(200)
    ]
    found = logged_body(csv(tmp_path / "f.csv", told), "freezer", zone=BERLIN)
    assert told[0][0].hour == 12 + ahead
    assert found.at == start
    assert found.last == start + timedelta(minutes=1990)
    assert found.body.gaps == ()
    assert any("by an hour" in f.what for f in found.noticed)


def test_a_clock_that_stays_in_winter_is_told(tmp_path):
    told = rows(datetime(2026, 3, 28, 12), 200, timedelta(minutes=10))
    found = logged_body(csv(tmp_path / "f.csv", told), "freezer", zone=BERLIN)
    assert found.last - found.at == timedelta(minutes=1990)
    assert [f.what for f in found.noticed] == [
        "its clock did not go along when summer time began or ended meanwhile"
    ]


@pytest.mark.parametrize(
    ("start", "said"),
    [
        (
            datetime(2026, 10, 25, 2, 10),
            "f.csv, first reading: 2026-10-25 02:10 – this hour is there twice, as summer time ends in it; say which "
            "(--zone +02:00 or +01:00)",
        ),
        (
            datetime(2026, 3, 29, 2, 10),
            "f.csv, first reading: 2026-03-29 02:10 – this hour is not there, as summer time begins in it: the logger "
            "keeps winter time; say its zone (--zone +01:00)",
        ),
    ],
)
def test_an_hour_that_is_there_twice_or_not_at_all_is_asked(tmp_path, start, said):
    path = csv(tmp_path / "f.csv", rows(start, 60, timedelta(minutes=1)))
    with pytest.raises(InputError) as error:
        logged_body(path, "freezer", zone=BERLIN)
    assert str(error.value) == said


def test_a_zone_in_the_file_wins(tmp_path):
    path = tmp_path / "f.csv"
    lines = [f"{t.isoformat()}+01:00,{v}\n" for t, v in rows(datetime(2026, 2, 2, 8), 20, timedelta(minutes=10))]
    path.write_text("Time,Temperature (°C)\n" + "".join(lines), encoding="utf-8")
    assert logged_body(path, "freezer", zone=ZoneInfo("Asia/Tokyo")).at == datetime(2026, 2, 2, 7, tzinfo=UTC)


def test_several_temperatures_are_asked_for(tmp_path):
    path = tmp_path / "f.csv"
    lines = [f"{t:%Y-%m-%d %H:%M:%S},{v},{v + 38}\n" for t, v in rows(datetime(2026, 2, 2), 20, timedelta(minutes=10))]
    path.write_text("Time,Probe 1 (°C),Probe 2 (°C)\n" + "".join(lines), encoding="utf-8")
    with pytest.raises(InputError) as error:
        logged_body(path, "freezer", zone=UTC)
    assert str(error.value) == (
        'f.csv: Probe 1, Probe 2 – these are several temperatures; say which one was in it (--channel "Probe 1")'
    )
    assert logged_body(path, "freezer", zone=UTC, channel="Probe 1").warmest < 260
    with pytest.raises(InputError) as error:
        logged_body(path, "freezer", zone=UTC, channel="Probe")
    assert str(error.value) == (
        '--channel: "Probe" – f.csv has no temperature of this name (there are "Probe 1", "Probe 2")'
    )


def test_a_log_without_a_day_asks_for_it(tmp_path):
    path = tmp_path / "f.csv"
    path.write_text("Time (min),Temp (°C)\n" + "".join(f"{k},-18.{k % 10}\n" for k in range(50)), encoding="utf-8")
    with pytest.raises(InputError) as error:
        logged_body(path, "freezer", zone=BERLIN)
    assert str(error.value) == (
        "f.csv – it does not tell on which day it began; say when the first reading was made "
        '(--begins "2026-11-02 08:00")'
    )
    found = logged_body(path, "freezer", zone=BERLIN, begins=datetime(2026, 7, 1, 9))
    assert found.at == datetime(2026, 7, 1, 7, tzinfo=UTC)


def test_what_the_reader_asks_is_asked_here_too(tmp_path):
    path = csv(tmp_path / "f.csv", rows(datetime(2026, 2, 2), 20, timedelta(minutes=10)), head="Time,Temperature")
    with pytest.raises(InputError, match="the unit of this temperature is not told and is not guessed; say --unit"):
        logged_body(path, "freezer")
    assert logged_body(path, "freezer", stated_options(unit=["°C"]), zone=UTC).readings == 20


def test_a_logger_that_was_read_out_in_the_room_is_noticed_and_can_be_cut(tmp_path):
    told = rows(datetime(2026, 2, 2, 8), 300, timedelta(minutes=10))
    told[:3] = [(t, c) for (t, _), c in zip(told[:3], (19.0, 2.0, -12.0), strict=True)]
    path = csv(tmp_path / "f.csv", told)
    found = logged_body(path, "freezer", zone=UTC)
    [said] = found.noticed
    assert said.severity is Severity.WATCH
    assert said.what == "the log begins at 19 °C and is settled at −18 °C only 30 min later"
    cut = logged_body(path, "freezer", zone=UTC, since=datetime(2026, 2, 2, 8, 30, tzinfo=UTC))
    assert (cut.noticed, cut.readings) == ((), 297)
    assert cut.at == datetime(2026, 2, 2, 8, 30, tzinfo=UTC)
    with pytest.raises(InputError, match="two readings or more within the times stated are wanted"):
        logged_body(path, "freezer", zone=UTC, until=datetime(2026, 2, 1, tzinfo=UTC))


def test_what_cannot_be_read_is_said(tmp_path):
    for content in (b"", b"\x00\x01\x02", b"hello\n"):
        path = tmp_path / "f.csv"
        path.write_bytes(content)
        with pytest.raises(InputError, match=r"^f\.csv"):
            logged_body(path, "freezer")
    with pytest.raises(InputError, match="it cannot be read"):
        logged_body(tmp_path / "none.csv", "freezer")
