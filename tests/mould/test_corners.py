"""Tight corners: radius, angle, length and bridge of corners made for it."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.geometry import faired, mended, read_mesh
from bagside.geometry.surface import Surface
from bagside.mould import CornerVerdict, corner_findings, corner_pressure, corners_of, hollow_radii, needed_radius
from moulds import bend, tray
from shapes import box_corner, cylinder, hemisphere, plane


@pytest.mark.parametrize("edge", [0.0005, 0.001])
@pytest.mark.parametrize(("fillet", "within"), [(0.0, 0.0002), (0.002, 0.0003), (0.004, 0.0004)])
@pytest.mark.parametrize("degrees", [75.0, 90.0])
def test_a_straight_corner_is_measured(edge: float, fillet: float, within: float, degrees: float) -> None:
    (corner,) = corners_of(bend(np.radians(degrees), fillet, length=0.1, edge=edge), 0.001)
    assert corner.id == "C1"
    assert corner.radius == pytest.approx(fillet, abs=within)
    assert np.degrees(corner.included) == pytest.approx(180 - degrees, abs=2.0)
    assert corner.length == pytest.approx(0.1, abs=0.003)
    assert corner.gap == pytest.approx((0.006 - fillet) * (1 / np.cos(np.radians(degrees) / 2) - 1), abs=1e-4)
    assert corner.branches == 0


def test_radii_of_a_bowl_and_a_pipe() -> None:
    radii, _ = hollow_radii(cylinder(0.05, nx=40, ny=60).flipped())
    assert np.median(radii) == pytest.approx(0.05, rel=0.01)
    outside, _ = hollow_radii(hemisphere(0.1))
    assert np.isinf(outside).all()


def test_generous_corners_and_raised_ones_are_not_reported() -> None:
    assert corners_of(bend(np.radians(90), 0.008), 0.001) == ()
    assert corners_of(bend(np.radians(90), 0.002).flipped(), 0.001) == ()
    assert corners_of(plane(), 0.001) == ()


def test_a_thick_stack_needs_more_radius() -> None:
    surface = bend(np.radians(90), 0.008, edge=0.001)
    (corner,) = corners_of(surface, 0.004)
    assert corner.needed == pytest.approx(0.012)
    assert corner.verdict is CornerVerdict.HARD
    assert corners_of(surface, 0.004, structural=False) == ()


@pytest.mark.parametrize(
    ("fillet", "thickness", "verdict"),
    [
        (0.0045, 0.001, CornerVerdict.HARD),
        (0.0025, 0.001, CornerVerdict.BRIDGES),
        (0.0015, 0.001, CornerVerdict.FILLER),
        (0.002, 0.003, CornerVerdict.CLOSED),
        (0.0, 0.001, CornerVerdict.CLOSED),
    ],
)
def test_verdict_by_radius(fillet: float, thickness: float, verdict: CornerVerdict) -> None:
    (corner,) = corners_of(bend(np.radians(90), fillet, length=0.04, edge=0.0005), thickness)
    assert corner.verdict is verdict


def test_a_box_corner_is_three_lines_that_meet() -> None:
    """Three fillets of 80·√(3/2) mm reach meet: a star seen along the diagonal."""
    surface = box_corner(0.08, 0.004, 50, inside=True)
    corners = corners_of(surface, 0.001)
    assert [c.id for c in corners] == ["C1", "C2", "C3"]
    for c in corners:
        assert c.branches == 1
        assert c.radius == pytest.approx(0.004, abs=5e-5)
        assert np.degrees(c.included) == pytest.approx(90, abs=0.1)
        assert c.length == pytest.approx(0.08 * np.sqrt(1.5), rel=0.02)
        assert c.bending < np.radians(5)
        assert np.linalg.norm(c.meetings[0]) < 0.005
        assert abs(c.surplus) < np.radians(3)  # a straight fillet between flat walls gathers nothing
    darts = [f for f in corner_findings(corners, surface.edge_length) if "dart" in f.do]
    assert [f.place for f in darts] == ["where corners C1, C2, C3 end"]


def test_the_foot_of_a_tray_and_its_mitres_are_measured_one_by_one() -> None:
    """A loop of four lines with four arms; a foot turns by the wall's slope, a mitre by acos(0.1)."""
    surface = tray(depth=0.06, wall=0.02, edge=0.00125, flange=0.02, length=0.2, width=0.15)
    corners = corners_of(surface, 0.001)
    foot, mitre = corners[:4], corners[4:]
    assert [c.length for c in foot] == pytest.approx([0.16, 0.16, 0.11, 0.11], abs=0.001)
    assert [c.length for c in mitre] == pytest.approx([np.sqrt(2 * 0.02**2 + 0.06**2)] * 4, abs=0.002)
    assert [np.degrees(c.turn) for c in foot] == pytest.approx([np.degrees(np.arctan2(0.06, 0.02))] * 4, abs=0.1)
    assert [np.degrees(c.turn) for c in mitre] == pytest.approx([np.degrees(np.arccos(0.1))] * 4, abs=0.5)
    assert [c.branches for c in corners] == [2, 2, 2, 2, 1, 1, 1, 1]
    assert max(c.radius for c in corners) < 0.0001
    assert len([f for f in corner_findings(corners, surface.edge_length) if "dart" in f.do]) == 4


