"""The plan command as a person runs it: every file, exit codes, whole messages, nothing half-written."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import ezdxf
import jsonschema
import numpy as np
import pypdfium2
import pytest

from bagside.cli.app import outcome
from domeshop import written_in
from plansentences import left_english


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    job = written_in(tmp_path_factory.mktemp("built"))
    assert outcome(["plan", str(job)]) == 0
    return job.parent / "out"


def test_every_file_is_there_and_listed(built: Path) -> None:
    plan = json.loads((built / "plan.json").read_text())
    there = {str(p.relative_to(built)) for p in built.rglob("*") if p.is_file()}
    assert there == {*plan["files"], "plan.json"}
    for label in "1234":
        for end in (".svg", ".dxf", "-A4.pdf"):
            assert f"templates/{label}{end}" in there
    assert {"book.pdf", "cure.csv", "nests/twill-200.svg", "nests/twill-200.dxf"} <= there


def test_the_plan_keeps_to_its_published_schema(built: Path) -> None:
    schema = json.loads(files("bagside.sheets").joinpath("plan.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(json.loads((built / "plan.json").read_text()))


def test_what_it_noticed_can_be_said_in_every_language(built: Path) -> None:
    plan = json.loads((built / "plan.json").read_text())
    stated = "".join(p.read_text() for p in (built.parent / "job.toml", *built.parents[2].glob("workshop.toml")))
    assert len(plan["findings"]) >= 3
    assert left_english(plan, stated) == []


def test_a_template_measures_what_the_plan_says(built: Path) -> None:
    plan = json.loads((built / "plan.json").read_text())
    piece = plan["drape"]["pieces"][0]
    document = ezdxf.readfile(built / "templates" / "1.dxf")
    assert document.header["$INSUNITS"] == 4
    points = np.concatenate(
        [np.array(list(e.get_points("xy"))) for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "CUT"]
    )
    assert np.ptp(points, axis=0) == pytest.approx([piece["length_mm"], piece["width_mm"]], abs=0.01)


def test_the_book_says_what_must_be_said(built: Path) -> None:
    document = pypdfium2.PdfDocument(built / "book.pdf")
    text = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    for words in ("Dome", "Ply 1", "Ply 4", "Cut list", "Bag", "Cure", "Steps", "Time", "Money", "isocyanates"):
        assert words in text, words
    assert "does not certify" in text
    assert "\ufffd" not in text
    assert all(page.get_size() == pytest.approx((595.3, 841.9), abs=1.0) for page in document)


def test_the_cure_table_is_numbers_that_rise_in_time(built: Path) -> None:
    rows = list(csv.reader(io.StringIO((built / "cure.csv").read_text())))
    values = np.array(rows[1:], dtype=float)
    assert rows[0][:2] == ["time_min", "programme_c"]
    assert (np.diff(values[:, 0]) > 0).all()
    assert values[0, 1] == pytest.approx(20, abs=0.01)
    assert values[:, 1].max() == pytest.approx(120, abs=0.01)


def test_a_second_run_changes_nothing_and_says_so(built: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = {p: p.stat().st_mtime_ns for p in built.rglob("*")}
    assert outcome(["plan", str(built.parent)]) == 0
    assert "Nothing has changed since the last plan" in capsys.readouterr().err
    assert {p: p.stat().st_mtime_ns for p in built.rglob("*")} == before


def test_a_file_touched_by_hand_is_made_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = written_in(tmp_path)
    outcome(["plan", str(job)])
    book = job.parent / "out" / "book.pdf"
    whole = book.read_bytes()
    book.write_bytes(b"spilt")
    (job.parent / "out" / "my own.txt").write_text("keep")
    assert outcome(["plan", str(job)]) == 0
    assert book.read_bytes() == whole
    assert (job.parent / "out" / "my own.txt").read_text() == "keep"
    capsys.readouterr()


def test_json_is_one_object_and_progress_stays_off_it(built: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["plan", str(built.parent), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["job"]["name"] == "Dome"


def test_a_stop_turns_the_exit_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = written_in(tmp_path, ('material = "carbon-epoxy"', 'material = "mdf"'))
    assert outcome(["plan", str(job)]) == 1
    assert "stop: mould of mdf" in capsys.readouterr().err


def test_an_output_folder_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = written_in(tmp_path)
    (tmp_path / "file").write_text("x")
    assert outcome(["plan", str(job), "--out", str(tmp_path / "file" / "out")]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == (
        f'bagside: the results cannot be written to "{tmp_path / "file" / "out"}": not a directory; '
        "state another folder with --out. Nothing was changed.\n"
    )


def test_bad_input_leaves_no_folder_behind(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = written_in(tmp_path, ('start = "0 0 100 mm"', 'start = "0 0 160 mm"'))
    assert outcome(["plan", str(job)]) == 2
    assert not (job.parent / "out").exists()
    assert capsys.readouterr().err.splitlines()[-2] == "bagside: this cannot be used"


def test_every_problem_is_told_with_a_count(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = written_in(tmp_path, ('unit = "mm"\n', ""), ('angle = "0°"', "angle = 0"))
    assert outcome(["plan", str(job)]) == 2
    assert capsys.readouterr().err == (
        "bagside: 2 things cannot be used\n"
        '  job.toml, ply 1, angle – 0 has no unit; a number with a unit is wanted, as in "45°"\n'
        "  job.toml, mould, unit – this is missing and cannot be guessed\n"
    )


def test_a_fault_of_the_program_shows_a_number_and_no_traceback(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)

    def broken(*_: object) -> None:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr("bagside.spec.opening.open_job", broken)
    assert outcome(["plan", "anything"]) == 70
    told = capsys.readouterr().err
    assert "a fault of the program itself, number " in told
    assert "Traceback" not in told
    (kept,) = (tmp_path / "bagside-faults").iterdir()
    assert "ZeroDivisionError: planted" in kept.read_text()


def test_it_runs_as_a_module_and_starts_fast_enough_to_help() -> None:
    done = subprocess.run([sys.executable, "-m", "bagside", "--help"], capture_output=True, text=True, check=True)
    for command in ("plan", "drape", "laminate", "cut", "bag", "bond", "coat", "mould", "cure"):
        assert command in done.stdout


def test_a_store_that_cannot_be_written_does_not_stop_a_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = written_in(tmp_path)
    (tmp_path / "shop" / ".bagside-cache").write_text("in the way")
    assert outcome(["plan", str(job)]) == 0
    assert "results are not kept for the next time" in capsys.readouterr().err
    assert (job.parent / "out" / "book.pdf").exists()


def test_a_plain_part_needs_no_brackets_coats_or_holes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = written_in(tmp_path, workshop=(("people = 2", 'people = 1\npaper = "Letter"'),))
    text = job.read_text(encoding="utf-8")
    for section in ("[[brackets]]", "[finish]", "[replaces]", "[[holes]]"):
        start = text.index(section)
        end = text.find("\n[", start + 2)
        text = text[:start] + (text[end + 1 :] if end > 0 else "")
    job.write_text(text, encoding="utf-8")
    assert outcome(["plan", str(job), "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    assert (plan["joining"]["bonds"], plan["finishing"]["coats"], plan["laminate"]["match"]) == ([], [], None)
    assert "templates/1-Letter.pdf" in plan["files"]
