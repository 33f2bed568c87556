from __future__ import annotations

import pickle

import numpy as np
import pytest

import shapes
from bagside import geometry
from bagside.geometry import Surface


def test_areas_in_closed_form() -> None:
    assert shapes.plane().area == pytest.approx(0.06, rel=1e-12)
    assert shapes.hemisphere(0.1, 1.0, 80).area == pytest.approx(2 * np.pi * 0.01 * (1 - np.cos(1.0)), rel=3e-4)
    assert shapes.cylinder(0.08, np.pi, 0.25, 20, 200).area == pytest.approx(0.08 * np.pi * 0.25, rel=1e-4)
    sector = 0.5 * (0.35**2 - 0.1**2) * np.pi * np.sin(np.radians(20))
    assert shapes.cone(n=200).area == pytest.approx(sector, rel=1e-4)


def test_the_outer_loop_keeps_the_surface_on_its_left() -> None:
    flat = shapes.plane_with_hole()
    outer, hole = (flat.vertices[loop, :2] for loop in flat.loops)
    assert geometry.loop_area(outer) == pytest.approx(0.09)
    assert geometry.loop_area(hole) == pytest.approx(-np.pi * 0.05**2, rel=2e-3)


def test_vertex_normals_of_a_sphere_point_outward() -> None:
    ball = shapes.hemisphere(0.1, 1.2, 30)
    assert (ball.vertex_normals * ball.vertices).sum(axis=1) / 0.1 == pytest.approx(1, abs=3e-3)
    assert ball.flipped().normals == pytest.approx(-ball.normals)


def test_what_would_make_every_number_wrong_is_refused() -> None:
    square = np.zeros((4, 3))
    with pytest.raises(ValueError, match="are wanted as"):
        Surface(np.zeros((4, 2)), np.zeros((1, 3), dtype=np.int64))
    with pytest.raises(ValueError, match="does not exist"):
        Surface(square, np.array([[0, 1, 4]]))
    with pytest.raises(ValueError, match="finite"):
        Surface(square + np.nan, np.array([[0, 1, 2]]))


def test_loops_need_triangles_wound_alike() -> None:
    flat = shapes.plane(nx=3, ny=2)
    turned = flat.triangles.copy()
    turned[0] = turned[0, ::-1]
    with pytest.raises(ValueError, match="boundary"):
        _ = Surface(flat.vertices, turned).loops
    pairs = {(min(a, b), max(a, b)) for t in flat.triangles.tolist() for a, b in _sides(t)}
    assert [tuple(e) for e in flat.edges.tolist()] == sorted(pairs)


def _sides(t: list[int]) -> list[tuple[int, int]]:
    return [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])]


def test_a_surface_cannot_be_changed_and_survives_a_trip() -> None:
    flat = shapes.plane(nx=3, ny=2)
    with pytest.raises(ValueError, match="read-only"):
        flat.vertices[0, 0] = 1
    back = pickle.loads(pickle.dumps(flat))
    assert np.array_equal(back.vertices, flat.vertices)
    assert back.area == flat.area


def test_public_names_exist() -> None:
    assert all(hasattr(geometry, name) for name in geometry.__all__)
    assert geometry.__all__ == sorted(geometry.__all__, key=lambda n: (not n.isupper(), not n[0].isupper(), n))
