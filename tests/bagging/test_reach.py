"""Distance over a mould from the part, and cutting along it."""

import numpy as np
import pytest

from bagside.bagging.reach import cut_at, distance_around
from bagside.errors import InputError, NotSolved
from moulds import dish, opening, tray
from shapes import cylinder, hemisphere, plane


def test_distance_around_a_rectangle() -> None:
    """Exact beside its sides, within an eighth of an edge length around its corners."""
    mould = tray(edge=0.005)
    found = distance_around(mould, opening(mould, 0.4, 0.3))
    outside = np.abs(mould.vertices[:, :2]) - (0.2, 0.15)
    exact = np.hypot(*np.maximum(outside, 0).T)
    beside = (outside > 0).sum(axis=1) == 1
    np.testing.assert_allclose(found[beside], exact[beside], atol=1e-9)
    assert np.abs(found - exact).max() < 0.4 * 0.005


def test_it_converges_around_corners() -> None:
    errors = []
    for edge in (0.01, 0.005, 0.0025):
        mould = tray(edge=edge)
        found = distance_around(mould, opening(mould, 0.4, 0.3))
        errors.append(np.abs(found - np.hypot(*np.maximum(np.abs(mould.vertices[:, :2]) - (0.2, 0.15), 0).T)).max())
    assert errors[2] < 0.75 * errors[1] < 0.75**2 * errors[0]


def test_it_follows_the_surface_not_the_air() -> None:
    """From a cap of 27° on a sphere to its equator: 63° of arc, longer than the chord."""
    whole = hemisphere(0.1, rings=40)
    polar = np.arccos(np.clip(whole.centroids[:, 2] / np.linalg.norm(whole.centroids, axis=1), -1, 1))
    part = whole.selected(polar < np.radians(27))  # 12 of 40 rings
    found = distance_around(whole, part)
    rim = whole.loops[0]
    assert found[rim].mean() == pytest.approx(0.1 * np.radians(63), rel=0.01)
    assert found[rim].min() > 2 * 0.1 * np.sin(np.radians(63 / 2))


def test_a_part_beside_its_mould_is_refused() -> None:
    for part in (hemisphere(), plane(0.4, 0.1)):
        with pytest.raises(InputError, match="off the mould"):
            distance_around(plane(), part)


def test_too_few_passes_are_said() -> None:
    mould = tray()
    with pytest.raises(NotSolved, match="after 2 passes"):
        distance_around(mould, opening(mould, 0.4, 0.3), rounds=2)


def test_cut_along_a_level() -> None:
    """A linear field on a flat sheet is cut exactly."""
    flat = plane(0.3, 0.2, 30, 20)
    cut = cut_at(flat, flat.vertices[:, 0] + 0.3 * flat.vertices[:, 1], 0.0123)
    assert cut.area == pytest.approx(0.2 * (0.15 + 0.0123), rel=1e-6)
    assert len(cut.loops) == 1


def test_cut_keeps_the_winding_and_refuses_nothing_left() -> None:
    round_ = cylinder()
    cut = cut_at(round_, round_.vertices[:, 0], 0.02)
    assert (np.einsum("ij,ij->i", cut.normals[:, 1:], cut.centroids[:, 1:]) > 0).all()
    with pytest.raises(InputError):
        cut_at(round_, round_.vertices[:, 0], -9.0)


def test_tape_line_around_a_dish() -> None:
    mould = dish(0.15, np.radians(40), rings=50)
    rim = 0.15 * np.sin(np.radians(40))
    part = mould.selected(np.linalg.norm(mould.centroids[:, :2], axis=1) < rim)
    inside = cut_at(mould, distance_around(mould, part), 0.04)
    line = inside.vertices[inside.loops[0]]
    length = np.linalg.norm(line - np.roll(line, 1, axis=0), axis=1).sum()
    assert length == pytest.approx(2 * np.pi * (rim + 0.04), rel=0.015)
