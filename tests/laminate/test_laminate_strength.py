from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import (
    Criterion,
    first_ply_failure,
    max_strain_ratio,
    max_stress_ratio,
    ply_stresses,
    stress_transform,
    tsai_hill_ratio,
    tsai_wu_ratio,
)
from laminae import AS4, CLOTH, HYER, T300, stack

QUASI = [90, 45, -45, 0, 0, -45, 45, 90]
stresses = st.tuples(*[st.floats(-400e6, 400e6)] * 3).filter(lambda s: max(map(abs, s)) > 1e3)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, examples 2.17 to 2.19")
def test_a_60_degree_ply_by_every_criterion():
    load = stress_transform(np.pi / 3) @ [2e6, -3e6, 4e6]
    assert float(max_stress_ratio(load, T300)) == pytest.approx(16.33, abs=5.1e-3)
    assert float(max_strain_ratio(load, T300)) == pytest.approx(16.33, abs=5.1e-3)
    assert float(tsai_hill_ratio(load, T300, signs=False)) == pytest.approx(10.94, abs=5.1e-3)
    assert float(tsai_hill_ratio(load, T300)) == pytest.approx(16.06, abs=5.1e-3)
    assert float(tsai_wu_ratio(load, T300)) == pytest.approx(22.39, abs=5.1e-3)
    other = tsai_wu_ratio(load, T300, interaction=-1 / (2 * 1500e6**2))
    assert float(other) == pytest.approx(22.49, abs=5.1e-3)  # derived here


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 5.3 (maximum stress: from memory)")
def test_first_failure_of_a_cross_ply():
    lam = stack(T300, [0, 90, 0], 5e-3)
    assert lam.response((1, 0, 0))[:2] == pytest.approx([5.353e-10, -2.297e-11], rel=3e-4)
    for criterion, printed in (
        (Criterion.TSAI_WU, 7.277e6),
        (Criterion.MAX_STRAIN, 7.254e6),
        (Criterion.MAX_STRESS, 7.310e6),
    ):
        found = first_ply_failure(lam, (1, 0, 0), criterion=criterion)
        assert found.ratio == pytest.approx(printed, abs=0.6e3)
        assert found.name == "2"
    each = ply_stresses(lam, (1, 0, 0))
    assert each[0, 1, :2] == pytest.approx([97.26, 1.313], rel=5e-4)
    assert each[1, 1, :2] == pytest.approx([-2.626, 5.472], rel=5e-4)
    assert float(tsai_wu_ratio(each[0, 1], T300)) == pytest.approx(1.339e7, rel=5e-4)
    assert float(max_strain_ratio(each[0, 1], T300)) == pytest.approx(1.548e7, rel=5e-4)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 4.3, table of stresses (from memory)")
def test_local_stresses_in_ply_axes():
    each = ply_stresses(stack(T300, [0, 30, -45], 5e-3), (1000, 1000, 0))
    assert each[1] == pytest.approx(
        np.array([[9.973e4, 4.348e4, 1.890e4], [1.502e5, 3.356e4, 1.702e4], [2.007e5, 2.364e4, 1.513e4]]), rel=5e-4
    )
    assert each[0, 0] == pytest.approx([3.351e4, 6.188e4, -2.750e4], rel=5e-4)
    assert each[2] == pytest.approx(  # derived here
        np.array([[2.586e5, 2.123e4, -1.638e4], [9.786e4, 2.010e4, -9.954e3], [-6.285e4, 1.898e4, -3.533e3]]), rel=5e-4
    )


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 4.5, stresses after cooling (from memory)")
def test_stresses_of_a_cooled_cross_ply():
    each = ply_stresses(stack(T300, [0, 90], 5e-3), (0, 0, 0), warmed=-75)
    assert each[0, 0, :2] == pytest.approx([4.718e7, 7.535e6], rel=5e-4)
    assert each[0, 2, :2] == pytest.approx([-6.701e7, 1.229e7], rel=5e-4)


@pytest.mark.published("Soden, Hinton and Kaddour 1998, inputs of AS4/3501-6 (outputs derived here)")
def test_quasi_isotropic_first_failure_and_stress_of_cure():
    lam = stack(AS4, QUASI, 0.125e-3)
    for criterion, wanted in ((Criterion.TSAI_WU, 226.6), (Criterion.MAX_STRESS, 241.0)):
        found = first_ply_failure(lam, (1, 0, 0), criterion=criterion)
        assert found.ratio / lam.thickness / 1e6 == pytest.approx(wanted, abs=0.06)
        assert found.name in ("1", "8")
    cured = ply_stresses(lam, (0, 0, 0), warmed=-157.0)
    assert cured[:, 1, 1] / 1e6 == pytest.approx(np.full(8, 41.0), abs=0.06)
    # what cure leaves in the resin is most of its strength: the same load fails much earlier
    with_cure = first_ply_failure(lam, (1, 0, 0), criterion=Criterion.MAX_STRESS, warmed=-157.0)
    without = first_ply_failure(lam, (1, 0, 0), criterion=Criterion.MAX_STRESS)
    assert with_cure.ratio == pytest.approx(without.ratio * (48 - cured[0, 1, 1] / 1e6) / 48, rel=1e-9)


