"""A drawing in black alone: two colours, every band its own hatch, steps that are told apart, nothing grey."""

from __future__ import annotations

import base64
import io
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from bagside.geometry import Surface
from bagside.sheets import colour, marks, paper
from bagside.sheets.black import HATCHES, KIT_SHARES, SHEAR_SHARES, STRETCH_SHARES, in_black
from bagside.sheets.grounds import on_cloth
from bagside.sheets.picture import OnMould, mould_picture
from bagside.sheets.view import View

FLAT = View(right=np.array([1.0, 0, 0]), up=np.array([0, 1.0, 0]), towards=np.array([0, 0, 1.0]), tilt=0.0)
SQUARE = np.array([[0.0, 0, 0], [0.1, 0, 0], [0.1, 0.1, 0], [0, 0.1, 0]])
TWO = np.array([[0, 1, 2], [0, 2, 3]])


def _sheet(*parts: str) -> str:
    return paper.sheet(80.0, 40.0, parts, title="a drawing")


def _colours(svg: str) -> set[str]:
    return set(re.findall(r"#[0-9a-f]{6}", svg))


def _rasters(svg: str) -> list[Image.Image]:
    return [Image.open(io.BytesIO(base64.b64decode(d))) for d in re.findall(r"base64,([^\"]+)", svg)]


def test_every_ink_of_a_sheet_is_black_or_white() -> None:
    inks = [v for v in vars(colour).values() if isinstance(v, str) and re.fullmatch(r"#[0-9a-f]{6}", v)]
    assert len(inks) > 10
    drawn = _sheet(*(paper.rect(0, 0, 5, 5, weight=0.25, ink=ink, fill=ink) for ink in [*inks, "#7f3b2a", "#f5e6d3"]))
    got = in_black(drawn)
    assert _colours(got) == {"#000000", "#ffffff"}
    ET.fromstring(got)


@pytest.mark.parametrize("bands", [colour.SHEAR, colour.STRETCH])
def test_each_band_of_a_scale_has_its_own_hatch(bands: colour.Bands) -> None:
    got = in_black(_sheet(marks.scale_bar(5, 5, bands)))
    assert _colours(got) == {"#000000", "#ffffff"}
    used = set(re.findall(r"url\(#([^)]*)\)", got))
    assert len(used) == len(bands.colours) - 1  # nothing is white
    assert used == set(re.findall(r'<pattern id="([^"]*)"', got))
    told = {HATCHES[c] for c in bands.colours}
    assert len(told) == len(bands.colours)


@pytest.mark.parametrize("shares", [SHEAR_SHARES, STRETCH_SHARES[4:], STRETCH_SHARES[4::-1], KIT_SHARES])
def test_a_step_is_at_least_a_sixth_of_the_darker(shares: tuple[float, ...]) -> None:
    for a, b in pairwise(shares):
        assert b - a >= b / 6


def test_the_cloths_ink_is_a_line_and_the_band_of_the_same_colour_a_hatch() -> None:
    assert colour.CLOTH in colour.SHEAR.colours
    rect = paper.rect(0, 0, 5, 5, fill=colour.CLOTH)
    assert 'fill="#000000"' in in_black(_sheet(rect))
    assert f'fill="url(#black-{colour.CLOTH[1:]})"' in in_black(_sheet(on_cloth([rect])))


@pytest.mark.parametrize("band", range(9))
def test_the_hatch_of_a_picture_is_as_black_as_its_band(band: int) -> None:
    plate = Surface(SQUARE, TWO)
    values = np.full(2, np.radians(5.0 * band + 2.0))
    svg = mould_picture(plate, [OnMould(surface=plate, values=values)], size_mm=(60, 60), view=FLAT).svg
    got = in_black(svg)
    assert _colours(got) <= {"#000000", "#ffffff"}
    (image,) = _rasters(got)  # the shade is gone
    levels = np.asarray(image.convert("RGBA"))
    inside = levels[200:-200, 200:-200]
    assert set(np.unique(inside[..., :3])) <= {0, 255}
    assert (inside[..., 0] == 0).mean() == pytest.approx(SHEAR_SHARES[band], abs=0.03)


def test_plain_cloth_and_mould_are_paper() -> None:
    plate = Surface(SQUARE, TWO)
    got = in_black(mould_picture(plate, [OnMould(surface=plate)], size_mm=(60, 60), view=FLAT).svg)
    assert "<image" not in got
    assert 'class="mould"' in got


def test_a_photo_becomes_dots() -> None:
    photo = Image.fromarray(np.tile(np.linspace(0, 255, 64, dtype=np.uint8), (32, 1)), "L").convert("RGB")
    held = io.BytesIO()
    photo.save(held, "JPEG")
    data = base64.b64encode(held.getvalue()).decode()
    got = in_black(_sheet(f'<image x="0" y="0" width="40" height="20" xlink:href="data:image/jpeg;base64,{data}"/>'))
    (image,) = _rasters(got)
    assert image.mode == "1"
    left, right = (np.asarray(image)[:, s].mean() for s in (slice(0, 16), slice(48, 64)))
    assert left < 0.3 < 0.7 < right


def test_tape_is_a_hollow_bar() -> None:
    got = in_black(_sheet(marks.state_line(np.array([[0.0, 5.0], [9.0, 5.0]]), "in hand")))
    lines = re.findall(r'stroke="(#[0-9a-f]{6})" stroke-width="([0-9.]+)"', got)
    assert lines == [("#000000", "1.5"), ("#ffffff", "1")]


def test_what_is_no_drawing_is_refused() -> None:
    with pytest.raises(ValueError, match="begins with <svg"):
        in_black("words")
    with pytest.raises(ValueError, match="kept in it"):
        in_black(_sheet('<image width="4" height="4" href="a.png"/>'))
