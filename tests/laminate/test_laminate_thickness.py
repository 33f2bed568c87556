from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.laminate import cured_thickness, fibre_volume_fraction, prepreg_areal_weight

CASES = [
    pytest.param(
        0.225 * 0.6778, 1 - 0.6778, 1790, 1250, 0.143, 0.595, 3,
        marks=pytest.mark.published("public web worked example: 225 g/m² in all, fibre mass fraction 0.6778"),
    ),
    pytest.param(0.193, 0.38, 1790, 1300, 0.1988, 0.542, 4, id="193 plain weave, derived"),
    pytest.param(0.190, 0.35, 1790, 1300, 0.1848, 0.574, 4, id="190 tape, derived"),
    pytest.param(0.145, 0.32, 1770, 1180, 0.1397, 0.586, 4, id="145 tape, derived"),
    pytest.param(0.200, 0.42, 1760, 1200, 0.234, 0.485, 3, id="200 twill, derived"),
    pytest.param(0.600, 0.37, 1800, 1200, 0.627, 0.532, 3, id="600 twill, derived"),
]  # fmt: skip


@pytest.mark.parametrize(("weight", "resin", "fibre", "matrix", "mm", "fraction", "digits"), CASES)
def test_cured_thickness(weight, resin, fibre, matrix, mm, fraction, digits):
    # half a digit, and one in the last place where the source rounded its fibre fraction first
    assert cured_thickness(weight, resin, fibre, matrix) * 1e3 == pytest.approx(mm, abs=0.6 * 10**-digits)
    assert fibre_volume_fraction(resin, fibre, matrix) == pytest.approx(fraction, abs=6e-4)


@pytest.mark.published("Chamis 1983, NASA TM-83320, examples 4.1 and 3.2")
def test_fibre_fraction_with_voids():
    assert fibre_volume_fraction(0.30, 0.063, 0.046, 0.01) == pytest.approx(0.624, abs=1.1e-3)
    assert fibre_volume_fraction(0.30, 0.063, 0.046) == pytest.approx(0.63, abs=5e-3)
    assert fibre_volume_fraction(0.40, 0.063, 0.044, 0.02) == pytest.approx(0.50, abs=5e-3)


@given(st.floats(0.05, 1), st.floats(0, 0.6), st.floats(0, 0.1))
def test_fibre_in_the_ply_is_fibre_laid(weight, resin, void):
    t = cured_thickness(weight, resin, 1780.0, 1220.0, void)
    assert t * fibre_volume_fraction(resin, 1780.0, 1220.0, void) * 1780 == pytest.approx(weight, rel=1e-12)


def test_many_are_single_ones():
    weights = np.array([0.15, 0.2, 0.4])
    assert cured_thickness(weights, 0.4, 1780.0, 1220.0) == pytest.approx(
        [cured_thickness(w, 0.4, 1780.0, 1220.0) for w in weights]
    )
    assert prepreg_areal_weight(weights, 0.4) == pytest.approx([0.25, 1 / 3, 2 / 3])


def test_every_wrong_number_is_named():
    with pytest.raises(InputError) as caught:
        cured_thickness(-0.2, 42.0, 1760.0, 1200.0, 1.0)
    assert [p.place for p in caught.value.problems] == ["areal_weight", "resin_content", "void"]
