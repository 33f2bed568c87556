"""The sheet for the cutting table: distances by another reckoning, pages measured, nothing left unsaid."""

from __future__ import annotations

import itertools
import re
import sys
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from nest_example import LONG, disc, offcut, ugly

from bagside.cutting import Cloth, FlatPiece, Nest, Placement
from bagside.errors import InputError
from bagside.sheets.cut_cards import numbers_words
from bagside.sheets.cut_picture import LEFT, METRE, TOP, Cutting, window_picture, windows
from bagside.sheets.cut_steps import corners_of, cut_steps
from bagside.sheets.cutting_sheet import ClothToCut, LeftOver, cutting_sheet_pdf
from bagside.sheets.on_table import spread
from bagside.sheets.press import SIZES
from bagside.spec.workshop import Paper
from pieces import TWILL, ell, outlines, piece, rectangle, rosette

NS = "{http://www.w3.org/2000/svg}"


def as_laid(points: tuple[tuple[float, float], ...], p: Placement) -> np.ndarray:
    """Return places of a copy on the cloth [m], by shapely's affine maps."""
    shape = shapely.MultiPoint(points)
    if p.flipped:
        shape = shapely.affinity.scale(shape, 1.0, -1.0, origin=(0, 0))
    shape = shapely.affinity.rotate(shape, p.turn, origin=(0, 0), use_radians=True)
    return np.array([(g.x + p.x, g.y + p.y) for g in shape.geoms])


def test_corners_are_the_sharp_ones_farthest_apart() -> None:
    found = corners_of(piece("r", rectangle(0.55, 0.24)))
    assert found.sharp
    assert {found.a, found.b} in ({(0.0, 0.0), (0.55, 0.24)}, {(0.0, 0.24), (0.55, 0.0)})
    found = corners_of(piece("l", ell()))
    assert (found.a, found.b, found.sharp) == ((0.0, 0.15), (0.2, 0.0), True)  # 250 mm apart, no two are farther


def test_a_round_piece_is_laid_by_its_warp_line() -> None:
    found = corners_of(piece("d", disc(0.1)))
    assert not found.sharp
    assert found.a == pytest.approx((-0.05, 0.0), abs=1e-9)
    assert found.b == pytest.approx((0.05, 0.0), abs=1e-9)
    assert not corners_of(piece("s", rosette(0.2))).sharp


@given(outlines(), st.floats(0.0, 6.28), st.booleans())
@settings(max_examples=25, deadline=None)
def test_both_corners_lie_on_any_outline_and_go_where_the_copy_goes(
    outline: np.ndarray, turn: float, flipped: bool
) -> None:
    p = piece("7", outline, turns=None, flips=True)
    own = corners_of(p)
    for place in (own.a, own.b):
        assert p.outline.exterior.distance(shapely.Point(place)) < 1e-9
    there = Placement(label="7", copy=1, turn=turn, x=0.4, y=0.5, flipped=flipped)
    nest = Nest(cloth=Cloth(material=TWILL, width=1.0), pieces=(p,), placements=(there,))
    (step,) = cut_steps(nest, spread(nest, pull=2.0))
    assert np.array([step.a, step.b]) == pytest.approx(as_laid((own.a, own.b), there), abs=1e-9)


def test_on_an_offcut_distances_start_at_its_own_extremes() -> None:
    nest = offcut()
    cloth = spread(nest)
    for step in cut_steps(nest, cloth, templates={"3B": "skirt card"}, first=8):
        own = corners_of(nest.piece(step.piece))
        true = as_laid((own.a, own.b), step.placement) - nest.sheet.outline.min(axis=0)
        assert np.array([step.a, step.b]) == pytest.approx(true, abs=1e-9)
    told = [
        (s.number, s.piece, s.part, s.ply, s.template, s.turn) for s in cut_steps(nest, cloth, templates={"3B": "x"})
    ]
    assert told == [
        (1, "3B", "lid 1", 3, "x", "as drawn"),
        (2, "3B", "lid 2", 3, "x", "face down"),
        (3, "5", "lid 1", 5, "5", "22.9°"),
    ]


def test_an_order_that_forgets_a_copy_is_refused() -> None:
    nest = offcut()
    with pytest.raises(InputError, match="order of cutting: 2 copies for a nest of 3"):
        cut_steps(nest, spread(nest), nest.placements[:2])
    with pytest.raises(InputError, match="no cloth"):
        cutting_sheet_pdf([])


@given(st.floats(0.05, 9.0), st.floats(0.05, 1.6), st.sampled_from(list(Paper)))
@settings(max_examples=60, deadline=None)
def test_windows_cover_the_cloth_once_and_fit_the_page(length: float, across: float, on: Paper) -> None:
    room = (SIZES[on][0] - 26.0, SIZES[on][1] - 52.0)
    found = windows(length, across, room)
    assert found[0].begin == 0.0
    assert found[-1].end == pytest.approx(length)
    for one, other in itertools.pairwise(found):
        assert one.end == pytest.approx(other.begin)
    for w in found:
        assert w.shown[0] <= w.begin < w.end <= w.shown[1] + 1e-9
        assert 1e3 * (w.shown[1] - w.shown[0]) / w.scale <= room[0] - LEFT + 1e-6
        assert 1e3 * across / w.scale <= room[1] - TOP
    if length > 2.0 and across > 1.0:
        assert len(found) <= np.ceil(length / (0.9 * METRE))


