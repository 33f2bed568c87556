"""Corners with their plies: what is said, and that it hangs together."""

from pathlib import Path

import numpy as np
import pytest

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.mould import Corner, CornerVerdict, RemedyKind, corner_findings, corners_of, laid_corner
from moulds import bend


@pytest.fixture(scope="module")
def corner() -> Corner:
    (found,) = corners_of(bend(np.radians(90), 0.004, length=0.1, edge=0.0005), 0.002)
    return found


def test_verdicts_are_told_as_they_change(corner: Corner) -> None:
    laid = laid_corner(corner, [0.00024] * 8, visible=True, structural=False, numbers=(1, 2, 3, 4, 6, 7, 8, 9))
    assert laid.words == "hard work, from ply 7 bridges"
    assert laid.verdict is CornerVerdict.BRIDGES
    assert laid.first_worse == ((1, CornerVerdict.HARD), (7, CornerVerdict.BRIDGES))


def test_the_finding_says_what_slides_and_the_two_best_remedies(corner: Corner) -> None:
    plies = [0.00025] * 4
    laid = laid_corner(corner, plies, visible=False, structural=True)
    (first, second) = corner_findings([corner], 0.0005, [laid])
    assert first.severity is Severity.WATCH
    slide = 0.5 * (0.005 - 0.00325) * (2 - np.pi / 2)
    assert f"{1e3 * slide:.2f} mm of cloth must slide in from each side" in first.why
    assert first.do.startswith("first slip joint (no cloth need slide in")
    assert f"; next {laid.remedies[1].kind.value} (" in first.do
    assert "presses at most 50 %" in second.what


def test_a_corner_that_few_thin_plies_follow_is_only_seen() -> None:
    (tight,) = corners_of(bend(np.radians(90), 0.008, length=0.1, edge=0.001), 0.003)
    laid = laid_corner(tight, [0.0002] * 3, visible=True, structural=True)
    (said, _) = corner_findings([tight], 0.001, [laid])
    assert said.severity is Severity.SEEN
    assert said.why == "the 3 plies that run through it follow"


def test_numbers_and_plies_belong_together(corner: Corner) -> None:
    with pytest.raises(InputError, match="one each is wanted"):
        laid_corner(corner, [0.00025] * 2, visible=True, structural=True, numbers=(1,))


def test_remedies_follow_the_shape_found(corner: Corner) -> None:
    kinds = [r.kind for r in laid_corner(corner, [0.00025] * 4, visible=False, structural=True).remedies]
    assert kinds[0] is RemedyKind.SLIP_JOINT
    assert RemedyKind.DART not in kinds


def test_corners_of_a_real_drawing_all_get_a_verdict_and_remedies(open_data: Path) -> None:
    from bagside.geometry import mended, read_mesh

    surface, _ = mended(read_mesh(open_data / "meshes" / "anymal_bottom_shell_full.stl", "mm"), facing=(0, 0, 1))
    corners = corners_of(surface, 0.001)
    assert len(corners) > 4
    for c in corners:
        assert all(len(set(link)) == 2 for link in c.links.tolist())
        assert 0 < c.included < np.pi
        assert len(c.meetings) <= 2
        laid = laid_corner(c, [0.00025] * 4, visible=True, structural=True)
        assert laid.remedies
        assert laid.verdict is not CornerVerdict.FOLLOWS
