"""A leak as a hole: choked flow against handbook formulae."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.bagging.leak import hole_diameter, orifice_flow
from bagside.errors import InputError

ATM = 101325.0


@pytest.mark.published("White, Fluid Mechanics, eq. 9.46b: m = 0.6847 p A / sqrt(R T) for air, from memory")
def test_choked_mass_flow() -> None:
    T, R, area = 293.15, 287.0, 1e-6
    mass = 0.6847 * ATM * area / math.sqrt(R * T)
    assert orifice_flow(area, ATM, 0.0, T) == pytest.approx(mass * R * T, rel=5e-4)


@pytest.mark.published("Vacuum handbook: 20 L/s through each cm² of hole in air of 20 °C below 0.528, from memory")
def test_twenty_litres_through_a_square_centimetre() -> None:
    assert orifice_flow(1e-4, ATM, 2000.0, 293.15) / ATM * 1e3 == pytest.approx(20.0, rel=0.01)


@pytest.mark.published("Vacuum handbook: 76.6 r^0.712 sqrt(1 - r^0.288) L/s for each cm², from memory")
@pytest.mark.parametrize("r", [0.55, 0.7, 0.9, 0.99])
def test_flow_that_is_not_choked(r: float) -> None:
    printed = 76.6 * r**0.712 * math.sqrt(1.0 - r**0.288)
    assert orifice_flow(1e-4, ATM, r * ATM, 293.15) / ATM * 1e3 == pytest.approx(printed, rel=0.01)


@pytest.mark.published("Isentropic flow tables, k = 1.4: critical pressure ratio 0.5283")
def test_below_the_critical_ratio_nothing_changes() -> None:
    choked = orifice_flow(1e-6, ATM, 0.0, 293.15)
    assert orifice_flow(1e-6, ATM, 0.5283 * ATM, 293.15) == pytest.approx(choked, rel=1e-6)
    assert orifice_flow(1e-6, ATM, 0.60 * ATM, 293.15) < 0.999 * choked


def test_no_difference_no_flow() -> None:
    assert orifice_flow(1e-6, ATM, ATM, 293.15) == 0.0


@given(st.floats(1e-6, 1e-3), st.floats(0.0, 0.95))
def test_the_hole_leaks_what_it_was_found_from(diameter: float, ratio: float) -> None:
    leak = orifice_flow(math.pi / 4 * diameter**2, ATM, ratio * ATM, 300.0)
    assert hole_diameter(leak, ATM, ratio * ATM, 300.0) == pytest.approx(diameter, rel=1e-9)


def test_what_is_no_leak_is_refused() -> None:
    with pytest.raises(InputError) as told:
        orifice_flow(1e-6, 1000.0, 2000.0, 300.0)
    assert str(told.value) == (
        "leak: 1e-06 m², 1000.0 Pa outside, 2000.0 Pa inside – absolute pressures are wanted, less inside"
    )
    with pytest.raises(InputError) as told:
        hole_diameter(1.0, ATM, ATM, 300.0)
    assert str(told.value) == "leak: 1.0 Pa m³/s at 101325.0 Pa outside – a leak into a vacuum is wanted"
