"""Any log in any of the formats reads back equal; whatever else a file holds ends in a question, never in a fault."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bagside.cure import Sensor
from bagside.errors import InputError
from bagside.records.logger import LoggerOptions, read_log

DAY = datetime(2026, 3, 14, 8, 15, 10)  # the fourteenth: no month is


def _two(seconds: float, form: str) -> str:
    return (DAY + timedelta(seconds=seconds)).strftime(form)


def _elapsed(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


TIMES = {
    # head of its columns, the cells for a time, whether the day is told
    "iso": (["Time"], lambda s: [_two(s, "%Y-%m-%d %H:%M:%S")], True),
    "iso with T": (["timestamp"], lambda s: [_two(s, "%Y-%m-%dT%H:%M:%S.000")], True),
    "iso with zone": (["timestamp"], lambda s: [_two(s, "%Y-%m-%dT%H:%M:%S+01:00")], True),
    "points": (["Zeit"], lambda s: [_two(s, "%d.%m.%Y %H:%M:%S")], True),
    "short year": (["Datum/Uhrzeit"], lambda s: [_two(s, "%d.%m.%y %H:%M:%S")], True),
    "am pm": (["Date Time"], lambda s: [_two(s, "%m/%d/%Y %I:%M:%S %p")], True),
    "named month": (["Date Time"], lambda s: [_two(s, "%d-%b-%Y %H:%M:%S")], True),
    "time first": (["Time"], lambda s: [_two(s, "%H:%M:%S %d/%m/%Y")], True),
    "compact": (["Time"], lambda s: [_two(s, "%Y%m%d_%H%M%S")], True),
    "two columns": (["Date", "Time"], lambda s: [_two(s, "%d/%m/%Y"), _two(s, "%H:%M:%S")], True),
    "time of day": (["Uhrzeit"], lambda s: [_two(s, "%H:%M:%S")], False),
    "french": (["Heure"], lambda s: [_two(s, "%Hh%Mm%S")], False),
    "seconds": (["Time [s]"], lambda s: [f"{s:.0f}"], False),
    "minutes": (["t/min"], lambda s: [f"{s / 60.0:.4f}"], False),
    "hours": (["Elapsed (h)"], lambda s: [f"{s / 3600.0:.6f}"], False),
    "h:mm:ss": (["Elapsed"], lambda s: [_elapsed(s)], False),
}
UNITS = {"°C": lambda k: k - 273.15, "°F": lambda k: k * 1.8 - 459.67, "K": lambda k: k}
PREAMBLES = (
    [],
    ["Serial number: 4711", "Interval: 10 s", ""],
    ["# logger", "# firmware 2"],
    ["Gerät;Lager 3", "Kommentar;Lauf 7", ""],
)


@st.composite
def courses(draw: st.DrawFn) -> np.ndarray:
    """Two sensors [K] that change by less than two kelvin from one reading to the next."""
    count = draw(st.integers(6, 40))
    steps = draw(st.lists(st.integers(-10, 20), min_size=2 * count, max_size=2 * count))
    walk = np.cumsum(np.array(steps, float).reshape(2, count) / 10.0, axis=1)
    return 295.0 + walk


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    course=courses(),
    told=st.sampled_from(sorted(TIMES)),
    unit=st.sampled_from(sorted(UNITS)),
    parted=st.sampled_from([";", "\t", "|", ","]),
    decimal=st.sampled_from([".", ","]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    digits=st.integers(1, 3),
    step=st.sampled_from([1, 10, 60, 300]),
    preamble=st.sampled_from(PREAMBLES),
    units_row=st.booleans(),
    quoted=st.booleans(),
    ended=st.booleans(),
)
def test_any_log_in_any_format_reads_back_equal(
    tmp_path: Path,
    course: np.ndarray,
    told: str,
    unit: str,
    parted: str,
    decimal: str,
    encoding: str,
    end: str,
    digits: int,
    step: int,
    preamble: list[str],
    units_row: bool,
    quoted: bool,
    ended: bool,
) -> None:
    head, cells, dated = TIMES[told]
    quoted = quoted or parted == decimal
    names = ["Ofenluft", "Part 1"]
    rows = [[*head, *names], ["", *[""] * (len(head) - 1), unit, unit]]
    if not units_row:
        rows = [[*head, *(f"{n} ({unit})" for n in names)]]
    for k in range(course.shape[1]):
        numbers = [f"{UNITS[unit](v):.{digits}f}".replace(".", decimal) for v in course[:, k]]
        time = [c.replace(".", decimal) if told in ("minutes", "hours") else c for c in cells(float(k * step))]
        rows.append([*time, *numbers])
    mark = '"' if quoted else ""
    lines = [*preamble, *(parted.join(f"{mark}{c}{mark}" for c in row) for row in rows)]
    path = tmp_path / "any.csv"
    path.write_bytes((end.join(lines) + (end if ended else "")).encode(encoding))
    log = read_log(path)
    assert [(c.name, c.sensor) for c in log.channels] == [("Ofenluft", Sensor.AIR), ("Part 1", Sensor.PART)]
    np.testing.assert_allclose(log.time, step * np.arange(course.shape[1]), atol=0.01)
    found = np.array([c.values for c in log.channels])
    np.testing.assert_allclose(found, course, atol=0.51 * 10.0**-digits)
    assert (log.started is not None) == dated
    if log.started is not None:
        assert log.started.replace(tzinfo=None) == DAY


LETTERS = st.text(st.characters(codec="utf-8"), max_size=30)
WORDS = (
    "Time;TC1;TC1 (°C);08:00;12:59:59;25:61:00;03/04/2026;2026-02-30;9999;-200;OPEN;;1,5;1.013,2;1,2,3;\";'; ;#;°;1e400"
    ";nan;inf;--;12 AM;0;00:00;46000.5;1700000000;99999999999999999999;T;Z;+01:00;1d 02:00;\u0000;\ufeff;1'000;½"
)
CELLS = st.sampled_from(WORDS.split(";"))
SOUP = st.lists(st.lists(CELLS, max_size=6), max_size=30)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(SOUP, st.sampled_from([";", ",", "\t", " ", "  ", "|"]), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_soup_ends_in_a_question_or_a_log(tmp_path: Path, rows: list[list[str]], mark: str, encoding: str) -> None:
    path = tmp_path / "soup.csv"
    path.write_bytes("\n".join(mark.join(r) for r in rows).encode(encoding, "replace"))
    _read_or_asked(path, LoggerOptions())
    _read_or_asked(path, LoggerOptions(units={"": ("°C", "mbar")}, every=10.0, ambient=1e5))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=400) | LETTERS.map(str.encode) | st.binary(max_size=60).map(lambda b: b"PK\x03\x04" + b))
def test_garbage_ends_in_a_question(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "garbage.csv"
    path.write_bytes(data)
    _read_or_asked(path, LoggerOptions())


def _read_or_asked(path: Path, options: LoggerOptions) -> None:
    try:
        log = read_log(path, options)
    except InputError as error:
        questions = error.problems
    else:
        assert (np.diff(log.time) > 0.0).all()
        return
    assert questions
    assert all(q.wanted for q in questions)
