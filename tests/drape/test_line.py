import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.drape.coarse import nearest
from bagside.drape.frames import frames_of
from bagside.drape.line import pace, traced, turned
from bagside.drape.refuse import direction_on
from bagside.geometry.geodesic import sides_across
from bagside.geometry.surface import Surface


def line_on(surface: Surface, at: list[float], direction: list[float], reach: float):
    _, triangle, share = nearest(surface, np.array([at]))
    k = int(triangle[0])
    return traced(surface, share[0] @ surface.corners[k], direction_on(surface, k, np.array(direction)), reach)


def test_neighbours_of_two_triangles_by_hand() -> None:
    corners = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0]])
    across = sides_across(Surface(corners, np.array([[0, 1, 2], [2, 1, 3]])))
    out = np.where(across >= 0, across // 3, -1)
    assert out.tolist() == [[-1, 1, -1], [0, -1, -1]]


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 2 * np.pi), st.floats(-0.05, 0.05), st.floats(-0.05, 0.05))
def test_on_a_plane_it_is_straight_and_ends_at_the_rim_or_at_its_reach(turn: float, x: float, y: float) -> None:
    way = np.array([np.cos(turn), np.sin(turn), 0])
    line = line_on(shapes.plane(0.3, 0.3, 17, 13), [x, y, 0], way.tolist(), 0.05)
    np.testing.assert_allclose(line.along, np.tile(way, (len(line.along), 1)), atol=1e-9)
    assert line.length.sum() == pytest.approx(0.1)
    np.testing.assert_allclose(line.points[-1] - line.points[0], 0.1 * way, atol=1e-5)


def test_at_the_rim_it_ends() -> None:
    line = line_on(shapes.plane(0.3, 0.2, 10, 10), [0.01, 0.003, 0], [1, 0, 0], 5.0)
    assert line.length.sum() == pytest.approx(0.3)
    np.testing.assert_allclose(line.points[[0, -1], 0], [-0.15, 0.15], atol=1e-12)


def test_through_vertices_and_along_edges_it_goes_on() -> None:
    line = line_on(shapes.plane(0.3, 0.2, 10, 10), [0, 0, 0], [1, 0, 0], 0.12)
    assert line.length.sum() == pytest.approx(0.24, rel=1e-6)
    np.testing.assert_allclose(line.points[:, 1], 0, atol=1e-6)


def test_on_a_cylinder_it_is_a_helix() -> None:
    radius = 0.08
    surface = shapes.cylinder(radius, np.pi, 0.25, 80, 120)
    line = line_on(surface, [0, 0, radius], [1, 1, 0], 0.1)
    x, turn = line.points[:, 0], np.arctan2(line.points[:, 1], line.points[:, 2])
    np.testing.assert_allclose(x, radius * turn, atol=2e-4)
    assert abs(x[-1] - x[0]) == pytest.approx(0.2 / np.sqrt(2), rel=2e-3)


def test_on_a_sphere_it_is_a_great_circle() -> None:
    surface = shapes.hemisphere(0.1, np.pi / 2, 40)
    line = line_on(surface, [0, 0, 0.1], [1, 0.4, 0], 0.12)
    side = np.array([-0.4, 1, 0]) / np.hypot(1, 0.4)
    assert np.abs(line.points @ side).max() < 0.6e-3
    assert np.linalg.norm(line.points[-1] - line.points[0]) == pytest.approx(0.2 * np.sin(1.2), rel=2e-3)


def test_the_backward_half_keeps_the_sense_of_the_warp() -> None:
    line = line_on(shapes.hemisphere(), [0, 0, 0.1], [1, 0, 0], 0.08)
    assert (line.along[:, 0] > 0).all()


def test_a_map_is_turned_so_that_the_line_runs_along_u() -> None:
    surface = shapes.plane()
    frames = frames_of(surface)
    line = line_on(surface, [0, 0, 0], [3, 4, 0], 0.05)
    uv = turned(frames, line, surface.vertices[:, :2].copy())
    np.testing.assert_allclose(pace(frames, line, uv), np.tile([1.0, 0.0], (len(line.length), 1)), atol=1e-8)
    np.testing.assert_allclose(np.linalg.norm(uv, axis=1), np.linalg.norm(surface.vertices, axis=1))
