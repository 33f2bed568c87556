"""What cloth is draped on: even triangles of the size stated, and no more of them than do any good."""

import numpy as np
import pytest

import shapes
from bagside.planning.ply_stage import MOST, evenly_meshed


def test_a_large_part_takes_fewer_triangles_and_keeps_its_surface() -> None:
    cap = shapes.hemisphere(0.5, np.radians(60), 60)
    (few,) = evenly_meshed(cap, 0.0025, 0.0002)
    assert 0.5 * MOST < len(few.triangles) <= MOST
    assert few.area == pytest.approx(2 * np.pi * 0.25 * (1 - np.cos(np.radians(60))), rel=2e-3)
    away = np.linalg.norm(few.vertices, axis=1)
    assert np.abs(away - 0.5).max() < 0.001


def test_a_small_part_is_meshed_as_stated() -> None:
    (even,) = evenly_meshed(shapes.plane(0.1, 0.1, 20, 20), 0.004, 0.0002)
    assert even.edge_length == pytest.approx(0.004, rel=0.25)
