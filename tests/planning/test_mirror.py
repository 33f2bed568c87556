"""The mirrored twin against the mirrored mould file, against laying the cloth anew, and against weave geometry."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

import domeshop
import shapes
from bagside import drape as draping
from bagside import geometry
from bagside.cutting import verify
from bagside.planning import laying, mould_stage
from bagside.planning.content import ContentFile
from bagside.planning.mirror import (
    mirrored_drape,
    mirrored_job,
    mirrored_loops,
    mirrored_nest,
    mirrored_points,
    mirrored_surface,
)
from bagside.planning.plan import BuildPlan, plan_build
from bagside.spec.job import Mould
from bagside.spec.opening import open_job
from bagside.spec.region import Plane

Shop = Callable[..., Path]
TWIN = '[mirror]\nof = "../dome"\nplane = { point = "10 5 0 mm", normal = [0.2, 1, 0.1] }\n'
POLYGON = (
    "[regions.disc]\ninside = { shape = \"circle\", size = \"160 160 mm\" }\n",
    "[regions.disc]\ninside = { shape = \"polygon\", points = "
    '["-60 -30 mm", "50 -45 mm", "70 10 mm", "20 55 mm", "-35 40 mm"] }\n',
)
SKEW = ("direction = [1, 0, 0]", "direction = [1, 0.4, 0]")
PLAIN = tuple(('material = "twill-200"', 'material = "plain-200"') for _ in range(4))
PLAIN_STOCK = (('material = "twill-200"', 'material = "plain-200"'),)


def twin_of(right: Path, text: str = TWIN) -> Path:
    at = right.parents[1] / "left"
    at.mkdir(exist_ok=True)
    (at / "job.toml").write_text(text, encoding="utf-8")
    return at / "job.toml"


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> tuple[BuildPlan, BuildPlan]:
    right = domeshop.written_in(tmp_path_factory.mktemp("plain"), POLYGON, SKEW, *PLAIN, workshop=PLAIN_STOCK)
    return plan_build(open_job(right))[0], plan_build(open_job(twin_of(right)))[0]


@pytest.fixture(scope="module")
def twill(tmp_path_factory: pytest.TempPathFactory) -> tuple[BuildPlan, BuildPlan]:
    right = domeshop.written_in(tmp_path_factory.mktemp("twill"), POLYGON, SKEW)
    return plan_build(open_job(right))[0], plan_build(open_job(twin_of(right)))[0]


def plane_of(plan: BuildPlan) -> Plane:
    assert plan.twin is not None
    return plan.twin.mirror.plane


def test_reflection_is_that_of_a_general_library(plain: tuple[BuildPlan, BuildPlan]) -> None:
    plane = plane_of(plain[1])
    points = np.random.default_rng(2).normal(size=(20, 3))
    matrix = trimesh.transformations.reflection_matrix(plane.point, plane.normal)
    np.testing.assert_allclose(mirrored_points(plane, points), trimesh.transform_points(points, matrix), atol=1e-12)


def test_a_mirrored_surface_keeps_its_normals_towards_the_laminate(plain: tuple[BuildPlan, BuildPlan]) -> None:
    right, left = plain
    twice = mirrored_surface(plane_of(left), left.surface.work)
    np.testing.assert_allclose(twice.vertices, right.surface.work.vertices, atol=1e-12)
    np.testing.assert_allclose(twice.normals, right.surface.work.normals, atol=1e-12)
    assert (left.surface.work.normals @ np.array(left.job.mould.laminate_side) > 0).mean() > 0.9


def test_flat_pieces_are_mirror_images(plain: tuple[BuildPlan, BuildPlan]) -> None:
    right, left = plain
    for a, b in zip(right.pieces, left.pieces, strict=True):
        assert a.label == b.label
        np.testing.assert_allclose(b.pattern.loops[0][::-1] * [1, -1], a.pattern.loops[0], atol=5e-5)
        np.testing.assert_allclose(np.abs(b.drape.shear), np.abs(a.drape.shear), atol=1e-9)
        assert geometry.loop_area(b.pattern.loops[0]) > 0
        assert dict(b.holes) == {n: pytest.approx((u, -v)) for n, (u, v) in a.holes}


def test_mass_and_cost_of_plain_weave_are_equal(plain: tuple[BuildPlan, BuildPlan]) -> None:
    right, left = plain
    assert left.laminate.mass == pytest.approx(right.laminate.mass, rel=1e-9)
    for a, b in zip(right.kits, left.kits, strict=True):
        assert b.pieces_area == pytest.approx(a.pieces_area, rel=1e-9)
    assert left.turned == ()
    assert not [f for f in left.findings if f.stage == "mirror"]


def test_stiffness_of_the_twin_is_mirrored(plain: tuple[BuildPlan, BuildPlan]) -> None:
    """Moduli along the mirrored direction are equal, the shear coupling turns its sign: the tensor's own reflection."""
    for a, b in zip(plain[0].laminate.zones, plain[1].laminate.zones, strict=True):
        flip = np.diag([1.0, 1.0, -1.0])
        np.testing.assert_allclose(b.laminate.A, flip @ a.laminate.A @ flip, rtol=1e-6, atol=1e-6 * a.laminate.A.max())


