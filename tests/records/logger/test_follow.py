"""A file while it grows: at each moment what is read is what a whole reading of its whole lines would be."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from written import air_at, behind, clock_rows, course, text_of

from bagside.errors import InputError
from bagside.records.logger import Follower, LoggerOptions, read_log

HEAD = ["Time", "Oven (°C)", "TC 1 (°C)"]
TIME, (AIR, PART, _) = course(hours=1.0)
TEXT = "Serial;4711\n\n" + text_of(HEAD, clock_rows([AIR, PART]))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    cuts=st.lists(st.integers(0, len(TEXT)), min_size=1, max_size=12),
    encoding=st.sampled_from(["utf-8", "utf-16", "cp1252"]),
    end=st.sampled_from(["\n", "\r\n"]),
)
def test_pieces_of_any_size_give_the_same_as_the_whole(
    tmp_path: Path, cuts: list[int], encoding: str, end: str
) -> None:
    path = tmp_path / "run.csv"
    path.unlink(missing_ok=True)
    data = TEXT.replace("\n", end).encode(encoding)
    follower = Follower(path)
    assert not follower.poll()
    assert follower.log is None
    written = 0
    with path.open("wb") as file:
        for cut in [*sorted(c * len(data) // len(TEXT) for c in cuts), len(data)]:
            file.write(data[written:cut])
            file.flush()
            written = max(written, cut)
            before = 0 if follower.log is None else len(follower.log.time)
            grew = follower.poll()
            after = 0 if follower.log is None else len(follower.log.time)
            assert grew or after == before
    assert follower.log is not None
    whole = read_log(path)
    np.testing.assert_array_equal(follower.log.time, whole.time)
    for one, other in zip(follower.log.channels, whole.channels, strict=True):
        assert (one.name, one.sensor) == (other.name, other.sensor)
        np.testing.assert_array_equal(one.values, other.values)
    assert not follower.poll()


def test_a_line_that_is_being_written_waits(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    path.write_text(TEXT + "09:01:00;120.0;11")
    follower = Follower(path)
    assert follower.poll()
    assert follower.log is not None
    assert follower.log.time[-1] == TIME[-1]
    with path.open("a") as file:
        file.write("8.5\n")
    assert follower.poll()
    assert follower.log.channels[1].values[-1] == pytest.approx(273.15 + 118.5)


def test_a_file_begun_anew_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    rows = clock_rows([AIR, PART])
    path.write_text(text_of(HEAD, rows[:30]))
    follower = Follower(path)
    assert follower.poll()
    path.write_text(text_of(HEAD, rows[40:44]))
    assert follower.poll()
    assert follower.log is not None
    assert follower.log.time.tolist() == [*(60.0 * k for k in range(30)), *(60.0 * k for k in range(40, 44))]
    first = follower.log.noticed[0]
    assert (first.severity.value, first.place) == ("watch", "run.csv")
    assert first.what == "the logger began its file anew after 30 readings"


def test_a_file_written_again_from_its_start_replaces_what_was_read(tmp_path: Path) -> None:
    path, draft = tmp_path / "run.csv", tmp_path / "draft"
    rows = clock_rows([AIR, PART])
    follower = Follower(path)
    for count in (10, 11, 12):
        draft.write_text(text_of(HEAD, rows[:count]))
        os.replace(draft, path)
        assert follower.poll()
        assert follower.log is not None
        assert follower.log.time.tolist() == [60.0 * k for k in range(count)]
    assert [f.what for f in follower.log.noticed] == ["the logger wrote its file again from the start"]


def test_a_file_begun_anew_with_other_columns(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    path.write_text(text_of(HEAD, clock_rows([AIR, PART])))
    follower = Follower(path)
    assert follower.poll()
    path.write_text(text_of(["Time", "Oven (°C)"], clock_rows([AIR])[:5]))
    with pytest.raises(InputError) as told:
        follower.poll()
    assert str(told.value) == (
        "run.csv: Time, Oven – the logger began its file anew with other columns than before: Time, Oven, TC 1 (read "
        "the two files one by one)"
    )


def test_a_clock_set_back_while_it_runs_is_not_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    rows = clock_rows([AIR, PART], form="%Y-%m-%d %H:%M:%S")
    rows = [[row[0] if k < 30 else rows[k - 12][0], *row[1:]] for k, row in enumerate(rows)]
    path.write_text(text_of(HEAD, rows))
    follower = Follower(path)
    assert follower.poll()
    assert follower.log is not None
    np.testing.assert_allclose(follower.log.time, TIME)
    assert [f.severity.value for f in follower.log.noticed] == ["watch"]


def test_questions_come_when_the_first_readings_do(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    follower = Follower(path)
    path.write_text("Time;Oven\n")
    assert not follower.poll()
    with path.open("a") as file:
        file.write("08:00:00;20\n08:00:10;21\n08:00:20;22\n")
    with pytest.raises(InputError) as told:
        follower.poll()
    assert str(told.value) == (
        'run.csv, column Oven: "20" – the unit of this temperature is not told and is not guessed; say --unit "°C", '
        '"°F" or K (for one column alone, as in --unit "Oven=°C")'
    )
    settled = Follower(path, LoggerOptions(units={"": ("°C",)}))
    assert settled.poll()


def test_a_workbook_cannot_be_followed(tmp_path: Path) -> None:
    with pytest.raises(InputError) as told:
        Follower(tmp_path / "run.xlsx")
    assert str(told.value) == "run.xlsx – a workbook cannot be followed while it grows; a text file is wanted"


def test_whole_numbers_at_first_and_commas_later(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    path.write_text("Time;Oven (°C)\n" + "".join(f"08:00:{k:02d};20\n" for k in range(10)))
    follower = Follower(path)
    assert follower.poll()
    with path.open("a") as file:
        file.write("08:00:10;20,5\n")
    assert follower.poll()
    assert follower.log is not None
    assert follower.log.channels[0].values[-1] == pytest.approx(293.65)


def test_a_day_at_a_second_is_followed_in_small_steps(tmp_path: Path) -> None:
    """Only what is new is read: bytes taken in add up to the file's, whatever the number of looks."""
    path = tmp_path / "run.csv"
    time = np.arange(0.0, 7200.0)
    rows = clock_rows([air_at(time), behind(time, 400.0)], step=1.0)
    follower = Follower(path)
    lines = text_of(HEAD, rows).splitlines(keepends=True)
    with path.open("w") as file:
        for start in range(0, len(lines), 600):
            file.writelines(lines[start : start + 600])
            file.flush()
            assert follower.poll()
    assert follower._offset == path.stat().st_size
    assert follower.log is not None
    np.testing.assert_array_equal(follower.log.time, time)


WORDS = (
    "Time|TC1|TC1 (°C)|08:00|12:59:59|03/04/2026|9999|-200|OPEN||1,5|1.013,2|\"|'| "
    "|#|nan|--|0|00:00|\0|½|\n|\n|\n|;|;|;|,|\t|20|21.5"
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    pieces=st.lists(st.lists(st.sampled_from(WORDS.split("|")), max_size=120).map("".join), max_size=4),
    anew=st.booleans(),
)
def test_soup_in_pieces_ends_in_a_question_or_a_log(tmp_path: Path, pieces: list[str], anew: bool) -> None:
    path = tmp_path / "soup.csv"
    path.write_text("")
    follower = Follower(path, LoggerOptions(units={"": ("°C",)}, every=10.0))
    try:
        for piece in pieces:
            with path.open("w" if anew else "a") as file:
                file.write(piece)
            follower.poll()
            log = follower.log
            assert log is None or (np.diff(log.time) > 0.0).all()
    except InputError as error:
        questions = error.problems
    else:
        return
    assert questions
