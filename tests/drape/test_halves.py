"""Half-edges, the single point's place on a surface, and straight lines, against libraries and great circles."""

import numpy as np
import pytest
import trimesh

import shapes
from bagside import geometry
from bagside.drape.halves import halves_of, place_on
from bagside.drape.rays import rays
from bagside.geometry import Surface


def test_opposite_half_edges_are_the_adjacency_of_a_mesh_library() -> None:
    surface = shapes.holed_cap(rings=12)
    halves = halves_of(surface)
    inner = np.flatnonzero(halves.opposite >= 0)
    np.testing.assert_array_equal(halves.opposite[halves.opposite[inner]], inner)
    pairs = {tuple(sorted((h // 3, o // 3))) for h, o in zip(inner, halves.opposite[inner], strict=True)}
    mesh = trimesh.Trimesh(surface.vertices, surface.triangles, process=False)
    assert pairs == {tuple(sorted(p)) for p in mesh.face_adjacency.tolist()}
    assert (halves.opposite < 0).sum() == sum(len(loop) for loop in surface.loops)


def test_an_edge_of_three_triangles_or_of_two_wound_unlike_is_a_rim() -> None:
    points = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1]], dtype=float)
    fin = Surface(points, np.array([[0, 1, 2], [1, 0, 3], [0, 1, 4]]))
    assert (halves_of(fin).opposite < 0).all()
    unlike = Surface(points[:4], np.array([[0, 1, 2], [0, 1, 3]]))
    assert (halves_of(unlike).opposite < 0).all()
    alike = Surface(points[:4], np.array([[0, 1, 2], [1, 0, 3]]))
    assert (halves_of(alike).opposite >= 0).sum() == 2


@pytest.mark.parametrize("surface", [shapes.box_corner(rings=20), shapes.saddle(n=12), shapes.plane()])
def test_the_place_of_a_point_is_that_of_a_search_tree(surface: Surface) -> None:
    random = np.random.default_rng(5)
    low, high = surface.vertices.min(axis=0) - 0.02, surface.vertices.max(axis=0) + 0.02
    for point in random.uniform(low, high, (40, 3)):
        off, triangle, at = place_on(surface, point)
        wanted, _, closest = geometry.nearest(surface, point[None, :])
        assert off == pytest.approx(wanted[0], abs=1e-12)
        np.testing.assert_allclose(at, closest[0], atol=1e-12)
        assert geometry.barycentric(surface, np.array([triangle]), at[None, :]).min() > -1e-9


def test_straight_lines_on_a_sphere_are_great_circles() -> None:
    surface = shapes.hemisphere(0.1, np.radians(85), 60)
    start = np.array([0.02, 0.01, np.sqrt(0.01 - 0.0005)])
    _, triangle, at = place_on(surface, start)
    normal = surface.normals[triangle]
    first = np.cross(normal, [0, 1, 0])
    first = first / np.linalg.norm(first)
    turn = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    ways = np.cos(turn)[:, None] * first + np.sin(turn)[:, None] * np.cross(normal, first)
    found = rays(halves_of(surface), at, triangle, ways, 0.1)
    for k in range(12):
        mine = found.exit[found.ray == k]
        pole = np.cross(at, ways[k]) / np.linalg.norm(np.cross(at, ways[k]))
        assert np.abs(mine @ pole).max() < 5e-4
        arc = 0.1 * np.arccos(np.clip(mine @ at / np.linalg.norm(mine, axis=1) / np.linalg.norm(at), -1, 1))
        np.testing.assert_allclose(found.length[found.ray == k], arc, atol=2e-4)


def test_a_straight_line_is_that_of_the_step_by_step_trace() -> None:
    surface = shapes.saddle(n=30)
    start, way = np.array([0.011, 0.007, 0.0]), np.array([1.0, 0.37, 0.0])
    _, triangle, at = place_on(surface, start)
    way = way - (way @ surface.normals[triangle]) * surface.normals[triangle]
    found = rays(halves_of(surface), at, triangle, (way / np.linalg.norm(way))[None, :], 1.0)
    points, crossed, _ = geometry.trace(surface, at, way, 1.0)
    np.testing.assert_array_equal(found.triangle, crossed)
    np.testing.assert_allclose(found.exit, points[1:], atol=1e-8)


def test_lines_through_vertices_go_on() -> None:
    surface = shapes.plane(0.3, 0.3, 30, 30)
    _, triangle, at = place_on(surface, np.zeros(3))
    turn = np.arange(8) * np.pi / 4
    ways = np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])
    found = rays(halves_of(surface), at, triangle, ways, 1.0)
    for k in range(8):
        end = found.exit[found.ray == k][-1]
        reach = 0.15 * (1 if k % 2 == 0 else np.sqrt(2))
        np.testing.assert_allclose(end, reach * ways[k], atol=1e-7)
