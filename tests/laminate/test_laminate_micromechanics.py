from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import micromechanics as mm


@pytest.mark.published("Chamis 1983, NASA TM-83320, examples 4.1 and 4.2")
def test_ply_moduli():
    shear = 0.5 / (2 * 1.41)
    assert mm.modulus_along_mixture(31, 0.5, 0.63) == pytest.approx(19.7, abs=0.05)
    assert mm.modulus_across_chamis_1983(2, 0.5, 0.63) == pytest.approx(1.24, abs=0.006)
    assert mm.modulus_across_chamis_1983(2, shear, 0.63) == pytest.approx(0.64, abs=0.006)
    assert mm.modulus_along_mixture(0.2, 0.41, 0.63) == pytest.approx(0.278, abs=5.1e-4)


@pytest.mark.published("Chamis 1983, NASA TM-83320, examples 3.1 and 3.2")
def test_fibres_and_gaps():
    assert mm.fibres_through_chamis_1983(0.005, 0.0003, 0.57) == pytest.approx(14, abs=0.5)
    assert mm.fibre_gap_chamis_1983(0.0003, 0.5) == pytest.approx(0.000076, abs=5e-7)


@pytest.mark.published("Chamis 1983, NASA TM-83320, examples 5.2, 8.1 and 8.2")
def test_expansion_dry_and_hot_wet():
    e = mm.modulus_along_mixture(12.4, 0.5, 0.605)
    assert e == pytest.approx(7.70, abs=5.1e-3)
    along = (0.605 * 12.4 * 2.8 + 0.395 * 0.5 * 57) / e
    glass = {"fibre_modulus": 12.4, "matrix_modulus": 0.5, "fibre_expansion": 2.8, "matrix_expansion": 57}
    assert along == pytest.approx(4.19, abs=0.011)
    assert mm.expansion_schapery_1968(**glass, fibre_poisson=0.2, matrix_poisson=0.41, fibre_fraction=0.605)[
        0
    ] == pytest.approx(along, rel=1e-12)
    across = mm.expansion_across_chamis_1983
    assert across(
        fibre_modulus=12.4, ply_modulus=e, fibre_expansion_across=2.8, matrix_expansion=57, matrix_poisson=0.41,
        fibre_fraction=0.605,
    ) == pytest.approx(19.9, abs=0.051)  # fmt: skip
    for resin, expansion, printed in ((0.5, 57, 22.4), (0.272, 105, 37.7)):
        ply = mm.modulus_along_mixture(31, resin, 0.6)
        assert across(
            fibre_modulus=31, ply_modulus=ply, fibre_expansion_across=5.6, matrix_expansion=expansion,
            matrix_poisson=0.41, fibre_fraction=0.6,
        ) == pytest.approx(printed, abs=0.06)  # fmt: skip
    assert mm.modulus_across_chamis_1983(2, 0.5, 0.6) == pytest.approx(1.19, abs=5.1e-3)
    assert mm.modulus_across_chamis_1983(2, 0.272, 0.6) == pytest.approx(0.822, abs=1e-3)


@pytest.mark.published("Chamis 1983, NASA TM-83320, examples 7.1, 7.2 and 8.1")
def test_moisture_and_heat():
    matrix, ply = mm.moisture_chamis_1983(0.7, 0.07, 0.42, 0.046, 0.056)
    assert matrix == pytest.approx(0.049, abs=5e-4)
    assert ply == pytest.approx(0.017, abs=5e-4)
    assert mm.hot_wet_factor_chamis_1983(353.3, 420, 250, 70) == pytest.approx(0.543, abs=5.1e-4)
    with pytest.raises(InputError, match="the resin is soft there"):
        mm.hot_wet_factor_chamis_1983(353.3, 420, 360, 70)


@pytest.mark.published("NASA TP-2515, sample output with 2 percent voids")
def test_sample_with_voids():
    e = mm.modulus_along_mixture(31, 0.5, 0.55, 0.43)
    assert e == pytest.approx(17.26, abs=6e-3)
    assert mm.modulus_across_chamis_1983(2, 0.5 / 2.82, 0.55) == pytest.approx(0.5470, abs=5.1e-5)
    assert mm.tension_along_chamis_1983(400, 31, e) == pytest.approx(222.8, abs=0.051)


@pytest.mark.published("Kaw 2006, Mechanics of Composite Materials, examples 3.3 to 3.8 (value from memory)")
def test_glass_in_epoxy():
    gf, gm = 85 / 2.4, 3.4 / 2.6
    assert mm.modulus_along_mixture(85, 3.4, 0.7) == pytest.approx(60.52, abs=5e-3)
    assert mm.modulus_across_mixture(85, 3.4, 0.7) == pytest.approx(10.37, abs=5e-3)
    assert mm.modulus_along_mixture(0.2, 0.3, 0.7) == pytest.approx(0.23)
    assert mm.modulus_across_mixture(gf, gm, 0.7) == pytest.approx(4.014, abs=1.1e-3)
    assert mm.modulus_halpin_tsai_1969(85, 3.4, 0.7, 2) == pytest.approx(20.20, abs=6e-3)
    assert mm.modulus_halpin_tsai_1969(gf, gm, 0.7, 1) == pytest.approx(6.169, abs=1.6e-3)
    shape = mm.shear_shape_hewitt_de_malherbe_1970(0.7)
    assert shape == pytest.approx(2.130, abs=5e-4)
    assert mm.modulus_halpin_tsai_1969(gf, gm, 0.7, shape) == pytest.approx(8.13, abs=6e-3)
    a1, a2 = mm.expansion_schapery_1968(
        fibre_modulus=85, matrix_modulus=3.4, fibre_expansion=5, matrix_expansion=63, fibre_poisson=0.2,
        matrix_poisson=0.3, fibre_fraction=0.7,
    )  # fmt: skip
    assert [a1, a2] == pytest.approx([5.978, 27.40], abs=6e-3)


@given(st.floats(0.01, 0.75), st.floats(1.5, 200))
def test_models_lie_between_the_bounds(fraction, contrast):
    low, high = mm.modulus_across_mixture(contrast, 1, fraction), mm.modulus_along_mixture(contrast, 1, fraction)
    assert low <= mm.modulus_halpin_tsai_1969(contrast, 1, fraction, 2) <= high


def test_a_percentage_is_refused():
    with pytest.raises(InputError, match="a volume fraction from 0 to less than 1"):
        mm.modulus_along_mixture(85, 3.4, 70)


@given(st.floats(0.4, 0.7), st.floats(4, 200))
def test_square_packing_lies_between_the_bounds_where_it_answers(fraction, contrast):
    found = mm.modulus_across_chamis_1983(contrast, 1, fraction)
    assert mm.modulus_across_mixture(contrast, 1, fraction) <= found
    assert found <= mm.modulus_along_mixture(contrast, 1, fraction)


def test_square_packing_beyond_its_upper_bound_is_refused():
    with pytest.raises(InputError, match="it exceeds its upper bound here"):
        mm.modulus_across_chamis_1983(2, 1, 0.5)
