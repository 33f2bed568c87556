"""Pieces, overlaps, darts and match marks against spheres, cones and planes."""

from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

import shapes
from bagside.drape import (
    ClothKind,
    ClothLaw,
    Cut,
    CutPiece,
    Drape,
    Join,
    cut_pieces,
    drape,
    law_of,
    pattern_of,
    piece_start,
    refuse_crossed,
    seam_marks,
    staggered,
    wedges,
    with_overlaps,
)
from bagside.drape.cuts import letter
from bagside.drape.joins import lip_lengths
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface, joined, length_of, mended, read_mesh

Floats = NDArray[np.float64]
R = 0.1
STIFF = ClothLaw(shear_weight=1.0)


def on_sphere(polar: float, turn: float) -> Floats:
    return R * np.array([np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn), np.cos(polar)])


def meridian(start: float, end: float, turn: float) -> Floats:
    return np.stack([on_sphere(t, turn) for t in np.linspace(start, end, 9)])


def cut(
    line: Floats, join: Join = Join.OVERLAP, overlap: float = 0.012, *, closed: bool = False, name: str = "rib"
) -> Cut:
    return Cut(name=name, line=line, join=join, overlap=overlap, closed=closed)


@pytest.fixture(scope="module")
def cap() -> Surface:
    return shapes.hemisphere(R, np.radians(60), 20)


def pieces_of(surface: Surface, *cuts: Cut) -> tuple[CutPiece, ...]:
    return cut_pieces(surface, cuts, size=0.005, tolerance=5e-5)


def places(piece: CutPiece) -> list[Floats]:
    return [np.einsum("ki,kij->kj", s.shares, piece.surface.corners[s.triangles]) for s in piece.seams]


def flat(piece: CutPiece, start: Floats, direction: Floats, law: ClothLaw) -> Drape:
    at, way = piece_start(piece.surface, start, direction)
    return drape(piece.surface, start=at, direction=way, law=law)


def test_a_split_leaves_two_halves_and_the_later_one_overlaps_by_a_true_band(cap: Surface) -> None:
    turn = 0.3
    first, second = pieces_of(cap, cut(meridian(np.radians(60), -np.radians(60), turn)))
    assert first.net.area + second.net.area == pytest.approx(cap.area, rel=1e-9)
    assert first.net.area == pytest.approx(cap.area / 2, rel=1e-3)
    assert first.surface.area == pytest.approx(first.net.area, rel=1e-3)  # made even
    assert [[s.seam, s.over, s.other] for p in (first, second) for s in p.seams] == [["A", False, 1], ["A", True, 0]]
    across = np.array([-np.sin(turn), np.cos(turn), 0])
    beyond = R * np.arcsin(second.surface.vertices @ across / np.linalg.norm(second.surface.vertices, axis=1))
    beyond *= np.sign(np.median(beyond))
    polar = np.arccos(second.surface.vertices[:, 2] / R)
    edge = beyond[second.surface.loops[0]][(polar[second.surface.loops[0]] < np.radians(58))]
    edge = edge[edge < 0]
    assert len(edge) > 30
    assert np.abs(edge + 0.012).max() < 8e-5  # the stated width, within the tolerance of remeshing
    widths = np.linspace(0, 0.012, 200)
    # area of the band by integration over its width
    length = 2 * R * np.cos(widths / R) * np.arccos(np.cos(np.radians(60)) / np.cos(widths / R))
    assert second.surface.area - second.net.area == pytest.approx(np.trapezoid(length, widths), rel=5e-3)


def test_both_sides_of_a_join_lie_on_one_line_and_keep_their_own_triangles(cap: Surface) -> None:
    for piece in pieces_of(cap, cut(meridian(np.radians(60), -np.radians(60), 0.3))):
        for side, at in zip(piece.seams, places(piece), strict=True):
            assert np.linalg.norm(at - side.line, axis=1).max() < 1.5e-4
            assert side.shares.min() > -1e-9
            inward = piece.surface.centroids[side.triangles] - side.line
            way = np.gradient(side.line, axis=0)
            left = np.einsum("ij,ij->i", np.cross(piece.surface.normals[side.triangles], way), inward)
            if not side.over:
                assert ((left > 0) == side.left).all()


