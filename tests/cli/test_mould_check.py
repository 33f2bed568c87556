"""``bagside mould check``: what it says of a scan, in words and as JSON, and what it writes."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

import scans
from bagside.cli.app import outcome
from bagside.geometry import mended, read_mesh
from bagside.spec.job import Mould
from bagside.spec.reading import stated_from

TRAY = scans.Tray()
COMMON = ("--unit", "mm", "--side", "0 0 1", "--noise", "0.1 mm")


@pytest.fixture(scope="module")
def scan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("scan") / "tray.stl"
    scans.write_stl(scans.scanned(TRAY, 60_000, 2, scans.Dirt(noise=0.0001)), path)
    return path


def test_json_tells_what_was_found_and_done(
    scan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "clean.stl"
    more = ("--fill-holes", "80 mm", "--smallest-fillet", "4 mm", "--out", str(out), "--json")
    assert outcome(["mould", "check", str(scan), *COMMON, *more]) in (0, 1)
    found = json.loads(capsys.readouterr().out)["mould"]
    assert found["area_m2"] == pytest.approx(TRAY.area, rel=0.005)
    assert found["roughness_mm"] == pytest.approx(0.1, rel=0.1)
    assert len(found["holes_closed"]) == 6
    assert found["holes"] == []
    assert found["passes_left_out"] == 3
    assert found["noise_mm"] == pytest.approx(0.1)
    assert 0 < found["deviation"]["rms_mm"] < found["deviation"]["p99_mm"] < found["deviation"]["largest_mm"] < 0.5
    clean, report = mended(read_mesh(out, "mm"), facing=(0, 0, 1))
    assert clean.area == pytest.approx(TRAY.area, rel=0.005)
    assert report.triangles == found["triangles_clean"]
    assert len(clean.loops) == 1


def test_net_edge_region_and_words(scan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edge = "-80 -100 -55; 80 -100 -55; 80 100 -55; -80 100 -55 mm"
    arguments = ["mould", "check", str(scan), *COMMON, "--net-edge", edge, "--inside", "0 0 -55 mm", "--json"]
    assert outcome(arguments) in (0, 1)
    found = json.loads(capsys.readouterr().out)["mould"]
    assert found["net_edge"]["length_mm"] == pytest.approx(720, rel=0.005)
    assert found["net_edge"]["side_stated"] is True
    arguments = ["mould", "check", str(scan), *COMMON, "--box", "-200 -50; 200 50 mm"]
    assert outcome(arguments) in (0, 1)
    told = capsys.readouterr()
    assert "roughness measured, stated" in told.out
    assert "roughness" in told.out
    assert outcome([*arguments, "--json"]) in (0, 1)
    said = [f["what"] for f in json.loads(capsys.readouterr().out)["findings"]]
    assert any("Cut down to the stated region" in what for what in said)


@pytest.mark.parametrize(
    ("option", "text", "said"),
    [
        ("--net-edge", "0 0; 1 1 mm", "3 numbers for each point and one unit at the end are wanted"),
        ("--net-edge", "0 0 0; 9 0 0; 0 9 0", "3 numbers for each point and one unit at the end are wanted"),
        ("--box", "0 0 mm", "two corners are wanted"),
        ("--beside", "0 0 5 mm", "a point and a normal are wanted"),
        ("--off-table", "2 mm", "there is no table in the mesh"),
        ("--inside", "0 0 0 mm", "says nothing without a net_edge"),
        ("--fill-holes", "-3 mm", "zero or more is wanted"),
    ],
)
def test_options_that_do_not_fit_are_one_sentence(
    scan: Path, capsys: pytest.CaptureFixture[str], option: str, text: str, said: str
) -> None:
    assert outcome(["mould", "check", str(scan), *COMMON, option, text]) == 2
    assert said in " ".join(capsys.readouterr().err.split())


def test_a_wrong_unit_is_refused_with_what_the_others_give(scan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["mould", "check", str(scan), "--unit", "m", "--side", "0 0 1"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "in mm 33" in told
    assert "in in " in told


def test_an_out_that_cannot_be_written_is_told(scan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["mould", "check", str(scan), *COMMON, "--out", str(scan / "no" / "where.stl")]) == 2
    assert "the clean surface cannot be written" in " ".join(capsys.readouterr().err.split())


def test_the_job_states_the_same_and_changes_nothing_by_default() -> None:
    plain = Mould(mesh="m.stl", unit="mm", laminate_side=(0, 0, 1), material="a", thickness=0.01)
    assert (plain.net_edge, plain.inside, plain.fill_holes, plain.smallest_fillet) == ((), None, 0.0, 0.0)
    assert (plain.off_table, plain.crop) == (0.0, None)
    stated = {
        "mesh": "m.stl",
        "unit": "mm",
        "laminate_side": [0, 0, 1],
        "material": "a",
        "thickness": "10 mm",
        "net_edge": ["0 0 0 mm", "90 0 0 mm", "90 60 0 mm"],
        "inside": "50 20 0 mm",
        "fill_holes": "40 mm",
        "smallest_fillet": "3 mm",
        "off_table": "2 mm",
        "crop": {"beside": {"point": "0 0 5 mm", "normal": [0, 0, 1]}},
    }
    read = stated_from(stated, Mould, "job.toml")
    assert np.allclose(read.net_edge, [(0, 0, 0), (0.09, 0, 0), (0.09, 0.06, 0)])
    assert read.inside == pytest.approx((0.05, 0.02, 0))
    assert (read.fill_holes, read.smallest_fillet, read.off_table) == pytest.approx((0.04, 0.003, 0.002))
    assert read.crop is not None
