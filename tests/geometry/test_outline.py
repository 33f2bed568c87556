from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.geometry import axes, loop_area, outline_polygon
from bagside.spec.region import Outline, Shape

lengths = st.floats(0.002, 2.0)


@settings(max_examples=60)
@given(lengths, lengths, st.floats(-10, 10))
def test_an_ellipse_has_its_area_and_is_followed_to_two_hundredths(a: float, b: float, turn: float) -> None:
    loop = outline_polygon(Outline(shape=Shape.ELLIPSE, size=(a, b), turn=turn))
    assert loop_area(loop) == pytest.approx(np.pi * a * b / 4, rel=1e-9)
    c, s = np.cos(turn), np.sin(turn)
    local = loop @ np.array([[c, -s], [s, c]]) / [a / 2, b / 2]
    middle = 0.5 * (local + np.roll(local, 1, axis=0))
    stray = max(np.abs(np.linalg.norm(local, axis=1) - 1).max(), np.abs(np.linalg.norm(middle, axis=1) - 1).max())
    assert stray * max(a, b) / 2 <= 2e-5


@settings(max_examples=60)
@given(lengths, lengths, st.floats(0, 1))
def test_a_rounded_rectangle_has_its_size_and_area(a: float, b: float, share: float) -> None:
    r = share * min(a, b) / 2
    loop = outline_polygon(Outline(shape=Shape.ROUNDED_RECTANGLE, size=(a, b), corner=r))
    assert np.ptp(loop, axis=0) == pytest.approx([a, b], rel=1e-9)
    exact = a * b - (4 - np.pi) * r * r
    assert exact * (1 - 1e-9) - 2 * np.pi * r * 2e-5 <= loop_area(loop) <= exact * (1 + 1e-9) + 1e-12


def test_a_polygon_runs_counter_clockwise_about_its_centre() -> None:
    stated = Outline(
        shape=Shape.POLYGON, points=((0.0, 0.0), (0.0, 0.1), (0.2, 0.0)), centre=(1.0, 2.0), turn=np.pi / 2
    )
    loop = outline_polygon(stated)
    assert loop_area(loop) == pytest.approx(0.01)
    assert sorted(map(tuple, np.round(loop, 12).tolist())) == [(0.9, 2.0), (1.0, 2.0), (1.0, 2.2)]


def test_axes_are_the_moulds_own_from_above_and_right_handed_from_anywhere() -> None:
    assert axes(Outline(shape=Shape.CIRCLE)) == pytest.approx(np.eye(3))
    for along in [(0.0, 0.0, -1.0), (0.3, -0.5, 0.8), (1.0, 0.0, 0.0), (-1.0, 0.001, 0.0)]:
        frame = axes(Outline(shape=Shape.CIRCLE, along=along))
        assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
        assert np.linalg.det(frame) == pytest.approx(1)
        assert frame[2] @ np.array(along) == pytest.approx(np.linalg.norm(along))
    assert axes(Outline(shape=Shape.CIRCLE, along=(1.0, 0.0, 0.0)))[0] == pytest.approx([0, 1, 0])
    assert axes(Outline(shape=Shape.CIRCLE, along=(0.0, 0.6, 0.8)))[0] == pytest.approx([1, 0, 0])


@pytest.mark.parametrize(
    ("outline", "message"),
    [
        (Outline(shape=Shape.CIRCLE), "circle needs its size"),
        (Outline(shape=Shape.POLYGON, points=((0.0, 0.0), (1.0, 0.0))), "a polygon needs three corners"),
        (
            Outline(shape=Shape.ROUNDED_RECTANGLE, size=(0.1, 0.2), corner=0.06),
            "the corner radius is more than half the smaller side",
        ),
    ],
)
def test_what_cannot_be_drawn_is_refused(outline: Outline, message: str) -> None:
    with pytest.raises(ValueError) as caught:
        outline_polygon(outline)
    assert str(caught.value) == message
