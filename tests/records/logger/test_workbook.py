"""Workbooks, written by openpyxl as a logger's software would write them."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from bagside.errors import InputError
from bagside.records.logger import LoggerOptions, read_log

START = datetime(2026, 3, 4, 8)


def book(path: Path, **sheets: list[list[Any]]) -> Path:
    whole = Workbook()
    whole.remove(whole.active)
    for title, rows in sheets.items():
        sheet = whole.create_sheet(title)
        for row in rows:
            sheet.append(row)
    whole.save(path)
    return path


def rows(stamp: Any) -> list[list[Any]]:
    table: list[list[Any]] = [["Logger", 4711], [], ["Time", "Air (°C)", "Part (°C)"]]
    return table + [[stamp(k), 20.0 + 1.125 * k, "OPEN" if k == 2 else 21] for k in range(5)]


def refusal(path: Path, **settled: Any) -> str:
    with pytest.raises(InputError) as told:
        read_log(path, LoggerOptions(**settled))
    return str(told.value)


@pytest.mark.parametrize(
    ("stamp", "started"),
    [
        (lambda k: START + timedelta(seconds=30 * k), START),
        (lambda k: (START + timedelta(seconds=30 * k)).time(), None),
        (lambda k: timedelta(seconds=30 * k), None),
        (lambda k: (START + timedelta(seconds=30 * k)).isoformat(" "), START),
    ],
)
def test_times_in_cells(tmp_path: Path, stamp: Any, started: datetime | None) -> None:
    log = read_log(book(tmp_path / "run.xlsx", Data=rows(stamp)))
    assert log.time.tolist() == pytest.approx([0.0, 30.0, 60.0, 90.0, 120.0])
    assert log.started == started
    assert log.channels[0].values.tolist() == pytest.approx([293.15 + 1.125 * k for k in range(5)])
    assert [bool(v == v) for v in log.channels[1].values] == [True, True, False, True, True]


def test_date_and_time_in_two_cells(tmp_path: Path) -> None:
    table: list[list[Any]] = [["Date", "Time", "Air (°C)"]]
    table += [[START.date(), time(23, 59, 30 * k) if k < 2 else time(23, 59, 59), 20.0 + k] for k in range(3)]
    log = read_log(book(tmp_path / "run.xlsx", Data=table))
    assert (log.started, log.time.tolist()) == (datetime(2026, 3, 4, 23, 59), [0.0, 30.0, 59.0])


def test_midnight_is_a_time_as_any_other(tmp_path: Path) -> None:
    start = datetime(2026, 3, 4, 23, 59, 30)
    log = read_log(book(tmp_path / "run.xlsx", Data=rows(lambda k: start + timedelta(seconds=30 * k))))
    assert (log.started, log.time[-1]) == (start, 120.0)


def test_the_sheet_with_readings_is_found_and_two_are_asked_about(tmp_path: Path) -> None:
    table = rows(lambda k: START + timedelta(seconds=30 * k))
    notes = [["Run 7"], ["Operator", "-"]]
    assert len(read_log(book(tmp_path / "run.xlsx", Notes=notes, Data=table)).time) == 5
    two = book(tmp_path / "two.xlsx", First=table, Second=table[:-1])
    assert refusal(two) == 'two.xlsx: 2 sheets with readings – say which: --sheet "First", --sheet "Second"'
    assert len(read_log(two, LoggerOptions(sheet="Second")).time) == 4
    assert refusal(two, sheet="Secnd") == '--sheet: "Secnd" – two.xlsx has no such sheet (did you mean "Second"?)'


def test_what_is_no_workbook_of_readings(tmp_path: Path) -> None:
    assert refusal(book(tmp_path / "none.xlsx", Notes=[["Run 7"], ["nothing"]])) == (
        "none.xlsx: Notes – no sheet of this workbook holds rows of readings"
    )
    old = tmp_path / "old.xls"
    old.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512))
    assert refusal(old) == "old.xls – this is a workbook of the old kind; save it as .xlsx or as CSV"
    torn = book(tmp_path / "torn.xlsx", Data=rows(lambda k: k))
    torn.write_bytes(torn.read_bytes()[:900])
    assert refusal(torn) == "torn.xlsx – this workbook cannot be opened; save it anew as .xlsx or as CSV"


def test_files_that_are_not_there_or_no_text(tmp_path: Path) -> None:
    gone = tmp_path / "gone.csv"
    assert refusal(gone) == f"{gone} – it cannot be read: No such file or directory"
    assert refusal(tmp_path) == f"{tmp_path} – it cannot be read: Is a directory"
    picture = tmp_path / "run.csv"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)))
    assert refusal(picture) == ("run.csv: not text – a table in a text file (CSV, TSV) or an .xlsx workbook is wanted")
