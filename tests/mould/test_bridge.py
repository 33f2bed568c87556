"""Cloth missing in a corner, against the geometry of arcs and chords worked out point by point."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.mould import bag_bend, bridge_height, chord_slide_in, slide_in, tow_section

TURNS = st.floats(np.radians(5), np.radians(165))
RADII = st.floats(0.0, 0.02)


def corner(radius: float, turn: float, reach: float, n: int = 20_001) -> np.ndarray:
    """Return points of the section of a corner, its walls' lines meeting at the origin, each wall ``reach`` long."""
    tangent = radius * np.tan(turn / 2)
    out, back = np.array([1.0, 0.0]), np.array([-np.cos(turn), np.sin(turn)])  # along the second, first wall
    back = np.array([np.cos(np.pi - turn), np.sin(np.pi - turn)])
    centre = radius / np.cos(turn / 2) * (out + back) / np.linalg.norm(out + back)
    from_, to = tangent * back - centre, tangent * out - centre
    a, b = np.arctan2(from_[1], from_[0]), np.arctan2(to[1], to[0])
    sweep = (b - a + np.pi) % (2 * np.pi) - np.pi
    angle = a + sweep * np.linspace(0, 1, n)
    arc = centre + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return np.concatenate([[reach * back], arc, [reach * out]])


def length(points: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


@given(RADII, st.floats(1e-4, 0.02), TURNS)
def test_what_slides_in_is_the_difference_of_two_ways_between_the_same_points(
    radius: float, more: float, turn: float
) -> None:
    bend = radius + more
    reach = bend * np.tan(turn / 2)
    mould, span = corner(radius, turn, reach), corner(bend, turn, reach)
    assert float(slide_in(radius, turn, bend)) == pytest.approx(length(mould) - length(span), abs=1e-8)
    heights = np.linalg.norm(span, axis=1).min() - np.linalg.norm(mould, axis=1).min()
    assert float(bridge_height(radius, turn, bend)) == pytest.approx(heights, abs=1e-8)


@given(RADII, st.floats(1.0, 4.0), TURNS)
def test_a_chord_needs_what_its_ends_say(radius: float, times: float, turn: float) -> None:
    reach = max(radius, 0.001) * np.tan(turn / 2) * times
    mould = corner(radius, turn, reach)
    chord = float(np.linalg.norm(mould[-1] - mould[0]))
    assert chord_slide_in(radius, turn, reach) == pytest.approx(length(mould) - chord, abs=1e-8)


@given(RADII, st.floats(1e-4, 0.02), TURNS)
def test_a_chord_needs_more_cloth_than_the_arc_between_the_same_points(radius: float, more: float, turn: float) -> None:
    bend = radius + more
    assert chord_slide_in(radius, turn, bend * np.tan(turn / 2)) >= float(slide_in(radius, turn, bend)) - 1e-12


def test_a_right_angle_by_hand() -> None:
    """From tangent points 6 mm off the edge: 12 mm around a crease, 9.42 mm along the arc."""
    assert 1e3 * float(slide_in(0.0, np.pi / 2, 0.006)) == pytest.approx(12 - 3 * np.pi)
    assert 1e3 * float(bridge_height(0.0, np.pi / 2, 0.006)) == pytest.approx(6 * (np.sqrt(2) - 1))
    assert 1e3 * chord_slide_in(0.0, np.pi / 2, 0.006) == pytest.approx(12 - 6 * np.sqrt(2))
    assert float(slide_in(0.006, np.pi / 2, 0.004)) == 0.0


def test_arrays_are_lists_of_scalars() -> None:
    radii, turns = np.array([0.0, 0.002, 0.004]), np.radians([30.0, 90.0, 150.0])
    each = [float(slide_in(r, t, 0.006)) for r, t in zip(radii, turns, strict=True)]
    np.testing.assert_array_equal(slide_in(radii, turns, 0.006), each)


def test_the_tow_fills_what_lies_between_two_arcs() -> None:
    """Areas by the shoelace rule over both sections."""

    def area(points: np.ndarray) -> float:
        x, y = points.T
        return 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))

    turn = np.radians(110.0)
    reach = 0.006 * np.tan(turn / 2)
    section = area(corner(0.002, turn, reach)) - area(corner(0.006, turn, reach))
    assert tow_section(0.002, turn, 0.006) == pytest.approx(section, rel=1e-6)


def test_a_film_spans_by_its_stress() -> None:
    """A ring of 50 µm under 40 MPa carries 1 bar at 20 mm."""
    assert bag_bend(40e6, 50e-6, 1e5) == pytest.approx(0.020)
    with pytest.raises(InputError, match="above zero"):
        bag_bend(40e6, 0.0, 1e5)


def test_walls_that_meet_nowhere_are_refused() -> None:
    with pytest.raises(InputError, match="0 to 170°"):
        slide_in(0.001, np.radians(175), 0.006)
    with pytest.raises(InputError, match="zero or more"):
        bridge_height(-0.001, 1.0, 0.006)
    with pytest.raises(InputError, match="where the fillet ends"):
        chord_slide_in(0.006, np.pi / 2, 0.005)
