import math

import pytest

from bagside.drape import ClothKind, ClothLaw, law_of
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