def test_a_crease_on_a_coarse_mesh_is_seen() -> None:
    """The ball of 6 mm sinks into edges of 5 mm; the turn of the edges does not."""
    surface = tray(length=0.3, width=0.2, depth=0.04, wall=0.02, flange=0.05, edge=0.005)
    corners = corners_of(surface, 0.001)
    foot, sides = 2 * (0.3 + 0.2) - 8 * 0.02, 4 * np.sqrt(2 * 0.02**2 + 0.04**2)
    assert sum(c.length for c in corners) == pytest.approx(foot + sides, rel=0.15)
    assert corners[0].radius < 0.002
    assert corner_findings(corners, surface.edge_length)[-1].place == "mesh of the mould"


def test_facets_of_a_wide_fillet_are_no_creases() -> None:
    for edge in (0.003, 0.005):
        assert corners_of(bend(np.radians(90), 0.010, edge=edge), 0.001) == ()


def test_one_thickness_for_all_or_one_each() -> None:
    surface = bend(np.radians(90), 0.004, length=0.04)
    (one,) = corners_of(surface, 0.001)
    (each,) = corners_of(surface, np.full(len(surface.vertices), 0.001))
    assert one.radius == each.radius
    assert one.gap == each.gap
    np.testing.assert_array_equal(
        needed_radius(np.array([0.001, 0.004]), visible=True, structural=True),
        [float(needed_radius(t, visible=True, structural=True)) for t in (0.001, 0.004)],
    )


@pytest.mark.published("Hubert & Poursartip 2001 JCM 35:2, idea; values derived here by ring equilibrium")
def test_pressure_in_and_around_a_corner() -> None:
    assert corner_pressure(1e5, 0.010, 0.002) == pytest.approx(0.8e5)
    assert corner_pressure(1e5, 0.010, 0.002, hollow=False) == pytest.approx(1.2e5)


@given(st.floats(0.001, 0.1), st.floats(0.01, 0.99))
def test_an_inside_corner_never_presses_more_than_the_bag(radius: float, share: float) -> None:
    assert 0 < corner_pressure(1e5, radius, share * radius) < 1e5
    assert corner_pressure(1e5, radius, share * radius, hollow=False) > 1e5


def test_a_filled_corner_has_no_pressure_to_state() -> None:
    with pytest.raises(InputError, match="larger than the laminate"):
        corner_pressure(1e5, 0.002, 0.002)
    with pytest.raises(InputError):
        corner_pressure(1e5, 0.0, 0.002)


def test_findings_say_everything_and_mark_a_point() -> None:
    surface = bend(np.radians(90), 0.0025, length=0.1, edge=0.0005)
    corners = corners_of(surface, 0.001)
    findings = corner_findings(corners, surface.edge_length)
    assert [f.severity for f in findings] == [Severity.DECIDE, Severity.SEEN]
    assert "pressure strip" in findings[0].do
    assert "slip joint" in findings[0].do
    assert "debulk" in findings[1].do
    for f in findings:
        assert all((f.place, f.what, f.why, f.do, f.basis, f.source))
        assert f.point is not None
        nearest = np.linalg.norm(surface.vertices - np.array(f.point), axis=1).min()
        assert nearest < 0.002


