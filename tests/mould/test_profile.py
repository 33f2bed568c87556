"""Wall, arc, wall: exact on drawn sections, and as uncertain as it says on noisy ones."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.mould import fitted_profile


def section(radius: float, turn: float, tilt: float = 0.0, wall: float = 0.01, step: float = 0.0005) -> np.ndarray:
    """Return points along wall, arc, wall, about upright, turned by a tilt."""
    arc = radius * turn
    before, within, after = np.arange(-wall, 0, step), np.arange(0, arc + 1e-12, step / 2), np.arange(step, wall, step)
    s = np.concatenate([before, within, arc + after])
    a = np.clip(s, 0, arc) / radius if radius > 0 else np.where(s > 0, turn, 0.0)
    y = radius * np.sin(a) + np.where(s < 0, s, 0) + np.where(s > arc, (s - arc) * np.cos(turn), 0)
    z = radius * (1 - np.cos(a)) + np.where(s > arc, (s - arc) * np.sin(turn), 0)
    by = tilt - turn / 2
    return np.column_stack([y, z]) @ np.array([[np.cos(by), np.sin(by)], [-np.sin(by), np.cos(by)]])


@given(st.floats(0.0005, 0.004), st.floats(np.radians(25), np.radians(150)), st.floats(-0.15, 0.15))
def test_drawn_sections_are_read_exactly(radius: float, turn: float, tilt: float) -> None:
    found = fitted_profile(section(radius, turn, tilt))
    assert found is not None
    assert found.radius == pytest.approx(radius, abs=2e-6)
    assert found.turn == pytest.approx(turn, abs=1e-3)
    assert found.rms < 1e-6
    assert found.covered == 1.0


def test_a_crease_has_no_radius() -> None:
    found = fitted_profile(section(0.0, np.radians(80)))
    assert found is not None
    assert found.radius < 1e-6
    assert np.degrees(found.turn) == pytest.approx(80, abs=1e-3)


@pytest.mark.parametrize(("radius", "turn"), [(0.003, 60.0), (0.003, 90.0), (0.004, 120.0)])
def test_the_error_it_states_is_the_one_it_makes(radius: float, turn: float) -> None:
    rng = np.random.default_rng(7)
    clean = section(radius, np.radians(turn))
    found = [fitted_profile(clean + rng.normal(0, 5e-5, clean.shape)) for _ in range(200)]
    radii = np.array([p.radius for p in found if p is not None])
    assert len(radii) > 195
    stated = float(np.median([p.radius_error for p in found if p is not None]))
    assert radii.std() == pytest.approx(stated, rel=0.15)
    assert radii.mean() == pytest.approx(radius, abs=4 * stated / np.sqrt(len(radii)))


def test_flat_and_few_points_say_nothing() -> None:
    assert fitted_profile(np.column_stack([np.linspace(-1, 1, 50), np.zeros(50)])) is None
    assert fitted_profile(section(0.003, 1.5)[:5]) is None
    assert fitted_profile(np.zeros((20, 2))) is None


def test_a_section_that_ends_in_the_arc_says_so() -> None:
    whole = section(0.004, np.radians(90), wall=0.004)
    found = fitted_profile(whole[whole[:, 0] < 0.001])
    assert found is None or found.covered < 1.0
