from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.geometry import Surface, despiked, faired, roughness, smoothed
from bagside.geometry.smooth import SECOND, rings_of

BALL = shapes.hemisphere(0.1, 1.2, 90)  # edges of 1.3 mm
RADIAL = BALL.vertices / np.linalg.norm(BALL.vertices, axis=1)[:, None]


def noisy(size: float, seed: int = 1) -> Surface:
    noise = np.random.default_rng(seed).normal(0, size, len(BALL.vertices))
    return Surface(BALL.vertices + noise[:, None] * RADIAL, BALL.triangles)


def off(surface: Surface) -> np.ndarray:
    return np.linalg.norm(surface.vertices, axis=1) - 0.1


def test_second_difference_of_white_noise_on_equal_triangles() -> None:
    # squares of the coefficients of (1 − mean over six)² on the lattice of equal triangles, summed
    cell = {(0, 0): 1.0} | dict.fromkeys([(1, 0), (-1, 0), (0, 1), (0, -1), (1, -1), (-1, 1)], -1 / 6)
    twice: dict[tuple[int, int], float] = {}
    for (a, b), p in cell.items():
        for (c, d), q in cell.items():
            twice[a + c, b + d] = twice.get((a + c, b + d), 0.0) + p * q
    assert pytest.approx(sum(v * v for v in twice.values()) ** 0.5, rel=1e-4) == SECOND


@pytest.mark.parametrize("size", [0.00003, 0.0001, 0.0003, 0.0005])
def test_roughness_is_the_noise_that_was_added(size: float) -> None:
    assert roughness(noisy(size)) == pytest.approx(size, rel=0.08)


def test_a_smooth_ball_and_a_box_corner_are_not_rough() -> None:
    assert roughness(BALL) < 1e-6
    assert roughness(shapes.box_corner()) < 2e-5


def test_smoothing_takes_off_noise_and_keeps_size() -> None:
    rough = noisy(0.0003)
    assert rough.area / BALL.area > 1.04  # what noise does to areas when it is left
    calm = smoothed(rough, 0.003)
    assert calm.area == pytest.approx(BALL.area, rel=0.002)
    inner = BALL.vertices[:, 2] > 0.1 * np.cos(1.1)
    assert np.sqrt((off(calm)[inner] ** 2).mean()) < 0.00007
    assert np.abs(off(calm)[inner].mean()) < 0.00001


def test_passes_and_the_one_solve_agree() -> None:
    rough = noisy(0.0002)
    inner = BALL.vertices[:, 2] > 0.1 * np.cos(1.0)
    one, other = off(smoothed(rough, 0.003))[inner], off(faired(rough, 0.003))[inner]
    assert one.std() == pytest.approx(other.std(), rel=0.3)
    assert np.corrcoef(one, other)[0, 1] > 0.8


def test_a_smooth_surface_stays_where_it_is() -> None:
    calm = smoothed(BALL, 0.002)
    assert np.abs(off(calm)).max() < 0.00002
    assert smoothed(BALL, 0) is BALL
    with pytest.raises(ValueError, match="not one"):
        smoothed(BALL, -0.001)


def test_corners_of_the_rim_move_by_no_more_than_an_edge() -> None:
    flat = shapes.plane(0.1, 0.08, 100, 80)
    calm = smoothed(flat, 0.003)
    moved = np.linalg.norm(calm.vertices - flat.vertices, axis=1)
    assert moved.max() <= flat.edge_length * 1.3
    assert np.abs(calm.vertices[:, 2]).max() < 1e-8
    assert calm.area == pytest.approx(0.008, rel=5e-4)


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.004, 0.05))
def test_lone_spikes_are_found_and_nothing_else(seed: int, high: float) -> None:
    rng = np.random.default_rng(seed)
    rough = noisy(0.0001, seed)
    rings = rings_of(rough)
    chosen = rng.choice(np.flatnonzero(~rings.rim), 8, replace=False)
    apart = np.linalg.norm(BALL.vertices[chosen, None] - BALL.vertices[None, chosen], axis=2) + np.eye(8)
    chosen = chosen[(apart > 0.006).all(axis=1)]
    at = rough.vertices.copy()
    at[chosen] += high * RADIAL[chosen]
    calm, found = despiked(Surface(at, rough.triangles), 0.0001)
    assert sorted(found.tolist()) == sorted(chosen.tolist())
    assert np.abs(off(calm)).max() < 0.001


def test_creases_are_no_spikes() -> None:
    for corner in (shapes.box_corner(fillet=0.0005), shapes.box_corner(fillet=0.0005, inside=True)):
        _, found = despiked(corner, 0.00005)
        assert len(found) == 0
    surface, found = despiked(BALL, 0)
    assert surface is BALL
    assert len(found) == 0