def test_two_crossing_cuts_leave_four_pieces_and_four_joins(cap: Surface) -> None:
    end = np.radians(60)
    found = pieces_of(cap, cut(meridian(end, -end, 0.3)), cut(meridian(end, -end, 1.8), name="cross"))
    assert len(found) == 4
    assert sum(p.net.area for p in found) == pytest.approx(cap.area, rel=1e-9)
    assert sorted(s.seam for p in found for s in p.seams) == list("AABBCCDD")
    for k, piece in enumerate(found):
        for side in piece.seams:
            other = next(s for s in found[side.other].seams if s.seam == side.seam)
            assert other.other == k
            assert np.array_equal(other.line, side.line)
            assert side.over == (k > side.other)
            assert other.left != side.left


def test_a_closed_cut_leaves_a_patch_that_overlaps_all_round(cap: Surface) -> None:
    ring = np.stack([on_sphere(0.6, t) for t in np.linspace(0, 2 * np.pi, 73)[:-1]])
    outer, patch = pieces_of(cap, cut(ring, overlap=0.01, closed=True))
    assert [len(outer.surface.loops), len(patch.surface.loops)] == [2, 1]
    assert patch.net.area == pytest.approx(2 * np.pi * R**2 * (1 - np.cos(0.6)), rel=3e-3)
    assert patch.surface.area == pytest.approx(2 * np.pi * R**2 * (1 - np.cos(0.7)), rel=3e-3)


def test_a_cut_that_ends_on_another_is_carried_there(cap: Surface) -> None:
    end = np.radians(60)
    tee_line = meridian(end - 0.03, 0.03, 1.9)
    found = pieces_of(cap, cut(meridian(end, -end, 0.3)), cut(tee_line, Join.BUTT, 0.0, name="tee"))
    assert len(found) == 3
    tee = [s for p in found for s in p.seams if s.cut == "tee"]
    assert [[s.over, s.overlap] for s in tee] == [[False, 0.0], [False, 0.0]]
    assert length_of(tee[0].line) == pytest.approx(R * end, rel=2e-3)


def test_a_line_from_hole_to_rim_opens_a_ring_without_parting_it() -> None:
    ring = shapes.plane_with_hole()
    (whole,) = pieces_of(ring, cut(np.array([[0.05, 0, 0], [0.15, 0, 0]]), Join.BUTT, 0.0))
    assert len(whole.surface.loops) == 1
    assert [s.other for s in whole.seams] == [0, 0]


def test_cuts_that_cannot_be_made_are_refused_by_name(cap: Surface) -> None:
    far = cut(np.array([[0.5, 0, 0], [0.6, 0, 0]]))
    with pytest.raises(InputError, match=r"cut rib: a line \d+ mm off the ply – a line on the ply is wanted"):
        pieces_of(cap, far)
    end = np.radians(60)
    with pytest.raises(InputError, match=r"cut rib: an overlap of 0\.0 mm – a width above zero is wanted"):
        pieces_of(cap, cut(meridian(end, -end, 0), overlap=0.0))
    eight = np.stack([on_sphere(0.5, t) for t in (0, 3.1, 1.5, 4.7)])
    with pytest.raises(InputError, match="cut rib: a line that crosses or touches itself"):
        pieces_of(cap, cut(eight))
    flat_ply = shapes.plane()
    with pytest.raises(InputError, match=r"cut rib: a line (along the rim|without length on the ply)"):
        pieces_of(flat_ply, cut(np.array([[-0.1, 0.1, 0], [0.1, 0.1, 0]])))
    with pytest.raises(InputError, match="two or more points"):
        pieces_of(cap, cut(np.zeros((1, 3))))


def test_letters() -> None:
    assert [letter(k) for k in (0, 25, 26, 27, 701, 702)] == ["A", "Z", "AA", "AB", "ZZ", "AAA"]


def test_a_dart_in_a_cone_opens_by_exactly_the_angle_missing_there() -> None:
    half, slant = np.radians(70), 0.15
    p, t = shapes.disc(24)
    cone = Surface(np.column_stack([slant * p * np.sin(half), -slant * np.linalg.norm(p, axis=1) * np.cos(half)]), t)
    ray = np.array([np.sin(half), 0, -np.cos(half)])
    (piece,) = pieces_of(cone, cut(np.outer(np.linspace(slant, 0, 5), ray), overlap=0.01))
    laid = drape(piece.surface, start=0.08 * ray * [-1, 1, 1], direction=np.array([0, 1.0, 0]), law=STIFF)
    marks = seam_marks(laid, piece)
    (wedge,) = wedges(marks)
    assert wedge.angle == pytest.approx(2 * np.pi * (1 - np.sin(half)), rel=1e-3)
    assert wedge.opening == pytest.approx(2 * slant * np.sin(np.pi * (1 - np.sin(half))), rel=1e-3)
    assert lip_lengths(marks)["A"] == pytest.approx([slant, slant], rel=1e-4)
    whole = pattern_of(laid)
    assert whole.area == pytest.approx(np.pi * slant**2 * np.sin(half), rel=5e-3)
    flapped = with_overlaps(whole, piece, marks)
    assert len(flapped.loops) == 1
    # a strip along the whole lip, less the sharp triangle near the point where the wedge is narrower
    missing = 0.5 * 0.01**2 / np.tan(wedge.angle)
    assert flapped.area - whole.area == pytest.approx(0.01 * slant - missing, rel=0.02)


