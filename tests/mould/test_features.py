"""Valleys and ridges of surfaces whose folds are known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.geometry import faired
from bagside.geometry.surface import Surface
from bagside.mould import FeatureLine, LineKind, corners_of, feature_lines
from moulds import bend
from shapes import box_corner, cylinder, grid, plane, welded


def only(lines: tuple[FeatureLine, ...]) -> FeatureLine:
    (line,) = lines
    return line


@pytest.mark.parametrize("turn", [40.0, 75.0, 90.0, 130.0])
@pytest.mark.parametrize("radius", [0.0, 0.002, 0.004])
def test_a_fillet_between_planes_is_read_exactly(turn: float, radius: float) -> None:
    line = only(feature_lines(bend(np.radians(turn), radius, edge=0.0008), 0.008, 0.0025))
    assert (line.id, line.kind, line.closed, len(line.meetings)) == ("V1", LineKind.VALLEY, False, 0)
    assert line.radius == pytest.approx(radius, abs=1e-5)
    assert np.degrees(line.included) == pytest.approx(180 - turn, abs=0.05)
    assert line.length == pytest.approx(0.1, abs=0.0045)


def test_the_same_fold_from_the_other_side_is_a_ridge() -> None:
    surface = bend(np.radians(90), 0.003)
    valley, ridge = only(feature_lines(surface, 0.006, 0.002)), only(feature_lines(surface.flipped(), 0.006, 0.002))
    assert (ridge.id, ridge.kind) == ("R1", LineKind.RIDGE)
    assert (ridge.radius, ridge.included, ridge.length) == (valley.radius, valley.included, valley.length)


@pytest.mark.parametrize(("turn", "radius"), [(90.0, 0.002), (90.0, 0.004), (130.0, 0.002), (130.0, 0.004)])
def test_a_scan_with_a_tenth_of_noise(turn: float, radius: float) -> None:
    """Found on the faired surface, read on the scan; on the faired one a fillet of 2 mm comes out a fifth wider."""
    rng = np.random.default_rng(3)
    true = bend(np.radians(turn), radius, edge=0.0008)
    noise = 1e-4 * rng.normal(size=(len(true.vertices), 1))
    scan = Surface(true.vertices + noise * true.vertex_normals, true.triangles)
    smooth = faired(scan, 0.001)
    line = only(feature_lines(smooth, 0.008, 0.0025, noise=3e-5, scanned=scan, scanned_noise=1e-4))
    assert line.radius == pytest.approx(radius, abs=2e-4)
    assert line.radius_error is not None
    assert line.radius_error < 1.5e-4
    assert np.degrees(line.included) == pytest.approx(180 - turn, abs=0.4)
    assert line.length == pytest.approx(0.1, abs=0.005)
    (corner,) = corners_of(smooth, 0.001, noise=3e-5, scanned=scan, scanned_noise=1e-4)
    assert corner.radius == pytest.approx(radius, abs=3e-4)
    if radius == 0.002 and turn == 90.0:
        (blurred,) = corners_of(smooth, 0.001, noise=3e-5)
        assert blurred.radius > 1.1 * radius


def recess(floor: float = 0.04, radius: float = 0.003, turn: float = np.radians(80), wall: float = 0.015) -> Surface:
    """Return a round recess: flat floor, a fillet all round, a conical wall; laminate inside."""
    arc = radius * turn
    inner, fillet, outer = np.linspace(0.5 * floor, floor, 16), np.linspace(0, arc, 9)[1:], np.linspace(0, wall, 16)[1:]
    s = np.concatenate([inner, floor + fillet, floor + arc + outer])
    a = np.clip(s - floor, 0, arc) / radius
    out = np.minimum(s, floor) + radius * np.sin(a) + np.where(s > floor + arc, (s - floor - arc) * np.cos(turn), 0)
    up = radius * (1 - np.cos(a)) + np.where(s > floor + arc, (s - floor - arc) * np.sin(turn), 0)
    p, t = grid(300, len(s) - 1)
    row = np.round(p[:, 1] * (len(s) - 1)).astype(int)
    around = 2 * np.pi * p[:, 0]
    return welded(np.column_stack([out[row] * np.cos(around), out[row] * np.sin(around), up[row]]), t[:, ::-1])


def test_the_foot_of_a_round_recess_closes_and_bends_once_around() -> None:
    """What gathers along it is 2π(1 − cos turn), by Gauss and Bonnet; its line lies in the middle of the fillet."""
    surface = recess()
    line = only(feature_lines(surface, 0.006, 0.0015))
    assert line.kind is LineKind.VALLEY
    assert line.closed
    assert line.radius == pytest.approx(0.003, abs=5e-5)
    assert np.degrees(line.included) == pytest.approx(100, abs=0.5)
    middle = 0.04 + 0.003 * np.sin(np.radians(40))
    assert line.length == pytest.approx(2 * np.pi * middle, rel=0.02)
    assert line.bending == pytest.approx(2 * np.pi, rel=0.06)
    (corner,) = corners_of(surface, 0.0005)
    assert corner.surplus == pytest.approx(2 * np.pi * (1 - np.cos(np.radians(80))), rel=0.02)


def test_a_box_has_three_valleys_that_meet() -> None:
    lines = feature_lines(box_corner(0.06, 0.004, 50, inside=True), 0.006, 0.002)
    assert [line.id for line in lines] == ["V1", "V2", "V3"]
    assert all(len(line.meetings) == 1 for line in lines)
    for line in lines:
        assert line.radius == pytest.approx(0.004, abs=1e-4)
        assert line.length == pytest.approx(0.06 * np.sqrt(1.5), rel=0.03)


def test_wide_bends_are_no_lines() -> None:
    assert feature_lines(plane(), 0.01, 0.005) == ()
    assert feature_lines(cylinder(0.05), 0.02, 0.008) == ()


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="radius of feature lines"):
        feature_lines(plane(), 0.0, 0.002)
    with pytest.raises(InputError, match="scale of curvature"):
        feature_lines(plane(), 0.01, 0.0)


@given(st.integers(0, 10_000), st.integers(3, 12), st.floats(0, 0.03), st.floats(0.0005, 0.01), st.integers(0, 20))
@settings(max_examples=30, deadline=None)
def test_any_rough_sheet_is_measured_or_refused(seed: int, n: int, rough: float, edge: float, missing: int) -> None:
    """Crumpled grids with triangles torn out: folds, needles, loose islets, spikes of many edges."""
    rng = np.random.default_rng(seed)
    p, t = grid(n, n)
    points = np.column_stack([p * n * edge, rng.normal(0, rough, len(p))])
    points[:, :2] += rng.normal(0, 0.3 * edge, (len(p), 2))
    t = np.delete(t, rng.choice(len(t), min(missing, len(t) - 1), replace=False), axis=0)
    surface = Surface(points, t)
    try:
        lines = feature_lines(surface, 2 * edge, 2 * edge)
    except InputError:
        return
    for line in lines:
        numbers = (line.length, line.radius, line.included, line.bending)
        assert all(np.isfinite(x) and x >= 0 for x in numbers)
        assert line.radius < 2 * edge * (1 + 1e-9)
        assert line.included <= np.pi + 1e-9
