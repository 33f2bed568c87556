"""The check must fail on each kind of planted fault: one that cannot fail proves nothing."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, verify
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
