from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.geometry import Surface, barycentric, nearest, triangle_values_at, vertex_values_at

CAP = shapes.hemisphere(0.1, 1.3, 20)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, len(CAP.triangles) - 1), st.floats(0.02, 1), st.floats(0.02, 1), st.floats(-0.002, 0.002))
def test_a_point_above_a_triangle_is_found_there(t: int, p: float, q: float, height: float) -> None:
    weight = np.array([1.0, p, q]) / (1 + p + q)
    on = weight @ CAP.corners[t]
    distance, triangle, closest = nearest(CAP, (on + height * CAP.normals[t])[None])
    assert distance[0] == pytest.approx(abs(height), abs=5e-5)
    if height <= 0:
        return
    assert triangle[0] == t
    assert closest[0] == pytest.approx(on, abs=1e-12)
    assert barycentric(CAP, triangle, closest)[0] == pytest.approx(weight, abs=1e-9)


def test_many_points_are_each_point_by_itself() -> None:
    points = np.random.default_rng(3).uniform(-0.12, 0.12, (20, 3))
    distance, triangle, closest = nearest(CAP, points)
    for k, point in enumerate(points):
        d, t, c = nearest(CAP, point[None])
        assert d[0] == pytest.approx(distance[k], abs=1e-15)
        assert t[0] == triangle[k]
        assert c[0] == pytest.approx(closest[k], abs=1e-15)


def test_values_are_carried_over() -> None:
    points = CAP.centroids[::7]
    assert triangle_values_at(CAP, np.arange(len(CAP.triangles)), points).tolist() == list(
        range(0, len(CAP.triangles), 7)
    )
    linear = CAP.vertices @ np.array([[1.0, 2.0], [3.0, -1.0], [0.5, 0.0]])
    assert vertex_values_at(CAP, linear, points) == pytest.approx(points @ np.array([[1, 2], [3, -1], [0.5, 0]]))


def test_nothing_to_be_near_to_and_no_points() -> None:
    none = Surface(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    with pytest.raises(ValueError, match="no triangle"):
        nearest(none, np.zeros((1, 3)))
    assert [len(a) for a in nearest(CAP, np.zeros((0, 3)))] == [0, 0, 0]
