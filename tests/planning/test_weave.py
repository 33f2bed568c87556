"""What becomes of a weave in a mirror, and a weave drawn thread by thread as the check."""

from dataclasses import replace

import numpy as np
import pytest

from bagside.planning.weave import InMirror, in_mirror
from bagside.spec.library import generic_library
from bagside.spec.material import ClothKind

LIBRARY = generic_library().prepreg


def over(rows: int, *, up: int, down: int, step: int) -> np.ndarray:
    """Return a weave seen from above: where the warp lies over the weft, shape (weft, warp); each pick steps aside."""
    weft, warp = np.indices((rows, rows))
    return (warp - step * weft) % (up + down) < up


def same(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two weaves of one repeat are the same up to where the pattern begins."""
    n = len(one)
    return any(
        np.array_equal(np.roll(one, (a, b), axis=(0, 1)), other) for a in range(n) for b in range(n)
    )


def quarter_turned(weave: np.ndarray) -> np.ndarray:
    """Return a weave turned by 90°, same face up: what was weft is warp, so over becomes under."""
    return ~np.rot90(weave)


def turned_over(weave: np.ndarray) -> np.ndarray:
    """Return a weave seen from behind: mirrored, and over becomes under."""
    return ~weave[:, ::-1]


@pytest.mark.published("weave diagrams drawn thread by thread; trade rule: rotate a balanced 2×2 twill by 90°")
def test_the_rule_is_what_the_threads_do() -> None:
    twill = over(8, up=2, down=2, step=1)
    image = twill[:, ::-1]
    assert not same(twill, image)
    assert same(quarter_turned(twill), image)
    assert same(turned_over(twill), image)
    plain = over(8, up=1, down=1, step=1)
    assert same(plain, plain[:, ::-1])
    satin = over(5, up=4, down=1, step=2)
    assert not same(satin, satin[:, ::-1])
    assert not same(quarter_turned(satin), satin[:, ::-1])
    assert not same(turned_over(satin), satin[:, ::-1])
    uneven = over(6, up=2, down=1, step=1)
    assert not same(quarter_turned(uneven), uneven[:, ::-1])
    assert not same(turned_over(uneven), uneven[:, ::-1])


@pytest.mark.parametrize(
    ("cloth", "look"),
    [
        ("twill-200", InMirror.TURNS),
        ("plain-200", InMirror.SAME),
        ("satin-280", InMirror.TWO_FACES),
        ("uni-150", InMirror.SAME),
        ("biax-300", InMirror.LAYERS),
    ],
)
def test_cloths_of_the_library(cloth: str, look: InMirror) -> None:
    assert in_mirror(LIBRARY[cloth]) is look


def test_a_twill_that_is_not_balanced() -> None:
    twill = LIBRARY["twill-200"]
    assert in_mirror(replace(twill, weave="2x1 twill")) is InMirror.TWO_FACES
    assert in_mirror(replace(twill, weave="4×4 twill")) is InMirror.TURNS
    assert in_mirror(replace(twill, e2=0.9 * twill.e1)) is InMirror.UNEVEN


def test_a_weave_that_is_not_stated() -> None:
    assert in_mirror(replace(LIBRARY["twill-200"], weave="")) is InMirror.UNKNOWN
    assert in_mirror(replace(LIBRARY["twill-200"], weave="", kind=ClothKind.VEIL)) is InMirror.SAME
