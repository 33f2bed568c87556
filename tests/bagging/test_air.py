"""Air leaving a ply along its dry paths, against the whole Darcy equation solved by scipy."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from bagside.bagging import air_left, air_time, farthest_path, time_to_leave
from bagside.bagging.air import AIR_VISCOSITY, RATE
from bagside.errors import InputError

TIMES = np.array([0.03, 0.1, 0.3, 1.0, 2.0, 5.0, 20.0, 100.0])


def darcy(vacuum: float, cells: int = 150) -> np.ndarray:
    """Mean pressure of p_t = (p p_x)_x on 0…1, closed at one end, the vacuum at the other, from 1."""
    dx = 1.0 / cells

    def slope(_: float, p: np.ndarray) -> np.ndarray:
        half = p * p / 2.0
        flux = np.zeros(cells + 1)
        flux[1:-1] = (half[1:] - half[:-1]) / dx
        flux[0] = (half[0] - vacuum**2 / 2.0) / (dx / 2.0)
        return np.diff(flux) / dx

    solved = solve_ivp(
        slope, (0, 100), np.ones(cells), method="LSODA", t_eval=TIMES, rtol=1e-6, atol=1e-8, lband=1, uband=1
    )
    return np.asarray(solved.y.mean(axis=0))


@pytest.mark.parametrize("vacuum", [0.0, 0.02, 0.1, 0.3])
def test_against_the_whole_equation(vacuum: float) -> None:
    exact, found = darcy(vacuum), air_left(TIMES, 1.0, vacuum)
    assert np.abs(found - exact).max() < 0.09
    late = exact < 0.25
    assert (np.abs(found[late] / exact[late] - 1.0) < 0.05).all()


def test_the_last_stage_by_quadrature() -> None:
    """p = X(x)/t: ∫ ds / √(1 − s^1.5) over 0…1 is I, and the mean of X is (8/3)² / (2 I³)."""
    integral, _ = quad(lambda s: 1.0 / math.sqrt(1.0 - s**1.5), 0.0, 1.0)
    assert pytest.approx(2.0 * integral**3 / (8.0 / 3.0) ** 2, rel=1e-6) == RATE


def test_time_scale_by_hand() -> None:
    """0.08 · 1.82e-5 · 0.2² / (1e-14 · 1e5) = 58 s."""
    assert AIR_VISCOSITY == 1.82e-5
    assert float(air_time(0.2, 1e-14, 1e5, 0.08)) == pytest.approx(58.24)


@settings(deadline=None)
@given(st.floats(0.03, 0.99), st.floats(1.0, 1e4), st.floats(0.0, 0.5))
def test_time_to_leave_is_the_inverse(left: float, scale: float, vacuum: float) -> None:
    time = time_to_leave(left, scale, vacuum)
    if left <= vacuum:
        assert time == math.inf
    else:
        assert float(air_left(time, scale, vacuum)) == pytest.approx(left, rel=1e-6)


@settings(deadline=None)
@given(st.floats(60.0, 1e5), st.floats(0.05, 0.5), st.floats(0.0, 0.04))
def test_from_the_farthest_path_just_enough_leaves(time: float, left: float, vacuum: float) -> None:
    path = farthest_path(time, left, vacuum, 1e-14, 1e5)
    assert float(air_left(time, air_time(path, 1e-14, 1e5), vacuum)) == pytest.approx(left, rel=1e-6)
    assert farthest_path(4.0 * time, left, vacuum, 1e-14, 1e5) == pytest.approx(2.0 * path)


@settings(deadline=None)
@given(st.floats(1.0, 1e5), st.floats(1.0, 1e4), st.floats(0, 0.5), st.floats(1.01, 10.0))
def test_longer_never_leaves_more(time: float, scale: float, vacuum: float, times: float) -> None:
    assert air_left(time * times, scale, vacuum) <= air_left(time, scale, vacuum) * (1 + 1e-12)
    assert air_left(time, scale * times, vacuum) >= air_left(time, scale, vacuum) * (1 - 1e-12)


def test_no_vacuum_no_path_and_refusals() -> None:
    assert farthest_path(600.0, 0.1, 0.2, 1e-14, 1e5) == 0.0
    assert farthest_path(600.0, 1.0, 0.2, 1e-14, 1e5) == math.inf
    with pytest.raises(InputError) as told:
        air_time(0.0, 1e-14, 1e5)
    assert str(told.value) == "air path: 0.0 m at 100000.0 Pa – a path, a permeability and a pressure are wanted"
