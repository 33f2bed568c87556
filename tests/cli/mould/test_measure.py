"""``bagside mould measure``: figures of a tray whose walls are known, and whole messages for what cannot be read."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import pytest

from bagside.cli.app import outcome
from bagside.geometry.surface import Surface
from moulds import tray

MM = ["--unit", "mm", "--side", "0 0 1"]
PLANE = 'a point and a normal are wanted, as in "0 0 0 mm / 1 0 0"'


def written(surface: Surface, path: Path) -> str:
    record = np.zeros(len(surface.triangles), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    record["v"] = 1e3 * surface.corners
    path.write_bytes(b"tray".ljust(80) + struct.pack("<I", len(record)) + record.tobytes())
    return str(path)


@pytest.fixture(scope="module")
def mesh(tmp_path_factory: pytest.TempPathFactory) -> str:
    surface = tray(length=0.2, width=0.15, depth=0.06, wall=0.02, flange=0.02, edge=0.0025)
    return written(surface, tmp_path_factory.mktemp("mould") / "tray.stl")


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = outcome(["mould", "measure", *words])
    got = capsys.readouterr()
    return code, got.out, got.err


def test_a_tray_in_one_object(mesh: str, capsys: pytest.CaptureFixture[str]) -> None:
    line = ["--line", "-120 0 0; 0 0 -60; 120 0 0 mm", "--section", "0 1 0 mm / 0 1 0"]
    code, out, _ = said(capsys, mesh, *MM, "--scale", "6 mm", "--sharper", "6 mm", *line, "--json")
    assert code == 0
    found = json.loads(out)["mould"]
    slope = np.degrees(np.arctan2(20, 60))
    (piece,) = found["pieces"]
    assert piece["wall_draft_deg"] == pytest.approx(slope, abs=1e-3)
    assert piece["undercuts"] == []
    assert found["size_mm"] == pytest.approx([240, 190, 60], abs=1e-3)
    valleys = [one for one in found["lines"] if one["kind"] == "valley"]
    assert [one["included_angle_deg"] for one in valleys[:4]] == pytest.approx([90 + slope] * 4, abs=0.3)
    assert [one["length_mm"] for one in valleys[:4]] == pytest.approx([160, 160, 110, 110], abs=1.5)
    across = 2 * (20 + np.hypot(20, 60)) + 160
    (length,), (section,) = found["lengths"], found["sections"]
    assert length["length_mm"] == pytest.approx(across, abs=0.01)
    assert length["legs_mm"] == pytest.approx([across / 2, across / 2], abs=0.01)
    assert section["length_mm"] == pytest.approx(across, abs=0.01)


def test_split_pieces_each_by_its_own_pull(mesh: str, capsys: pytest.CaptureFixture[str]) -> None:
    left = ["--pull", "left: 0 -1 0 @ 0 0 0 mm / 0 -1 0"]
    right = ["--pull", "right: 0 1 0 @ 0 0 0 mm / 0 1 0"]
    code, out, _ = said(capsys, mesh, *MM, *left, *right, "--sharper", "4 mm", "--json")
    pieces = json.loads(out)["mould"]["pieces"]
    assert [p["name"] for p in pieces] == ["left", "right"]
    assert [p["pull"] for p in pieces] == [[0, -1, 0], [0, 1, 0]]
    # pulled sideways the long wall comes straight off; the end walls and the floor drag along the pull
    assert [p["least_draft_deg"] for p in pieces] == pytest.approx([0, 0], abs=0.1)
    assert [p["undercuts"] for p in pieces] == [[], []]
    assert sum(p["area_m2"] for p in pieces) == pytest.approx(json.loads(out)["mould"]["area_m2"])
    assert code == 0
    code, out, _ = said(capsys, mesh, *MM, "--pull", "up: 0 0 1", "--sharper", "4 mm", "--json")
    (wrong,) = json.loads(out)["mould"]["pieces"]
    assert wrong["undercut_cm2"] == pytest.approx(1e4 * wrong["area_m2"])
    assert code == 1


def test_it_shows_tables(mesh: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capsys, mesh, *MM, "--sharper", "4 mm", "--line", "-100 0 0; 100 0 0 mm")
    assert code == 0
    for words in ("How each piece comes off", "Valleys and ridges", "V1 valley", "R1 ridge", "line 1", "240.0 × 190.0"):
        assert words in out


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([], '--unit and --side – they are wanted, as in --unit mm --side "0 0 1" (or --job)'),
        ([*MM, "--scale", "0 mm"], '--scale: "0 mm" – more than zero is wanted'),
        ([*MM, "--pull", "0 0 1"], '--pull: "0 0 1" – a name and a direction are wanted, as in "left: 0 -1 0"'),
        ([*MM, "--pull", "a: 0 0 1 @ 0 0 0"], f'--pull: " 0 0 0" – {PLANE}'),
        ([*MM, "--section", "0 0 0 mm"], f'--section: "0 0 0 mm" – {PLANE}'),
        ([*MM, "--line", "0 0 0 mm"], '--line: "0 0 0 mm" – two points or more are wanted, as in "0 0 0; 50 0 5 mm"'),
        (
            ["--unit", "mm", "--job", "job.toml"],
            "--job: job.toml – unit, side and keep are stated by the job (leave them out)",
        ),
    ],
)
def test_what_cannot_be_read_is_named(
    mesh: str, words: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = said(capsys, mesh, *words)
    assert code == 2
    assert out == ""
    assert err == f"bagside: this cannot be used\n  {message}\n"


def test_a_line_off_the_mould_is_named(mesh: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = said(capsys, mesh, *MM, "--sharper", "4 mm", "--line", "0 0 0; 50 0 0 mm")
    assert code == 2
    assert err == (
        "bagside: this cannot be used\n  point 1 of the line over the mould: 0 0 0 mm – a point within 5 mm of the "
        "surface is wanted (the surface is 60.0 mm away, at 0.0 0.0 -60.0 mm)\n"
    )
