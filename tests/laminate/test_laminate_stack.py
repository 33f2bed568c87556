from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import LaidPly, Lamina, abd_of, laminate_of
from laminae import AS4, CLOTH, HYER, T300, stack

PSI = Lamina(E1=20_010_000, E2=1_301_000, G12=1_001_000, nu12=0.3, alpha1=-0.072e-6, alpha2=32.4e-6)
angle_lists = st.lists(st.floats(-90, 90), min_size=1, max_size=5)


@pytest.mark.published("Nettles 1994, NASA RP-1351, example 2")
def test_two_plies_of_the_report():
    b = stack(PSI, [45, 0], 0.005).B
    # nu21 is exact here and rounded in the report: half a pound on 170
    assert [b[0, 0], b[0, 1], b[1, 1], b[0, 2], b[1, 2], b[2, 2]] == pytest.approx(
        [170, -52, -66, -59, -59, -52], abs=0.55
    )


@pytest.mark.published("Nettles 1994, NASA RP-1351, example 9")
def test_three_plies_of_the_report():
    lam = stack(PSI, [90, 0, 45], 0.005)
    assert [lam.A[0, 0], lam.A[1, 1], lam.A[0, 1], lam.A[0, 2], lam.A[2, 2]] == pytest.approx(
        [139_984, 139_984, 26_703, 23_527, 35_828], rel=6e-4
    )
    assert [lam.B[0, 0], lam.B[0, 1], lam.B[1, 1], lam.B[0, 2], lam.B[2, 2]] == pytest.approx(
        [131.2, 104, -339.4, 117.6, 104], rel=4e-3
    )


@pytest.mark.published("Nettles 1994, NASA RP-1351, example 9 inputs (outputs derived here, nu21 = 0.02 there)")
def test_thermal_response_of_the_report():
    lam = stack(PSI, [90, 0, 45], 0.005)
    assert lam.N_thermal == pytest.approx([0.40238, 0.40238, -0.07776], rel=4e-3)
    assert lam.alpha == pytest.approx([3.4486e-6, 9.9452e-6, -8.6129e-6], rel=6e-3)
    assert lam.free_curvature == pytest.approx([-4.8471e-4, 1.6894e-3, -2.1720e-3], rel=6e-3)
    assert [lam.D[0, 0], lam.D[1, 1], lam.D[0, 2]] == pytest.approx([1.2749, 3.62764, 0.63720], rel=4e-4)


@pytest.mark.published("Nettles 1994, NASA RP-1351, example 2 inputs (moduli derived here)")
def test_a_strip_free_to_curve_is_half_as_stiff():
    lam = stack(PSI, [45, 0], 0.005)
    assert lam.Ex == pytest.approx(5.868e6, rel=1e-3)
    assert lam.in_plane_flat.Ex == pytest.approx(11.333e6, rel=1e-3)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 4.2")
def test_three_plies_of_the_book():
    lam = stack(T300, [0, 30, -45], 5e-3)
    places = ((0, 0), (0, 1), (1, 1), (0, 2), (1, 2), (2, 2))
    for matrix, printed in (
        (lam.A, (1.739e9, 3.884e8, 4.533e8, 5.663e7, -1.141e8, 4.525e8)),
        (lam.B, (-3.129e6, 9.855e5, 1.158e6, -1.072e6, -1.072e6, 9.855e5)),
        (lam.D, (3.343e4, 6.461e3, 9.320e3, -5.240e3, -5.596e3, 7.663e3)),
    ):
        for place, value in zip(places, printed, strict=True):
            assert matrix[place] == pytest.approx(value, rel=5e-4)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 4.3 (value from memory)")
def test_response_of_the_book():
    found = stack(T300, [0, 30, -45], 5e-3).response((1000, 1000, 0))
    assert found == pytest.approx([3.123e-7, 3.492e-6, -7.598e-7, 2.971e-5, -3.285e-4, 4.101e-4], rel=5e-4)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, example 4.4")
