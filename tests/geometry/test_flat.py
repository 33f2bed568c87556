from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from bagside.geometry import cleaned, inside, loop_area, loop_length, loops_of, polygon, sampled, simplified

SQUARE = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]])


@given(st.integers(3, 60), st.floats(0.01, 3), st.floats(-100, 100))
def test_area_and_length_of_a_regular_polygon_anywhere(n: int, r: float, away: float) -> None:
    turn = 2 * np.pi * np.arange(n) / n
    loop = r * np.stack([np.cos(turn), np.sin(turn)], axis=1) + away
    assert loop_area(loop) == pytest.approx(n / 2 * r * r * np.sin(2 * np.pi / n), rel=1e-6)
    assert loop_area(loop[::-1]) == pytest.approx(-loop_area(loop), rel=1e-6)
    assert loop_length(loop) == pytest.approx(2 * n * r * np.sin(np.pi / n), rel=1e-6)


def test_loops_bound_by_the_odd_rule_and_come_back_oriented() -> None:
    hole, island = 0.25 * SQUARE + 0.5, 0.1 * SQUARE + 0.55
    area = polygon([hole, SQUARE[::-1], island])
    assert area.area == pytest.approx(2 - 0.125 + 0.02)
    back = loops_of(area)
    assert sorted(round(loop_area(loop), 12) for loop in back) == [-0.125, 0.02, 2.0]
    assert inside([SQUARE, hole], np.array([[0.1, 0.1], [0.6, 0.6], [3, 3], [2.0, 0.5]])).tolist() == [
        True, False, False, False,
    ]  # fmt: skip
    assert loops_of(shapely.LineString([(0, 0), (1, 1)])) == ()
    bow = np.array([[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]])
    assert polygon([bow]).area == pytest.approx(0.5)


def test_close_corners_go_and_thinning_stays_within_its_tolerance() -> None:
    crowded = np.insert(SQUARE, [1, 4], [[1e-7, 0], [0, 1e-7]], axis=0)
    assert cleaned(crowded, 1e-6) == pytest.approx(SQUARE)
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    circle = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    thin = simplified(circle, 0.01)
    assert len(thin) < 60
    assert shapely.hausdorff_distance(shapely.LinearRing(thin), shapely.LinearRing(circle)) <= 0.0101
    with pytest.raises(ValueError, match="nothing is left"):
        cleaned(1e-9 * SQUARE, 1e-6)


@given(st.floats(0.01, 3))
def test_points_along_a_loop_are_evenly_spaced_and_on_it(spacing: float) -> None:
    points = sampled(SQUARE, spacing)
    assert points[0].tolist() == [0, 0]
    ring = shapely.LinearRing(SQUARE)
    at = np.array([ring.project(shapely.Point(p)) for p in points])
    gaps = np.diff(np.append(at, 6.0))
    assert gaps == pytest.approx(gaps[0])
    assert gaps.max() <= max(spacing * (1 + 1e-6), 0) or len(points) == 3
    assert max(ring.distance(shapely.Point(p)) for p in points) < 1e-12


def test_what_bounds_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="bounds nothing"):
        polygon([SQUARE[:2]])
    with pytest.raises(ValueError, match="bounds nothing"):
        simplified(SQUARE[:2], 0.1)
    with pytest.raises(ValueError, match="spacing"):
        sampled(SQUARE, 0)
    assert loop_area(SQUARE[:2]) == 0