def test_a_dart_in_a_cap_opens_by_about_the_curvature_it_relieves() -> None:
    """Gauss and Bonnet: rings of a flat sheet's length close about a cap when a sector of 2π(1 − sin θ / θ) is out."""
    angle = np.radians(55)
    cap = shapes.hemisphere(R, angle, 20)
    openings = []
    for tip in (0.25, 0.02):
        (piece,) = pieces_of(cap, cut(meridian(angle, tip, 0.7), overlap=0.004))
        laid = drape(piece.surface, start=on_sphere(0.3, 3.8), direction=np.array([0, 1.0, 0]), law=STIFF)
        marks = seam_marks(laid, piece)
        openings.append(wedges(marks)[0])
        one, two = lip_lengths(marks)["A"]
        assert one == pytest.approx(two, rel=0.02)
    sector = 2 * np.pi * (1 - np.sin(angle) / angle)  # arc of the rim over the meridian's length, from a full turn
    assert 0.5 * sector < openings[0].angle < 1.3 * sector
    assert openings[1].angle == pytest.approx(sector, rel=0.25)


def test_lips_that_cross_in_the_flat_are_refused_with_the_reason() -> None:
    saddle = shapes.saddle(0.16, 0.3, 32)
    x = np.linspace(0.08, 0, 5)
    (piece,) = pieces_of(saddle, cut(np.column_stack([x, 0 * x, x * x / 0.3]), overlap=0.01))
    laid = drape(piece.surface, start=np.array([-0.02, 0, 0.0013]), direction=np.array([0, 1.0, 0]), law=STIFF)
    marks = seam_marks(laid, piece)
    assert wedges(marks)[0].angle < -0.1
    with pytest.raises(NotSolved, match=r"dart A \(rib\) lie over each other in the flat by .* the cloth is too short"):
        refuse_crossed(marks)


def test_the_flat_pieces_of_a_cut_cap_hold_its_area_and_the_overlaps(cap: Surface) -> None:
    end = np.radians(60)
    found = pieces_of(cap, cut(meridian(end, -end, 0.3)), cut(meridian(end, -end, 1.87), name="cross"))
    areas = []
    for piece in found:
        laid = flat(piece, np.array([0, 0, R]), np.array([1.0, 0, 0]), STIFF)
        areas.append(pattern_of(laid).area - (piece.surface.area - piece.net.area))
    assert sum(areas) == pytest.approx(cap.area, rel=0.01)


def test_match_marks_stand_at_equal_stations_of_both_sides() -> None:
    bent = shapes.cylinder(0.08, np.pi, 0.25, 40, 40)  # developable: flat distances are those on the mould
    r = 0.08
    across = np.linspace(-np.pi / 2 * r, np.pi / 2 * r, 9)
    line = np.column_stack([0.1 * across, r * np.sin(across / r), r * np.cos(across / r)])
    found = pieces_of(bent, cut(line, overlap=0.01))
    marks = [seam_marks(flat(p, np.array([0, 0, r]), np.array([1.0, 0, 0]), STIFF), p, 0.04)[0] for p in found]
    one, two = marks
    assert np.array_equal(one.stations, two.stations)
    assert len(one.ticks) == 7  # 253 mm in steps of at most 40
    assert np.diff(one.stations).max() <= 0.04
    step = [np.linalg.norm(np.diff(m.ticks, axis=0), axis=1) for m in marks]
    assert step[0] == pytest.approx(step[1], rel=1e-3)
    assert step[0] == pytest.approx(np.diff(one.stations), rel=2e-3)
    for mark, piece in zip(marks, found, strict=True):
        assert np.linalg.norm(mark.normals, axis=1) == pytest.approx(1)
        laid = flat(piece, np.array([0, 0, r]), np.array([1.0, 0, 0]), STIFF)
        outline = shapely.Polygon(pattern_of(laid).loops[0])
        ahead = [outline.contains(shapely.Point(t + 0.004 * n)) for t, n in zip(mark.ticks, mark.normals, strict=True)]
        behind = [outline.contains(shapely.Point(t - 0.004 * n)) for t, n in zip(mark.ticks, mark.normals, strict=True)]
        assert all(behind)
        assert all(a == mark.over for a in ahead)  # past the line there is cloth on the overlapping side only


