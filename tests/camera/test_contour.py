"""The edge across and along: against blurred steps, a circle and a square in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import erf

from bagside.camera.corners import corners_in
from bagside.camera.smooth import outline_of
from bagside.camera.step import fitted_steps
from bagside.geometry.flat import loop_area

T = np.arange(-9.0, 9.25, 0.5)


def blurred(place: np.ndarray, blur: float, inner: float, outer: float) -> np.ndarray:
    share = 0.5 + 0.5 * erf((T - place[:, None]) / (np.sqrt(2.0) * blur))
    return inner + (outer - inner) * share


@pytest.mark.parametrize(("inner", "outer"), [(0.05, 0.75), (0.7, 0.05), (0.4, 0.6)])
def test_a_blurred_step_is_found_where_it_is(inner: float, outer: float) -> None:
    place = np.linspace(-1.0, 1.0, 41)
    found = fitted_steps(blurred(place, 0.9, inner, outer), T, np.round(place * 2) / 2, np.zeros(41))
    assert np.abs(found.place - place).max() < 0.005
    assert found.blur == pytest.approx(0.9, abs=0.02)
    assert found.step == pytest.approx(outer - inner, rel=0.02)
    assert not found.soft.any()


def test_a_side_beside_the_top_is_allowed_for() -> None:
    place, wall = np.linspace(-2.0, 0.0, 41), np.linspace(0.5, 5.0, 41)
    both = 0.6 * blurred(place, 0.9, 0.0, 1.0) + 0.4 * blurred(place + wall, 0.9, 0.0, 1.0)
    found = fitted_steps(0.05 + 0.7 * both, T, place + 0.5 * wall, wall)
    wide = wall > 2.5
    assert np.abs(found.place - place)[wide].max() < 0.1
    assert np.abs(found.place - place).max() < 0.5


def test_light_that_fades_beyond_the_edge_does_not_move_it() -> None:
    place = np.linspace(-1.0, 1.0, 41)
    fading = 0.03 * np.maximum(T - place[:, None], 0.0)
    found = fitted_steps(blurred(place, 0.9, 0.05, 0.5) + fading, T, place + 0.3, np.zeros(41))
    assert np.abs(found.place - place).max() < 0.06


def test_a_shadow_among_edges_is_soft() -> None:
    place = np.zeros(60)
    values = blurred(place, 0.9, 0.05, 0.7)
    values[50:] = blurred(place[50:], 4.0, 0.05, 0.7)
    found = fitted_steps(values, T, place, np.zeros(60))
    assert found.soft[52:58].all()
    assert not found.soft[:48].any()


def circle(radius: float, count: int, noise: float) -> np.ndarray:
    turn = 2.0 * np.pi * np.arange(count) / count
    rng = np.random.default_rng(3)
    r = radius + noise * rng.standard_normal(count)
    return np.stack([r * np.cos(turn), r * np.sin(turn)], axis=1)


def never(points: np.ndarray, at: int) -> np.ndarray:
    return np.full(len(points), 0.5)


def test_a_circle_keeps_its_area_with_few_points_and_no_corner() -> None:
    radius, tolerance = 0.06, 2e-4
    points = circle(radius, 1900, 2e-5)
    found = outline_of(points, np.ones(1900, dtype=bool), 1e-4, tolerance, never)
    assert len(found.corners.index) == 0
    assert loop_area(found.points) == pytest.approx(np.pi * radius**2, rel=2e-4)
    assert len(found.points) < 120
    assert found.strays < tolerance
    assert np.abs(np.hypot(*found.points.T) - radius).max() < tolerance


def test_a_finer_tolerance_takes_more_points() -> None:
    points = circle(0.06, 1900, 0.0)
    every = np.ones(1900, dtype=bool)
    counts = [len(outline_of(points, every, 1e-4, t, never).points) for t in (1e-3, 2e-4, 4e-5)]
    assert counts[0] < counts[1] < counts[2]


def square(side: float, spacing: float, retreat: float) -> np.ndarray:
    """Return readings along a square whose corners a lens has rounded with a radius."""
    import shapely

    body = shapely.box(0.0, 0.0, side, side).buffer(-retreat).buffer(retreat, quad_segs=32)
    rim = shapely.geometry.polygon.orient(body).exterior
    count = round(rim.length / spacing)
    return np.array([rim.interpolate(k * rim.length / count).coords[0] for k in range(count)])


def test_corners_rounded_by_the_lens_come_back() -> None:
    points = square(0.08, 2e-4, 2e-4)
    kept = np.ones(len(points), dtype=bool)
    inside = lambda p, at: ((p > 0.0) & (p < 0.08)).all(axis=1).astype(float)  # noqa: E731
    found = outline_of(points, kept, 1e-4, 2e-4, inside)
    assert len(found.corners.index) == 4
    for corner in [(0, 0), (0.08, 0), (0.08, 0.08), (0, 0.08)]:
        assert np.hypot(*(found.points - corner).T).min() < 2e-5
    assert loop_area(found.points) == pytest.approx(0.0064, rel=1e-4)


def test_a_true_rounding_stays_a_rounding() -> None:
    points = square(0.08, 2e-4, 3e-3)
    body = lambda p, at: np.zeros(len(p))  # the photo shows the ground where the sides would meet  # noqa: E731
    assert len(corners_in(points, np.ones(len(points), dtype=bool), 2e-4, 1e-4, body).index) == 0


def test_a_gap_is_bridged_and_strays_are_left_out() -> None:
    points = circle(0.06, 1900, 1e-5)
    kept = np.ones(1900, dtype=bool)
    kept[300:330] = False
    points[300:330] += 0.002
    points[900:903] *= 1.03
    found = outline_of(points, kept, 1e-4, 2e-4, never)
    assert np.abs(np.hypot(*found.dense.T) - 0.06).max() < 1e-4
