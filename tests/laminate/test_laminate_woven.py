from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import Lamina, reduced_stiffness, rotated_stiffness
from bagside.laminate.woven import woven_stiffness, woven_thermal_stress, yarn_families
from laminae import AS4, CLOTH, stack

moduli = st.floats(25e9, 80e9)


@given(moduli, moduli, st.floats(2e9, 6e9), st.floats(0.02, 0.15), st.floats(-90, 90), st.floats(1.3, 2.8))
def test_cloth_at_zero_shear_is_the_cloth(e1, e2, g, nu, angle, ratio):
    cloth = Lamina(E1=e1, E2=e2, G12=g, nu12=nu, alpha1=2e-6, alpha2=4e-6)
    theta = np.radians(angle)
    wanted = rotated_stiffness(reduced_stiffness(cloth), theta)
    assert woven_stiffness(cloth, theta, 0.0, ratio) == pytest.approx(wanted, rel=1e-9, abs=1e-9 * e1)
    heat = reduced_stiffness(cloth) @ [2e-6, 4e-6, 0.0]
    assert woven_thermal_stress(cloth, 0.0, 0.0, ratio) == pytest.approx(heat, rel=1e-8, abs=1e-3)


@pytest.mark.parametrize(("shear", "growth"), [(20, 1.064), (30, 1.155), (45, 1.414), (60, 2.0)])
def test_thickness_and_mass_grow_as_the_net_closes(shear, growth):
    flat, sheared = (stack(CLOTH, [0], 0.23e-3, woven=True, shear=float(np.radians(s))) for s in (0, shear))
    assert sheared.thickness / flat.thickness == pytest.approx(growth, abs=5.1e-4)
    assert sheared.mass_per_area / flat.mass_per_area == pytest.approx(growth, abs=5.1e-4)


def test_closed_net_is_stiffest_along_the_bisector():
    theta = np.linspace(0, np.pi, 181)
    q = rotated_stiffness(woven_stiffness(CLOTH, 0.0, np.radians(40)), -theta)[:, 0, 0]
    # yarns at 0 and 50°: the line half way between them is stiffer than the line across it
    assert q[25] > 2 * q[115]
    assert q[25 + 10] == pytest.approx(q[25 - 10], rel=1e-9)


def test_positive_shear_brings_weft_nearer_to_warp_counter_clockwise():
    q = woven_stiffness(CLOTH, 0.0, np.radians(30))
    assert q[0, 2] > 0
    assert woven_stiffness(CLOTH, 0.0, -np.radians(30))[0, 2] == pytest.approx(-q[0, 2], rel=1e-9)


@pytest.mark.parametrize("ratio", [1.3, 2.8])
def test_the_choice_of_stiffness_across_yarns_hardly_matters(ratio):
    shear = np.radians(45)
    other, ours = woven_stiffness(CLOTH, 0.0, shear, ratio), woven_stiffness(CLOTH, 0.0, shear)
    assert np.abs(other - ours).max() < 0.05 * ours[0, 0]


def test_a_unidirectional_ply_called_woven_is_refused_when_sheared():
    with pytest.raises(InputError, match="state a unidirectional ply as not woven"):
        yarn_families(AS4)
