import math

import pytest

from bagside.drape import ClothKind, law_of, usual_locking


@pytest.mark.parametrize(
    ("weave", "least", "most"),
    [("plain", 35, 45), ("Plain glass", 35, 45), ("2x2 twill", 45, 55), ("five-harness satin", 50, 60)],
)
@pytest.mark.published("common practice from picture-frame tests: plain 35 to 45°, twill 45 to 55°, satin 50 to 60°")
def test_each_weave_locks_within_the_usual_range(weave: str, least: float, most: float) -> None:
    found = usual_locking(ClothKind.WOVEN, weave)
    assert found is not None
    assert least <= math.degrees(found.angle) <= most
    assert found.basis == "common practice"
    assert law_of(ClothKind.WOVEN, found.angle, 100).locking_angle == found.angle


def test_an_unknown_weave_is_taken_for_the_first_to_lock_and_says_so() -> None:
    found = usual_locking(ClothKind.WOVEN, "")
    plain = usual_locking(ClothKind.WOVEN, "plain")
    assert found is not None
    assert plain is not None
    assert found.angle == plain.angle
    assert "taken for a plain weave" in found.source


def test_what_is_not_woven_locks_by_its_stitch_or_not_at_all() -> None:
    stitched = usual_locking(ClothKind.NON_CRIMP, "±45 stitched")
    assert stitched is not None
    assert math.degrees(stitched.angle) == pytest.approx(30)
    assert usual_locking(ClothKind.UNIDIRECTIONAL, "") is None
    assert usual_locking(ClothKind.VEIL, "") is None
