from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, nest_roll
from bagside.cutting.common_lines import common_lines, shared
from bagside.cutting.sheet import Sheet, SheetNest
from pieces import TWILL, piece, rectangle, rosette


def nest(*placements: Placement, pieces: tuple[FlatPiece, ...], gap: float = 0.0) -> Nest:
    return Nest(cloth=Cloth(material=TWILL, width=0.5, gap=gap), pieces=pieces, placements=placements)


def put(label: str, copy: int, x: float, y: float, turn: float = 0.0) -> Placement:
    return Placement(label=label, copy=copy, turn=turn, x=x, y=y)


TWO = (piece("A", rectangle(0.2, 0.1), quantity=2),)


def test_two_rectangles_side_by_side_share_what_they_overlap_along() -> None:
    # By hand: 100 mm edges, the second 30 mm further across: 70 mm are shared.
    (line,) = common_lines(nest(put("A", 1, 0.0, 0.0), put("A", 2, 0.2, 0.03), pieces=TWO))
    assert line.length == pytest.approx(0.07)
    assert sorted(line.segments[0][:, 1].tolist()) == pytest.approx([0.03, 0.1])
    assert line.segments[0][:, 0] == pytest.approx([0.2, 0.2])
    assert (line.one.copy, line.other.copy) == (1, 2)


@pytest.mark.parametrize(("apart", "count"), [(0.0, 1), (0.09e-3, 1), (0.2e-3, 0), (0.005, 0)])
def test_a_gap_wider_than_the_tolerance_has_none(apart: float, count: int) -> None:
    lines = common_lines(nest(put("A", 1, 0.0, 0.0), put("A", 2, 0.2 + apart, 0.0), pieces=TWO))
    assert len(lines) == count


def test_a_corner_and_a_few_millimetres_are_not_a_line() -> None:
    assert common_lines(nest(put("A", 1, 0.0, 0.0), put("A", 2, 0.2, 0.1), pieces=TWO)) == ()
    assert common_lines(nest(put("A", 1, 0.0, 0.0), put("A", 2, 0.2, 0.095), pieces=TWO)) == ()


def test_two_triangles_share_their_long_side_however_the_copies_are_turned() -> None:
    half = (piece("A", np.array([[0.0, 0.0], [0.3, 0.0], [0.0, 0.4]]), quantity=2),)
    (line,) = common_lines(nest(put("A", 1, 0.0, 0.0), put("A", 2, 0.3, 0.4, math.pi), pieces=half))
    assert line.length == pytest.approx(0.5)


def test_a_curve_is_shared_with_the_piece_that_fills_it() -> None:
    # One outline cut out of a rectangle: all of it is common. Its length is that of shapely.
    ring = rosette(0.1, 60) + np.array([0.2, 0.25])
    frame = shapely.Polygon(rectangle(0.4, 0.5)).difference(shapely.Polygon(ring))
    left = shapely.intersection(frame, shapely.box(0.0, 0.0, 0.2, 0.5))
    pieces = (piece("A", ring), piece("B", np.asarray(left.exterior.coords)))
    (line,) = common_lines(nest(put("A", 1, 0.0, 0.0), put("B", 1, 0.0, 0.0), pieces=pieces))
    wanted = shapely.intersection(shapely.LinearRing(ring), left.buffer(1e-9)).length
    assert line.length == pytest.approx(wanted, abs=1e-6)


def test_nested_rectangles_at_gap_nothing_have_them_and_a_sheet_too() -> None:
    laid = nest_roll((piece("A", rectangle(0.1, 0.1), quantity=25),), Cloth(material=TWILL, width=0.5), seconds=0.0)
    # Closed form: a grid of 5 × 5 squares of 0.1 m has 2 · 4 · 5 inner sides.
    assert sum(line.length for line in common_lines(laid)) == pytest.approx(4.0, abs=1e-6)
    sheet = Sheet(name="O-1", material=TWILL, outline=rectangle(1.0, 1.0))
    lying = SheetNest(sheet=sheet, pieces=laid.pieces, placements=laid.placements)
    assert sum(line.length for line in common_lines(lying)) == pytest.approx(4.0, abs=1e-6)


@given(st.floats(-0.3, 0.3), st.floats(0.05, 0.3), st.floats(-7.0, 7.0))
def test_what_is_shared_is_the_same_from_both_sides_and_at_any_turn(shift: float, size: float, turn: float) -> None:
    one = shapely.Polygon(rectangle(0.2, 0.1))
    other = shapely.Polygon(rectangle(0.2, size, at=(0.2, shift)))
    spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    a, b = (np.asarray(p.exterior.coords) @ spin.T for p in (one, other))
    wanted = max(0.0, min(0.1, shift + size) - max(0.0, shift))
    for found in (shared(a, b, 1e-6), shared(b, a, 1e-6)):
        assert np.linalg.norm(np.diff(found, axis=1), axis=2).sum() == pytest.approx(wanted, abs=1e-6)
