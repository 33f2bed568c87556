from __future__ import annotations

import math

import numpy as np
import pytest

from bagside.cutting.layout import Placement, laid
from bagside.cutting.piece import turned
from bagside.cutting.sides import flipped, narrowest, turns_of, worth_flipping
from pieces import ell, piece, rectangle


def test_a_tolerance_adds_its_ends_to_each_turn() -> None:
    assert turns_of(piece("1", ell())) == (0.0, math.pi)
    assert turns_of(piece("1", ell(), turns=None, tolerance=0.1)) is None
    assert turns_of(piece("1", ell(), turns=(0.5,), tolerance=0.1)) == (0.5, 0.4, 0.6)


def test_the_narrowest_counts_the_tolerance() -> None:
    askew = piece("1", turned(rectangle(0.4, 0.02), 0.1), tolerance=0.1)
    assert narrowest(askew) == (pytest.approx(0.02), pytest.approx(-0.1))
    assert askew.narrowest()[0] > 0.05


def test_flipped_is_what_lies_there_face_down() -> None:
    p = piece("1", ell())
    over = laid(p, Placement(label="1", copy=1, turn=0.3, x=0.0, y=0.0, flipped=True))[0]
    same = turned(flipped(p).loops[0], 0.3)
    assert flipped(p).polygon.exterior.is_ccw
    assert {tuple(q) for q in np.round(over, 12)} == {tuple(q) for q in np.round(same, 12)}


@pytest.mark.parametrize(
    ("outline", "turns", "flips", "worth"),
    [
        (rectangle(0.2, 0.1), (0.0, math.pi), True, False),  # its own mirror image
        (ell(), (0.0, math.pi), True, True),
        (ell(), (0.0, math.pi), False, False),
        (np.array([[0.0, 0.0], [0.4, 0.0], [0.2, 0.2]]), (0.0,), True, True),
        (np.array([[0.0, 0.0], [0.4, 0.0], [0.2, 0.2]]), (0.0, math.pi), True, False),  # turned by 180° it is the image
        (ell(), None, True, True),
    ],
)
def test_flipping_is_worth_it_only_for_another_shape(
    outline: np.ndarray, turns: tuple[float, ...] | None, flips: bool, worth: bool
) -> None:
    assert worth_flipping(piece("1", outline, turns=turns, flips=flips)) == worth