def test_marks_need_the_drape_of_their_own_piece(cap: Surface) -> None:
    first, second = pieces_of(cap, cut(meridian(np.radians(60), -np.radians(60), 0.3)))
    laid = flat(first, np.array([0, 0, R]), np.array([1.0, 0, 0]), STIFF)
    with pytest.raises(InputError, match="one on the piece's own"):
        seam_marks(laid, second)
    with pytest.raises(InputError, match="a spacing of 0 m"):
        seam_marks(laid, first, 0)


def test_joins_of_successive_plies_keep_apart() -> None:
    ply = shapes.plane(0.3, 0.2, 30, 20)
    seam = cut(np.array([[-0.15, 0.01, 0], [0.15, 0.01, 0]]))
    laid: list[Floats] = []
    found = []
    for k in range(6):
        moved = staggered(ply, seam, k, 0.025, laid[-4:])
        assert moved.note == ""
        laid.append(moved.cut.line)
        found.append(round(float(np.median(moved.cut.line[:, 1])), 5))
    assert found == [0.01, 0.035, -0.015, 0.06, -0.04, 0.01]
    assert all(len(pieces_of(ply, cut(line))) == 2 for line in laid)


def test_a_line_that_would_leave_the_ply_goes_elsewhere_and_says_so() -> None:
    ply = shapes.plane(0.3, 0.2, 30, 20)
    seam = cut(np.array([[-0.15, 0.08, 0], [0.15, 0.08, 0]]))
    moved = staggered(ply, seam, 1, 0.03)
    assert moved.note == "Cut rib moved by +30 mm leaves the ply; it is moved by −30 mm."
    assert np.median(moved.cut.line[:, 1]) == pytest.approx(0.05, abs=1e-4)
    near = staggered(ply, seam, 0, 0.03, [seam.line + np.array([0, 0.01, 0])])
    assert near.shift == -0.03
    assert near.note == "Cut rib moved by +0 mm comes too near a join below; it is moved by −30 mm."
    strip = shapes.plane(0.3, 0.04, 30, 4)
    below = np.array([[-0.15, 0.01, 0], [0.15, 0.01, 0]])
    stuck = staggered(strip, cut(np.array([[-0.15, 0, 0], [0.15, 0, 0]])), 1, 0.03, [below])
    assert stuck.note == (
        "Cut rib cannot be moved aside by steps of 30 mm: it comes within 10 mm of a join of the last four plies."
    )
    with pytest.raises(InputError, match="a distance above zero"):
        staggered(ply, seam, 1, 0)


def test_a_dart_is_moved_as_a_whole() -> None:
    ply = shapes.plane(0.3, 0.2, 30, 20)
    moved = staggered(ply, cut(np.array([[-0.15, 0, 0], [0.02, 0, 0]])), 1, 0.02)
    assert moved.cut.line[[0, -1], 0] == pytest.approx([-0.15, 0.02], abs=2e-3)
    assert moved.cut.line[:, 1] == pytest.approx(0.02, abs=1e-4)
    (piece,) = pieces_of(ply, moved.cut)
    assert len(piece.darts) == 2


def test_a_moulded_tray_of_the_open_data_is_cut(open_data: Path) -> None:
    surface, _ = mended(read_mesh(open_data / "meshes" / "anymal_bottom_shell_full.stl", "mm"), facing=(0, 0, 1))
    rim = surface.vertices[surface.loops[0]]
    ends = [rim[np.argmin(sign * rim[:, 0] + 5 * np.abs(rim[:, 1]))] for sign in (1, -1)]
    line = joined(surface, np.stack(ends))
    assert length_of(line) > 0.3
    found = cut_pieces(surface, [cut(line, overlap=0.015)], size=0.008, tolerance=2e-4)
    assert len(found) >= 2
    net = sum(p.net.area for p in found)
    assert net == pytest.approx(surface.area, rel=1e-3)
    for piece in found:
        for side, at in zip(piece.seams, places(piece), strict=True):
            assert np.linalg.norm(at - side.line, axis=1).max() < 1e-3
        assert piece.surface.areas.min() > 0


def test_a_cloth_without_cuts_is_one_piece(cap: Surface) -> None:
    (whole,) = pieces_of(cap)
    assert whole.surface is cap
    assert whole.seams == ()
    assert law_of(ClothKind.VEIL, None, 100).shear_weight > 0
