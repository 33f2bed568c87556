from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.geometry import contour_length, section

BALL = shapes.hemisphere(0.1, np.pi / 2, 40)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.005, 0.09))
def test_level_sections_of_a_sphere_are_closed_circles(height: float) -> None:
    (line,) = section(BALL, (0, 0, height), (0, 0, 2))
    assert line[0] == pytest.approx(line[-1])
    r = np.sqrt(0.01 - height**2)
    assert np.linalg.norm(line[:, :2], axis=1) == pytest.approx(r, abs=1e-4)
    assert contour_length(BALL, (0, 0, height), (0, 0, 1)) == pytest.approx(2 * np.pi * r, rel=2e-3, abs=1e-4)


def test_upright_section_runs_from_rim_to_rim() -> None:
    (line,) = section(BALL, (0.013, 0, 0), (1, 0, 0))
    r = np.sqrt(0.01 - 0.013**2)
    assert np.abs(line[[0, -1], 2]).max() < 1e-4
    assert contour_length(BALL, (0.013, 0, 0), (1, 0, 0)) == pytest.approx(np.pi * r, rel=1e-3)


def test_several_lines_come_longest_first_and_none_where_the_plane_misses() -> None:
    holed = shapes.plane_with_hole(0.3, 0.05)
    lines = section(holed, (0, 0.01, 0), (0, 1, 0))
    lengths = [float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in lines]
    half = 0.15 - np.sqrt(0.05**2 - 0.01**2)
    assert lengths == pytest.approx([half, half], rel=1e-3)
    assert section(holed, (0, 0, 1), (0, 0, 1)) == []
    assert contour_length(holed, (0, 0, 1), (0, 0, 1)) == 0


def test_surface_in_the_plane_is_outlined() -> None:
    flat = shapes.plane(0.3, 0.2, 6, 4)
    (line,) = section(flat, (0, 0, 0), (0, 0, 1))
    assert contour_length(flat, (0, 0, 0), (0, 0, 1)) == pytest.approx(1.0)
    assert len(line) == 21
    with pytest.raises(ValueError, match="no length"):
        section(flat, (0, 0, 0), (0, 0, 0))
