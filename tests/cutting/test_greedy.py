from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from bagside.cutting import Cloth, FlatPiece, Nest, verify
from bagside.cutting.greedy import greedy
from pieces import TWILL, kits, piece, rectangle, rosette


def laid(pieces: tuple[FlatPiece, ...], cloth: Cloth) -> Nest:
    nest = Nest(cloth=cloth, pieces=pieces, placements=greedy(pieces, cloth))
    verify(nest)
    return nest


@given(kits(most=6))
@settings(max_examples=60, deadline=None)
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


def test_it_is_the_same_every_time() -> None:
    pieces = (piece("1", rosette(), quantity=5), piece("2", rectangle(0.1, 0.13), quantity=7))
    cloth = Cloth(material=TWILL, width=1.25, margin=0.01, gap=0.005)
    assert greedy(pieces, cloth) == greedy(pieces, cloth)
