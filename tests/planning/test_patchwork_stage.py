"""A ply of tiles through the whole plan, over a join, and on from another part."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

import domeshop
import shapes
from bagside import drape as draping
from bagside.drape.registration import nearest_to
from bagside.drape.tiling import cell_area, in_pattern, tile_of
from bagside.planning.kit_stage import cut_list
from bagside.planning.patchwork_notes import patchwork_findings, pattern_in_words, tiles_in_words
from bagside.planning.patchwork_stage import PlyPatchwork, patchwork_of
from bagside.planning.piece import Piece
from bagside.planning.plan import BuildPlan, plan_build
from bagside.planning.stages import Stages
from bagside.spec.job import Job
from bagside.spec.opening import open_job
from bagside.spec.patchwork import Patchwork, TileShape

Shop = Callable[..., Path]
HEXAGONS = 'shape = "hexagons"\nsize = "28 mm"\ngap = "0.5 mm"\nturn = "20°"\n'


def tiled(stated: str) -> tuple[str, str]:
    return "[cure]\n", f"[patchwork]\n{stated}\n[cure]\n"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    return plan_build(open_job(domeshop.written_in(tmp_path_factory.mktemp("tiles"), tiled(HEXAGONS))))[0]


def work_of(plan: BuildPlan) -> PlyPatchwork:
    assert plan.patchwork is not None
    return plan.patchwork


def test_tiles_take_the_place_of_their_ply_in_the_cut_list(whole: BuildPlan) -> None:
    found = work_of(whole)
    labels = [p.label for p in whole.cut]
    assert labels[0] == "1F"
    assert labels[-3:] == ["2", "3", "4"]
    assert len(labels) == 1 + len(found.plan.edge_tiles) + 3
    assert whole.cut[0].quantity == 2 * found.plan.whole
    assert whole.cut[0].kits.count("1") == found.plan.whole
    tiles = [p for p in whole.cut if p.label.startswith("1")]
    assert sum(p.area * p.quantity for p in tiles) == pytest.approx(2 * sum(t.area for t in found.plan.tiles), rel=1e-6)
    assert found.plan.outline == pytest.approx(whole.pieces[0].pattern.area, rel=1e-9)


def test_every_tile_is_on_the_nest(whole: BuildPlan) -> None:
    (kit,) = whole.kits
    assert len(kit.rolls[0].nest.placements) == sum(p.quantity for p in whole.cut)


def test_steps_know_tiles(whole: BuildPlan) -> None:
    found = work_of(whole)
    step = next(s for s in whole.steps if s.key == "ply-1")
    count = len(found.plan.tiles)
    assert step.name == f"Lay ply 1: {count} tiles, twill-200"
    assert step.boxes[0] == tiles_in_words(found)
    templates = next(s for s in whole.steps if s.key == "templates")
    assert f"Print the {len(whole.cut)} templates" in templates.do[0]
    assert f"{len(found.plan.edge_tiles)} templates 1-…" in templates.boxes
    last = next(s for s in reversed(whole.steps) if s.key.startswith("ply"))
    assert f"{2 * (count + 3)} films counted in all" in last.boxes


def test_the_start_lies_in_the_middle_of_a_tile(whole: BuildPlan) -> None:
    found = work_of(whole)
    assert found.base.origin == pytest.approx((0, 0), abs=1e-6)
    assert math.degrees(found.base.turn) == pytest.approx(20)
    assert pattern_in_words(found) == "hexagons of 28.0 mm, gap 0.5 mm, turned 20° against the warp"


def test_tiles_of_a_dome_shear_most_on_its_diagonals(whole: BuildPlan) -> None:
    found = work_of(whole)
    worst = max(found.plan.tiles, key=lambda t: t.shear)
    turn = math.degrees(math.atan2(*worst.centre[::-1])) % 90
    assert 25 < turn < 65


def halves() -> tuple[Job, tuple[Piece, ...]]:
    """Return a half pipe laid as two pieces with a seam along its top, whose warps differ by 0.3 rad."""
    pipe = shapes.cylinder()
    law = draping.ClothLaw(shear_weight=3e-3)
    pieces = []
    for label, keep, turn in (("1A", pipe.centroids[:, 0] < 0, 0.0), ("1B", pipe.centroids[:, 0] >= 0, 0.3)):
        part = pipe.selected(keep)
        k = int(np.argmin(np.linalg.norm(part.centroids - part.centroids.mean(axis=0), axis=1)))
        across = np.cross(part.normals[k], [0.0, 1.0, 0.0])
        way = math.cos(turn) * np.array([0.0, 1.0, 0.0]) + math.sin(turn) * across
        lain = draping.drape(part, start=part.centroids[k], direction=way, law=law)
        pieces.append(Piece(label=label, ply=0, drape=lain, pattern=draping.pattern_of(lain), holes=()))
    job = domeshop_job()
    start = tuple(float(c) for c in pieces[0].drape.start)
    work = Patchwork(shape=TileShape.HEXAGONS, size=0.03, origin=start, smallest=0.0, narrowest=0.0)
    return replace(job, patchwork=work, quantity=3), tuple(pieces)


def domeshop_job() -> Job:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        return open_job(domeshop.written_in(Path(folder))).job


def test_the_pattern_runs_on_over_a_join() -> None:
    """On a developable the two parts of a cell that the seam crosses make the whole cell again."""
    job, pieces = halves()
    found = patchwork_of(job, pieces, Stages(), "job.toml")
    assert found is not None
    assert found.apart == ()
    assert found.motions["1B"].misfit < 2e-4
    parts: dict[tuple[int, int, int], list[shapely.Polygon]] = {}
    for tile in found.plan.tiles:
        loops = [found.motions[tile.piece].of(loop) for loop in tile.loops]
        parts.setdefault(tile.cell, []).append(shapely.Polygon(loops[0]))
    both = {c for c, p in parts.items() if len(p) == 2}
    crossed = 0
    for cell in both:
        together = shapely.union_all([p.buffer(1e-4) for p in parts[cell]])
        if together.area > 0.98 * cell_area(found.base):
            crossed += 1
            assert sum(p.area for p in parts[cell]) == pytest.approx(cell_area(found.base), rel=0.01)
            assert together.geom_type == "Polygon"
    assert crossed >= 3
    names = [s.name for s in found.plan.sorts]
    assert names == ["F1", "F2"]  # the weave runs 0.3 rad off on the second piece, so its tiles are another sort


def test_cut_list_of_tiles_on_two_pieces() -> None:
    job, pieces = halves()
    from bagside.spec.library import generic_library
    from bagside.spec.workshop import CuttingTable

    found = patchwork_of(job, pieces, Stages(), "job.toml")
    assert found is not None
    cut = cut_list(pieces, found, job, generic_library(), CuttingTable())
    assert sum(p.area * p.quantity for p in cut) == pytest.approx(3 * sum(p.pattern.area for p in pieces), rel=1e-6)
    job = replace(job, plies=job.plies[:1])
    told = [f.what for f in patchwork_findings(found, job, generic_library())]
    assert "there is no ply behind the tiles" in told


NEXT = """[patchwork.continues]
job = "../dome"
here = ["0 0 100 mm", "44.72 22.36 86.6 mm"]
there = [THERE]
"""


def going_on(root: Path, there: str) -> Path:
    domeshop.written_in(root, tiled(HEXAGONS))
    other = root / "shop" / "jobs" / "next"
    other.mkdir(exist_ok=True)
    text = domeshop.JOB.replace("dome.stl", "../dome/dome.stl").replace("[1, 0, 0]", "[1, 0.5, 0]")
    (other / "job.toml").write_text(text.replace("[cure]\n", NEXT.replace("THERE", there) + "[cure]\n"), "utf-8")
    return other / "job.toml"


def test_a_pattern_goes_on_where_two_points_meet(tmp_path: Path) -> None:
    opened = open_job(going_on(tmp_path, '"0 50 86.6 mm", "0 0 100 mm"'))
    plan, _ = plan_build(opened)
    found = work_of(plan)
    before, _ = plan_build(open_job(tmp_path / "shop" / "jobs" / "dome"))
    first = work_of(before)
    assert (found.base.shape, found.base.size) == (first.base.shape, first.base.size)
    for here, there in (((0, 0, 0.1), (0, 0.05, 0.0866)), ((0.04472, 0.02236, 0.0866), (0, 0, 0.1))):
        _, ours, _ = nearest_to(plan.pieces[0].drape, np.array([here]))
        _, theirs, _ = nearest_to(before.pieces[0].drape, np.array([there]))
        off = np.linalg.norm(in_pattern(found.base, ours) - in_pattern(first.base, theirs))
        assert off == pytest.approx(abs(found.apart_by or 0.0) / 2, abs=1e-9)
    assert abs(found.apart_by or 0.0) < 5e-4  # the same arc of the dome: along the warp here, along the weft there
    assert not [f for f in plan.findings if "further apart" in f.what or "nearer to each other" in f.what]
    assert plan.inputs["before/job.toml"] == before.inputs["job.toml"]


def test_points_that_do_not_fit_are_told_in_millimetres(tmp_path: Path) -> None:
    plan, _ = plan_build(open_job(going_on(tmp_path, '"0 30 95.39 mm", "0 0 100 mm"')))
    found = work_of(plan)
    arc = 100 * (math.asin(0.5) - math.asin(0.3))  # [mm] of the two stated arcs on a sphere of 100 mm
    assert 1e3 * (found.apart_by or 0.0) == pytest.approx(arc, abs=0.5)
    (told,) = [f for f in plan.findings if "further apart" in f.what]
    assert told.severity.value == "decide"


def test_tiles_sheared_past_the_lock_are_named(whole: BuildPlan) -> None:
    found = work_of(whole)
    cloth = replace(whole.library.prepreg["twill-200"], locking_angle=math.radians(19))
    library = replace(whole.library, prepreg={**whole.library.prepreg, "twill-200": cloth})
    past = sorted(t.number for t in found.plan.tiles if t.shear > math.radians(19))
    (told,) = [f for f in patchwork_findings(found, whole.job, library) if "sheared past" in f.what]
    numbers = ", ".join(str(n) for n in past[:-1]) + f" and {past[-1]}"
    assert 2 <= len(past) <= 12
    assert told.what.startswith(f"{len(past)} tiles ({numbers}) are sheared past the 19° at which the cloth locks, ")
    assert not [f for f in patchwork_findings(found, whole.job, whole.library) if "sheared past" in f.what]


def test_whole_tiles_lie_where_the_pattern_says(whole: BuildPlan) -> None:
    from bagside.drape.tiling import cells_over

    found = work_of(whole)
    box = np.array(shapely.box(*shapely.Polygon(whole.pieces[0].pattern.loops[0]).bounds).exterior.coords)[:-1]
    cells = {c.index: c for c in cells_over(found.base, box)}
    for tile in found.plan.tiles:
        if tile.sort:
            wanted = tile_of(found.base, cells[tile.cell])
            assert shapely.hausdorff_distance(wanted, shapely.Polygon(tile.loops[0])) < 1e-9
