"""Which way up a piece is cut, and what its cloth allows. Rules of the table: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cutting import FlatPiece
from bagside.planning.as_cut import as_cut, turned_over
from bagside.spec.job import Face, Job
from bagside.spec.library import generic_library
from bagside.spec.material import ClothKind, Prepreg
from bagside.spec.opening import open_job
from bagside.spec.workshop import CuttingTable
from tapeshop import written_in

LOOP = np.array([[0.0, 0.0], [0.3, 0.0], [0.2, 0.1]])
PIECE = FlatPiece(label="2", material="twill-200", loops=(LOOP,), marks=(("start", (0.1, 0.02)),))
FREE = CuttingTable(tolerance=np.radians(2.0), face_down=True)


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return open_job(written_in(tmp_path_factory.mktemp("as-cut"))).job


@pytest.fixture(scope="module")
def twill() -> Prepreg:
    return generic_library().prepreg["twill-200"]


def test_the_ply_that_shows_is_neither_turned_nor_flipped(job: Job, twill: Prepreg) -> None:
    shows, hidden = as_cut(PIECE, 0, job, twill, FREE), as_cut(PIECE, 1, job, twill, FREE)
    assert (shows.visible, shows.tolerance, shows.flips) == (True, 0.0, False)
    assert (hidden.visible, hidden.tolerance, hidden.flips) == (False, pytest.approx(np.radians(2.0)), True)
    assert (shows.ply, hidden.ply) == (1, 2)


def test_nothing_is_free_unless_the_workshop_says_so(job: Job, twill: Prepreg) -> None:
    cut = as_cut(PIECE, 1, job, twill, CuttingTable())
    assert (cut.tolerance, cut.flips) == (0.0, False)


@pytest.mark.parametrize(
    "change",
    [{"one_faced": True}, {"kind": ClothKind.NON_CRIMP}, {"films": 1}, {"weave": "5-harness satin"}, {"weave": ""}],
)
def test_cloth_whose_faces_or_layers_differ_is_never_cut_face_down(
    job: Job, twill: Prepreg, change: dict[str, object]
) -> None:
    assert not as_cut(PIECE, 1, job, replace(twill, **change), FREE).flips  # type: ignore[arg-type]


def test_a_veil_lies_at_any_angle(job: Job, twill: Prepreg) -> None:
    cut = as_cut(PIECE, 1, job, replace(twill, kind=ClothKind.VEIL), FREE)
    assert (cut.turns, cut.tolerance) == (None, 0.0)


def test_a_rich_face_to_the_bag_is_cut_as_the_mirror_image(job: Job, twill: Prepreg) -> None:
    other = replace(job, plies=(job.plies[0], replace(job.plies[1], face=Face.BAG), job.plies[2]))
    rich = replace(twill, one_faced=True)
    to_mould, to_bag = as_cut(PIECE, 1, job, rich, FREE), as_cut(PIECE, 1, other, rich, FREE)
    np.testing.assert_allclose(to_mould.loops[0], PIECE.loops[0])
    assert to_bag.marks == (("start", (0.1, -0.02)),)
    mirrored = {tuple(p) for p in (PIECE.loops[0] * [1.0, -1.0]).tolist()}
    assert {tuple(p) for p in to_bag.loops[0].tolist()} == mirrored
    np.testing.assert_allclose(turned_over(turned_over(PIECE)).loops[0], PIECE.loops[0])