def test_a_mirrored_nest_is_as_long_and_passes_its_check(plain: tuple[BuildPlan, BuildPlan]) -> None:
    right, left = plain
    nest = right.kits[0].rolls[0].nest
    flat = {p.label: p for p in left.cut}
    image = mirrored_nest(nest, [flat[p.label] for p in nest.pieces])
    verify(image)
    assert image.length == pytest.approx(nest.length, abs=1e-12)


def test_the_solver_lays_the_twin_as_the_mirror_says(plain: tuple[BuildPlan, BuildPlan]) -> None:
    """The mirrored map is what draping on the mirrored surface gives, started and turned as the twin's job says."""
    left = plain[1]
    for piece in (left.pieces[0], left.pieces[2]):
        ply = left.job.plies[piece.ply]
        start = np.array(left.job.laying.start)
        way = laying.warp_direction(piece.surface, start, left.job.laying.direction, ply.angle)
        anew = draping.drape(piece.surface, start=start, direction=way, law=piece.drape.law)
        np.testing.assert_allclose(anew.uv, piece.drape.uv, atol=5e-5)
        np.testing.assert_allclose(np.degrees(anew.shear), np.degrees(piece.drape.shear), atol=0.1)


def test_the_twin_is_the_job_stated_on_the_mirrored_mesh(tmp_path: Path) -> None:
    """A mirrored mesh file with an asymmetric polygon mirrored by hand, opened as any other job."""
    right = domeshop.written_in(tmp_path, POLYGON, SKEW)
    left = open_job(twin_of(right, TWIN.replace("10 5 0 mm", "0 0 0 mm").replace("[0.2, 1, 0.1]", "[0, 1, 0]")))
    assert left.job.mirror is not None
    first = left.job
    surface = mould_stage.opened_mould(ContentFile.of(left.mesh), first.mould)
    regions = mould_stage.regions_on(surface.work, first.regions, first.holes, "job.toml")
    disc = mirrored_surface(first.mirror.plane, regions["disc"])

    mesh = trimesh.load(right.parent / "dome.stl")
    mesh.apply_transform(trimesh.transformations.reflection_matrix([0, 0, 0], [0, 1, 0]))
    by_hand = tmp_path / "by-hand"
    native = domeshop.written_in(
        by_hand,
        (
            POLYGON[0],
            POLYGON[1].replace(
                '["-60 -30 mm", "50 -45 mm", "70 10 mm", "20 55 mm", "-35 40 mm"]',
                '["-60 30 mm", "50 45 mm", "70 -10 mm", "20 -55 mm", "-35 -40 mm"]',
            ),
        ),
        ("direction = [1, 0, 0]", "direction = [1, -0.4, 0]"),
    )
    mesh.export(native.parent / "dome.stl")
    job = open_job(native).job
    other = mould_stage.opened_mould(ContentFile.of(native.parent / "dome.stl"), job.mould)
    there = mould_stage.regions_on(other.work, job.regions, job.holes, "job.toml")["disc"]
    assert disc.area == pytest.approx(there.area, rel=2e-4)
    rim = disc.vertices[disc.loops[0]]
    distance, _, _ = geometry.nearest(there, rim)
    assert distance.max() < 1.5e-4
    image = mirrored_job(first, first.mirror.plane, frozenset())
    np.testing.assert_allclose(image.laying.direction, job.laying.direction, atol=1e-12)
    assert [p.angle for p in image.plies] == [-p.angle for p in first.plies]


def diagonal(lain: draping.Drape) -> np.ndarray:
    """Return the way the floats of a twill climb in each triangle: between warp and weft, shape (m, 3)."""
    way = lain.warp + lain.weft
    return way / np.linalg.norm(way, axis=1, keepdims=True)


@pytest.mark.published("weave geometry: floats of a 2×2 twill climb by one weft thread for each warp thread")
def test_a_quarter_turn_mirrors_the_diagonal_and_the_mirrored_warp_alone_does_not(
    twill: tuple[BuildPlan, BuildPlan],
) -> None:
    right, left = twill
    plane = plane_of(left)
    for a, b in zip(right.pieces, left.pieces, strict=True):
        climbs = diagonal(a.drape)
        wanted = mirrored_points(replace(plane, point=(0.0, 0.0, 0.0)), climbs)
        along = np.abs(np.einsum("ij,ij->i", diagonal(b.drape), wanted))
        np.testing.assert_allclose(along, 1.0, atol=1e-9)
        alone = mirrored_drape(plane, a.drape, quarter=False)
        across = np.abs(np.einsum("ij,ij->i", diagonal(alone), wanted))
        assert across.max() < 1e-9  # the two diagonals of equal threads are always square to each other
        handed = np.einsum("ij,ij->i", np.cross(b.drape.warp, b.drape.weft), b.drape.surface.normals)
        assert handed.min() > 0.5  # the same cloth, same face out: never turned over