def test_constants_of_a_cross_ply():
    lam = stack(T300, [0, 90, 0], 5e-3)
    c, f = lam.in_plane, lam.flexural
    assert [c.Ex / 1e9, c.Ey / 1e9, c.Gxy / 1e9, c.nuxy, c.nuyx] == pytest.approx(
        [124.5, 67.43, 7.17, 0.04292, 0.02323], rel=5e-4
    )
    assert [f.Ex / 1e9, f.Ey / 1e9, f.Gxy / 1e9, f.nuxy, f.nuyx] == pytest.approx(
        [175.0, 16.65, 7.17, 0.1735, 0.01651], rel=5e-4
    )
    assert [lam.A[0, 0], lam.A[0, 1], lam.A[1, 1], lam.A[2, 2]] == pytest.approx(
        [1.870e9, 4.345e7, 1.013e9, 1.076e8], rel=6e-4
    )
    assert [lam.D[0, 0], lam.D[0, 1], lam.D[1, 1], lam.D[2, 2]] == pytest.approx([4.935e4, 814.8, 4696, 2017], rel=3e-4)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, examples 4.5 and 4.6 (value from memory)")
def test_cooling_of_cross_plies():
    lam = stack(T300, [0, 90], 5e-3)
    assert lam.N_thermal * -75 == pytest.approx([-1.131e5, -1.131e5, 0], rel=5e-4, abs=1e-3)
    assert lam.M_thermal * -75 == pytest.approx([-1.538e2, 1.538e2, 0], rel=5e-4, abs=1e-6)
    assert lam.alpha[:2] * -75 == pytest.approx([-3.907e-4, -3.907e-4], rel=5e-4)
    assert lam.free_curvature * -75 == pytest.approx([-0.1276, 0.1276, 0], abs=6e-5)
    assert stack(T300, [0, 90, 0], 5e-3).alpha[:2] == pytest.approx([9.303e-7, 2.600e-6], rel=5e-4)
    assert stack(T300, [0, 90, 90, 0], 5e-3).alpha[:2] == pytest.approx([1.524e-6, 1.524e-6], rel=5e-4)


@pytest.mark.published("Hyer, Stress Analysis of Fiber-Reinforced Composite Materials (A from memory, rest derived)")
def test_stacks_of_a_second_carbon():
    cross = stack(HYER, [0, 90, 90, 0], 0.15e-3)
    assert [cross.A[0, 0] / 1e6, cross.A[0, 1] / 1e6, cross.A[2, 2] / 1e6] == pytest.approx(
        [50.4, 1.809, 2.64], abs=0.051
    )
    assert [cross.D[0, 0], cross.D[1, 1], cross.D[0, 1], cross.D[2, 2]] == pytest.approx(
        [2.480, 0.5419, 0.05428, 0.0792], rel=7e-4
    )
    lam = stack(HYER, [30, -30, 0, 0, -30, 30], 0.15e-3)
    assert [lam.Ex / 1e9, lam.Ey / 1e9, lam.Gxy / 1e9] == pytest.approx([89.24, 14.16, 22.43], abs=6e-3)
    assert lam.nuxy == pytest.approx(1.166, abs=6e-4)
    assert lam.alpha[:2] * 1e6 == pytest.approx([-2.16, 16.80], abs=6e-3)
    assert [lam.D[0, 2], lam.D[1, 2]] == pytest.approx([1.261, 0.4177], rel=5e-4)


@pytest.mark.published("Soden, Hinton and Kaddour 1998, inputs of AS4/3501-6 (outputs derived here)")
def test_quasi_isotropic_stack():
    lam = stack(AS4, [90, 45, -45, 0, 0, -45, 45, 90], 0.125e-3)
    assert [lam.Ex / 1e9, lam.nuxy, lam.Gxy / 1e9] == pytest.approx([51.06, 0.2915, 19.77], rel=3e-4)
    assert lam.alpha[0] * 1e6 == pytest.approx(1.656, abs=6e-4)
    assert lam.Gxy == pytest.approx(lam.Ex / (2 * (1 + lam.nuxy)), rel=1e-12)


