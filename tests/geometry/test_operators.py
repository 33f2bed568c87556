from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.geometry import Surface, curvature, frames, gradients, laplacian, masses

CAP = shapes.hemisphere(0.1, 1.2, 30)
numbers = st.floats(-5, 5)


@settings(max_examples=20, deadline=None)
@given(numbers, numbers, numbers)
def test_the_gradient_of_a_linear_function_is_its_slope_along_the_surface(a: float, b: float, c: float) -> None:
    slope = np.array([a, b, c])
    values = CAP.vertices @ slope
    axes = frames(CAP)
    flat = np.einsum("mk,mka->ma", values[CAP.triangles], gradients(CAP))
    along = slope - (CAP.normals @ slope)[:, None] * CAP.normals
    assert np.abs(np.einsum("ma,maj->mj", flat, axes) - along).max() < 1e-9


def test_frames_are_right_handed_with_the_normal() -> None:
    axes = frames(CAP)
    assert np.cross(axes[:, 0], axes[:, 1]) == pytest.approx(CAP.normals, abs=1e-12)


def test_masses_share_the_area_and_the_laplacian_measures_slopes() -> None:
    assert masses(CAP).sum() == pytest.approx(CAP.area)
    matrix = laplacian(CAP)
    assert np.abs(matrix @ np.ones(len(CAP.vertices))).max() < 1e-9
    assert abs(matrix - matrix.T).sum() < 1e-9
    z = CAP.vertices[:, 2]
    exact = 2 * np.pi * 0.1**2 * (2 / 3 - np.cos(1.2) + np.cos(1.2) ** 3 / 3)  # ∫ sin² over the cap
    assert z @ matrix @ z == pytest.approx(exact, rel=2e-3)


def test_a_sphere_bends_alike_everywhere_and_a_hollow_is_negative() -> None:
    inner = np.hypot(CAP.vertices[:, 0], CAP.vertices[:, 1]) < 0.07
    bent = curvature(CAP)
    assert bent.least[inner] == pytest.approx(10, rel=0.02)
    assert bent.most[inner] == pytest.approx(10, rel=0.02)
    hollow = curvature(CAP.flipped())
    assert hollow.most[inner] == pytest.approx(-10, rel=0.02)


def test_a_cylinder_bends_one_way_only_and_finer_edges_measure_it_better() -> None:
    error = []
    for n in (40, 80):
        tube = shapes.cylinder(0.08, np.pi, 0.25, n, n)
        turn = np.abs(np.arctan2(tube.vertices[:, 1], tube.vertices[:, 2]))
        inner = (turn < 1.2) & (np.abs(tube.vertices[:, 0]) < 0.09)
        bent = curvature(tube)
        error.append(np.abs(bent.most[inner] / 12.5 - 1).max())
        assert bent.least[inner] == pytest.approx(0, abs=0.05)
        assert np.abs(bent.least_direction[inner, 0]) == pytest.approx(1, abs=1e-3)
    assert error[0] < 0.03
    assert error[0] / error[1] == pytest.approx(4, rel=0.15)  # second order in the edge


@pytest.mark.parametrize("radius", [0.003, 0.006])
def test_the_radius_of_a_concave_fillet_is_measured(radius: float) -> None:
    around, along = 24, 30
    p, t = shapes.grid(3 * around, along)
    s = (p[:, 0] - 0.5) * 3 * np.pi / 2 * radius  # arc length across: flat, quarter turn, flat
    bend = np.clip(s / radius, -np.pi / 4, np.pi / 4)
    rest = s - bend * radius
    x = radius * np.sin(bend) + rest * np.cos(bend)
    z = radius * (1 - np.cos(bend)) + rest * np.sin(bend)
    corner = Surface(np.column_stack([x, (p[:, 1] - 0.5) * 0.02, z]), t)
    assert corner.normals[:, 2].min() > 0
    middle = (np.abs(s) < 0.2 * radius) & (np.abs(p[:, 1] - 0.5) < 0.2)
    found = curvature(corner, 3)
    assert -1 / found.least[middle] == pytest.approx(radius, rel=0.08)


def test_torus_area_and_its_outer_curvature() -> None:
    p, t = shapes.grid(120, 60)
    u, v = 2 * np.pi * p[:, 0], 2 * np.pi * p[:, 1]
    ring = 0.1 + 0.03 * np.cos(v)
    torus = shapes.welded(np.column_stack([ring * np.cos(u), ring * np.sin(u), 0.03 * np.sin(v)]), t)
    assert torus.loops == ()
    assert torus.area == pytest.approx(4 * np.pi**2 * 0.1 * 0.03, rel=2e-3)
    outer = np.hypot(torus.vertices[:, 0], torus.vertices[:, 1]) > 0.1299
    bent = curvature(torus, 3)
    assert bent.most[outer] == pytest.approx(1 / 0.03, rel=0.04)
    assert bent.least[outer] == pytest.approx(1 / 0.13, rel=0.05)


def test_a_fit_needs_room() -> None:
    with pytest.raises(ValueError, match="cannot be fitted"):
        curvature(CAP, 1)