def test_twill_is_cut_turned_by_90_degrees_with_an_equal_shear_map(twill: tuple[BuildPlan, BuildPlan]) -> None:
    right, left = twill
    for a, b in zip(right.pieces, left.pieces, strict=True):
        np.testing.assert_allclose(b.drape.shear, a.drape.shear, atol=1e-12)
        np.testing.assert_allclose(-b.pattern.loops[0][::-1][:, ::-1], a.pattern.loops[0], atol=1e-12)
    assert [round(math.degrees(p.angle)) for p in left.job.plies] == [90, 45, 45, 90]
    assert left.laminate.mass == pytest.approx(right.laminate.mass, rel=1e-9)


def test_turned_twill_lies_as_the_solver_lays_it(twill: tuple[BuildPlan, BuildPlan]) -> None:
    """The line that is held is the weft's in the twin, the warp's when it is laid anew: a little apart, no more."""
    left = twill[1]
    piece = left.pieces[0]
    way = laying.warp_direction(
        piece.surface, np.array(left.job.laying.start), left.job.laying.direction, left.job.plies[0].angle
    )
    anew = draping.drape(piece.surface, start=np.array(left.job.laying.start), direction=way, law=piece.drape.law)
    assert np.abs(anew.uv - piece.drape.uv).max() < 1e-3
    assert np.degrees(np.sqrt(np.average((anew.shear - piece.drape.shear) ** 2, weights=piece.surface.areas))) < 0.8


def test_what_turning_costs_is_told(twill: tuple[BuildPlan, BuildPlan]) -> None:
    left = twill[1]
    (turned,) = left.turned
    assert turned.pull == (pytest.approx(turned.pull[0]), left.kits[0].pull)
    assert turned.utilisation[1] == pytest.approx(left.kits[0].utilisation)
    (told,) = [f for f in left.findings if f.stage == "mirror"]
    assert told.place == "plies 1, 2, 3 and 4"
    assert told.what.startswith("the warp of twill-200 is turned by 90°, same face out, and its pieces are cut across ")
    assert "weave geometry" in told.source


def test_only_the_ply_that_shows_is_turned_when_stated(shop: Shop) -> None:
    left, _ = plan_build(open_job(twin_of(shop(), TWIN + "seen_only = true\n")))
    assert left.twin is not None
    assert left.twin.quarter == {0}
    assert [round(math.degrees(p.angle)) for p in left.job.plies] == [90, -45, -45, 0]


def test_a_roll_too_narrow_to_cut_across_leaves_the_diagonal_and_says_so(shop: Shop) -> None:
    strip = ('inside = { shape = "circle", size = "160 160 mm" }', 'inside = { shape = "ellipse", size = "170 90 mm" }')
    narrow = ('length = "10 m"\n', 'length = "10 m"\nwidth = "130 mm"\n')
    forty = (('angle = "45°"', 'angle = "0°"'),) * 2
    left, _ = plan_build(open_job(twin_of(shop(strip, *forty, workshop=(narrow,)))))
    assert left.twin is not None
    assert left.twin.quarter == {1}  # the patch is small enough
    told = [f for f in left.findings if f.stage == "mirror" and f.place.startswith("piece")]
    assert [f.severity.value for f in told] == ["decide"]
    assert "too long to be cut across twill-200" in told[0].what


def test_satin_cannot_be_mirrored_and_that_is_told(shop: Shop) -> None:
    pairs = [('material = "twill-200"', 'material = "satin-280"') for _ in range(4)]
    right = shop(*pairs, workshop=(('material = "twill-200"', 'material = "satin-280"'),))
    left, _ = plan_build(open_job(twin_of(right)))
    (told,) = [f for f in left.findings if f.stage == "mirror"]
    assert told.severity.value == "decide"
    assert "its two faces differ" in told.what
    assert left.twin is not None
    assert left.twin.quarter == frozenset()