@pytest.mark.published("Timoshenko 1925, analysis of bi-metal thermostats, curvature 3 e / 2 h")
def test_two_equal_layers_with_different_expansion():
    e, t = 70e9, 1e-3
    low, high = (Lamina(E1=e, E2=e, G12=e / 2, nu12=0.0, alpha1=a, alpha2=a) for a in (20e-6, 10e-6))
    lam = laminate_of([LaidPly(name=str(k), lamina=x, thickness=t, angle=0.0) for k, x in enumerate((low, high))])
    assert abs(lam.free_curvature[0]) == pytest.approx(3 * 10e-6 / (2 * 2 * t), rel=1e-12)


@given(angle_lists)
def test_mirrored_stack_has_no_coupling(angles):
    lam = stack(AS4, angles + angles[::-1], 0.2e-3)
    assert np.abs(lam.B).max() < 1e-9 * lam.A[0, 0] * lam.thickness
    assert lam.symmetry_error < 1e-9


@given(angle_lists)
@settings(max_examples=30)
def test_paired_angles_are_balanced_also_when_turned_together(angles):
    both = angles + [-a for a in angles]
    lam = stack(AS4, both, 0.2e-3)
    assert max(abs(lam.A[0, 2]), abs(lam.A[1, 2])) < 1e-9 * lam.A[0, 0] + 1e-9 * lam.A[1, 1]
    assert stack(AS4, [a + 23.7 for a in both], 0.2e-3).balance_error < 1e-6


def test_unpaired_angles_are_not_balanced():
    assert stack(AS4, [0, 30], 0.2e-3).balance_error < 1e-6  # its axes are at 15°
    assert stack(AS4, [0, 0, 30, 75], 0.2e-3).balance_error > 0.01
    assert stack(AS4, [0, 90], 0.2e-3).symmetry_error > 0.5


@given(angle_lists, st.floats(1.1, 5))
def test_bending_grows_with_the_cube_of_thickness(angles, factor):
    one, two = stack(T300, angles, 0.1e-3), stack(T300, angles, 0.1e-3 * factor)
    assert pytest.approx(one.D * factor**3, rel=1e-9, abs=1e-9) == two.D


@given(st.lists(st.tuples(st.floats(-90, 90), st.floats(-50, 50)), min_size=3, max_size=3), st.booleans())
def test_many_places_are_single_places(plies, woven):
    angles, shears = (np.radians([p[k] for p in plies]) for k in (0, 1))
    thickness = np.array([0.2e-3, 0.3e-3, 0.0])  # the last ply is absent
    a, b, d = abd_of(angles[None], thickness, shears[None], laminae=[CLOTH, AS4, AS4], woven=[woven, False, False])
    lam = laminate_of(
        [
            LaidPly(name="1", lamina=CLOTH, thickness=0.2e-3, angle=angles[0], shear=shears[0], woven=woven),
            LaidPly(name="2", lamina=AS4, thickness=0.3e-3, angle=angles[1], shear=shears[1]),
        ]
    )
    assert a[0] == pytest.approx(lam.A, rel=1e-10, abs=1e-4)
    assert b[0] == pytest.approx(lam.B, rel=1e-8, abs=1e-8)
    assert d[0] == pytest.approx(lam.D, rel=1e-10, abs=1e-10)


def test_a_place_without_plies_is_refused():
    with pytest.raises(InputError, match="place 1: no ply"):
        abd_of(np.zeros((2, 1)), np.array([[1e-3], [0.0]]), laminae=[AS4])


def test_mass_needs_weights():
    ply = LaidPly(name="surface", lamina=CLOTH, thickness=0.2e-3, angle=0.0, woven=True)
    with pytest.raises(InputError, match="ply surface, areal weight"):
        _ = laminate_of([ply]).mass_per_area


def test_an_empty_laminate_is_refused():
    with pytest.raises(InputError, match="at least one ply"):
        laminate_of([])
