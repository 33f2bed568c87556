"""The rolling ball in corners whose gap is known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.mould import rolling_ball_gap
from moulds import bend
from shapes import cylinder, hemisphere, plane


def expected(ball: float, fillet: float, turn: float) -> float:
    return max(0.0, ball - fillet) * (1 / np.cos(turn / 2) - 1)


@pytest.mark.parametrize("degrees", [60.0, 75.0, 90.0])
@pytest.mark.parametrize("fillet", [0.0, 0.002, 0.004, 0.008])
@pytest.mark.parametrize("ball", [0.006, 0.012])
def test_gap_in_a_corner(degrees: float, fillet: float, ball: float) -> None:
    """(rb − R)(1/cos(t/2) − 1), at 1 mm edges within 0.1 mm and never more than the ball's."""
    turn = np.radians(degrees)
    gap = rolling_ball_gap(bend(turn, fillet, edge=0.001, length=0.03), ball).max()
    assert gap == pytest.approx(expected(ball, fillet, turn), abs=1e-4)


def test_it_converges_with_the_mesh() -> None:
    turn = np.radians(75.0)
    errors = []
    for edge in (0.002, 0.001, 0.0005):
        gap = rolling_ball_gap(bend(turn, 0.004, edge=edge, length=0.03), 0.006).max()
        errors.append(abs(gap - expected(0.006, 0.004, turn)))
    assert errors[2] < errors[1] < errors[0]
    assert errors[2] < 1e-5


def test_flat_and_raised_surfaces_leave_no_gap() -> None:
    for surface in (plane(), hemisphere(), cylinder()):
        assert rolling_ball_gap(surface, 0.02).max() == 0.0


def test_a_ball_larger_than_its_bowl_fits_nowhere() -> None:
    bowl = hemisphere(0.1, rings=20).flipped()
    assert rolling_ball_gap(bowl, 0.09).max() == 0.0
    with pytest.raises(InputError, match="fits somewhere"):
        rolling_ball_gap(bowl, 0.15)


@given(st.floats(0.003, 0.015), st.floats(0.0005, 0.005))
@settings(max_examples=12, deadline=None)
def test_a_larger_ball_leaves_a_larger_gap(ball: float, more: float) -> None:
    surface = bend(np.radians(90), 0.002, edge=0.002, length=0.02)
    assert rolling_ball_gap(surface, ball + more).max() >= rolling_ball_gap(surface, ball).max() - 1e-5


def test_noise_of_a_scan_stays_small() -> None:
    rng = np.random.default_rng(3)
    clean = bend(np.radians(75), 0.004, edge=0.001, length=0.04)
    from bagside.geometry.surface import Surface

    rough = Surface(clean.vertices + rng.normal(0, 3e-5, clean.vertices.shape), clean.triangles)
    gap = rolling_ball_gap(rough, 0.012, noise=3e-5)
    assert np.quantile(gap, 0.999) == pytest.approx(expected(0.012, 0.004, np.radians(75)), abs=2.5e-4)


def test_a_radius_of_nothing_is_refused() -> None:
    with pytest.raises(InputError):
        rolling_ball_gap(plane(), 0.0)