def test_cloth_that_shears_more_easily_to_one_side_is_laid_anew(shop: Shop) -> None:
    pairs = [('material = "twill-200"', 'material = "biax-300"') for _ in range(4)]
    right = shop(*pairs, SKEW, POLYGON, workshop=(('material = "twill-200"', 'material = "biax-300"'),))
    plan, _ = plan_build(open_job(right))
    left, _ = plan_build(open_job(twin_of(right)))
    law = plan.pieces[0].drape.law
    assert law.closing != law.opening
    a, b = plan.pieces[0].drape, left.pieces[0].drape
    assert a.law == b.law
    image = mirrored_drape(plane_of(left), a, quarter=False)
    assert np.abs(b.uv - image.uv).max() > 1e-5  # its law has a side, so it is no mirror image
    assert b.energy < 1.5 * a.energy
    (told,) = [f for f in left.findings if f.stage == "mirror"]
    assert "the order of its two layers is reversed" in told.what


def test_mirrored_loops_stay_outside_counter_clockwise() -> None:
    outer = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]])
    hole = np.array([[0.5, 0.2], [0.5, 0.8], [1.0, 0.8], [1.0, 0.2]])
    for quarter in (False, True):
        one, two = mirrored_loops([outer, hole], quarter)
        assert geometry.loop_area(one) == pytest.approx(2.0)
        assert geometry.loop_area(two) == pytest.approx(geometry.loop_area(hole))


CUT = (
    "[cure]\n",
    '[lines.seam]\npoints = ["-79 0 61 mm", "0 0 100 mm", "79 0 61 mm"]\n'
    '[patchwork]\nshape = "squares"\nsize = "40 mm"\noverlap = "4 mm"\nturn = "10°"\n[cure]\n',
)
PLY = 'angle = "0°"\nregion = "disc"\n'
SEAM = (PLY, PLY + 'cuts = [{ line = "seam", overlap = "12 mm" }]\nlaid_first = "seam"\n')


def test_joins_and_tiles_of_a_cut_ply_are_mirrored(shop: Shop) -> None:
    right = shop(CUT, SEAM)
    plan, _ = plan_build(open_job(right))
    left, _ = plan_build(open_job(twin_of(right)))
    pairs = [(a, b) for a, b in zip(plan.pieces, left.pieces, strict=True) if a.seams]
    assert [a.label for a, _ in pairs] == ["1A", "1B"]
    for a, b in pairs:
        for one, two in zip(a.seams, b.seams, strict=True):
            assert (one.name, one.prime, one.over, one.other) == (two.name, two.prime, two.over, two.other)
            np.testing.assert_allclose(-two.line[:, ::-1], one.line, atol=1e-12)
            out = two.ticks + 1e-3 * two.normals  # out of the piece's own part: towards the join or past it
            assert np.linalg.norm(out - two.ticks, axis=1) == pytest.approx(1e-3)
    assert plan.patchwork is not None
    assert left.patchwork is not None
    mine, other = plan.patchwork.plan, left.patchwork.plan
    assert [(t.piece, t.cell) for t in mine.tiles] == [(t.piece, t.cell) for t in other.tiles]
    np.testing.assert_allclose([t.area for t in other.tiles], [t.area for t in mine.tiles], rtol=1e-5)
    assert plan.patchwork.apart == ()
    assert max(m.misfit for m in plan.patchwork.motions.values()) < 2e-3
    assert other.lapped == pytest.approx(mine.lapped, rel=1e-5)
    assert mine.lapped > 0


def test_corners_of_a_scanned_twin_are_read_on_the_mirrored_scan(tmp_path: Path) -> None:
    """Radii are read on the mesh as scanned; for the twin that is the mirrored mesh, so they are the same."""
    corner = shapes.box_corner(fillet=0.003, inside=True)
    trimesh.Trimesh(1e3 * corner.vertices, corner.triangles, process=False).export(tmp_path / "box.stl")
    facing = tuple(float(c) for c in (corner.normals * corner.areas[:, None]).sum(axis=0))
    mould = Mould(
        mesh="box.stl", unit="mm", laminate_side=facing, noise=3e-5, material="carbon-epoxy", thickness=0.005
    )
    file = ContentFile.of(tmp_path / "box.stl")
    plane = Plane(point=(0.01, 0.0, 0.0), normal=(0.6, 0.8, 0.0))
    fine = mould_stage.opened_mould(file, mould).fine
    ours = mould_stage.tight_corners(fine, 0.002, mould, file, True, False)
    theirs = mould_stage.tight_corners(mirrored_surface(plane, fine), 0.002, mould, file, True, False, plane)
    assert len(ours) == len(theirs) > 0
    image = mirrored_points(plane, np.array([c.centre for c in ours]))
    for one, at in zip(ours, image, strict=True):
        two = min(theirs, key=lambda c: float(np.linalg.norm(np.array(c.centre) - at)))
        assert np.linalg.norm(np.array(two.centre) - at) < 1e-3
        assert two.radius == pytest.approx(one.radius, rel=0.02)
        assert two.length == pytest.approx(one.length, rel=0.02)
