"""What is known to fit must find its place: sheets cut up into pieces, contacts, slots and pockets without play."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting import FlatPiece, Placed, Sheet, place_on, verify
from bagside.cutting.piece import turned
from pieces import TWILL, ell, outlines, piece, rectangle


def sheet(outline: np.ndarray, **more: object) -> Sheet:
    return Sheet(name="K1", material=TWILL, outline=outline, **more)  # type: ignore[arg-type]


def laid(found: Placed) -> int:
    for nest in found.sheets:
        verify(nest)
    return sum(len(n.placements) for n in found.sheets)


@given(
    st.lists(st.integers(20, 150), min_size=1, max_size=7),
    st.integers(20, 200),
    st.sampled_from([0.0, 0.002, 0.005]),
    st.sampled_from([0.0, 0.005, 0.010]),
)
@settings(max_examples=70, deadline=None)
def test_strips_that_fill_a_rectangle_exactly_all_find_their_place(
    lengths: list[int], width: int, gap: float, margin: float
) -> None:
    pieces = [piece(str(k), rectangle(1e-3 * x, 1e-3 * width)) for k, x in enumerate(lengths)]
    whole = 1e-3 * sum(lengths) + gap * (len(lengths) - 1) + 2.0 * margin
    found = place_on([sheet(rectangle(whole, 1e-3 * width + 2.0 * margin), gap=gap, margin=margin)], pieces)
    assert laid(found) == len(pieces)
    assert found.left == ()


@pytest.mark.parametrize(("along", "across"), [(4, 3), (5, 1), (6, 5)])
def test_a_sheet_cut_up_into_squares_is_filled_again(along: int, across: int) -> None:
    square = piece("1", rectangle(0.05, 0.05), quantity=along * across)
    found = place_on([sheet(rectangle(0.05 * along, 0.05 * across))], [square])
    assert laid(found) == along * across
    assert found.sheets[0].utilisation == pytest.approx(1.0)


@given(outlines())
@settings(max_examples=70, deadline=None)
def test_a_sheet_of_the_shape_of_the_piece_takes_it(outline: np.ndarray) -> None:
    assert laid(place_on([sheet(outline)], [piece("1", outline)])) == 1
    # And turned end for end, when the piece may lie so.
    end_for_end = sheet(turned(outline, math.pi))
    assert laid(place_on([end_for_end], [piece("1", outline)])) == 1


@given(outlines(largest=0.2))
@settings(max_examples=50, deadline=None)
def test_a_pocket_among_flaws_that_just_fits_takes_the_piece(outline: np.ndarray) -> None:
    # A frame of cloth whose only sound place is the piece's own outline.
    frame = rectangle(0.5, 0.5, at=(-0.25, -0.25))
    rest = shapely.Polygon(frame).difference(shapely.Polygon(outline))
    cells = shapely.get_parts(shapely.constrained_delaunay_triangles(rest))
    flaws = tuple(np.asarray(c.exterior.coords) for c in cells)
    found = place_on([sheet(frame, flaws=flaws)], [piece("1", outline, turns=(0.0,), quantity=2)])
    assert laid(found) == 1
    assert found.left[0].quantity == 1


def test_pieces_that_lock_into_each_other_fill_a_rectangle() -> None:
    # The L and what its rectangle lacks.
    notch = piece("2", rectangle(0.12, 0.10))
    found = place_on([sheet(rectangle(0.2, 0.15))], [piece("1", ell()), notch], seconds=30.0, rounds=60)
    assert laid(found) == 2
    assert found.sheets[0].utilisation == pytest.approx(1.0)


def test_nothing_lies_inside_a_piece_that_has_a_hole() -> None:
    hole = rectangle(0.2, 0.2, at=(0.05, 0.05))
    ring = FlatPiece(label="R", material=TWILL, loops=(rectangle(0.3, 0.3), hole))
    found = place_on([sheet(rectangle(0.3, 0.3))], [ring, piece("S", rectangle(0.1, 0.1))])
    assert [p.label for n in found.sheets for p in n.placements] == ["R"]


TRIANGLE = np.array([[0.0, 0.0], [0.3, 0.0], [0.08, 0.15]])
MIRRORED = TRIANGLE * np.array([1.0, -1.0])


def test_a_sheet_of_the_mirror_image_takes_a_piece_that_may_be_cut_face_down() -> None:
    assert laid(place_on([sheet(MIRRORED)], [piece("1", TRIANGLE)])) == 0
    found = place_on([sheet(MIRRORED)], [piece("1", TRIANGLE, flips=True)])
    assert laid(found) == 1
    assert found.sheets[0].placements[0].flipped


def test_on_a_sheet_turned_over_a_piece_lies_as_its_mirror_image() -> None:
    assert laid(place_on([sheet(MIRRORED, up="dry")], [piece("1", TRIANGLE)])) == 1
    assert laid(place_on([sheet(TRIANGLE, up="dry")], [piece("1", TRIANGLE)])) == 0
    assert laid(place_on([sheet(TRIANGLE, up="dry")], [piece("1", TRIANGLE)], up="dry")) == 1


def test_turns_are_those_stated_give_or_take_the_tolerance() -> None:
    off = math.radians(3.0)
    askew = sheet(turned(TRIANGLE, off))
    assert laid(place_on([askew], [piece("1", TRIANGLE)])) == 0
    assert laid(place_on([askew], [piece("1", TRIANGLE, tolerance=math.radians(2.0))])) == 0
    found = place_on([askew], [piece("1", TRIANGLE, tolerance=off)])
    assert laid(found) == 1
    assert found.sheets[0].placements[0].turn == pytest.approx(off)
    across = sheet(rectangle(0.1, 0.3))
    assert laid(place_on([across], [piece("1", rectangle(0.3, 0.1))])) == 0
    assert laid(place_on([across], [piece("1", rectangle(0.3, 0.1), turns=None)])) == 1


@pytest.mark.parametrize("degrees", [0.0, 20.0, 45.0, 70.0, -10.0])
def test_a_piece_of_any_angle_is_laid_along_the_edges_of_a_sheet_that_is_askew(degrees: float) -> None:
    askew = sheet(turned(rectangle(0.3, 0.1), math.radians(degrees)))
    assert laid(place_on([askew], [piece("1", rectangle(0.1, 0.3), turns=None)])) == 1


def test_without_a_sheet_all_is_left() -> None:
    found = place_on([], [piece("1", ell(), quantity=2)], seconds=1.0)
    assert found.sheets == ()
    assert found.left[0].quantity == 2
    assert found.seconds < 0.9


def test_a_stated_turn_comes_before_one_within_the_tolerance() -> None:
    roomy = sheet(rectangle(0.5, 0.4))
    found = place_on([roomy], [piece("1", TRIANGLE, tolerance=0.05)])
    assert found.sheets[0].placements[0].turn in (0.0, math.pi)
