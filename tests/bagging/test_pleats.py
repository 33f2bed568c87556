"""Where pleats go and how high they are."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.bagging.pleats import heights_of, places_along, pleats_of_rectangle, steps_between


def rectangle(length: float, width: float, step: float = 0.005) -> np.ndarray:
    corners = np.array([[0, 0], [length, 0], [length, width], [0, width], [0, 0]])
    run = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    at = np.arange(0, run[-1], step)
    return np.column_stack([np.interp(at, run, corners[:, k]) for k in range(2)] + [np.zeros(len(at))])


def test_heights_are_half_the_depth_within_the_rule_and_counted() -> None:
    heights, raised, lowered = heights_of(np.array([0.0, 0.09, 0.16, 0.3]))
    np.testing.assert_allclose(heights, [0.05, 0.05, 0.08, 0.12])
    assert (raised, lowered) == (2, 1)


@pytest.mark.parametrize(("gap", "between"), [(0.3, 0), (0.4, 0), (0.41, 1), (0.8, 1), (0.81, 2), (2.0, 4)])
def test_none_wider_apart_than_400_mm(gap: float, between: int) -> None:
    assert steps_between(gap) == between


def test_one_at_each_corner_of_a_small_rectangle() -> None:
    line = rectangle(0.38, 0.25)
    at = line[places_along(line, 2 * (0.38 + 0.25))]
    corners = np.array([[0, 0, 0], [0.38, 0, 0], [0.38, 0.25, 0], [0, 0.25, 0]])
    assert len(at) == 4
    for c in corners:
        assert np.linalg.norm(at - c, axis=1).min() < 0.01


def test_and_between_the_corners_of_a_long_one() -> None:
    line = rectangle(1.5, 0.3)
    assert len(places_along(line, 3.6)) == 4 + 2 * 3
    assert pleats_of_rectangle(1.5, 0.3, 0.1).count == 4 + 2 * 3


def test_an_inside_corner_gets_one_too() -> None:
    """An L-shaped run has six corners, one of them internal."""
    corners = np.array([[0, 0], [0.6, 0], [0.6, 0.3], [0.3, 0.3], [0.3, 0.6], [0, 0.6], [0, 0]])
    run = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    at = np.arange(0, run[-1], 0.005)
    line = np.column_stack([np.interp(at, run, corners[:, k]) for k in range(2)] + [np.zeros(len(at))])
    places = line[places_along(line, run[-1])]
    assert np.linalg.norm(places[:, :2] - (0.3, 0.3), axis=1).min() < 0.01
    assert len(places) == 8


@given(st.floats(0.2, 3.0), st.floats(0.2, 3.0))
def test_no_two_are_further_apart_than_the_rule(length: float, width: float) -> None:
    line = rectangle(length, width)
    k = len(line)
    at = places_along(line, 2 * (length + width))
    gaps = np.diff(np.append(at, at[0] + k)) * 2 * (length + width) / k
    assert gaps.max() <= 0.4 + 0.02


@given(st.floats(0, 0.5), st.floats(0, 0.2))
def test_deeper_is_never_lower(depth: float, more: float) -> None:
    shallow, deep = pleats_of_rectangle(0.6, 0.4, depth), pleats_of_rectangle(0.6, 0.4, depth + more)
    assert (deep.heights >= shallow.heights).all()
