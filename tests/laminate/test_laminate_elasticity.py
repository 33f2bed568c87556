from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import (
    Lamina,
    invariants,
    reduced_stiffness,
    rotated_expansion,
    rotated_stiffness,
    stress_transform,
)
from laminae import AS4, HYER, T300

PSI = Lamina(E1=20_010_000, E2=1_301_000, G12=1_001_000, nu12=0.3, alpha1=-0.072e-6, alpha2=32.4e-6)
PRINTED_Q = np.array([[20_130_785.0, 392_656, 0], [392_656, 1_308_853, 0], [0, 0, 1_001_000]])


@pytest.mark.published("Nettles 1994, NASA RP-1351, example 1, equation 10")
def test_stiffness_of_the_report_is_met_within_its_rounding_of_nu21():
    # the report rounds nu21 0.019505 to 0.02, which alone shifts Q11 by 0.015 %
    assert reduced_stiffness(PSI) == pytest.approx(PRINTED_Q, rel=2e-4)
    spread = 1 - 0.3 * 0.02
    assert PSI.E1 / spread == pytest.approx(20_130_785, abs=1)
    assert PSI.E2 / spread == pytest.approx(1_308_853, abs=1)


@pytest.mark.published("Nettles 1994, NASA RP-1351, example 1, equation 22")
def test_turning_the_reports_stiffness_by_45_degrees():
    q = rotated_stiffness(PRINTED_Q, np.pi / 4)
    assert q[0, 0] == pytest.approx(6_557_237, abs=1)
    assert q[1, 1] == pytest.approx(6_557_237, abs=1)
    assert q[0, 1] == pytest.approx(4_555_238, abs=1)
    assert q[0, 2] == pytest.approx(4_705_483, abs=1)
    assert q[1, 2] == pytest.approx(4_705_483, abs=1)
    assert q[2, 2] == pytest.approx(5_163_582, abs=1)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, examples 2.6 and 2.7")
def test_stiffness_of_a_60_degree_ply():
    assert reduced_stiffness(T300)[[0, 0, 1, 2], [0, 1, 1, 2]] / 1e9 == pytest.approx(
        [181.8, 2.897, 10.35, 7.17], rel=5e-4
    )
    q = rotated_stiffness(reduced_stiffness(T300), np.pi / 3) / 1e9
    wanted = {(0, 0): 23.65, (0, 1): 32.46, (1, 1): 109.4, (0, 2): 20.05, (1, 2): 54.19, (2, 2): 36.74}
    for place, value in wanted.items():
        assert q[place] == pytest.approx(value, rel=5e-4)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 2.7 (compliance: value from memory)")
def test_compliance_of_a_60_degree_ply():
    s = np.linalg.inv(rotated_stiffness(reduced_stiffness(T300), np.pi / 3))
    wanted = {(0, 0): 0.8053e-10, (0, 1): -0.7878e-11, (0, 2): -0.3234e-10, (1, 1): 0.3475e-10, (1, 2): -0.4696e-10}
    for place, value in wanted.items():
        assert s[place] == pytest.approx(value, rel=2e-4)
    assert s[2, 2] == pytest.approx(0.1141e-9, rel=5e-4)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 2.7, stresses in ply axes")
def test_stresses_turned_by_60_degrees():
    assert stress_transform(np.pi / 3) @ [2.0, -3.0, 4.0] == pytest.approx([1.714, -2.714, -4.165], abs=5.1e-4)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, chapter 2 (value from memory)")
def test_expansion_of_a_60_degree_ply():
    found = rotated_expansion([0.02e-6, 22.5e-6, 0.0], np.pi / 3) * 1e6
    assert found == pytest.approx([16.88, 5.64, -19.47], abs=5e-3)


@pytest.mark.published("Tsai and Hahn 1980, invariants of T300/5208 (value from memory)")
def test_invariants():
    u = invariants(reduced_stiffness(T300))
    assert [x / 1e9 for x in (u.U1, u.U2, u.U3, u.U4, u.U5)] == pytest.approx(
        [76.37, 85.73, 19.71, 22.61, 26.88], abs=5.1e-3
    )
    assert u.isotropic[0] / 1e9 == pytest.approx(69.68, abs=5.1e-3)
    assert u.isotropic[1] == pytest.approx(0.296, abs=5.1e-4)


@pytest.mark.published("Hyer, Stress Analysis of Fiber-Reinforced Composite Materials, reduced stiffness (from memory)")
def test_stiffness_of_a_second_carbon():
    q = reduced_stiffness(HYER)[[0, 0, 1, 2], [0, 1, 1, 2]] / 1e9
    assert q == pytest.approx([155.7, 3.02, 12.16, 4.40], abs=0.051)


@pytest.mark.published("Mallick 2008, example 3.6, stiffness turned by 45 degrees (outputs from memory)")
def test_stiffness_from_fibre_and_resin_turned():
    q = reduced_stiffness(Lamina(E1=133.44e9, E2=8.784e9, nu12=0.26, G12=3.254e9)) / 1e9
    assert [q[0, 0], q[0, 1], q[1, 1]] == pytest.approx([134.04, 2.294, 8.824], rel=3e-4)
    turned = rotated_stiffness(q, np.pi / 4)
    assert [turned[0, 0], turned[0, 1], turned[0, 2], turned[2, 2]] == pytest.approx(
        [40.11, 33.61, 31.30, 34.57], abs=6e-3
    )


@given(st.floats(-10, 10))
def test_what_does_not_change_when_turned(angle):
    own, q = reduced_stiffness(AS4), rotated_stiffness(reduced_stiffness(AS4), angle)
    assert q[0, 0] + q[1, 1] + 2 * q[0, 1] == pytest.approx(own[0, 0] + own[1, 1] + 2 * own[0, 1], rel=1e-9)
    assert q[2, 2] - q[0, 1] == pytest.approx(own[2, 2] - own[0, 1], rel=1e-8)
    assert rotated_stiffness(q, -angle) == pytest.approx(own, rel=1e-9, abs=1e-3)


def test_many_angles_are_single_angles():
    angles = np.linspace(-2, 2, 12).reshape(3, 4)
    many = rotated_stiffness(reduced_stiffness(AS4), angles)
    for place in np.ndindex(angles.shape):
        assert many[place] == pytest.approx(rotated_stiffness(reduced_stiffness(AS4), angles[place]), rel=1e-13)


def test_impossible_constants_are_refused_all_at_once():
    with pytest.raises(InputError) as caught:
        Lamina(E1=-1.0, E2=1e9, G12=0.0, nu12=float("nan"))
    assert [p.place for p in caught.value.problems] == ["lamina, E1", "lamina, G12", "lamina, nu12"]
    with pytest.raises(InputError, match="root of E1/E2"):
        Lamina(E1=10e9, E2=180e9, G12=7e9, nu12=0.28)
