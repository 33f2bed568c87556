from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import LaidPly, abd_of, zones_of
from bagside.laminate.zones import axial_mean
from laminae import AS4, CLOTH

PLIES = (
    LaidPly(name="cloth", lamina=CLOTH, thickness=0.23e-3, angle=0.0, woven=True, areal_weight=0.345),
    LaidPly(name="tape", lamina=AS4, thickness=0.15e-3, angle=0.0, areal_weight=0.234),
)


def test_same_plies_make_one_zone_and_bare_triangles_none():
    membership = np.array([[True, True], [True, False], [True, True], [False, False], [True, False]])
    areas = np.array([1.0, 0.004, 2.0, 5.0, 0.003])
    zones = zones_of(membership, areas, np.zeros((5, 2)), np.zeros((5, 2)), plies=PLIES)
    assert [z.present for z in zones] == [(0, 1), (0,)]
    assert [z.triangles.tolist() for z in zones] == [[0, 2], [1, 4]]
    assert [z.small for z in zones] == [False, True]
    assert sum(z.share for z in zones) == pytest.approx(1.0)
    assert zones[0].laminate.thickness == pytest.approx(0.38e-3)
    assert zones[1].laminate.thickness == pytest.approx(0.23e-3)


@given(st.integers(1, 40), st.integers(0, 2**31))
def test_mass_and_volume_are_exact_whatever_the_shear(count, seed):
    rng = np.random.default_rng(seed)
    membership = rng.random((count, 2)) < 0.7
    areas, angles = rng.random(count) + 0.1, rng.uniform(-9, 9, (count, 2))
    shears = rng.uniform(-0.8, 0.8, (count, 2))
    zones = zones_of(membership, areas, angles, shears, plies=PLIES)
    grown = membership / np.cos(shears)
    for of_zone, of_ply in (("mass_per_area", [0.345, 0.234]), ("thickness", [0.23e-3, 0.15e-3])):
        total = sum(z.area * getattr(z.laminate, of_zone) for z in zones)
        assert total == pytest.approx(float((areas[:, None] * grown * of_ply).sum()), rel=1e-9)


@given(st.floats(-3, 3), st.floats(-0.6, 0.6), st.lists(st.integers(-3, 3), min_size=2, max_size=6))
def test_it_does_not_matter_which_yarn_of_a_cross_is_called_warp(angle, shear, turns):
    # calling weft warp turns the angle to weft and the sign of the shear; half turns change nothing
    rows = [
        (angle + np.pi * (k // 2), shear) if k % 2 == 0 else (angle + np.pi / 2 - shear + np.pi * (k // 2), -shear)
        for k in turns
    ]
    angles, shears = (np.array([[r[i]] for r in rows]) for i in (0, 1))
    ones = np.ones((len(rows), 1), dtype=bool)
    (zone,) = zones_of(ones, np.ones(len(rows)), angles, shears, plies=PLIES[:1])
    a, _, d = abd_of([[angle]], [0.23e-3], [[shear]], laminae=[CLOTH], woven=[True])
    assert pytest.approx(a[0], rel=1e-7, abs=1e-6 * a[0, 0, 0]) == zone.laminate.A
    assert pytest.approx(d[0], rel=1e-7, abs=1e-6 * d[0, 0, 0]) == zone.laminate.D
    assert zone.spreads[0] == pytest.approx(0, abs=1e-6)
    assert zone.shears_rms[0] == pytest.approx(abs(shear), abs=1e-12)


def test_mean_of_lines_near_the_seam():
    degrees = np.array([[88.0], [-88.0]])
    (zone,) = zones_of(np.ones((2, 1), bool), np.ones(2), np.radians(degrees), np.zeros((2, 1)), plies=PLIES[1:])
    assert abs(np.degrees(zone.angles[0])) == pytest.approx(90.0)
    assert np.degrees(zone.spreads[0]) == pytest.approx(2.0, rel=1e-2)


def test_mean_weighs_by_area():
    mean, _ = axial_mean(np.radians([0.0, 10.0]), np.array([3.0, 1.0]), np.pi)
    assert np.degrees(mean) == pytest.approx(2.5, abs=0.05)


def test_directions_that_cancel_have_no_mean():
    assert axial_mean(np.array([0.0, np.pi / 2]), np.ones(2), np.pi)[1] > 1.0
    assert axial_mean(np.array([0.0, np.pi / 2]), np.ones(2), np.pi / 2)[1] == pytest.approx(0.0, abs=1e-7)


def test_what_cannot_be_is_refused():
    ones, zero = np.ones((2, 2), bool), np.zeros((2, 2))
    with pytest.raises(InputError, match="one row per triangle and one column per ply"):
        zones_of(ones, np.ones(3), zero, zero, plies=PLIES)
    bad = np.array([[0.0, 0.0], [0.0, np.nan]])
    with pytest.raises(InputError, match="triangle 1, ply tape"):
        zones_of(ones, np.ones(2), bad, zero, plies=PLIES)
    held = np.array([[True, True], [True, False]])
    assert len(zones_of(held, np.ones(2), bad, zero, plies=PLIES)) == 2
    with pytest.raises(InputError, match="areas from zero up"):
        zones_of(ones, np.array([1.0, -1.0]), zero, zero, plies=PLIES)


def test_no_ply_anywhere_is_no_zone():
    assert zones_of(np.zeros((3, 2), bool), np.ones(3), np.zeros((3, 2)), np.zeros((3, 2)), plies=PLIES) == ()
