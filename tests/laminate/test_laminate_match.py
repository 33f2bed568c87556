from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import Lamina, Original, match
from laminae import AS4, CLOTH, stack

STEEL = Original(E=210e9, nu=0.3, thickness=0.8e-3, density=7850.0)
QUASI = [90, 45, -45, 0, 0, -45, 45, 90]


def sheet(e: float, nu: float, thickness: float):
    return stack(Lamina(E1=e, E2=e, G12=e / 2 / (1 + nu), nu12=nu), [0], thickness)


@given(st.floats(1e9, 200e9), st.floats(0.0, 0.45), st.floats(0.3e-3, 5e-3))
def test_an_isotropic_sheet_by_hand(e, nu, thickness):
    found = match(sheet(e, nu, thickness), STEEL)
    plane, ratio = (1 - 0.3**2) / (1 - nu**2), e / 210e9
    t = thickness / 0.8e-3
    assert found.bending.ratio == pytest.approx(ratio * plane * t**3, rel=1e-9)
    assert found.pushed.ratio == pytest.approx(ratio * plane**0.5 * t**2, rel=1e-9)
    assert found.in_plane.ratio == pytest.approx(ratio * t, rel=1e-9)
    for answer in (found.bending, found.pushed, found.in_plane):
        assert answer.weakest == pytest.approx(answer.ratio, rel=1e-9)
    assert found.in_plane.thickness == pytest.approx(0.8e-3 / ratio, rel=1e-9)
    assert found.bending.thickness == pytest.approx(0.8e-3 * (1 / ratio / plane) ** (1 / 3), rel=1e-9)
    assert found.pushed.thickness == pytest.approx(0.8e-3 * (1 / ratio / plane**0.5) ** 0.5, rel=1e-9)


@pytest.mark.parametrize(
    ("e", "density", "t", "bending", "in_plane"),
    # trade's own table, quasi-isotropic carbon of 45 GPa, worked by hand from the three rules
    [(210e9, 7850, 0.8e-3, 1.3, 3.7), (210e9, 7850, 1.0e-3, 1.7, 4.7), (70e9, 2700, 2.0e-3, 2.3, 3.1)],
)
def test_the_rules_of_the_trade(e, density, t, bending, in_plane):
    found = match(sheet(45e9, 0.3, 1e-3), Original(E=e, nu=0.3, thickness=t, density=density))
    assert found.bending.thickness * 1e3 == pytest.approx(bending, abs=0.051)
    assert found.in_plane.thickness * 1e3 == pytest.approx(in_plane, abs=0.051)


def test_a_laminate_scaled_to_the_answer_is_as_stiff():
    one = match(stack(AS4, QUASI, 0.125e-3), STEEL)
    for name in ("bending", "pushed", "in_plane"):
        scale = getattr(one, name).thickness / one.thickness
        again = getattr(match(stack(AS4, QUASI, 0.125e-3 * scale), STEEL), name)
        assert again.ratio == pytest.approx(1.0, rel=1e-9)
        assert again.saving == pytest.approx(1 - again.mass_per_area / (0.8e-3 * 7850), rel=1e-12)


def test_three_answers_are_three_thicknesses():
    found = match(stack(AS4, QUASI, 0.125e-3), STEEL)
    assert found.bending.thickness < found.pushed.thickness < found.in_plane.thickness
    assert found.in_plane.thickness == pytest.approx(0.8e-3 * 210 / 51.06, rel=1e-3)


def test_one_way_fibres_hide_in_the_mean_but_not_in_the_weakest():
    found = match(stack(AS4, [0, 0, 0, 0], 0.25e-3), STEEL)
    assert found.in_plane.weakest < 0.3 * found.in_plane.ratio
    assert found.bending.weakest < found.bending.ratio


@given(st.floats(-90, 90))
def test_turning_the_laminate_changes_no_answer(angle):
    one = match(stack(CLOTH, [0, 45, 0], 0.23e-3, woven=True), STEEL)
    two = match(stack(CLOTH, [angle, 45 + angle, angle], 0.23e-3, woven=True), STEEL)
    assert two.bending.ratio == pytest.approx(one.bending.ratio, rel=1e-9)
    assert two.pushed.ratio == pytest.approx(one.pushed.ratio, rel=1e-9)
    assert two.bending.weakest == pytest.approx(one.bending.weakest, rel=1e-3)


def test_coupling_takes_bending_away():
    loose, tied = (match(stack(AS4, a, 0.25e-3), STEEL) for a in ([0, 90], [0, 90, 90, 0]))
    free = stack(AS4, [0, 90], 0.25e-3)
    held = (3 * free.D[0, 0] + 3 * free.D[1, 1] + 2 * free.D[0, 1] + 4 * free.D[2, 2]) / 8
    assert loose.bending.ratio * 210e9 * (0.8e-3) ** 3 / 12 / 0.91 < 0.8 * held
    assert tied.saving < loose.saving


def test_a_sheet_that_cannot_be_is_refused_whole():
    with pytest.raises(InputError) as caught:
        Original(E=0.0, nu=0.7, thickness=-1.0, density=float("inf"))
    assert [p.place for p in caught.value.problems] == [
        "original, E", "original, thickness", "original, density", "original, nu",
    ]  # fmt: skip
    assert np.isfinite(match(sheet(1e9, 0.3, 1e-3), STEEL).bending.saving)
