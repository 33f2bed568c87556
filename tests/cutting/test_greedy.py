from __future__ import annotations

import math
import time

import numpy as np
import pytest
from hypothesis import given, settings

from bagside.cutting import Cloth, FlatPiece, Nest, verify
from bagside.cutting.greedy import greedy
from bagside.cutting.piece import turned
from pieces import TWILL, kits, piece, rectangle, rosette


def laid(pieces: tuple[FlatPiece, ...], cloth: Cloth) -> Nest:
    nests = [Nest(cloth=cloth, pieces=pieces, placements=p) for p in greedy(pieces, cloth)]
    for nest in nests:
        verify(nest)
    return min(nests, key=lambda n: n.length)


@given(kits(most=6))
@settings(max_examples=30, deadline=None)
def test_never_too_close_never_out_of_the_cloth(given_: tuple[tuple[FlatPiece, ...], Cloth]) -> None:
    pieces, cloth = given_
    nest = laid(pieces, cloth)
    bound = sum(p.outline.area * p.quantity for p in pieces) / cloth.width
    assert nest.length >= bound - 1e-9


def test_a_piece_exactly_as_wide_as_the_cloth_lies_on_it_three_times() -> None:
    nest = laid((piece("1", rectangle(0.1, 1.25), quantity=3),), Cloth(material=TWILL, width=1.25))
    assert nest.length == pytest.approx(0.3, abs=1e-9)
    assert nest.utilisation == pytest.approx(1.0, abs=1e-9)


def test_squares_at_gap_nothing_touch_and_fill_the_cloth() -> None:
    nest = laid((piece("1", rectangle(0.1, 0.1), quantity=25),), Cloth(material=TWILL, width=0.5))
    assert nest.length == pytest.approx(0.5, abs=1e-9)


def test_a_hole_left_by_earlier_pieces_is_filled() -> None:
    # Two wide U-shaped rows leave a window between them; the small square belongs into it, not behind everything.
    frame = np.array([[0.0, 0.0], [0.4, 0.0], [0.4, 0.4], [0.3, 0.4], [0.3, 0.1], [0.0, 0.1]])
    pieces = (piece("L", frame), piece("s", rectangle(0.1, 0.1)))
    nest = laid(pieces, Cloth(material=TWILL, width=0.4))
    assert nest.length == pytest.approx(0.4, abs=1e-9)


def test_turning_end_for_end_is_used_where_it_helps() -> None:
    triangle = np.array([[0.0, 0.0], [0.4, 0.0], [0.0, 0.4]])
    both = laid((piece("1", triangle, quantity=2),), Cloth(material=TWILL, width=0.41))
    one = laid((piece("1", triangle, quantity=2, turns=(0.0,)),), Cloth(material=TWILL, width=0.41))
    assert both.length < one.length - 0.1


def test_a_veil_wider_than_the_cloth_is_turned_until_it_fits() -> None:
    nest = laid((piece("1", rectangle(0.1, 1.3), turns=None),), Cloth(material=TWILL, width=0.1001))
    assert nest.length == pytest.approx(1.3, abs=1e-6)


def test_a_tolerance_is_used_by_a_piece_that_would_not_fit_otherwise() -> None:
    # A strip of 400 × 20 mm lies askew by 5°: 54.8 mm across; straight it is 20 mm.
    askew = turned(rectangle(0.4, 0.02), math.radians(5.0))
    cloth = Cloth(material=TWILL, width=0.03)
    assert piece("1", askew).narrowest()[0] > cloth.width
    nest = laid((piece("1", askew, tolerance=math.radians(5.0)),), cloth)
    assert nest.length == pytest.approx(0.4, abs=1e-9)


def test_a_piece_that_may_be_cut_face_down_is_where_it_helps() -> None:
    # Upright triangles of 0.4 m, one beside the other, take 0.8 m; with one head down they take 0.6 m.
    triangle = np.array([[0.0, 0.0], [0.4, 0.0], [0.2, 0.2]])
    cloth = Cloth(material=TWILL, width=0.2)
    assert laid((piece("1", triangle, quantity=2, turns=(0.0,)),), cloth).length == pytest.approx(0.8, abs=1e-9)
    both = laid((piece("1", triangle, quantity=2, turns=(0.0,), flips=True),), cloth)
    assert sorted(p.flipped for p in both.placements) == [False, True]
    assert both.length == pytest.approx(0.6, abs=0.01)


def test_margin_and_selvedge_are_kept_at_their_edges() -> None:
    cloth = Cloth(material=TWILL, width=0.5, margin=0.010, selvedge=0.015, gap=0.005)
    nest = laid((piece("1", rectangle(0.1, 0.1), quantity=6),), cloth)
    bounds = np.array([nest.placed_outline(p).bounds for p in nest.placements])
    assert bounds[:, 0].min() == pytest.approx(0.010, abs=1e-9)
    assert bounds[:, 1].min() >= 0.025 - 1e-9
    assert bounds[:, 3].max() <= 0.475 + 1e-9


def test_five_hundred_copies_are_laid_within_a_few_seconds() -> None:
    pieces = (piece("1", rosette(), quantity=200), piece("2", rectangle(0.1, 0.13), quantity=300))
    began = time.process_time()
    nest = laid(pieces, Cloth(material=TWILL, width=1.25, margin=0.01, gap=0.005))
    assert time.process_time() - began < 5.0
    assert nest.utilisation > 0.55


def test_it_is_the_same_every_time() -> None:
    pieces = (piece("1", rosette(), quantity=5), piece("2", rectangle(0.1, 0.13), quantity=7))
    cloth = Cloth(material=TWILL, width=1.25, margin=0.01, gap=0.005)
    assert list(greedy(pieces, cloth)) == list(greedy(pieces, cloth))