@pytest.mark.published("Hyer, Stress Analysis of Fiber-Reinforced Composite Materials, inputs (outputs derived here)")
def test_cured_cross_ply_balances_itself():
    each = ply_stresses(stack(HYER, [0, 90, 90, 0], 0.15e-3), (0, 0, 0), warmed=-150.0)[0, 1] / 1e6
    assert each[:2] == pytest.approx([-39.5, 39.5], abs=0.051)


@given(stresses, st.sampled_from([max_stress_ratio, max_strain_ratio, tsai_wu_ratio, tsai_hill_ratio]))
def test_scaling_the_load_to_its_ratio_gives_one(stress, ratio):
    at = np.array(stress) * float(ratio(stress, AS4))
    assert float(ratio(at, AS4)) == pytest.approx(1.0, rel=1e-9)


@given(stresses, stresses)
def test_residual_is_what_load_leaves_room_for(load, rest):
    load, rest = np.array(load), np.array(rest) * 0.05
    for ratio in (max_stress_ratio, max_strain_ratio, tsai_wu_ratio):
        factor = float(ratio(load, AS4, rest))
        assert factor > 0
        assert float(ratio(rest + factor * load, AS4)) == pytest.approx(1.0, rel=1e-6)


def test_many_are_single_ones_and_no_load_never_fails():
    loads = np.array([[1e6, 2e6, 3e6], [0.0, 0.0, 0.0], [-5e6, 1e6, 0.0]])
    for ratio in (max_stress_ratio, max_strain_ratio, tsai_wu_ratio, tsai_hill_ratio):
        many = ratio(loads, AS4)
        assert many[1] == np.inf
        assert many == pytest.approx([float(ratio(x, AS4)) for x in loads])


def test_cure_alone_beyond_strength_is_zero():
    for ratio in (max_stress_ratio, max_strain_ratio, tsai_wu_ratio):
        assert float(ratio([1e6, 0, 0], AS4, [0, 60e6, 0])) == 0.0


def test_sheared_cloth_is_judged_along_its_yarns_only():
    sheared = stack(CLOTH, [0], 0.25e-3, woven=True, shear=float(np.radians(30)))
    with pytest.raises(InputError, match="judge sheared cloth by maximum strain"):
        first_ply_failure(sheared, (1e4, 0, 0), criterion=Criterion.TSAI_WU)
    found = first_ply_failure(sheared, (1.0, 0, 0), criterion=Criterion.MAX_STRAIN)
    strain = sheared.response((found.ratio, 0, 0))[:3]
    weft = np.radians(60)
    along = np.array([np.cos(weft) ** 2, np.sin(weft) ** 2, np.cos(weft) * np.sin(weft)]) @ strain
    middle = np.radians(-15)
    change = (strain[1] - strain[0]) * np.sin(2 * middle) + strain[2] * np.cos(2 * middle)
    used = [
        max(strain[0] / (700 / 60e3), -strain[0] / (500 / 60e3)),
        max(along / (700 / 60e3), -along / (500 / 60e3)),
        abs(change) / (90 / 4.5e3),
    ]
    assert max(used) == pytest.approx(1.0, rel=1e-9)
    barely = stack(CLOTH, [0], 0.25e-3, woven=True, shear=1e-7)
    none = stack(CLOTH, [0], 0.25e-3, woven=True)
    pair = [first_ply_failure(x, (1e4, 0, 0), criterion=Criterion.MAX_STRAIN).ratio for x in (barely, none)]
    assert pair[0] == pytest.approx(pair[1], rel=1e-5)


def test_unknown_strengths_are_named():
    with pytest.raises(InputError) as caught:
        max_stress_ratio([1e6, 0, 0], HYER)
    assert len(caught.value.problems) == 5
    with pytest.raises(InputError, match="a force or a moment is wanted"):
        first_ply_failure(stack(AS4, [0], 1e-3), (0, 0, 0))
    with pytest.raises(InputError, match="Tsai–Hill with stresses from cure"):
        first_ply_failure(stack(AS4, [0, 90], 1e-3), (1, 0, 0), criterion=Criterion.TSAI_HILL, warmed=-100.0)
    with pytest.raises(InputError, match="lamina, F12"):
        tsai_wu_ratio([1e6, 0, 0], AS4, interaction=1.0)
