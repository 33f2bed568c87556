from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.drape.coarse import nearest
from bagside.drape.energy import (
    Cloth,
    centred,
    cloth_on,
    derivatives,
    energy,
    flipped,
    longest_step,
    slopes_of,
    smallest,
)
from bagside.drape.frames import frames_of
from bagside.drape.law import ClothLaw
from bagside.drape.line import traced
from bagside.drape.refuse import direction_on
from bagside.drape.sparsity import matrix
from bagside.geometry.surface import Surface

SOFT = ClothLaw(shear_weight=3e-3)
LOCKED = ClothLaw(shear_weight=3e-3, locking_angle=np.radians(20))
UNEVEN = ClothLaw(shear_weight=3e-3, warp_weight=0.7, weft_weight=0.2, opening=20.0)


def cloth_of(surface: Surface, direction: tuple[float, float, float] = (1, 0, 0)) -> Cloth:
    _, triangle, share = nearest(surface, surface.centroids.mean(axis=0)[None, :])
    k = int(triangle[0])
    along = direction_on(surface, k, np.array(direction))
    at = share[0] @ surface.corners[k]
    return cloth_on(frames_of(surface), traced(surface, at, along, 0.05), 0.16, k, share[0])


def test_the_flat_map_of_a_plane_costs_nothing() -> None:
    plane = shapes.plane(nx=6, ny=4)
    assert energy(cloth_of(plane), SOFT, plane.vertices[:, :2].copy()) == pytest.approx(0, abs=1e-15)


def test_a_stretched_map_costs_the_square_of_the_strain_by_hand() -> None:
    plane = shapes.plane(nx=6, ny=4)
    # the cloth is 0.9 as long along u as the path: the warp is stretched to 1/0.9
    uv = plane.vertices[:, :2] * [0.9, 1.0]
    assert energy(cloth_of(plane), SOFT, uv) == pytest.approx((1 / 0.9 - 1) ** 2)


def test_a_sheared_map_costs_the_weighted_tangent_by_hand() -> None:
    plane = shapes.plane(nx=6, ny=4)
    # cloth threads at 90° − 30° of length one: x = u + sin(30°) v, y = cos(30°) v
    u = plane.vertices[:, 0] - np.tan(np.radians(30)) * plane.vertices[:, 1]
    uv = np.stack([u, plane.vertices[:, 1] / np.cos(np.radians(30))], axis=1)
    t = np.tan(np.radians(30))
    assert energy(cloth_of(plane), SOFT, uv) == pytest.approx(3e-3 * t**2)
    past = t - np.tan(np.radians(20))
    assert energy(cloth_of(plane), LOCKED, uv) == pytest.approx(3e-3 * t**2 + past**2)


def test_a_warp_off_its_line_costs_by_hand() -> None:
    plane = shapes.plane(nx=6, ny=4)
    c, s = np.cos(0.1), np.sin(0.1)
    uv = plane.vertices[:, :2] @ np.array([[c, -s], [s, c]]).T
    assert energy(cloth_of(plane), SOFT, uv) == pytest.approx(0.16**2 * s**2)


def test_a_flipped_map_costs_infinitely() -> None:
    plane = shapes.plane(nx=3, ny=3)
    uv = plane.vertices[:, :2] * [1.0, -1.0]
    cloth = cloth_of(plane)
    assert energy(cloth, SOFT, uv) == np.inf
    assert flipped(cloth, uv).all()
    assert smallest(cloth, uv) == pytest.approx(-1)


@pytest.mark.parametrize("law", [SOFT, LOCKED, UNEVEN])
def test_the_gradient_is_the_slope_of_the_energy(law: ClothLaw) -> None:
    cap = shapes.hemisphere(0.1, 1.0, 5)
    cloth = cloth_of(cap)
    rng = np.random.default_rng(1)
    uv = centred(cloth, cap.vertices[:, :2] * [1.2, 1.1] + 5e-4 * rng.standard_normal((len(cap.vertices), 2)))
    gradient, _ = derivatives(cloth, law, slopes_of(cloth, uv))
    for _ in range(5):
        way = rng.standard_normal(uv.shape)
        h = 1e-8
        slope = (energy(cloth, law, uv + h * way) - energy(cloth, law, uv - h * way)) / (2 * h)
        assert 2 * gradient @ way.ravel() == pytest.approx(slope, rel=2e-5)


