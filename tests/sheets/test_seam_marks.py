"""Marks at joins: where they stand on shapes whose answer is plain, and that every drawing carries them."""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from bagside.cutting import Cloth, FlatPiece, Nest, PieceSeam, Placement
from bagside.sheets import flatview, tiles
from bagside.sheets.seam_marks import seam_marks
from bagside.sheets.shapes_out import nest_dxf, piece_dxf, piece_svg
from pieces import TWILL, rectangle

LONG, TALL, LAP = 0.2, 0.1, 0.015
PAPER = {"notch": 0.006, "pitch": 0.004, "letter": 0.008}


def side(*, over: bool, join: str = "overlap", stations: int = 3) -> PieceSeam:
    """Return a straight join across a rectangle, 15 mm inside its right end or on it."""
    x = LONG - LAP if over else LONG
    y = (np.arange(stations) + 0.5) / stations * TALL
    return PieceSeam(
        name="A", prime=not over, join=join, over=over, width=LAP, other="3B",
        line=np.array([[x, 0.0], [x, 0.5 * TALL], [x, TALL]]),
        ticks=np.column_stack([np.full(stations, x), y]), normals=np.tile([1.0, 0.0], (stations, 1)),
    )  # fmt: skip


def flat(*seams: PieceSeam) -> FlatPiece:
    return FlatPiece(label="3A", material=TWILL, loops=(rectangle(LONG, TALL),), seams=seams)


def test_the_overlap_is_the_strip_past_the_join_line() -> None:
    found = seam_marks(side(over=True), flat().outline, **PAPER)
    assert found.inside
    band = shapely.Polygon(found.band[0])
    assert band.symmetric_difference(shapely.box(LONG - LAP, 0.0, LONG, TALL)).area < 1e-9
    assert all(band.buffer(1e-9).contains(shapely.LineString(h)) for h in found.hatch)
    assert len(found.hatch) == pytest.approx((LAP + TALL) / PAPER["pitch"], abs=2)
    assert found.words == "edge of 3B lies here, 15 mm"
    assert found.letter == pytest.approx((LONG - LAP - PAPER["letter"], 0.5 * TALL))
    assert abs(found.turn) == pytest.approx(0.5 * math.pi)


def test_a_match_mark_stands_across_the_rim_and_across_the_join_line() -> None:
    found = seam_marks(side(over=True), flat().outline, **PAPER)
    assert len(found.notches) == 6
    crossed = {LONG: 0, LONG - LAP: 0}
    for mark in found.notches:
        assert np.linalg.norm(mark[1] - mark[0]) == pytest.approx(PAPER["notch"])
        for x in crossed:
            crossed[x] += bool(mark[:, 0].min() < x < mark[:, 0].max())
    assert crossed == {LONG: 3, LONG - LAP: 3}


def test_the_side_that_is_not_longer_has_marks_on_its_rim_alone() -> None:
    found = seam_marks(side(over=False), flat().outline, **PAPER)
    assert not found.inside
    assert found.band == ()
    assert found.hatch == ()
    assert len(found.notches) == 3
    assert found.letter[0] == pytest.approx(LONG - PAPER["letter"])
    assert found.words == "3B overlaps here, 15 mm"
    assert seam_marks(side(over=False, join="butt"), flat().outline, **PAPER).words == "butt against 3B"


def test_both_sides_have_their_marks_at_the_same_stations() -> None:
    one, other = (seam_marks(side(over=o), flat().outline, **PAPER) for o in (True, False))
    at = [sorted({round(float(m[0, 1]), 9) for m in found.notches}) for found in (one, other)]
    assert at[0] == at[1]


@given(st.floats(-3.1, 3.1), st.floats(-1.0, 1.0), st.integers(0, 7))
def test_marks_turn_with_the_piece(turn: float, off: float, stations: int) -> None:
    c, s = math.cos(turn), math.sin(turn)
    matrix = np.array([[c, -s], [s, c]])
    seam = side(over=True, stations=stations)
    moved = PieceSeam(
        name="A", prime=False, join="overlap", over=True, width=LAP, line=seam.line @ matrix.T + off,
        ticks=seam.ticks @ matrix.T + off, normals=seam.normals @ matrix.T,
    )  # fmt: skip
    was = seam_marks(seam, flat().outline, **PAPER)
    now = seam_marks(moved, shapely.Polygon(rectangle(LONG, TALL) @ matrix.T + off), **PAPER)
    assert shapely.Polygon(now.band[0]).area == pytest.approx(LAP * TALL, rel=1e-6)
    assert len(now.notches) == len(was.notches) == 2 * stations
    for a, b in zip(was.notches, now.notches, strict=True):
        assert a @ matrix.T + off == pytest.approx(b, abs=1e-9)
    assert np.array(was.letter) @ matrix.T + off == pytest.approx(np.array(now.letter), abs=1e-9)


