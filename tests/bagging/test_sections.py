"""Strings over surfaces of known length."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.bagging.sections import contour_lengths, plan_axes, section_length
from bagside.errors import InputError
from bagside.geometry.surface import Surface
from moulds import dish, tray
from shapes import cylinder, hemisphere, plane, plane_with_hole

X, Y, Z = np.eye(3)


def test_over_a_flat_sheet_it_is_its_size() -> None:
    flat = plane(0.3, 0.2)
    assert contour_lengths(flat, plan_axes(flat)) == pytest.approx((0.3, 0.2), rel=1e-9)


def test_over_half_a_pipe_it_is_half_its_circumference() -> None:
    pipe = cylinder(0.08, np.pi, 0.25, 20, 200)
    assert contour_lengths(pipe, np.stack([X, Y, Z])) == pytest.approx((0.25, np.pi * 0.08), rel=1e-4)


def test_over_a_cap_it_is_its_meridian() -> None:
    cap = hemisphere(0.1, np.radians(70), 60)
    assert section_length(cap, X, Y, 1e-9) == pytest.approx(0.2 * np.radians(70), rel=1e-3)


def test_into_a_tray() -> None:
    mould = tray(0.4, 0.3, 0.06, 0.02, 0.1)
    long = 0.2 + 2 * np.hypot(0.02, 0.06) + 0.36
    assert contour_lengths(mould, plan_axes(mould)) == pytest.approx((long, long - 0.1), rel=1e-9)


def test_straight_over_a_hole() -> None:
    holed = plane_with_hole(0.3, 0.05)
    assert section_length(holed, X, Y, 0.001) == pytest.approx(0.3, rel=1e-9)


def test_a_plane_beside_the_surface_cuts_nothing() -> None:
    assert section_length(plane(), X, Y, 5.0) == 0.0


@given(st.floats(0.0, 0.2), st.floats(0.001, 0.1))
@settings(max_examples=20, deadline=None)
def test_deeper_is_longer(depth: float, more: float) -> None:
    shallow, deep = tray(depth=depth, edge=0.01), tray(depth=depth + more, edge=0.01)
    axes = np.stack([X, Y, Z])
    for a, b in zip(contour_lengths(shallow, axes), contour_lengths(deep, axes), strict=True):
        assert b > a


@given(st.floats(0, 6.28), st.floats(-1, 1))
@settings(max_examples=15, deadline=None)
def test_turning_the_mould_changes_nothing(turn: float, tilt: float) -> None:
    mould = tray(edge=0.01)
    c, s = np.cos(turn), np.sin(turn)
    ct, st_ = np.cos(tilt), np.sin(tilt)
    rotation = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.array([[1, 0, 0], [0, ct, -st_], [0, st_, ct]])
    moved = Surface(mould.vertices @ rotation.T, mould.triangles)
    assert contour_lengths(moved, plan_axes(moved)) == pytest.approx(contour_lengths(mould, plan_axes(mould)), rel=1e-3)


def test_axes_follow_the_longer_side_and_the_facing() -> None:
    axes = plan_axes(dish())
    np.testing.assert_allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    np.testing.assert_allclose(axes[2], Z, atol=1e-6)
    assert np.linalg.det(axes) == pytest.approx(1.0)
    tall = plane(0.1, 0.4)
    assert abs(plan_axes(tall)[0, 1]) == pytest.approx(1.0)


def test_a_closed_surface_has_no_up() -> None:
    top = hemisphere(0.1, rings=8)
    bottom = Surface(top.vertices * (1, 1, -1), top.triangles[:, ::-1])
    n = len(top.vertices)
    ball = Surface(np.vstack([top.vertices, bottom.vertices]), np.vstack([top.triangles, bottom.triangles + n]))
    with pytest.raises(InputError, match="closes on itself"):
        plan_axes(ball)
