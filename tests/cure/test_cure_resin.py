"""Glass transition, viscosity and the mixing of a laminate's properties."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cure import (
    CastroMacosko,
    CureResin,
    Exponential,
    NthOrder,
    conductivity_springer_tsai_1967,
    laminate_layer,
    tg_di_benedetto,
    viscosity_from,
)
from bagside.errors import InputError

ZERO_C = 273.15


def resin(**changes) -> CureResin:
    values = {
        "kinetics": NthOrder(A=1e5, E=7e4, n=1.0),
        "heat": 540e3,
        "density": 1300.0,
        "heat_capacity": 1304.0,
        "conductivity": 0.212,
        "tg0": 266.15,
        "tg1": 523.15,
        "tg_lambda": 0.78,
        "gel": 0.47,
        "alpha0": 0.01,
    }
    return CureResin(**{**values, **changes})


def test_glass_transition():
    """The formula with −7 °C, 250 °C, 0.78 (constants from memory; the formula is what is tested; derived here)."""
    got = resin().tg([0, 0.25, 0.5, 0.7, 0.8, 0.9, 1]) - ZERO_C
    assert got == pytest.approx([-7, 46.0, 105.6, 158.9, 187.6, 218.0, 250], abs=0.051)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.2, 1.0))
def test_glass_transition_rises_with_cure(a, b, ratio):
    low, high = sorted((a, b))
    assert tg_di_benedetto(low, 260.0, 480.0, ratio) <= tg_di_benedetto(high, 260.0, 480.0, ratio) + 1e-9


@pytest.mark.published("Hubert Johnston Poursartip Nelson 2001 viscosity law and parameters, evaluated (derived here)")
def test_viscosity_to_gel():
    law = CastroMacosko(A=3.45e-10, E=76536.0, gel=0.47, a=3.8, b=2.5)
    got = law.at([0.01, 0.01, 0.05, 0.20, 0.40], np.array([80, 107, 120, 120, 120]) + ZERO_C)
    for value, (wanted, within) in zip(
        got, ((78.4, 0.05), (12.3, 0.05), (7.92, 0.005), (55.2, 0.05), (4.75e4, 50.0)), strict=True
    ):
        assert value == pytest.approx(wanted, abs=within)
    assert law.at([0.47, 0.6], 390.0) == pytest.approx([math.inf, math.inf])


@pytest.mark.published("Lee Loos Springer 1982 viscosity, prefactor from memory, evaluated (derived here)")
def test_viscosity_exponential():
    law = viscosity_from("exponential", {"A": 7.93e-14, "U": 9.08e4, "K": 14.1})
    assert law == Exponential(A=7.93e-14, U=9.08e4, K=14.1)
    got = law.at([0, 0.05, 0.1, 0.3], np.array([80, 107, 120, 120]) + ZERO_C)
    for value, (wanted, within) in zip(
        got, ((2.14, 0.005), (0.481, 0.0005), (0.377, 0.0005), (6.32, 0.005)), strict=True
    ):
        assert value == pytest.approx(wanted, abs=within)


def test_viscosity_mistakes_are_named():
    with pytest.raises(InputError) as e:
        viscosity_from("castro", {})
    assert "did you mean" in str(e.value)
    with pytest.raises(InputError) as e:
        viscosity_from("exponential", {"A": 1.0, "U": 2.0, "k": 3.0})
    assert str(e.value).splitlines() == [
        'resin, viscosity, k: 3.0 – "exponential" has no such parameter (known here: A, K, U)',
        'resin, viscosity, K – "exponential" needs this parameter, in SI',
    ]


def test_laminate_by_mixing():
    """Constituents as in Niaki et al. 2021; density and heat capacity by hand: .574·1790 + .426·1300 = 1581.3."""
    layer = laminate_layer(
        resin=resin(),
        thickness=0.01,
        fibre_volume=0.574,
        fibre_density=1790.0,
        fibre_heat_capacity=914.0,
        fibre_conductivity=3.96,
    )
    assert layer.density == pytest.approx(1581.3, abs=0.05)
    assert layer.heat_capacity == pytest.approx(1051.0, abs=0.5)
    assert layer.conductivity == pytest.approx(0.637, abs=5e-4)
    assert layer.resin == pytest.approx(0.426 * 1300.0)


def test_adiabatic_rise():
    """All heat stays: 414 K for the neat resin, 180 K for the laminate, 213 K for the older set (derived here)."""
    assert pytest.approx(414, abs=0.5) == 540e3 / 1304
    layer = laminate_layer(
        resin=resin(),
        thickness=0.01,
        fibre_volume=0.574,
        fibre_density=1790.0,
        fibre_heat_capacity=914.0,
        fibre_conductivity=3.96,
    )
    assert 540e3 * layer.resin / (layer.density * layer.heat_capacity) == pytest.approx(180, abs=0.5)


@given(st.floats(0.05, 50.0), st.floats(0.05, 50.0), st.floats(0.01, 0.78))
def test_conductivity_lies_between_series_and_parallel(fibre, matrix, volume):
    k = conductivity_springer_tsai_1967(fibre, matrix, volume)
    series = 1.0 / (volume / fibre + (1 - volume) / matrix)
    parallel = volume * fibre + (1 - volume) * matrix
    assert series * (1 - 1e-6) <= k <= parallel * (1 + 1e-6)


def test_conductivity_of_equal_parts_and_beyond_packing():
    assert conductivity_springer_tsai_1967(0.3, 0.3, 0.5) == pytest.approx(0.3, rel=1e-12)
    near = [conductivity_springer_tsai_1967(0.3 * (1 + d), 0.3, 0.5) for d in (4e-6, 6e-6)]
    assert near[1] - near[0] == pytest.approx(0.3 * 1e-6, rel=0.05)
    with pytest.raises(InputError, match=r"below 0\.785"):
        conductivity_springer_tsai_1967(4.0, 0.2, 0.8)


def test_a_resin_that_makes_no_sense_is_refused_with_every_reason():
    with pytest.raises(InputError) as e:
        resin(density=0.0, tg1=200.0, gel=1.2, alpha0=1.0)
    assert [p.place for p in e.value.problems] == ["resin, density", "resin, tg1", "resin, gel", "resin, alpha0"]
