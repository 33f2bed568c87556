"""Plies in pieces, on a dome whose areas are known in closed form: splits, darts, overlaps, staggered joins."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bagside.errors import InputError
from bagside.planning.piece import locking_of
from bagside.planning.plan import BuildPlan, plan_build
from bagside.planning.stages import Stages
from bagside.spec.library import generic_library
from bagside.spec.material import ClothKind
from bagside.spec.opening import open_job
from domeshop import written_in

RADIUS, DISC, LAP = 0.100, 0.080, 0.015
LINES = """
[lines.middle]
points = ["-79 0 61 mm", "0 0 100 mm", "79 0 61 mm"]
[lines.relief]
points = ["0 79.9 60.1 mm", "0 40 91.6 mm"]
[laying]
"""
PLY = 'angle = "0°"\nregion = "disc"\n[[plies]]'
SPLIT = 'angle = "0°"\nregion = "disc"\ncuts = [{ line = "middle" }]\n[[plies]]'
LAST = 'angle = "0°"\nregion = "disc"\n[cure]'
LAST_SPLIT = 'angle = "0°"\nregion = "disc"\ncuts = [{ line = "middle" }]\n[cure]'
DARTED = 'angle = "45°"\nregion = "disc"\ncuts = [{ line = "relief", overlap = "8 mm" }]\n'


def planned(job: Path) -> tuple[BuildPlan, Stages]:
    return plan_build(open_job(job))


def refused(job: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        planned(job)
    return [str(p) for p in caught.value.problems]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    root = tmp_path_factory.mktemp("cut")
    changes = (("[laying]", LINES), (PLY, SPLIT), (LAST, LAST_SPLIT), ('angle = "45°"\nregion = "disc"\n', DARTED))
    return planned(written_in(root, *changes))[0]


def cap() -> float:
    return 2 * math.pi * RADIUS**2 * (1 - math.sqrt(1 - (DISC / RADIUS) ** 2))


def band() -> float:
    """Area beside a great circle over the cap, out to the overlap: a strip of the ball between two angles."""
    steps = np.linspace(0.0, LAP / RADIUS, 2001)
    half = np.arccos(np.clip(0.6 / np.cos(steps), -1, 1))  # the cap ends where z = 0.6 R
    return float(np.trapezoid(2 * half * np.cos(steps), steps)) * RADIUS**2


def test_a_split_ply_is_two_pieces_and_a_band_more(whole: BuildPlan) -> None:
    assert [p.label for p in whole.pieces] == ["1A", "1B", "2", "3", "4A", "4B"]
    one, two = whole.pieces[:2]
    assert one.surface.area + two.surface.area == pytest.approx(cap() + band(), rel=3e-3)
    assert one.surface.area == pytest.approx(cap() / 2, rel=3e-3)


def test_both_sides_of_the_join_are_marked_alike(whole: BuildPlan) -> None:
    one, two = whole.pieces[:2]
    (a,), (b,) = one.seams, two.seams
    assert (a.shown, b.shown) == ("A", "A′")
    assert (a.over, b.over) == (False, True)
    assert (a.other, b.other) == ("1B", "1A")
    assert a.width == b.width == pytest.approx(LAP)
    assert len(a.ticks) == len(b.ticks) >= 2
    arc = 2 * RADIUS * math.acos(0.6)
    for side in (a, b):
        length = float(np.linalg.norm(np.diff(side.line, axis=0), axis=1).sum())
        assert length == pytest.approx(arc, rel=0.03)  # across the threads cloth gives a little where it is sheared


def test_a_dart_leaves_one_piece_with_two_lips(whole: BuildPlan) -> None:
    darted = next(p for p in whole.pieces if p.label == "3")
    assert sorted(s.shown for s in darted.seams) == ["A", "A′"]
    assert {s.other for s in darted.seams} == {"3"}
    assert darted.surface.area == pytest.approx(cap(), rel=3e-3)


def test_joins_of_successive_plies_keep_apart(whole: BuildPlan) -> None:
    lines = {c.ply: c.cuts[0].line for c in whole.cuts}
    assert sorted(lines) == [0, 2, 3]
    apart = np.linalg.norm(lines[0][:, None] - lines[3][None], axis=2).min()
    assert apart == pytest.approx(2 * RADIUS * math.sin(0.025 / RADIUS / 2), abs=3e-4)


def test_the_overlap_is_laminate_twice_over(whole: BuildPlan) -> None:
    laminate = whole.laminate
    assert laminate.layers == (0, 0, 1, 2, 3, 3)
    double = [z for z in laminate.zones if laminate.plies_in(z).count(0) == 2]
    assert sum(z.area for z in double) == pytest.approx(band(), rel=0.08)  # in whole triangles of 6 mm


def test_every_piece_is_nested_with_its_joins(whole: BuildPlan) -> None:
    flat = {p.label: p for kit in whole.kits for p in kit.rolls[0].nest.pieces}
    assert [s.shown for s in flat["4B"].seams] == ["A′"]
    assert sorted(flat) == ["1A", "1B", "2", "3", "4A", "4B"]


def test_found_cuts_are_told_with_what_was_tried(tmp_path: Path) -> None:
    """The dome to 53° shears past 20°, so a cloth that locks there wants a cut; at its own 40° it wants none."""
    auto = 'angle = "0°"\nregion = "disc"\npieces = "auto"\n[[plies]]'
    plan, stages = planned(written_in(tmp_path, (PLY, auto)))
    (found,) = plan.cuts
    assert found.ply == 0
    assert found.cuts == ()
    assert found.proposals[0].enough
    assert "1" in [p.label for p in plan.pieces]
    assert any(d.stage == "Looking for cuts of ply 1" for d in stages.log)


def test_a_line_that_misses_the_ply_is_refused(tmp_path: Path) -> None:
    far = LINES.replace('"0 79.9 60.1 mm", "0 40 91.6 mm"', '"0 300 60 mm", "0 300 91 mm"')
    found = refused(written_in(tmp_path, ("[laying]", far), ('angle = "45°"\nregion = "disc"\n', DARTED)))
    assert found == [
        'job.toml, ply 3, cut 1, line: "relief" – this line lies nowhere near region disc'
        " (move its points onto the region, or leave the cut out)"
    ]


def test_a_structural_part_is_told_where_angles_are_lost(tmp_path: Path) -> None:
    """On the bias of a ball cloth turns by half of its shear: far past ±3° at 53° from the pole."""
    plan, _ = planned(written_in(tmp_path, ("[mould]", "structural = true\n[mould]")))
    lost = [f for f in plan.findings if "of its angle" in f.what]
    assert {f.place for f in lost} >= {"pieces 1 and 4", "piece 3"}
    plain = plan_build(open_job(written_in(tmp_path)))[0]
    assert not [f for f in plain.findings if "of its angle" in f.what]


def test_a_cloth_whose_sheet_states_no_locking_angle_takes_the_one_of_its_weave() -> None:
    cloth = generic_library().prepreg["twill-200"]
    assert locking_of(cloth) == cloth.locking_angle
    assert locking_of(replace(cloth, locking_angle=None)) == pytest.approx(math.radians(50))
    tape = replace(cloth, locking_angle=None, kind=ClothKind.UNIDIRECTIONAL)
    assert locking_of(tape) is None


def test_a_first_line_that_misses_its_ply_is_refused(tmp_path: Path) -> None:
    far = LINES.replace('"0 79.9 60.1 mm", "0 40 91.6 mm"', '"0 300 60 mm", "0 300 91 mm"')
    first = 'angle = "45°"\nregion = "disc"\nlaid_first = "relief"\n'
    assert refused(written_in(tmp_path, ("[laying]", far), ('angle = "45°"\nregion = "disc"\n', first))) == [
        'job.toml, ply 3, laid_first: "relief" – this line lies nowhere near region disc'
        " (move its points onto the region, or leave laid_first out)"
    ]
