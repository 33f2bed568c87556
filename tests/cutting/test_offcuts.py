from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting import Cloth, FlatPiece, KeepRule, Nest, Placement, nest_roll, offcuts
from bagside.cutting.offcuts import holds_square
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.errors import InputError
from pieces import TWILL, kits, piece, rectangle


def one(outline: np.ndarray, width: float, y: float = 0.0, **more: object) -> Nest:
    return Nest(
        cloth=Cloth(material=TWILL, width=width),
        pieces=(piece("A", outline, **more),),
        placements=(Placement(label="A", copy=1, turn=0.0, x=0.0, y=y),),
    )


def test_a_strip_beside_the_piece_is_kept_and_its_area_known() -> None:
    left = offcuts(one(rectangle(1.0, 0.3), 0.5), pull=1.0)
    assert left.count == 1
    assert left.area == pytest.approx(0.2)  # the strip is 1.0 × 0.2 m
    assert left.area + left.scrap == pytest.approx(0.2)


def test_narrow_and_small_remains_are_scrap() -> None:
    assert offcuts(one(rectangle(1.0, 0.47), 0.5), pull=1.0).count == 0  # a strip of 30 mm
    small = offcuts(one(rectangle(1.0, 0.40), 0.5), pull=1.0)  # 0.1 m² of strip 100 mm wide: kept for its area
    assert small.count == 1
    assert offcuts(one(rectangle(0.2, 0.40), 0.5), pull=0.2).count == 0  # 0.02 m² and no square of 150 mm
    assert offcuts(one(rectangle(0.16, 0.34), 0.5), pull=0.16).count == 1  # 0.0256 m², and the square fits


def test_two_remains_apart_from_each_other_are_two() -> None:
    left = offcuts(one(rectangle(1.0, 0.1), 0.5, y=0.2), pull=1.0)
    assert left.count == 2
    assert left.kept[0].area == pytest.approx(left.kept[1].area)


def ring(hole: float, turn: float = 0.0) -> Nest:
    """Return a layout of one piece of 1 × 0.5 m with a hole of 2 : 1 in it, as wide as stated."""
    loops = (rectangle(1.0, 0.5), rectangle(2.0 * hole, hole, at=(0.1, 0.1)))
    piece_ = FlatPiece(label="A", material=TWILL, loops=loops, turns=(0.0, math.pi / 2))
    return Nest(
        cloth=Cloth(material=TWILL, width=0.5 if turn == 0.0 else 1.0),
        pieces=(piece_,),
        placements=(Placement(label="A", copy=1, turn=turn, x=0.5 * math.sin(turn), y=0.0),),
    )


def test_what_falls_out_of_a_ring_is_kept_when_it_meets_the_rule_and_scrap_when_not() -> None:
    left = offcuts(ring(0.15), pull=1.0)
    assert [round(k.area, 12) for k in left.kept] == [0.045]
    assert left.scrap == pytest.approx(0.0, abs=1e-12)
    small = offcuts(ring(0.1), pull=1.0)  # 0.02 m² and no square of 150 mm
    assert small.count == 0
    assert small.scrap == pytest.approx(0.02)


def test_the_disc_of_a_turned_ring_has_its_axes_along_the_warp_of_the_cloth() -> None:
    left = offcuts(ring(0.15, turn=math.pi / 2), pull=0.5)
    assert left.count == 1
    assert left.kept[0].bounds == pytest.approx((0.25, 0.1, 0.4, 0.4))  # longer across the warp now


def test_selvedges_are_scrap() -> None:
    nest = one(rectangle(1.0, 0.3), 0.5, y=0.02)
    nest = replace(nest, cloth=replace(nest.cloth, selvedge=0.02))
    left = offcuts(nest, pull=1.0)
    assert left.area == pytest.approx(0.16)
    assert left.scrap == pytest.approx(0.04)


SHEET = Sheet(
    name="K1",
    material=TWILL,
    outline=rectangle(1.0, 0.6),
    holes=(rectangle(0.05, 0.05, at=(0.9, 0.5)),),
    flaws=(rectangle(0.02, 0.02, at=(0.7, 0.2)), rectangle(0.1, 0.1, at=(-0.05, 0.5))),
)


def on_the_sheet(sheet: Sheet = SHEET, length: float = 0.4) -> SheetNest:
    put = Placement(label="A", copy=1, turn=0.0, x=0.0, y=0.0)
    return SheetNest(sheet=sheet, pieces=(piece("A", rectangle(length, 0.45)),), placements=(put,))