def numbers(svg: str) -> dict[str, tuple[float, float]]:
    """Return the place of each number on a window, millimetres on paper."""
    found = {}
    for e in ET.fromstring(svg).iter(f"{NS}text"):
        if e.get("font-weight") == "700" and (e.text or "").isdecimal():
            found[e.text or ""] = (float(e.get("x", "")), float(e.get("y", "")))
    return found


def test_every_number_is_drawn_and_those_not_beside_stand_on_their_own_copy() -> None:
    nest = ugly()
    cloth = spread(nest)
    cutting = Cutting(nest=nest, cloth=cloth, steps=cut_steps(nest, cloth))
    seen: dict[str, int] = {}
    for w in windows(nest.length, 1.25, (184.0, 245.0)):
        for number, (x, y) in numbers(window_picture(cutting, w)).items():
            step = cutting.steps[int(number) - 1]
            there = shapely.Point(w.shown[0] + (x - LEFT) * w.scale / 1e3, 1.25 - (y - TOP) * w.scale / 1e3)
            inside = shapely.Polygon(nest.placed_loops(step.placement)[0]).distance(there) < 1e-3 * w.scale
            assert inside or step.piece == "4 tab", number
            seen[number] = seen.get(number, 0) + 1
    assert set(seen) == {str(k) for k in range(1, 41)}


def test_the_drawing_is_to_scale_on_the_rendered_page() -> None:
    nest = Nest(
        cloth=Cloth(material=TWILL, width=1.20),
        pieces=(FlatPiece(label="7", material=TWILL, loops=(rectangle(0.6, 0.9),)),),
        placements=(Placement(label="7", copy=1, turn=0.0, x=0.1, y=0.2),),
    )
    document = pypdfium2.PdfDocument(cutting_sheet_pdf([ClothToCut(nest=nest, pull=0.9, roll="R-22")]))
    page = document[1]
    words = page.get_textpage().get_text_range()
    scale = float(re.search(r"Drawn 1 : ([\d.]+)", words).group(1))  # type: ignore[union-attr]
    image = np.asarray(page.render(scale=10 * 25.4 / 72, grayscale=True).to_numpy()).squeeze()
    # The piece is the widest run of white framed by cut edges across its middle.
    dark = image < 90
    rows = np.flatnonzero(dark.sum(axis=1) > 0.9 * 10 * 600.0 / scale)
    runs = np.split(rows, np.flatnonzero(np.diff(rows) > 3) + 1)
    middles = [float(r.mean()) + 0.5 for r in runs]
    heights = np.abs(np.subtract.outer(middles, middles)) / 10
    assert np.abs(heights - 900.0 / scale).min() < 0.1
    i, j = np.unravel_index(int(np.argmin(np.abs(heights - 900.0 / scale))), heights.shape)
    between = dark[int(min(middles[i], middles[j])) + 20 : int(max(middles[i], middles[j])) - 20]
    columns = np.flatnonzero(between.mean(axis=0) > 0.95)
    runs = np.split(columns, np.flatnonzero(np.diff(columns) > 3) + 1)
    middles = [float(r.mean()) + 0.5 for r in runs]
    widths = np.abs(np.subtract.outer(middles, middles)) / 10
    assert np.abs(widths - 600.0 / scale).min() < 0.1


@cache
def both(on: Paper) -> list[str]:
    nest = ugly()
    cloths = [
        ClothToCut(
            nest=offcut(),
            up="resin-rich",
            left=(LeftOver(name="O-31", outline=shapely.box(0.46, 0.13, 0.62, 0.2)),),
            templates={"3B": "skirt card"},
        ),
        ClothToCut(
            nest=nest,
            pull=nest.length + 0.05,
            roll="R-22",
            flaws=(rectangle(0.05, 0.04, at=(nest.length, 1.1)),),
            common=(np.array([[0.1, 0.5], [0.3, 0.5]]),),
        ),
    ]
    document = pypdfium2.PdfDocument(
        cutting_sheet_pdf(cloths, title="Day-hatch lid, 4 off", note="inputs 7f3c 91ae", on=on)
    )
    for page in document:
        assert (page.get_width(), page.get_height()) == pytest.approx([v * 72 / 25.4 for v in SIZES[on]], abs=0.01)
    return [" ".join(p.get_textpage().get_text_range().split()) for p in document]


@pytest.mark.parametrize("on", list(Paper))
def test_what_the_sheet_says(on: Paper) -> None:
    pages = both(on)
    first = pages[0]
    for said in ("Cut offcut O-11", "Cut-proof glove on the holding hand", "Uncured resin sensitises skin",
                 "Carbon dust harms lungs", "resin-rich face is up", "O-31", "160 × 70", "0.011", "card skirt card",
                 "1 card lies face down", "Draw them on the back too", "A flaw is hatched"):  # fmt: skip
        assert said in first, said
    everything = " ".join(pages)
    for said in ("cut the roll at", "tape begins here", "batch 1093", "page before", "next page", LONG,
                 "Bold lines are one cut for two pieces", "fresh end"):  # fmt: skip
        assert said in everything, said
    assert all("New blade." in p and "7f3c 91ae" in p for p in pages)
    table = " ".join(p for p in pages if "in this order" in p.lower())
    for step in cut_steps(offcut(), spread(offcut())):
        row = [f"{1e3 * v:.0f}" for v in (*step.a, *step.b)]
        assert " ".join(row) in table
    for number in range(1, 44):
        assert re.search(rf"\b{number} (?:\d|–) ", table), number


def test_runs_of_numbers_in_short() -> None:
    assert numbers_words([5]) == "5"
    assert numbers_words([1, 2, 4, 5, 6, 9]) == "1, 2, 4–6, 9"
