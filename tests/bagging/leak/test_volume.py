"""Free volume: from area, from a vessel let in, from a bleed; each recovered from made-up tests."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.bagging.leak import stated_volume, volume_by_bleed, volume_by_vessel, volume_of_area
from bagside.errors import InputError
from bagside.findings import Basis

ATM = 101325.0


@given(st.floats(5e-4, 2e-2), st.floats(2e-4, 5e-3), st.floats(500.0, 5000.0))
def test_a_vessel_let_in_gives_the_volume_back(bag: float, vessel: float, left: float) -> None:
    """Boyle: the air of both stays the same."""
    together = (bag * left + vessel * ATM) / (bag + vessel)
    found = volume_by_vessel(vessel, vessel_pressure=ATM, bag_pressure=left, shared=together, step=1.0)
    assert found.value == pytest.approx(bag, rel=1e-9)
    assert found.basis is Basis.MEASURED


def test_its_spread_is_that_of_many_rounded_tests() -> None:
    rng = np.random.default_rng(3)
    bag, vessel, step = 0.004, 0.001, 100.0
    found = []
    for _ in range(4000):
        left = rng.uniform(1500.0, 2500.0)
        outside = rng.uniform(99000.0, 101000.0)
        together = (bag * left + vessel * outside) / (bag + vessel)
        read = [round(p / step) * step for p in (outside, left, together)]
        v = volume_by_vessel(vessel, vessel_pressure=read[0], bag_pressure=read[1], shared=read[2], step=step)
        found.append((v.value, v.spread))
    values, spreads = np.array(found).T
    assert values.std() == pytest.approx(spreads.mean(), rel=0.1)
    assert values.mean() == pytest.approx(bag, rel=1e-3)


def test_a_bleed_worked_by_hand() -> None:
    """100 cm³/min for a minute is 10.13 Pa m³; 50 mbar more than without it: 2.03 L."""
    found = volume_by_bleed(100 / 6e7, time=60.0, rise=5200.0, rise_without=200.0, step=100.0)
    assert found.value == pytest.approx(100e-6 * ATM / 5000.0, rel=1e-12)
    assert found.value == pytest.approx(2.03e-3, rel=2e-3)


def test_area_is_rough_and_says_so() -> None:
    """1.5 mm of air under each square metre and half a litre of lines: common practice."""
    found = volume_of_area(1.0)
    assert found.value == pytest.approx(2.0e-3)
    assert found.spread == pytest.approx(1.0e-3)
    assert found.basis is Basis.COMMON
    assert volume_of_area(1.0, layers=2.0).value == pytest.approx(3.5e-3)
    assert stated_volume(0.003).spread == pytest.approx(3e-4)


def test_whole_messages() -> None:
    with pytest.raises(InputError) as told:
        volume_by_vessel(0.001, vessel_pressure=1e5, bag_pressure=2e3, shared=2.2e3, step=100.0)
    assert str(told.value) == (
        "free volume, vessel: 1.0 L at 1\u2009000 mbar, bag 20 mbar, together 22 mbar – "
        "a pressure between the two that moved by more than three steps of the gauge is wanted"
    )
    with pytest.raises(InputError) as told:
        volume_by_bleed(1e-7, time=60.0, rise=300.0, rise_without=200.0, step=100.0)
    assert str(told.value) == (
        "free volume, bleed: 6 cm³/min for 1.0 min: 3.0 mbar, 2.0 mbar without it – "
        "a difference of more than three steps of the gauge is wanted (leave it open for longer)"
    )
    with pytest.raises(InputError) as told:
        volume_of_area(0.0)
    assert str(told.value) == "free volume: 0.0 m² under the bag – an area and a breather are wanted"
    with pytest.raises(InputError) as told:
        stated_volume(0.0)
    assert str(told.value) == "free volume: 0.0 m³ – more than zero is wanted"