def test_with_a_taut_line_at_an_angle_the_gradient_is_the_slope_of_the_energy() -> None:
    cap = shapes.hemisphere(0.1, 1.0, 5)
    plain = cloth_of(cap)
    rng = np.random.default_rng(4)
    bent = replace(plain.line, heading=rng.uniform(-3, 3, len(plain.line.triangle)), taut=True)
    cloth = replace(plain, line=bent)
    uv = cap.vertices[:, :2] * [1.2, 1.1] + 5e-4 * rng.standard_normal((len(cap.vertices), 2))
    gradient, _ = derivatives(cloth, SOFT, slopes_of(cloth, uv))
    way, h = rng.standard_normal(uv.shape), 1e-8
    slope = (energy(cloth, SOFT, uv + h * way) - energy(cloth, SOFT, uv - h * way)) / (2 * h)
    assert 2 * gradient @ way.ravel() == pytest.approx(slope, rel=2e-5)


def test_the_matrix_is_symmetric_and_positive() -> None:
    cap = shapes.hemisphere(0.1, 1.0, 4)
    cloth = cloth_of(cap)
    _, data = derivatives(cloth, SOFT, slopes_of(cloth, cap.vertices[:, :2] * 1.1))
    h = matrix(cloth.sparsity, data).toarray()
    np.testing.assert_array_equal(h, h.T)
    assert np.linalg.eigvalsh(h).min() > -1e-9 * np.abs(h).max()
    np.testing.assert_array_equal(np.diag(h), data[cloth.sparsity.diagonal])
    np.testing.assert_array_equal(h[6:8, 6:8], data[cloth.sparsity.blocks[3]])


def test_near_a_map_without_residuals_the_matrix_is_the_curvature_of_the_energy() -> None:
    plane = shapes.plane(nx=5, ny=4)
    cloth = cloth_of(plane)
    uv = centred(cloth, plane.vertices[:, :2].copy())
    _, data = derivatives(cloth, SOFT, slopes_of(cloth, uv))
    way = np.random.default_rng(2).standard_normal(uv.shape)
    way -= cloth.start_share @ way[cloth.frames.triangles[cloth.start_triangle]]  # so that the pin takes no part
    bend = way.ravel() @ (matrix(cloth.sparsity, data) @ way.ravel())
    h = 1e-6
    assert energy(cloth, SOFT, uv + h * way) / h**2 == pytest.approx(bend, rel=1e-3)


@settings(max_examples=50, deadline=None)
@given(st.integers(0, 10**6))
def test_no_step_within_the_longest_flips_a_triangle(seed: int) -> None:
    plane = shapes.plane(nx=4, ny=4)
    cloth = cloth_of(plane)
    uv = plane.vertices[:, :2].copy()
    move = 0.2 * np.random.default_rng(seed).standard_normal(uv.shape)
    length = longest_step(slopes_of(cloth, uv), slopes_of(cloth, move))
    for part in (0.25, 0.5, 0.75, 1.0):
        assert smallest(cloth, uv + part * length * move) > 0
    if length < 1:
        assert smallest(cloth, uv + length / 0.9 * 1.0001 * move) <= 1e-6


@settings(max_examples=25, deadline=None)
@given(st.floats(-0.05, 0.05), st.floats(-0.05, 0.05))
def test_the_energy_does_not_see_where_the_cloth_lies(u: float, v: float) -> None:
    cap = shapes.hemisphere(0.1, 1.0, 4)
    cloth = cloth_of(cap)
    uv = cap.vertices[:, :2] * 1.1
    assert energy(cloth, SOFT, uv + np.array([u, v])) == pytest.approx(energy(cloth, SOFT, uv), rel=1e-9)
