"""The rate law over a measured temperature: closed forms, and a general integrator."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from bagside.cure import HubertEtAl2001, NthOrder
from bagside.cure.judging.dose import cured_along
from bagside.errors import NotSolved
from cureruns import EPOXY

HUBERT = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)


def test_first_order_at_one_temperature_is_an_exponential() -> None:
    law = NthOrder(A=1e-4, E=0.0, n=1.0)
    time = np.linspace(0.0, 36000.0, 7)
    got = cured_along(law, time, np.full((1, 7), 350.0), 0.0, tolerance=1e-7)[0]
    np.testing.assert_allclose(got, 1.0 - np.exp(-1e-4 * time), atol=2e-6)


def test_second_order_under_a_ramp_is_what_its_rate_integrates_to() -> None:
    """α/(1 − α) = ∫ k dt, with the integral summed finely: a closed form but for one quadrature."""
    law = NthOrder(A=2e5, E=6.5e4, n=2.0)
    time = np.array([0.0, 7200.0])
    fine = np.linspace(0.0, 7200.0, 200_001)
    k = 2e5 * np.exp(-6.5e4 / (8.314 * (293.15 + 100.0 * fine / 7200.0)))
    dose = np.trapezoid(k, fine)
    got = cured_along(law, time, np.array([[293.15, 393.15]]), 0.0, tolerance=1e-7)[0, -1]
    assert got == pytest.approx(dose / (1.0 + dose), abs=2e-6)


@pytest.mark.parametrize("law", [EPOXY.kinetics, HUBERT], ids=["kamal, vitrifying", "hubert-2001"])
def test_as_a_general_integrator_has_it(law) -> None:
    """SciPy's LSODA at 1e-10, restarted at every corner, is the reference."""
    time = np.array([0.0, 3600.0, 10800.0, 13500.0, 21000.0])
    temperature = np.array([293.15, 380.0, 380.0, 440.0, 440.0])
    alpha = np.array([0.01])
    for k in range(4):
        slope = (temperature[k + 1] - temperature[k]) / (time[k + 1] - time[k])

        def rate(t: float, a: np.ndarray, k: int = k, slope: float = slope) -> np.ndarray:
            return law.rate(a, temperature[k] + slope * (t - time[k]))

        alpha = solve_ivp(rate, time[k : k + 2], alpha, method="LSODA", rtol=1e-10, atol=1e-12).y[:, -1]
    got = cured_along(law, time, temperature[None, :], 0.01)[0, -1]
    assert got == pytest.approx(float(alpha[0]), abs=1e-5)


def test_error_falls_with_the_tolerance() -> None:
    time = np.array([0.0, 3600.0, 14400.0])
    temperature = np.array([[293.15, 383.15, 383.15]])
    exact = cured_along(HUBERT, time, temperature, 0.01, tolerance=1e-10)[0, -1]
    off = [abs(cured_along(HUBERT, time, temperature, 0.01, tolerance=10.0**-k)[0, -1] - exact) for k in (3, 5, 7)]
    assert off[0] > 10.0 * off[1] > 100.0 * off[2]


def test_many_variants_are_as_each_alone() -> None:
    time = np.array([0.0, 3600.0, 14400.0])
    rows = np.array([[293.15, 353.15, 353.15], [293.15, 373.15, 373.15]])
    both = cured_along(EPOXY.kinetics, time, rows, 0.01, np.array([1.0, 1.1]), tolerance=1e-8)
    for k, rate in enumerate((1.0, 1.1)):
        alone = cured_along(EPOXY.kinetics, time, rows[k : k + 1], 0.01, rate, tolerance=1e-8)
        np.testing.assert_allclose(both[k], alone[0], atol=1e-7)


class Broken:
    """A law that gives no number."""

    valid = EPOXY.kinetics.valid
    stays_at_zero = False

    def rate(self, alpha, temperature):
        return np.full(np.shape(alpha), np.nan)

    def rate_and_slopes(self, alpha, temperature):
        nothing = np.full(np.shape(alpha), np.nan)
        return nothing, nothing, nothing


def test_a_law_that_gives_no_number_is_given_up() -> None:
    with pytest.raises(NotSolved) as error:
        cured_along(Broken(), np.array([0.0, 60.0]), np.full((1, 2), 350.0), 0.01)
    assert str(error.value) == "the degree of cure could be followed up to 0 s only"