def test_what_is_left_of_a_sheet_keeps_the_flaw_inside_it_and_loses_the_one_at_its_edge() -> None:
    left = offcuts(on_the_sheet())
    assert left.count == 1
    (kept,) = left.kept
    (flaws,) = left.flaws
    assert [f.area for f in flaws] == pytest.approx([0.0004])
    assert kept.covers(flaws[0])
    assert len(kept.interiors) == 1  # the hole of the sheet
    assert kept.intersection(shapely.box(-0.05, 0.5, 0.05, 0.6)).area == pytest.approx(0.0, abs=1e-12)
    assert left.area == pytest.approx(kept.area - 0.0004)
    assert left.area + left.scrap + 0.4 * 0.45 == pytest.approx(0.6 - 0.0025)


def test_a_flaw_beside_the_knife_is_cut_off() -> None:
    sheet = replace(SHEET, flaws=(rectangle(0.02, 0.02, at=(0.41, 0.2)),))  # 10 mm from the piece
    left = offcuts(on_the_sheet(sheet))
    assert left.flaws == ((),)
    assert left.kept[0].intersection(shapely.box(0.41, 0.2, 0.43, 0.22)).area == pytest.approx(0.0, abs=1e-12)


def test_another_rule_keeps_other_things() -> None:
    nest = one(rectangle(1.0, 0.47), 0.5)
    assert offcuts(nest, 1.0, KeepRule(strip=0.02, square=0.02)).count == 1
    with pytest.raises(InputError):
        KeepRule(strip=0.0)


def test_less_pulled_than_nested_is_refused() -> None:
    with pytest.raises(InputError, match=r"0.900 m pulled for a nest of 1.000 m"):
        offcuts(one(rectangle(1.0, 0.3), 0.5), pull=0.9)


@given(kits())
@settings(max_examples=25, deadline=None)
def test_kept_cloth_is_free_cloth_and_nothing_is_lost(given_: tuple[tuple[FlatPiece, ...], Cloth]) -> None:
    pieces, cloth = given_
    nest = nest_roll(pieces, cloth, seconds=0.0)
    pull = nest.length + 0.2
    left = offcuts(nest, pull)
    assert left.area + left.scrap + nest.area_of_pieces == pytest.approx(pull * cloth.width, rel=1e-9)
    assert left.scrap >= -1e-12
    laid = shapely.union_all([nest.placed_outline(p) for p in nest.placements])
    sheet = shapely.box(0.0, 0.0, pull, cloth.width)
    for kept in left.kept:
        assert kept.intersection(laid).area < 1e-12
        assert sheet.buffer(1e-9).covers(kept)


@given(st.floats(0.05, 0.3), st.floats(0.05, 0.3), st.floats(0.05, 0.3))
def test_a_square_fits_a_rectangle_exactly_when_both_sides_are_longer(a: float, b: float, side: float) -> None:
    assert holds_square(shapely.box(0.0, 0.0, a, b), side) == (min(a, b) > side + 1e-12) or abs(min(a, b) - side) < 1e-9


def test_a_square_does_not_bridge_a_hole_or_a_neck() -> None:
    frame = shapely.Polygon(rectangle(0.4, 0.4), [rectangle(0.2, 0.2, at=(0.1, 0.1))])
    assert holds_square(frame, 0.099)
    assert not holds_square(frame, 0.101)
    assert not holds_square(shapely.Polygon([(0.0, 0.0), (0.2, 0.0), (0.0, 0.2)]), 0.11)
    assert holds_square(shapely.Polygon([(0.0, 0.0), (0.2, 0.0), (0.0, 0.2)]), 0.099)


def test_two_sheets_that_hang_together_by_a_narrow_neck_are_two_offcuts() -> None:
    """Two squares of 300 mm on their corners, which overlap by 10 mm: the neck is 10 mm wide, the strip 40 mm."""
    from bagside.cutting.offcuts import kept_parts

    half = 0.15 * 2**0.5
    left = shapely.Polygon([(-half, 0.0), (0.0, -half), (half, 0.0), (0.0, half)])
    right = shapely.affinity.translate(left, xoff=2 * half - 0.010)
    parts = kept_parts(shapely.union_all([left, right]), KeepRule())
    assert len(parts) == 2
    assert sum(p.area for p in parts) == pytest.approx(2 * 0.09, rel=2e-3)
    assert parts[0].intersection(parts[1]).area < 1e-12