def test_a_coarse_mesh_is_admitted() -> None:
    surface = bend(np.radians(90), 0.003, edge=0.003)
    findings = corner_findings(corners_of(surface, 0.001), surface.edge_length)
    assert findings[-1].place == "mesh of the mould"


def test_what_makes_no_sense_is_refused() -> None:
    surface = bend(np.radians(90), 0.004, length=0.02)
    with pytest.raises(InputError, match="above zero"):
        corners_of(surface, 0.0)
    loose = Surface(np.vstack([surface.vertices, [[9.0, 9.0, 9.0]]]), surface.triangles)
    with pytest.raises(InputError, match="mended"):
        corners_of(loose, 0.001)


def test_a_drawn_mould_of_few_long_triangles_is_measured_like_a_fine_one() -> None:
    """Walls of one strip of triangles each and a fillet of eight facets, 100 mm long without a point between."""
    turn, radius, wall = np.radians(90.0), 0.003, 0.05
    angle = np.linspace(0, turn, 9)
    y = np.concatenate([[-wall], radius * np.sin(angle), [radius]])
    z = np.concatenate([[0.0], radius * (1 - np.cos(angle)), [radius + wall]])
    n = len(y)
    v = np.concatenate([np.column_stack([np.full(n, x), y, z]) for x in (0.0, 0.1)])
    k = np.arange(n - 1)
    t = np.concatenate([np.stack([k, k + n, k + n + 1], 1), np.stack([k, k + n + 1, k + 1], 1)])
    (corner,) = corners_of(Surface(v, t), 0.001)
    assert corner.radius == pytest.approx(radius, abs=0.0006)
    assert np.degrees(corner.included) == pytest.approx(90, abs=3)
    assert corner.length == pytest.approx(0.1, abs=0.006)
    assert corner.gap == pytest.approx((0.006 - radius) * (np.sqrt(2) - 1), abs=0.0002)


def ditch(width: float, depth: float, edge: float = 0.0005) -> Surface:
    """Return a flat plate with a round-bottomed groove along x, sides and bottom a half sine."""
    flat = plane(0.06, 0.06, round(0.06 / edge), round(0.06 / edge))
    y = flat.vertices[:, 1]
    z = np.where(np.abs(y) < width / 2, -depth * np.cos(np.pi * y / width) ** 2, 0.0)
    return Surface(np.column_stack([flat.vertices[:, :2], z]), flat.triangles)


def test_a_scribed_line_is_no_corner_and_a_groove_is_one() -> None:
    assert corners_of(ditch(0.002, 0.0004), 0.001) == ()
    deep = corners_of(ditch(0.006, 0.004), 0.0003)
    assert len(deep) == 1
    assert deep[0].length == pytest.approx(0.06, abs=0.004)
    bottom = (0.006 / np.pi) ** 2 / (2 * 0.004)
    assert deep[0].radius < 2 * bottom + 0.0008


def test_many_thicknesses_are_measured_with_few_balls() -> None:
    surface = bend(np.radians(90), 0.008, length=0.06, edge=0.002)
    thickness = np.interp(surface.vertices[:, 0], [0, 0.06], [0.0015, 0.004])
    (corner,) = corners_of(surface, thickness)
    assert corner.needed == pytest.approx(0.012, rel=1e-6)
    assert corner.length < 0.045
    assert corner.thickness == pytest.approx(0.004)


def test_a_moulded_tray_of_the_open_data(open_data: Path) -> None:
    """A real drawing with slivers: its long inner edges are found, nothing longer than the tray is invented."""
    surface, _ = mended(read_mesh(open_data / "meshes" / "anymal_bottom_shell_full.stl", "mm"), facing=(0, 0, 1))
    corners = corners_of(surface, 0.001)
    assert 1.5 < corners[0].length < 3.0
    assert corners[0].gap > 0.001
    assert all(np.isfinite(c.radius) and 0 <= c.radius < c.needed for c in corners)
    assert all(c.length >= 2 * c.needed for c in corners)


def test_a_dirty_scan_of_the_open_data_has_no_corner_made_of_noise(open_data: Path) -> None:
    raw = read_mesh(open_data / "meshes" / "synthetic_dirty_scan_cowl.ply", "mm")
    surface = faired(mended(raw, facing=(0, 0, 1))[0], 0.001)
    assert corners_of(surface, 0.001, noise=3e-5) == ()
