"""The check must fail on each kind of planted fault: one that cannot fail proves nothing."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, Sheet, SheetNest, StockNest, verify, verify_stock
from bagside.errors import NotSolved
from pieces import TWILL, ell, piece, rectangle

CLOTH = Cloth(material=TWILL, width=0.5, margin=0.010, gap=0.005)


def put(label: str, copy: int, x: float, y: float, turn: float = 0.0) -> Placement:
    return Placement(label=label, copy=copy, turn=turn, x=x, y=y)


def nest(*placements: Placement, cloth: Cloth = CLOTH, pieces: tuple[FlatPiece, ...] | None = None) -> Nest:
    given_ = (piece("A", rectangle(0.2, 0.1), quantity=2), piece("B", ell())) if pieces is None else pieces
    return Nest(cloth=cloth, pieces=given_, placements=placements)


GOOD = (put("A", 1, 0.010, 0.010), put("A", 2, 0.215, 0.010), put("B", 1, 0.010, 0.115))


def refused(bad: Nest) -> str:
    with pytest.raises(NotSolved) as caught:
        verify(bad)
    return str(caught.value)


def test_a_good_layout_passes() -> None:
    verify(nest(*GOOD))


def test_an_overlap_is_found() -> None:
    assert refused(nest(GOOD[0], put("A", 2, 0.150, 0.050), put("B", 1, 0.010, 0.30))) == (
        "A copy 1 and A copy 2 lie 0.0000 mm apart where 5.0000 mm are wanted"
    )


def test_a_gap_two_micrometres_short_is_found_and_half_a_micrometre_is_not() -> None:
    verify(nest(GOOD[0], put("A", 2, 0.215 - 0.5e-6, 0.010), GOOD[2]))
    message = refused(nest(GOOD[0], put("A", 2, 0.215 - 2e-6, 0.010), GOOD[2]))
    assert message == "A copy 1 and A copy 2 lie 4.9980 mm apart where 5.0000 mm are wanted"


@pytest.mark.parametrize(("x", "y"), [(0.008, 0.3), (0.5, 0.008), (0.5, 0.392)])
def test_out_of_the_cloth_is_found_on_every_side(x: float, y: float) -> None:
    assert refused(nest(GOOD[0], put("A", 2, x, y), GOOD[2])) == (
        "A copy 2 reaches 2.0000 mm out of the cloth or into its margin"
    )


def test_a_wrong_turn_is_found() -> None:
    bad = put("A", 2, 0.5, 0.015, turn=math.pi / 2)
    assert refused(nest(GOOD[0], bad, GOOD[2])) == "A copy 2 is turned by 90.000°, which its cloth does not allow"
    verify(nest(GOOD[0], put("A", 2, 0.415, 0.110, turn=-math.pi), GOOD[2]))
    free = (piece("A", rectangle(0.2, 0.1), quantity=2, turns=None), piece("B", ell()))
    verify(nest(GOOD[0], bad, GOOD[2], pieces=free))


def test_a_missing_a_doubled_and_an_unwanted_copy_are_found() -> None:
    assert refused(nest(GOOD[0], GOOD[2])) == "A copy 2 is missing in the layout"
    assert refused(nest(*GOOD, put("A", 2, 0.6, 0.1))) == "A copy 2 lies there more than once in the layout"
    assert refused(nest(*GOOD, put("A", 3, 0.6, 0.1))) == "A copy 3 is not wanted in the layout"
    assert refused(nest(*GOOD, put("C", 1, 0.6, 0.1))) == "C copy 1 is not wanted in the layout"


def test_pieces_of_one_label_are_found() -> None:
    twice = (piece("A", ell()), piece("A", ell()))
    assert refused(nest(put("A", 1, 0.1, 0.1), pieces=twice)) == "two pieces of the layout have the same label"


def test_a_place_that_is_not_a_number_is_found() -> None:
    with pytest.raises(NotSolved):
        verify(nest(GOOD[0], put("A", 2, math.nan, 0.010), GOOD[2]))
    with pytest.raises(NotSolved):
        verify(nest(GOOD[0], put("A", 2, 0.215, 0.010, turn=math.nan), GOOD[2]))


TOUCHING = Cloth(material=TWILL, width=0.5)


def test_at_gap_nothing_touching_is_right_and_pressing_is_not() -> None:
    at = (put("A", 1, 0.0, 0.0), put("A", 2, 0.2, 0.0), put("B", 1, 0.0, 0.1))
    verify(nest(*at, cloth=TOUCHING))
    pressed = replace(at[1], x=0.2 - 3e-6)
    assert (
        refused(nest(at[0], pressed, at[2], cloth=TOUCHING)) == "A copy 1 and A copy 2 overlap by more than 0.0010 mm"
    )


def test_a_piece_wholly_inside_another_is_found_even_in_its_hole() -> None:
    hole = rectangle(0.3, 0.3, at=(0.05, 0.05))
    ring = FlatPiece(label="R", material=TWILL, loops=(rectangle(0.4, 0.4), hole))
    small = piece("S", rectangle(0.1, 0.1))
    bad = nest(put("R", 1, 0.0, 0.0), put("S", 1, 0.15, 0.15), cloth=TOUCHING, pieces=(ring, small))
    assert refused(bad) == "R copy 1 and S copy 1 overlap by more than 0.0010 mm"


def test_crossed_strips_without_a_corner_inside_each_other_are_found() -> None:
    pieces = (piece("H", rectangle(0.4, 0.02)), piece("V", rectangle(0.02, 0.4)))
    bad = nest(put("H", 1, 0.0, 0.2), put("V", 1, 0.2, 0.0), cloth=TOUCHING, pieces=pieces)
    assert refused(bad) == "H copy 1 and V copy 1 overlap by more than 0.0010 mm"


@given(st.floats(0.0, 2.0 * math.pi), st.floats(1e-5, 0.12), st.booleans())
def test_two_discs_are_refused_exactly_when_they_are_too_close(direction: float, off: float, close: bool) -> None:
    angle = np.linspace(0.0, 2.0 * math.pi, 720, endpoint=False)
    disc = 0.05 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    sag = 0.05 * (1.0 - math.cos(math.pi / 720))  # chords lie inside the circle by at most this
    distance = 0.105 - sag - off if close else 0.105 + off
    pair = nest(
        put("D", 1, 1.0, 0.5),
        put("D", 2, 1.0 + max(distance, 0.0) * math.cos(direction), 0.5 + max(distance, 0.0) * math.sin(direction)),
        cloth=replace(CLOTH, width=1.0),
        pieces=(piece("D", disc, quantity=2),),
    )
    if close and off > 2.0 * sag + 1e-6:
        refused(pair)
    elif not close:
        verify(pair)


SHEET = Sheet(
    name="K1",
    material=TWILL,
    outline=rectangle(0.6, 0.4),
    holes=(rectangle(0.05, 0.05, at=(0.30, 0.30)),),
    flaws=(rectangle(0.02, 0.02, at=(0.50, 0.05)),),
    gap=0.005,
    margin=0.010,
    batch="B7",
)
PAIR = piece("A", rectangle(0.2, 0.1), quantity=2, kits=("left", "right"), tolerance=math.radians(2.0))


def on_the_sheet(*at: tuple[float, float], sheet: Sheet = SHEET, **more: object) -> SheetNest:
    own = replace(PAIR, quantity=len(at), kits=PAIR.kits[: len(at)])
    placements = tuple(replace(put("A", k, x, y), **more) for k, (x, y) in enumerate(at, 1))  # type: ignore[arg-type]
    return SheetNest(sheet=sheet, pieces=(own,), placements=placements)


def refused_sheet(bad: SheetNest) -> str:
    with pytest.raises(NotSolved) as caught:
        verify(bad)
    return str(caught.value)


def test_a_good_layout_on_a_sheet_passes_and_touching_is_allowed_without_gap_and_margin() -> None:
    verify(on_the_sheet((0.010, 0.010), (0.215, 0.010)))
    bare = replace(SHEET, gap=0.0, margin=0.0)
    verify(on_the_sheet((0.0, 0.0), (0.2, 0.0), sheet=bare))
    verify(on_the_sheet((0.10, 0.30), (0.30, 0.20), sheet=bare))  # against the hole, from two sides
    verify(on_the_sheet((0.30, 0.0), (0.30, 0.20), sheet=bare))  # against the flaw


@pytest.mark.parametrize("at", [(-0.001, 0.1), (0.401, 0.1), (0.1, -0.001), (0.1, 0.301), (0.2, 0.22), (0.35, 0.01)])
def test_out_of_the_sheet_and_into_a_hole_or_a_flaw_is_found(at: tuple[float, float]) -> None:
    bare = replace(SHEET, gap=0.0, margin=0.0)
    assert (
        refused_sheet(on_the_sheet(at, sheet=bare)) == "A copy 1 reaches out of sheet K1, or into a hole or flaw of it"
    )


def test_a_hole_or_a_flaw_wholly_inside_a_piece_is_found() -> None:
    small = replace(SHEET, holes=(), flaws=(rectangle(0.02, 0.02, at=(0.1, 0.1)),), margin=0.0)
    assert refused_sheet(on_the_sheet((0.05, 0.05), sheet=small)).endswith("into a hole or flaw of it")
    holed = replace(SHEET, holes=(rectangle(0.02, 0.02, at=(0.1, 0.1)),), flaws=(), margin=0.0)
    assert refused_sheet(on_the_sheet((0.05, 0.05), sheet=holed)).endswith("into a hole or flaw of it")


@pytest.mark.parametrize("at", [(0.009, 0.1), (0.1, 0.009), (0.292, 0.05), (0.2, 0.192)])
def test_a_margin_too_small_is_found_at_edges_holes_and_flaws(at: tuple[float, float]) -> None:
    message = refused_sheet(on_the_sheet(at))
    assert message.startswith("A copy 1 lies ")
    assert message.endswith(" mm from an edge of sheet K1 where 10.0000 mm are wanted")


def test_a_gap_too_small_on_a_sheet_is_found() -> None:
    assert refused_sheet(on_the_sheet((0.010, 0.010), (0.214, 0.010))) == (
        "A copy 1 and A copy 2 lie 4.0000 mm apart where 5.0000 mm are wanted"
    )


def test_a_turn_is_allowed_up_to_the_tolerance_and_a_flip_when_it_is_said() -> None:
    verify(on_the_sheet((0.05, 0.05), turn=math.radians(2.0)))
    verify(on_the_sheet((0.05, 0.05), turn=math.radians(-1.5)))
    assert refused_sheet(on_the_sheet((0.05, 0.05), turn=math.radians(2.1))) == (
        "A copy 1 is turned by 2.100°, which its cloth does not allow"
    )
    over = on_the_sheet((0.05, 0.15), flipped=True)
    assert refused_sheet(over) == "A copy 1 is cut with the wrong face up"
    verify(replace(over, pieces=(replace(over.pieces[0], flips=True),)))
    verify(replace(over, up="dry"))  # the sheet lies the other way up, so its mirror image is right
    assert refused_sheet(replace(on_the_sheet((0.05, 0.05)), up="dry")) == "A copy 1 is cut with the wrong face up"


def test_another_material_is_found() -> None:
    good = on_the_sheet((0.05, 0.05))
    other = replace(good, sheet=replace(SHEET, material="uni-150"))
    assert refused_sheet(other) == "piece A is of twill-200 and lies on uni-150"


def stock(sheets: list[SheetNest], rolls: list[Nest]) -> StockNest:
    return StockNest(
        material=TWILL,
        sheets=tuple(sheets),
        rolls=tuple(rolls),
        money=0.0,
        money_roll_alone=None,
        seconds=0.0,
        stopped=False,
    )


def on_the_roll(*kits: str, label: str = "A", batch: str = "A1") -> Nest:
    own = replace(PAIR, label=label, quantity=len(kits), kits=kits)
    placements = tuple(put(label, k, 0.01 + 0.3 * k, 0.05) for k in range(1, len(kits) + 1))
    return Nest(cloth=replace(CLOTH, batch=batch), pieces=(own,), placements=placements)


def refused_stock(bad: StockNest, *pieces: FlatPiece) -> str:
    with pytest.raises(NotSolved) as caught:
        verify_stock(pieces or (PAIR,), bad)
    return str(caught.value)


def test_of_a_kit_every_copy_lies_once_over_all_layouts() -> None:
    left = on_the_sheet((0.05, 0.05))
    verify_stock([PAIR], stock([left], [on_the_roll("right")]))
    verify_stock([PAIR], stock([], [on_the_roll("left", "right")]))
    assert refused_stock(stock([left], [])) == "A of kit right is missing 1 times in the layouts"
    assert refused_stock(stock([left], [on_the_roll("left", "right")])) == "A of kit left lies there 1 times too often"
    assert refused_stock(stock([left], [on_the_roll("left")])) == "A of kit right is missing 1 times in the layouts"
    assert refused_stock(stock([left, left], [])) == "sheet K1 is cut from 2 times"


def test_of_a_kit_each_layout_is_checked_and_each_piece_is_the_one_given() -> None:
    assert refused_stock(stock([on_the_sheet((0.05, -0.05))], [on_the_roll("right")])).startswith(
        "A copy 1 reaches out"
    )
    good = stock([on_the_sheet((0.05, 0.05))], [on_the_roll("right")])
    message = "piece A in the layout is not the one that was to be cut"
    assert refused_stock(good, replace(PAIR, loops=(rectangle(0.2, 0.11),))) == message
    assert refused_stock(good, replace(PAIR, tolerance=0.0)) == message
    assert refused_stock(good, replace(PAIR, label="B")) == message


def test_visible_pieces_of_one_part_from_two_batches_are_found() -> None:
    def shown(batch: str, kits: tuple[str, ...], job: str = "") -> StockNest:
        both = stock([on_the_sheet((0.05, 0.05))], [on_the_roll("right", batch=batch)])
        sheet, roll = both.sheets[0], both.rolls[0]
        one, two = (
            replace(n.pieces[0], visible=True, kits=(k,), job=job) for n, k in zip((sheet, roll), kits, strict=True)
        )
        return replace(both, sheets=(replace(sheet, pieces=(one,)),), rolls=(replace(roll, pieces=(two,)),))

    def given_(kits: tuple[str, ...], job: str = "") -> FlatPiece:
        return replace(PAIR, visible=True, kits=kits, job=job)

    one, two = ("1", "1"), ("1", "2")
    verify_stock([given_(two)], shown("A1", two))
    verify_stock([given_(one)], shown("B7", one))
    assert refused_stock(shown("A1", one, "hatch"), given_(one, "hatch")) == (
        "pieces that show on hatch kit 1 come from two batches: B7, and A1"
    )
    assert refused_stock(shown("", one), given_(one)) == (
        "pieces that show on kit 1 come from two batches: B7, and unknown, of roll 1"
    )