def on(content: bytes, layer: str, kind: str = "LWPOLYLINE") -> list[Any]:
    document = ezdxf.read(io.StringIO(content.decode()))  # type: ignore[attr-defined]
    assert not document.audit().has_errors
    return list(document.modelspace().query(f'{kind}[layer=="{layer}"]'))


def test_a_template_as_dxf_has_joins_notches_and_overlap_on_layers_of_their_own() -> None:
    content = piece_dxf(flat(side(over=True)))
    (join,) = on(content, "JOIN")
    assert np.array(join.get_points("xy"))[:, 0] == pytest.approx([185.0] * 3)
    assert len(on(content, "NOTCH")) == 6
    assert len(on(content, "OVERLAP")) > 20
    assert len(on(content, "CUT")) == 1, "the knife's layer holds what is cut and nothing else"
    assert {t.dxf.text for t in on(content, "TEXT", "TEXT")} == {"3A", "A", "edge of 3B lies here, 15 mm"}


def test_a_nest_has_small_marks_inside_each_copy() -> None:
    piece = flat(side(over=True))
    nest = Nest(
        cloth=Cloth(material=TWILL, width=0.5),
        pieces=(piece,),
        placements=(Placement(label="3A", copy=1, turn=math.pi, x=0.3, y=0.2),),
    )
    content = nest_dxf(nest)
    (cut,) = on(content, "CUT")
    outline = shapely.Polygon(cut.get_points("xy"))
    marks = [shapely.LineString(m.get_points("xy")) for m in on(content, "NOTCH")]
    assert len(marks) == 6
    assert all(outline.buffer(1e-6).contains(m) for m in marks)
    (join,) = on(content, "JOIN")
    assert np.array(join.get_points("xy"))[:, 0] == pytest.approx([300.0 - 185.0] * 3)
    assert on(content, "OVERLAP") == []


def words(svg: str) -> str:
    return " ".join("".join(t.itertext()) for t in ET.fromstring(svg).iter() if t.tag.endswith("text"))


def test_template_sheets_and_the_book_s_flat_view_name_the_side() -> None:
    piece = flat(side(over=True))
    assert "A" in words(piece_svg(piece)).split()
    sheets = tiles.tiles(tiles.Template(label="3A", loops=piece.loops, seams=piece.seams))
    assert "edge of 3B lies here, 15 mm" in " ".join(words(t.svg) for t in sheets)
    seen = words(
        flatview.flat_view(
            [flatview.FlatPiece(label="3A", loops=piece.loops, seams=(side(over=False),), area=piece.area, mass=0.0069)]
        )
    )
    assert "A′" in seen
    assert "200 cm², 6.9 g" in seen


def wedge() -> tuple[FlatPiece, PieceSeam, PieceSeam]:
    """Return a square whose dart opens by 20 mm at the rim, its wedge filled by the flap of the lower lip."""
    tip, low, high = [0.1, 0.1], [0.2, 0.09], [0.2, 0.11]
    both = [
        PieceSeam(
            name="A", prime=k == 1, join="overlap", over=k == 0, width=0.03, dart=True, other="3",
            line=np.array([tip, end]), ticks=0.5 * (np.array([tip]) + np.array([end])),
            normals=np.array([[-0.0995, 0.995 if k == 0 else -0.995]]),
        )
        for k, end in enumerate((low, high))
    ]  # fmt: skip
    return FlatPiece(label="3", material=TWILL, loops=(rectangle(0.2, 0.2),), seams=tuple(both)), both[0], both[1]


def test_the_flap_of_a_dart_ends_at_the_other_lip_which_is_still_cut() -> None:
    piece, over, under = wedge()
    lip = under.line - np.array([[0.0, 0.0], [5e-5, 0.0]])  # drapes give lips that end a little before the rim
    found = seam_marks(over, piece.outline, **PAPER, lip=lip)
    triangle = shapely.Polygon([(0.1, 0.1), (0.2, 0.09), (0.2, 0.11)])
    assert shapely.Polygon(found.band[0]).symmetric_difference(triangle).area < 0.02 * triangle.area
    assert not found.knife
    assert len(found.notches) == 1
    assert seam_marks(under, piece.outline, **PAPER, lip=over.line).knife
    content = piece_dxf(piece)
    closed = [p.closed for p in on(content, "CUT")]
    assert sorted(closed) == [False, True], "the outline, and one cut into it"
    (lip,) = [p for p in on(content, "CUT") if not p.closed]
    assert np.array(lip.get_points("xy")) == pytest.approx(1e3 * under.line)


def test_a_line_too_short_for_its_sentence_goes_without() -> None:
    assert not seam_marks(side(over=True), flat().outline, **PAPER, glyph=0.005).told
    assert seam_marks(side(over=True), flat().outline, **PAPER, glyph=0.0015).told
