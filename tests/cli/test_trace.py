"""``bagside trace``: what it writes is read back by other libraries; what it cannot use is told."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from PIL import Image
from pydantic import TypeAdapter
from svgelements import SVG
from svgelements import Path as SvgPath

from bagside.camera import frame
from bagside.cli.trace import trace
from bagside.errors import InputError
from bagside.sheets.traced import template_names
from bagside.spec.template import Template
from camera import photos

CARD = np.array([[0.05, 0.07], [0.15, 0.06], [0.16, 0.20], [0.11, 0.18], [0.06, 0.22]])
HOLE = np.array([[0.09, 0.10], [0.12, 0.10], [0.12, 0.13], [0.09, 0.13]])
RULES = [f"{1e3 * r:.1f} mm" for r in frame("A4").rules]


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    thing = photos.cloth(CARD, holes=[HOLE], marks=[photos.strip((0.07, 0.16), (0.13, 0.16), 0.003)])
    data, _ = photos.render(frame("A4"), [thing], size=(1800, 1350), tilt=0.3, azimuth=2.0)
    path = tmp_path_factory.mktemp("photo") / "Rudder pad 2.jpg"
    path.write_bytes(data)
    return path


def run(photo: Path, **more: object) -> int:
    usual = {
        "frame": "A4", "rule_x": RULES[0], "rule_y": RULES[1], "thick": "0.3 mm", "tolerance": "0.2 mm", "warp": "",
        "lens": None, "name": "", "out": None, "json": False,
    }  # fmt: skip
    return trace(photo, **(usual | more))  # type: ignore[arg-type]


def test_files_are_true_to_size_for_other_readers(
    photo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert run(photo, out=out, json=True) == 0
    told = json.loads(capsys.readouterr().out)["camera"]
    (one,) = told["outlines"]
    true = shapely.Polygon(1e3 * CARD, [1e3 * HOLE])
    assert sorted(p.name for p in out.iterdir()) == [
        "outline.dxf", "outline.svg", "overlay.png", "rectified.png", "template.toml",
    ]  # fmt: skip
    assert one["area_cm2"] == pytest.approx(true.area / 100, rel=0.004)
    assert one["corners"] == 9
    assert one["warp_deg"] == pytest.approx(0.0, abs=0.5)
    assert not one["warp_either_way"]
    assert told["tilt_deg"] == pytest.approx(np.degrees(0.3), abs=1.5)

    drawing = ezdxf.readfile(out / "outline.dxf")
    assert drawing.header["$INSUNITS"] == 4  # millimetres (DXF reference)
    loops = [np.array(e.get_points("xy")) for e in drawing.modelspace().query("LWPOLYLINE[layer=='CUT']")]
    assert shapely.Polygon(loops[0], loops[1:]).area == pytest.approx(1e2 * one["area_cm2"], rel=1e-6)

    shapes = [e for e in SVG.parse(str(out / "outline.svg"), ppi=25.4).elements() if isinstance(e, SvgPath)]
    wide = max(e.bbox()[2] - e.bbox()[0] for e in shapes if e.bbox() is not None)
    assert wide == pytest.approx(one["size_mm"][0], abs=0.01)

    table = tomllib.loads((out / "template.toml").read_text(encoding="utf-8"))["templates"]["rudder-pad-2"]
    template = TypeAdapter(Template).validate_python(table)
    own = shapely.Polygon(template.points, template.holes)
    assert 1e4 * own.area == pytest.approx(one["area_cm2"], rel=1e-3)
    assert own.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-5)
    assert template.warp == pytest.approx(np.radians(one["warp_deg"]), abs=2e-3)

    with Image.open(out / "rectified.png") as picture:
        scale = picture.info["dpi"][0] / 25.4
        low, high = frame("A4").window.min(axis=0), frame("A4").window.max(axis=0)
        assert picture.width / scale == pytest.approx(1e3 * (high - low)[0], abs=1.0)
    with Image.open(out / "overlay.png") as picture:
        assert picture.width >= 1180


def test_words_and_a_warp_that_is_typed(photo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(photo, warp="y", name="pad") == 0
    told = capsys.readouterr()
    assert "pad" in told.out
    assert "90.0°" in told.out
    assert "± 0." in told.out


def test_what_cannot_be_used_writes_nothing(photo: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    with pytest.raises(InputError, match="markers"):
        run(photo, frame="A3", rule_x="", rule_y="", out=out)
    assert not out.exists()
    with pytest.raises(InputError, match="--thick"):
        run(photo, thick="2")
    with pytest.raises(InputError, match="--warp"):
        run(photo, warp="along")
    with pytest.raises(InputError, match="there is no such file"):
        run(tmp_path / "none.jpg")


def test_names_come_from_the_photo() -> None:
    assert template_names("IMG 0012", 1) == ("img-0012",)
    assert template_names("ä", 2) == ("outline-1", "outline-2")
