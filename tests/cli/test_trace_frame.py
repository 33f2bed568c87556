"""The commands that come once before a trace: what they write and what they say."""

from __future__ import annotations

import json

import pypdfium2
import pytest

from bagside.camera.lens import read_lens
from bagside.camera.marks import frame
from bagside.camera.table import read_table
from bagside.cli.trace_frame import trace_frame, trace_lens, trace_table
from bagside.errors import InputError, OutputError
from camera.photos import laid_table, render


def test_a_sheet_is_printed(tmp_path, capsys) -> None:
    out = tmp_path / "frame.pdf"
    assert trace_frame(paper="a4", out=out, table=False, json=True) == 0
    assert json.loads(capsys.readouterr().out)["frame"] == {
        "file": str(out), "sheet": "A4", "rules_mm": [180.0, 250.0],
    }  # fmt: skip
    assert len(pypdfium2.PdfDocument(out)) == 1
    assert trace_frame(paper="A3", out=out, table=True, json=False) == 0
    assert len(pypdfium2.PdfDocument(out)) == 10
    assert list(tmp_path.iterdir()) == [out]
    with pytest.raises(OutputError, match=r"cannot be written"):
        trace_frame(paper="A4", out=tmp_path / "none" / "frame.pdf", table=False, json=False)


def test_a_lens_and_a_table_are_kept(tmp_path, capsys) -> None:
    size = (1000, 750)
    sheet, (table, cuts) = frame("A4"), laid_table()
    for k in range(4):
        (tmp_path / f"s{k}.jpg").write_bytes(render(sheet, size=size, tilt=0.45, azimuth=1.3 * k, seed=k)[0])
        data = render(table, size=(1600, 1200), tilt=0.45, azimuth=1.3 * k, seed=k, sheets=cuts)[0]
        (tmp_path / f"t{k}.jpg").write_bytes(data)
    lens = tmp_path / "lens.toml"
    photos = sorted(tmp_path.glob("s?.jpg"))
    assert trace_lens(photos, frame="A4", out=lens, rule_x="180 mm", rule_y="250 mm", json=True) == 0
    told = json.loads(capsys.readouterr().out)["lens"]
    assert told["focal_px"] == pytest.approx(read_lens(lens).f, abs=0.001)
    assert told["focal_px"] == pytest.approx(3010 * 1000 / 4032, rel=5e-3)
    kept = tmp_path / "table.toml"
    photos = sorted(tmp_path.glob("t?.jpg"))
    assert trace_table(photos, out=kept, rule_x="", rule_y="", name="bench", lens_out=lens, json=True) == 0
    told = json.loads(capsys.readouterr().out)
    assert [p["page"] for p in told["table"]["pages"]] == [1, 2, 3, 4, 5, 6]
    assert told["findings"][0]["what"] == "not both rules were measured"
    assert read_table(kept).name == "bench"
    assert read_lens(lens).f == pytest.approx(3010 * 1600 / 4032, rel=5e-3)
    with pytest.raises(InputError, match="--rule-x"):
        trace_table(photos, out=kept, rule_x="180", rule_y="", name="bench", lens_out=None, json=True)


def test_every_file_that_is_no_photo_is_named(tmp_path) -> None:
    with pytest.raises(InputError) as refused:
        trace_lens([tmp_path / "a.jpg", tmp_path / "b.jpg"], frame="A4", out=tmp_path / "l.toml", json=False)
    assert [p.place for p in refused.value.problems] == ["a.jpg", "b.jpg"]
