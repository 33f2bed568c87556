"""Draft of walls against the pull."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.geometry.surface import Surface
from bagside.mould import draft_angles, draft_findings, draft_in_one_piece, draft_of
from moulds import bend, tray
from shapes import cone, cylinder, hemisphere, plane

UP = (0.0, 0.0, 1.0)


def test_a_floor_has_90_degrees_and_a_wall_its_slope() -> None:
    mould = tray(depth=0.06, wall=0.02)
    angles = np.degrees(draft_angles(mould, UP))
    slope = np.degrees(np.arctan2(0.02, 0.06))
    floor = np.abs(mould.normals[:, 2]) > 0.999
    wall = (np.abs(mould.normals[:, 2]) < 0.999) & (np.minimum(*np.abs(mould.normals[:, :2]).T) < 1e-9)
    np.testing.assert_allclose(angles[floor], 90.0, atol=1e-5)
    np.testing.assert_allclose(angles[wall], slope, atol=1e-9)


@pytest.mark.parametrize("half", [1.0, 3.0, 20.0])
def test_a_cone_pulled_along_its_axis_has_its_half_angle(half: float) -> None:
    """Facets of a cone about x lie a little flatter than it; 50 across half a turn make 0.1 %."""
    surface = cone(np.radians(half), arc=np.pi)
    angles = draft_angles(surface, (-1.0, 0.0, 0.0))
    np.testing.assert_allclose(np.degrees(angles), half, rtol=1e-3)


@given(st.floats(0.1, 10.0))
@settings(max_examples=20)
def test_the_length_of_the_pull_does_not_matter(scale: float) -> None:
    surface = hemisphere(rings=6)
    np.testing.assert_allclose(draft_angles(surface, (0, 0, scale)), draft_angles(surface, UP), atol=1e-12)


def test_the_opposite_pull_has_the_opposite_draft() -> None:
    surface = hemisphere(rings=6)
    np.testing.assert_allclose(draft_angles(surface, (0, 0, -1)), -draft_angles(surface, UP), atol=1e-12)


def test_a_pull_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="direction of pull"):
        draft_angles(plane(), (0, 0, 0))


def test_a_good_tray_comes_off_in_one_piece() -> None:
    (one,) = draft_of(tray(depth=0.06, wall=0.02))
    assert one.name == "in one piece"
    assert np.degrees(one.smallest) == pytest.approx(np.degrees(np.arctan2(0.02, 0.06)), abs=1e-6)
    assert one.undercut == 0.0
    assert one.depth == pytest.approx(0.06)
    assert not draft_findings([one])


def test_a_steep_wall_is_watched() -> None:
    """A bend of 89.5° leaves a wall of half a degree when the floor is pulled square."""
    surface = bend(np.radians(89.5), 0.006)
    (piece,) = draft_of(surface, [("base", (0, 0, -1), None, None)])
    assert np.degrees(piece.smallest) == pytest.approx(0.5, abs=1e-6)
    (finding,) = draft_findings([piece])
    assert finding.severity is Severity.WATCH
    assert finding.what == "the smallest draft is 0.5°"
    assert finding.point is not None
    assert all((finding.place, finding.why, finding.do, finding.basis))


def test_an_undercut_stops_a_mould_in_one_piece() -> None:
    surface = bend(np.radians(100.0), 0.006, wall=0.03, length=0.1)
    (piece,) = draft_of(surface, [("base", (0, 0, -1), None, None)])
    assert np.degrees(piece.smallest) == pytest.approx(-10.0, abs=1e-6)
    assert piece.undercut == pytest.approx(0.03 * 0.1 + 0.006 * np.radians(10) * 0.1, rel=0.03)
    (finding,) = draft_findings([piece])
    assert finding.severity is Severity.STOP
    assert "split the mould" in finding.do
    assert finding.place == "mould in one piece"
    assert piece.hook == pytest.approx(0.03 * np.sin(np.radians(10)), rel=0.1)
    assert finding.what == "31.0 cm² lean over; the part hooks in by 5.3 mm"


def test_a_small_hook_at_the_end_of_a_split_is_watched() -> None:
    """A wall that leans by 1° over its last 10 mm hooks in by 0.17 mm: the part slips over."""
    flat = plane(0.2, 0.1, 40, 60)
    x, s = flat.vertices[:, 0], flat.vertices[:, 1] + 0.05
    lean = np.where(s > 0.09, np.radians(-1.0), np.radians(5.0))
    y = np.where(s > 0.09, 0.09 * np.sin(np.radians(5)) + (s - 0.09) * np.sin(lean), s * np.sin(np.radians(5)))
    z = np.where(s > 0.09, 0.09 * np.cos(np.radians(5)) + (s - 0.09) * np.cos(lean), s * np.cos(np.radians(5)))
    surface = Surface(np.column_stack([x, y, z]), flat.triangles)
    wide = [("wall", (0.0, 0.0, -1.0), None, None)]
    (piece,) = draft_of(surface, wide)
    assert piece.hook == pytest.approx(0.01 * np.sin(np.radians(1.0)), rel=0.02)
    assert not piece.locked
    (finding,) = draft_findings([piece])
    assert finding.severity is Severity.WATCH


def test_a_pipe_half_too_far_round_is_freed_by_a_split() -> None:
    """A hollow of 240° locks in one piece and comes off in two."""
    hollow = cylinder(0.08, arc=np.radians(240), nx=10, ny=120).flipped()
    assert draft_in_one_piece(hollow).locked
    left = ("left", (0.0, 1.0, 0.0), (0, 0, 0), (0, 1, 0))
    right = ("right", (0.0, -1.0, 0.0), (0, 0, 0), (0, -1, 0))
    pieces = draft_of(hollow, [left, right])
    assert [p.name for p in pieces] == ["left", "right"]
    assert not any(p.locked for p in pieces)
    assert sum(p.area for p in pieces) == pytest.approx(hollow.area)


def test_the_piece_that_locks_is_named() -> None:
    hollow = cylinder(0.08, arc=np.radians(240), nx=10, ny=120).flipped()
    left = ("left", (0.0, 1.0, 0.0), (0, 0, 0), (0, 1, 0))
    right = ("right", (0.0, 0.0, 1.0), (0, 0, 0), (0, -1, 0))
    findings = draft_findings(draft_of(hollow, [left, right]), hollow.area)
    assert [(f.place, f.severity) for f in findings] == [("mould piece right", Severity.STOP)]


def test_a_pull_the_wrong_way_round_is_said_so() -> None:
    (finding,) = draft_findings(draft_of(plane(), [("lid", UP, None, None)]))
    assert finding.severity is Severity.STOP
    assert "turn it round" in finding.do


def test_surface_on_no_side_is_reported() -> None:
    flat = plane(0.2, 0.2, 20, 20)
    pieces = draft_of(flat, [("half", (0, 0, -1), (0, 0, 0), (1, 0, 0))])
    found = draft_findings(pieces, flat.area)
    assert [f.place for f in found] == ["mould pieces"]
    assert "200.0 cm²" in found[0].what


def test_noise_does_not_set_the_smallest_draft() -> None:
    """One percent of the area may lie: a nick of a few triangles does not turn a good wall into an undercut."""
    good = bend(np.radians(85.0), 0.006, edge=0.002)
    moved = np.array(good.vertices)
    moved[len(moved) // 2 + 12] += (0.0, -0.0005, 0.0)
    nicked = Surface(moved, good.triangles)
    (piece,) = draft_of(nicked, [("base", (0, 0, -1), None, None)])
    assert draft_angles(nicked, UP).min() < np.radians(0)
    assert piece.smallest > np.radians(3.0)
    assert not piece.locked


def test_a_deep_wall_wants_more() -> None:
    surface = bend(np.radians(88.5), 0.006, wall=0.3, edge=0.005)
    (piece,) = draft_of(surface, [("base", (0, 0, -1), None, None)])
    (finding,) = draft_findings([piece])
    assert finding.severity is Severity.SEEN
    assert finding.what.startswith("draft 1.5° at a depth of 30")


def test_half_a_plane_or_an_empty_side_is_refused() -> None:
    with pytest.raises(InputError, match="both wanted"):
        draft_of(plane(), [("a", UP, (0, 0, 0), None)])
    with pytest.raises(InputError, match="another split plane"):
        draft_of(plane(), [("a", UP, (5, 0, 0), (1, 0, 0))])
