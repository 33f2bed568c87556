"""A nest at full size over many sheets, measured on the rendered pages and put together again."""

from __future__ import annotations

import math
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import shapely

sys.path.insert(0, str(Path(__file__).parent))
from nest_example import offcut, ugly

from bagside.cutting import Cloth, FlatPiece, Nest, Placement
from bagside.errors import InputError
from bagside.sheets.nest_tiles import nest_tiles, nest_tiles_pdf
from bagside.sheets.press import SIZES
from bagside.sheets.tiles import CHECK, FOOT, MARGIN, OVERLAP
from bagside.spec.workshop import Paper
from pieces import TWILL, rectangle

PX = 10  # a millimetre
FLAW = rectangle(0.1, 0.1, at=(0.60, 0.45))


@cache
def pages(on: Paper) -> list[np.ndarray]:
    document = pypdfium2.PdfDocument(nest_tiles_pdf(nest_tiles(offcut(), on=on), on=on))
    return [np.asarray(p.render(scale=PX * 25.4 / 72, grayscale=True).to_numpy()).squeeze() for p in document]


def line_at(profile: np.ndarray, place: float, reach: float = 1.5) -> float:
    """Return the weighted middle of what is dark about a place [mm]."""
    a, b = int((place - reach) * PX), int((place + reach) * PX)
    dark = 255.0 - profile[a:b].astype(float)
    dark = np.where(dark > 0.3 * dark.max(), dark, 0)
    return float((dark * (np.arange(a, b) + 0.5)).sum() / dark.sum() / PX)


@pytest.mark.parametrize("on", list(Paper))
def test_the_check_square_on_every_sheet_measures_a_hundred_millimetres(on: Paper) -> None:
    wide, high = SIZES[on]
    left, top = 0.5 * (wide - CHECK), MARGIN + 0.5 * (high - 2 * MARGIN - FOOT - CHECK)
    for page in pages(on)[1:]:
        assert (page.shape[1] / PX, page.shape[0] / PX) == pytest.approx((wide, high), abs=0.15)
        # Other lines cross the square's edges; the middle one of thirty scans does not mind.
        steps = np.linspace(4.0, 92.0, 30)
        ends = (left, left + CHECK, top, top + CHECK)
        scans = [[line_at(page[int((top + d) * PX)], x, 0.8) for d in steps] for x in ends[:2]]
        scans += [[line_at(page[:, int((left + d) * PX)], y, 0.8) for d in steps] for y in ends[2:]]
        x0, x1, y0, y1 = np.median(scans, axis=1)
        assert x1 - x0 == pytest.approx(100.0, abs=0.06)
        assert y1 - y0 == pytest.approx(100.0, abs=0.06)


def test_a_long_piece_over_three_sheets_measures_its_length() -> None:
    nest = Nest(
        cloth=Cloth(material=TWILL, width=0.20),
        pieces=(FlatPiece(label="7", material=TWILL, loops=(rectangle(0.5, 0.08),)),),
        placements=(Placement(label="7", copy=1, turn=0.0, x=0.01, y=0.05),),
    )
    found = nest_tiles(nest, pull=0.53)
    assert [t.name for t in found.tiles] == ["A1", "A2", "A3"]
    assert found.empty == ()
    document = pypdfium2.PdfDocument(nest_tiles_pdf(found))
    images = [np.asarray(p.render(scale=PX * 25.4 / 72, grayscale=True).to_numpy()).squeeze() for p in document][1:]
    y = MARGIN + (200.0 - 95.0) - found.tiles[0].top
    ends = []
    for image, tile, true in ((images[0], found.tiles[0], 10.0), (images[2], found.tiles[2], 510.0)):
        ends.append(line_at(image[int(y * PX)], true - tile.left + MARGIN) + tile.left - MARGIN)
    assert ends[1] - ends[0] == pytest.approx(500.0, abs=0.06)
    for image, tile in zip(images, found.tiles, strict=True):
        column = image[:, int((MARGIN + 30.0) * PX)]
        edges = [line_at(column, MARGIN + 200.0 - v - tile.top) for v in (130.0, 50.0)]
        assert edges[1] - edges[0] == pytest.approx(80.0, abs=0.06)


def test_sheets_that_hold_nothing_are_left_out_and_said() -> None:
    found = nest_tiles(offcut(), on=Paper.LETTER)
    taken = shapely.union_all([offcut().placed_outline(p) for p in offcut().placements])
    room = np.array(SIZES[Paper.LETTER]) - 2 * MARGIN - np.array([0.0, FOOT])
    names = {t.name for t in found.tiles}
    assert found.empty
    assert not names & set(found.empty)
    for t in found.tiles:
        x0, y1 = 1e-3 * t.left, 0.42 - 1e-3 * t.top
        assert taken.intersects(shapely.box(x0, y1 - 1e-3 * room[1], x0 + 1e-3 * room[0], y1))
    one = next(t for t in found.tiles if t.name == "A1")
    for name in found.empty:
        x0 = 1e-3 * (one.left + (int(name[1:]) - 1) * (room[0] - OVERLAP))
        y1 = 0.42 - 1e-3 * (one.top + (ord(name[0]) - 65) * (room[1] - OVERLAP))
        assert not taken.intersects(shapely.box(x0, y1 - 1e-3 * room[1], x0 + 1e-3 * room[0], y1))
    document = pypdfium2.PdfDocument(nest_tiles_pdf(found, on=Paper.LETTER))
    words = document[0].get_textpage().get_text_range()
    assert f"Sheets {', '.join(found.empty)} hold nothing and are left out." in words.replace("\r\n", " ")
    assert len(document) == 1 + len(found.tiles)
    assert "cut away from the hand" in words


def test_every_sheet_says_its_name_and_what_it_is_of() -> None:
    found = nest_tiles(offcut(), note="Day-hatch lid, inputs 7f3c 91ae")
    document = pypdfium2.PdfDocument(nest_tiles_pdf(found))
    for tile, page in zip(found.tiles, list(document)[1:], strict=True):
        words = page.get_textpage().get_text_range()
        assert tile.name in words
        assert "nest on offcut O-11, twill-200" in words
        assert "7f3c 91ae" in words
        assert "100 mm" in words
    everything = " ".join(p.get_textpage().get_text_range() for p in document)
    assert "lid 2, face down" in everything


def test_forty_pieces_on_a_roll_with_shared_cuts_a_flaw_and_what_is_left() -> None:
    found = nest_tiles(
        ugly(), on=Paper.LETTER, roll="R-22", flaws=(FLAW,), common=(np.array([[0.1, 0.5], [0.3, 0.5]]),),
        left=(("O-14", shapely.box(2.1, 0.1, 2.3, 0.3)),),
    )  # fmt: skip
    columns = math.ceil((1e3 * ugly().length - OVERLAP) / (215.9 - 2 * MARGIN - OVERLAP))
    assert len(found.tiles) + len(found.empty) == columns * 6  # 1250 mm over sheets of 247.4 less 10 mm
    assert 'stroke-width="1"' in found.overview


def test_a_cloth_as_wide_as_a_house_is_refused() -> None:
    nest = Nest(
        cloth=Cloth(material=TWILL, width=9.0),
        pieces=(FlatPiece(label="7", material=TWILL, loops=(rectangle(0.1, 0.08),)),),
        placements=(Placement(label="7", copy=1, turn=0.0, x=0.01, y=0.05),),
    )
    with pytest.raises(InputError, match="at most 26 rows"):
        nest_tiles(nest)
