"""Distance over a mould from the part."""

import numpy as np
import pytest

from bagside.bagging.reach import distance_around
from bagside.errors import InputError
from bagside.geometry import cut
from moulds import dish, opening, tray
from shapes import hemisphere, plane


def around_rectangle(v: np.ndarray) -> np.ndarray:
    return np.hypot(*np.maximum(np.abs(v[:, :2]) - (0.2, 0.15), 0).T)


def test_distance_around_a_rectangle_is_exact() -> None:
    mould = tray(edge=0.005)
    found = distance_around(mould, opening(mould, 0.4, 0.3))
    np.testing.assert_allclose(found, around_rectangle(mould.vertices), atol=1e-9)


def test_it_follows_the_surface_not_the_air() -> None:
    """From a cap of 27° on a sphere to its equator: 63° of arc, longer than the chord."""
    whole = hemisphere(0.1, rings=40)
    polar = np.arccos(np.clip(whole.centroids[:, 2] / np.linalg.norm(whole.centroids, axis=1), -1, 1))
    part = whole.selected(polar < np.radians(27))  # 12 of 40 rings
    found = distance_around(whole, part)
    rim = whole.loops[0]
    assert found[rim].mean() == pytest.approx(0.1 * np.radians(63), rel=0.01)
    assert found[rim].min() > 2 * 0.1 * np.sin(np.radians(63 / 2))


def test_a_part_beside_its_mould_or_meshed_apart_is_refused() -> None:
    for part in (hemisphere(), plane(0.4, 0.1)):
        with pytest.raises(InputError, match="off the mould"):
            distance_around(plane(), part)


def test_tape_line_around_a_dish() -> None:
    mould = dish(0.15, np.radians(40), rings=50)
    rim = 0.15 * np.sin(np.radians(40))
    part = mould.selected(np.linalg.norm(mould.centroids[:, :2], axis=1) < rim)
    inside = cut(mould, distance_around(mould, part), 0.04)
    line = inside.vertices[inside.loops[0]]
    length = np.linalg.norm(line - np.roll(line, 1, axis=0), axis=1).sum()
    assert length == pytest.approx(2 * np.pi * (rim + 0.04), rel=0.006)
