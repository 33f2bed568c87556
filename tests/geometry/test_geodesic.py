from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.geometry import Surface, cut, distance, trace

FLAT = shapes.plane(0.3, 0.2, 30, 20)
BALL = shapes.hemisphere(0.1, np.pi / 2, 32)
TUBE = shapes.cylinder(0.08, np.pi, 0.25, 24, 48)


@settings(max_examples=15, deadline=None)
@given(st.floats(-0.149, 0.149), st.floats(-0.099, 0.099))
def test_on_a_plane_it_is_the_straight_distance_from_anywhere(x: float, y: float) -> None:
    found = distance(FLAT, points=np.array([[x, y, 0.0]]))
    exact = np.linalg.norm(FLAT.vertices - [x, y, 0], axis=1)
    assert np.abs(found - exact).max() < 1.5e-5  # a point near an edge moves onto it: 0.001 of 14 mm


def test_on_a_sphere_it_is_the_arc() -> None:
    polar = np.arccos(np.clip(BALL.vertices[:, 2] / 0.1, -1, 1))
    assert distance(BALL, points=np.array([[0, 0, 0.1]])) == pytest.approx(0.1 * polar, abs=6e-5)
    assert distance(BALL, rim=True) == pytest.approx(0.1 * (np.pi / 2 - polar), abs=6e-5)


def test_on_a_cylinder_it_is_the_distance_on_the_unrolled_sheet() -> None:
    start = np.array([0.0, 0.0, 0.08])
    turn = np.arctan2(TUBE.vertices[:, 1], TUBE.vertices[:, 2])
    exact = np.hypot(TUBE.vertices[:, 0], 0.08 * turn)
    assert distance(TUBE, points=start[None]) == pytest.approx(exact, rel=3e-4, abs=1e-9)


def test_the_rim_is_a_curve_not_its_vertices() -> None:
    exact = np.minimum(0.15 - np.abs(FLAT.vertices[:, 0]), 0.1 - np.abs(FLAT.vertices[:, 1]))
    assert distance(FLAT, rim=True) == pytest.approx(exact, abs=1e-12)
    skew = shapes.plane_with_hole(0.3, 0.05, 24, 9)
    from_vertices = distance(skew, vertices=np.concatenate(skew.loops))
    assert (distance(skew, rim=True) <= from_vertices + 1e-12).all()


def test_it_goes_round_a_corner() -> None:
    bent = shapes.l_shape(0.3, 30)
    start, around = np.array([0.10, -0.05, 0.0]), np.array([-0.05, 0.10, 0.0])
    k = int(np.argmin(np.linalg.norm(bent.vertices - around, axis=1)))
    corner = np.hypot(0.10, 0.05)
    assert distance(bent, points=start[None])[k] == pytest.approx(2 * corner, rel=1e-6)


def test_a_region_is_at_no_distance_from_its_inside() -> None:
    disc = cut(FLAT, np.linalg.norm(FLAT.vertices, axis=1), 0.04)
    found = distance(FLAT, region=disc)
    r = np.linalg.norm(FLAT.vertices, axis=1)
    assert (found[r < 0.039] == 0).all()
    away = r > 0.042
    assert found[away] == pytest.approx(r[away] - 0.04, abs=6e-4)  # the disc is cut with chords of 10 mm


def test_within_reach_it_is_the_same_and_beyond_it_is_beyond() -> None:
    point = np.array([[0.03, 0.02, 0.0]])
    whole, near = distance(FLAT, points=point), distance(FLAT, points=point, reach=0.05)
    inside = whole <= 0.05
    assert near[inside] == pytest.approx(whole[inside], abs=1e-12)
    assert (near[~inside] > 0.05).all()


def test_without_a_source_everything_is_infinitely_far() -> None:
    assert np.isinf(distance(FLAT)).all()


@pytest.mark.parametrize("reach", [np.inf, 0.2])
def test_where_no_way_leads_it_is_infinite(reach: float) -> None:
    twin = shapes.plane(0.1, 0.1, 6, 6)
    n = len(twin.vertices)
    both = Surface(
        np.concatenate([twin.vertices, twin.vertices + np.array([0, 0, 0.01])]),
        np.concatenate([twin.triangles, twin.triangles + n]),
    )
    found = distance(both, points=np.zeros((1, 3)), reach=reach)
    assert np.isfinite(found[:n]).all()
    assert np.isinf(found[n:]).all()


def test_a_straight_line_on_a_plane_keeps_its_direction() -> None:
    start, way = np.array([-0.1, -0.05, 0.0]), np.array([0.8, 0.3, 0.0])
    path, crossed, weights = trace(FLAT, start, way, 0.2)
    assert len(path) == len(crossed) + 1 == len(weights) + 1
    assert path[-1] == pytest.approx(start + 0.2 * way / np.linalg.norm(way), abs=1e-9)
    again = np.einsum("kj,kjx->kx", weights, FLAT.corners[crossed])
    assert again == pytest.approx(path[1:], abs=1e-8)


@settings(max_examples=20, deadline=None)
@given(st.floats(0, 2 * np.pi))
def test_on_a_cylinder_it_is_a_helix(angle: float) -> None:
    start = np.array([0.001, 0.0005, 0.08])
    path, _, _ = trace(TUBE, start, np.array([np.cos(angle), np.sin(angle), 0]), 0.08)
    went = np.linalg.norm(np.diff(path, axis=0), axis=1).sum()
    assert went == pytest.approx(0.08, rel=1e-9)
    end = path[-1]
    unrolled = np.array([end[0], 0.08 * np.arctan2(end[1], end[2])]) - path[0, :2]
    assert unrolled == pytest.approx(0.08 * np.array([np.cos(angle), np.sin(angle)]), abs=2e-4)


def test_it_ends_at_the_boundary_and_refuses_to_stand_up() -> None:
    path, _, _ = trace(FLAT, np.array([0.1, 0.0, 0.0]), np.array([1.0, 0.01, 0.0]), 1.0)
    assert path[-1][0] == pytest.approx(0.15, abs=1e-9)
    with pytest.raises(ValueError, match="straight up"):
        trace(FLAT, np.zeros(3), np.array([0.0, 0.0, 1.0]), 0.1)
