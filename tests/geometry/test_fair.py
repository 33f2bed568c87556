from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import csc_matrix

import shapes
from bagside.errors import NotSolved
from bagside.geometry import Surface, faired
from bagside.geometry.fair import _solved

BALL = shapes.hemisphere(0.1, np.pi / 2, 60)


def noisy(surface: Surface, height: float, seed: int = 1) -> Surface:
    rng = np.random.default_rng(seed)
    return Surface(surface.vertices + rng.normal(0, height, surface.vertices.shape), surface.triangles)


def test_noise_on_a_half_sphere_comes_off_and_it_does_not_shrink() -> None:
    rough = noisy(BALL, 0.0003)
    fair = faired(rough, 0.003)
    off = np.linalg.norm(fair.vertices, axis=1) - 0.1
    polar = np.arccos(np.clip(BALL.vertices[:, 2] / 0.1, -1, 1))
    inner = polar < np.radians(80)
    assert rough.area / BALL.area > 1.02
    assert fair.area / BALL.area == pytest.approx(1, abs=0.002)
    assert off[inner].std() < 0.00008
    assert abs(off.mean()) < 0.00001
    rim = fair.loops[0]
    assert abs(fair.vertices[rim, 2].mean()) < 0.0001
    assert fair.vertices[rim, 2].std() < 0.0005


def test_a_flat_sheet_stays_where_it_is_with_its_boundary() -> None:
    flat = shapes.plane(0.2, 0.1, 20, 10)
    assert faired(flat, 0.01).vertices == pytest.approx(flat.vertices, abs=1e-9)


def test_a_smooth_dome_keeps_its_height() -> None:
    fair = faired(BALL, 0.003)
    assert np.abs(np.linalg.norm(fair.vertices, axis=1) - 0.1).max() < 0.0001


def test_it_follows_the_surface_when_that_is_moved_and_scaled() -> None:
    small = noisy(shapes.hemisphere(0.1, 1.0, 15), 0.0003)
    turn = np.linalg.qr(np.random.default_rng(2).normal(size=(3, 3)))[0]
    turn *= np.sign(np.linalg.det(turn))
    there = Surface(7 * small.vertices @ turn + [1, 2, 3], small.triangles)
    expected = 7 * faired(small, 0.004).vertices @ turn + [1, 2, 3]
    assert faired(there, 0.028).vertices == pytest.approx(expected, abs=1e-8)


def test_nothing_to_do_and_nonsense() -> None:
    assert faired(BALL, 0) is BALL
    with pytest.raises(ValueError, match="fairing length"):
        faired(BALL, -0.001)
    with pytest.raises(ValueError, match="fairing length"):
        faired(BALL, float("nan"))


def test_equations_without_a_solution_are_not_passed_off_as_solved() -> None:
    with pytest.raises(NotSolved, match="fairing"):
        _solved(csc_matrix(np.array([[1.0, 1.0], [1.0, 1.0]])), np.array([[1.0], [0.0]]))
