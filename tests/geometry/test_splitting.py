from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.geometry.splitting import SNAP, inserted, split_edges, split_level
from bagside.geometry.topology import consistent

CAP = shapes.hemisphere(0.1, 1.2, 10)
FLAT = shapes.plane(0.2, 0.1, 8, 4)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.01, 1))
def test_dividing_edges_keeps_area_winding_and_the_rim(seed: int, part: float) -> None:
    rng = np.random.default_rng(seed)
    chosen = CAP.edges[rng.random(len(CAP.edges)) < part]
    chosen = np.where(rng.random((len(chosen), 1)) < 0.5, chosen, chosen[:, ::-1])
    share = rng.uniform(0.1, 0.9, len(chosen))
    split = split_edges(CAP, chosen, share)
    assert split.surface.area == pytest.approx(CAP.area, rel=1e-12)
    assert consistent(split.surface.triangles)
    assert len(split.surface.loops) == 1
    sums = np.bincount(split.parent, weights=split.surface.areas, minlength=len(CAP.triangles))
    assert sums == pytest.approx(CAP.areas, rel=1e-9)
    ends = CAP.vertices[chosen]
    fresh = split.surface.vertices[len(CAP.vertices) :]
    assert fresh == pytest.approx(ends[:, 0] + share[:, None] * (ends[:, 1] - ends[:, 0]))


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 60))
def test_points_become_vertices_where_they_are(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    t = rng.integers(0, len(FLAT.triangles), count)
    weight = rng.dirichlet([0.4, 0.4, 0.4], count)
    points = np.einsum("kj,kjx->kx", weight, FLAT.corners[t])
    split, vertex = inserted(FLAT, points)
    assert split.surface.vertices[vertex] == pytest.approx(points, abs=2 * SNAP * 0.04)
    assert split.surface.area == pytest.approx(FLAT.area, rel=1e-12)
    assert consistent(split.surface.triangles)
    sums = np.bincount(split.parent, weights=split.surface.areas, minlength=len(FLAT.triangles))
    assert sums == pytest.approx(FLAT.areas, rel=1e-9)


def test_a_level_is_cut_where_it_runs_and_through_a_vertex_it_passes_closely() -> None:
    x = FLAT.vertices[:, 0]
    split, value = split_level(FLAT, x, 0.01)
    assert value[len(x) :] == pytest.approx(0.01)
    assert split.surface.vertices[len(x) :, 0] == pytest.approx(0.01)
    near, value = split_level(FLAT, x, 0.025 + 0.5 * SNAP * 0.025)
    assert len(near.surface.vertices) == len(x)
    assert (value[np.abs(x - 0.025) < 1e-9] == 0.025 + 0.5 * SNAP * 0.025).all()


def test_points_in_one_place_become_one_vertex() -> None:
    point = np.array([[0.013, 0.007, 0.0]])
    for apart in (0, 1e-12, 1e-9, 0.9 * SNAP * 0.01):  # the least height of these triangles is 17.7 mm
        _, vertex = inserted(FLAT, np.concatenate([point, point + np.array([apart, 0, 0])]))
        assert vertex[0] == vertex[1]


def test_ever_closer_points_become_vertices_no_closer_than_a_thousandth() -> None:
    near = SNAP * 0.025 / np.sqrt(2)  # all triangles are halves of squares
    step = np.concatenate([10.0 ** -np.arange(2, 14), -(10.0 ** -np.arange(2, 14))])
    points = np.zeros((4 * len(step), 3))
    points[:, 0] = np.concatenate([step, step, 0 * step, step])
    points[:, 1] = np.concatenate([0 * step, step, step, -step / 2])
    points += [0.0137, 0.0071, 0]
    split, vertex = inserted(FLAT, points)
    found = split.surface.vertices
    assert np.linalg.norm(found[vertex] - points, axis=1).max() < 2 * near
    apart = np.linalg.norm(found[:, None] - found[None], axis=2) + np.eye(len(found))
    assert apart.min() > 0.5 * near
    assert split.surface.areas.min() > 0
    assert split.surface.area == pytest.approx(FLAT.area, rel=1e-12)


def test_dozens_of_points_in_one_triangle_and_on_one_edge_become_vertices() -> None:
    share = np.linspace(0.01, 0.99, 90)[:, None]
    a, b, c = FLAT.corners[3]
    points = np.concatenate([a + share * (b - a), a + share * (0.5 * b + 0.4 * c - 0.9 * a)])
    split, vertex = inserted(FLAT, points)
    assert len(np.unique(vertex)) == 180
    assert split.surface.vertices[vertex] == pytest.approx(points, abs=2 * SNAP * 0.04)
    assert consistent(split.surface.triangles)
