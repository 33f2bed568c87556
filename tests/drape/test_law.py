import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import shapes
from bagside.drape import ClothKind, ClothLaw, drape, law_of
from bagside.errors import InputError


def test_a_finer_mesh_takes_a_smaller_weight_and_never_a_larger_one() -> None:
    weights = [law_of(ClothKind.WOVEN, None, m).shear_weight for m in (10, 10_000, 20_000, 40_000, 100_000, 10**7)]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] == weights[2] == 3e-3
    assert weights[3] == pytest.approx(3e-3 / 2**0.5)
    assert weights[-1] == 1e-3


def test_kinds_resist_in_the_order_of_the_trade() -> None:
    order = [ClothKind.WOVEN, ClothKind.NON_CRIMP, ClothKind.UNIDIRECTIONAL, ClothKind.VEIL]
    weights = [law_of(kind, None, 10_000).shear_weight for kind in order]
    assert weights == sorted(weights)
    assert set(order) == set(ClothKind)


def test_the_locking_angle_is_passed_on() -> None:
    assert law_of(ClothKind.WOVEN, 0.7, 100).locking_angle == 0.7


@pytest.mark.parametrize("weight", [0.0, -1.0, math.nan, math.inf])
def test_a_weight_that_is_not_positive_is_refused(weight: float) -> None:
    with pytest.raises(InputError, match="cloth law, shear weight"):
        ClothLaw(shear_weight=weight)
    with pytest.raises(InputError, match="cloth law, locking weight"):
        ClothLaw(shear_weight=1.0, locking_weight=weight)


@pytest.mark.parametrize("angle", [0.0, -0.1, math.pi / 2])
def test_a_locking_angle_outside_a_quarter_turn_is_refused(angle: float) -> None:
    with pytest.raises(InputError, match="as in 45°"):
        ClothLaw(shear_weight=1.0, locking_angle=angle)


@pytest.mark.parametrize("name", ["warp_weight", "weft_weight", "closing", "opening"])
def test_every_weight_must_be_positive(name: str) -> None:
    with pytest.raises(InputError, match="a positive number is wanted"):
        ClothLaw(shear_weight=1.0, **{name: 0.0})


LAWS = [
    ClothLaw(shear_weight=0.003),
    ClothLaw(shear_weight=0.003, locking_angle=0.6, locking_weight=0.5),
    ClothLaw(shear_weight=0.003, closing=2.0, opening=20.0, locking_angle=0.4),
]


@pytest.mark.parametrize("law", LAWS)
@given(tangent=st.floats(-2, 2))
def test_the_row_pulls_as_the_cost_does(law: ClothLaw, tangent: float) -> None:
    h = 1e-6
    at = np.array([tangent - h, tangent, tangent + h])
    cost = law.shear_cost(at)
    slope, value = law.shear_row(at)
    # an edge of the law inside the step bends the difference by what the second derivative jumps there
    assert 2 * slope[1] * value[1] == pytest.approx((cost[2] - cost[0]) / (2 * h), rel=1e-6, abs=3e-6)


def test_a_stitched_cloth_resists_where_its_threads_open() -> None:
    law = law_of(ClothKind.NON_CRIMP, None, 10_000)
    closing, opening = law.shear_cost(np.array([0.3, -0.3]))
    assert opening == pytest.approx(20 * closing)


def test_a_stitched_cloth_shears_more_on_its_soft_side() -> None:
    cap = shapes.hemisphere(0.1, 1.1, 20)

    def extremes(law: ClothLaw) -> tuple[float, float]:
        lain = drape(cap, start=np.array([0, 0, 0.1]), direction=np.array([1.0, 0, 0]), law=law)
        shear = np.degrees(lain.shear)
        return float(-np.percentile(shear, 1)), float(np.percentile(shear, 99))

    even_open, even_close = extremes(ClothLaw(shear_weight=3e-3))
    assert even_open == pytest.approx(even_close, rel=0.05)
    opens, closes = extremes(ClothLaw(shear_weight=3e-3, opening=20.0))
    assert closes > 1.1 * opens
    assert opens < even_open
    other_opens, other_closes = extremes(ClothLaw(shear_weight=3e-3, closing=20.0))
    # swapping the sense mirrors the cap
    assert other_closes == pytest.approx(opens, rel=0.02)
    assert other_opens == pytest.approx(closes, rel=0.02)


def test_a_tape_keeps_its_fibres_length_and_gives_across_them() -> None:
    cap = shapes.hemisphere(0.1, 0.8, 20)
    law = law_of(ClothKind.UNIDIRECTIONAL, None, len(cap.triangles))
    lain = drape(cap, start=np.array([0, 0, 0.1]), direction=np.array([1.0, 0, 0]), law=law)

    def rms(values: np.ndarray) -> float:
        return float(np.sqrt(np.average(values**2, weights=cap.areas)))

    assert rms(lain.stretch_warp) < 0.35 * rms(lain.stretch_weft)
    woven = drape(cap, start=np.array([0, 0, 0.1]), direction=np.array([1.0, 0, 0]), law=ClothLaw(shear_weight=3e-3))
    assert rms(lain.shear) < rms(woven.shear)
