"""The rule is our own; what is checked is that it says what its formula says and never rises with age or narrowness."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from bagside.cutting.worth import HALVED, ROOMY, age_share, offcut_worth, shape_share
from bagside.errors import InputError


def test_the_formula_by_hand() -> None:
    # A rectangle of 0.4 × 0.25 m: no narrow place, √(0.1 / 0.25); a quarter of its life used; a year old.
    area = shapely.box(0.0, 0.0, 0.4, 0.25)
    worth = offcut_worth(area, fresh=0.5, life_used=25.0, life=100.0, age=2.0 * HALVED)
    assert worth == pytest.approx(0.5 * 0.75 * 0.25 * math.sqrt(0.4))


def test_a_narrow_strip_beside_a_square_does_not_count() -> None:
    flag = shapely.box(0.0, 0.0, 0.6, 0.5).union(shapely.box(0.6, 0.0, 1.6, 0.03))  # 0.30 m², and 0.03 m² of it narrow
    assert shape_share(flag) == pytest.approx(0.30 / 0.33)
    assert shape_share(shapely.box(0.0, 0.0, 1.0, 0.03)) == 0.0
    assert shape_share(shapely.Polygon()) == 0.0


@given(st.floats(0.0, 200.0), st.floats(0.0, 50.0), st.floats(0.0, 1e8), st.floats(0.0, 1e8))
def test_it_never_rises_with_age(used: float, more: float, age: float, older: float) -> None:
    young, old = age_share(used, 100.0, age), age_share(used + more, 100.0, age + older)
    assert 0.0 <= old <= young <= 1.0


def test_no_life_left_is_worth_nothing() -> None:
    assert offcut_worth(shapely.box(0, 0, 1, 1), fresh=1.0, life_used=100.0, life=100.0) == 0.0
    assert offcut_worth(shapely.box(0, 0, 1, 1), fresh=1.0, life_used=0.0, life=100.0) == 1.0
    assert ROOMY < 1.0


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        ({"fresh": 1.1}, "worth of an offcut, fresh: 1.1 – a share from 0 to 1"),
        ({"life_used": -1.0}, "worth of an offcut, life used: -1.0 s – a finite time, not negative"),
        ({"life": 0.0}, "worth of an offcut, life: 0.0 s – a time above zero"),
        ({"age": math.inf}, "worth of an offcut, age: inf s – a finite time, not negative"),
    ],
)
def test_what_is_no_share_or_time_is_refused(given_: dict[str, float], message: str) -> None:
    stated = {"fresh": 0.5, "life_used": 0.0, "life": 100.0, "age": 0.0, **given_}
    with pytest.raises(InputError) as caught:
        offcut_worth(shapely.box(0, 0, 1, 1), **stated)
    assert str(caught.value) == message
