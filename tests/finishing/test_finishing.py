"""Climate, coats and grits against published figures."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.finishing import (
    GRITS,
    climate_findings,
    climate_of,
    coat_findings,
    dew_point_magnus,
    grit_sequence,
    mass_ratio,
    plan_coat,
    saturation_pressure_magnus,
    spreading_rate,
    wet_film,
)
from bagside.spec.library import generic_library

K = 273.15


@pytest.mark.published("Magnus formula with the constants of WMO-8 (2008); table derived from it")
@pytest.mark.parametrize(
    ("air", "points"),
    [
        (20, [1.88, 5.98, 9.26, 12.00, 14.36, 16.44, 18.31]),
        (25, [6.21, 10.46, 13.85, 16.69, 19.15, 21.31, 23.24]),
        (15, [-2.46, 1.49, 4.65, 7.29, 9.57, 11.58, 13.37]),
    ],
)
def test_dew_points(air: float, points: list[float]) -> None:
    found = [dew_point_magnus(air + K, rh / 100) - K for rh in (30, 40, 50, 60, 70, 80, 90)]
    assert found == pytest.approx(points, abs=0.005)


@pytest.mark.published("Magnus formula with the constants of WMO-8 (2008); table derived from it")
def test_saturation_pressure() -> None:
    found = [saturation_pressure_magnus(t + K) / 100 for t in (0, 10, 20, 25, 30, 40)]
    assert found == pytest.approx([6.112, 12.26, 23.33, 31.60, 42.34, 73.7], rel=5e-4)


@pytest.mark.published("trade table of dew points, air 18 to 25 °C at 40 to 70 % (calculated there, whole degrees)")
def test_trade_table() -> None:
    table = {18: [4, 7, 10, 12], 20: [6, 9, 12, 14], 23: [9, 12, 15, 17], 25: [11, 14, 17, 19]}
    for air, row in table.items():
        found = [dew_point_magnus(air + K, rh / 100) - K for rh in (40, 50, 60, 70)]
        assert found == pytest.approx(row, abs=0.75)


@given(st.floats(-10, 45), st.floats(0.1, 1.0))
def test_the_dew_point_is_where_air_is_saturated(air: float, humidity: float) -> None:
    dew = dew_point_magnus(air + K, humidity)
    assert dew <= air + K + 1e-9
    assert saturation_pressure_magnus(dew) == pytest.approx(humidity * saturation_pressure_magnus(air + K), rel=1e-9)


@pytest.mark.published("ISO 8502-4, 3 °C above the dew point: 25 °C at 60 % wants a surface of 19.7 °C")
def test_a_cold_part_must_wait() -> None:
    cold = climate_findings(climate_of(25 + K, 0.6, 19.6 + K), coldest=18 + K, wettest=0.85, place="coat clear")
    assert [f.severity for f in cold] == [Severity.STOP]
    assert cold[0].what == "the surface is 19.6 °C, the dew point 16.7 °C"
    assert cold[0].do == "warm the part to 19.7 °C or more, or dry the air"
    warm = climate_findings(climate_of(25 + K, 0.6, 19.8 + K), coldest=18 + K, wettest=0.85, place="coat clear")
    assert warm == ()


@pytest.mark.published("coating handbook: DFT 50 µm at 50 % solids is 100 µm wet, 10 m²/L; 125 µm at 71 % is 176 µm")
def test_wet_film_and_spreading_rate() -> None:
    assert 1e6 * wet_film(50e-6, 0.5) == pytest.approx(100)
    assert 1e6 * wet_film(50e-6, 0.5, 0.1) == pytest.approx(110)
    assert 1e6 * wet_film(125e-6, 0.71) == pytest.approx(176, abs=0.5)
    assert spreading_rate(50e-6, 0.5) / 1000 == pytest.approx(10.0)
    assert spreading_rate(125e-6, 0.65) / 1000 == pytest.approx(5.2)


def test_mix_by_mass() -> None:
    # Derived here from volumes and densities; no printed figure.
    assert 100 * mass_ratio((100, 50), (1150, 960)) == pytest.approx(41.7, abs=0.05)
    assert 100 * mass_ratio((2, 1), (1000, 1070)) == pytest.approx(53.5, abs=0.05)


@pytest.mark.published(
    "trade table of paint volume: 120 µm, 45 % solids, 50 % transfer is 0.53 L/m² (calculated there)"
)
def test_volume_for_a_square_metre() -> None:
    clear = generic_library().coating["clear-two-pack"]
    plan = plan_coat("clear", clear, area=1.0, times=3, rate=1 / 1200)
    assert plan.build == pytest.approx(120e-6)
    assert 1e3 * plan.times * plan.volume == pytest.approx(0.53, abs=0.005)
    assert plan.masses[1] / plan.masses[0] == pytest.approx(0.535, abs=5e-4)


def test_isocyanate_is_said_before_it_is_sprayed() -> None:
    clear = generic_library().coating["clear-two-pack"]
    found = coat_findings(plan_coat("clear", clear, area=1.0, times=2, rate=1 / 1200), clear)
    assert any("isocyanates" in f.what and "air-fed" in f.do for f in found)


def test_a_slow_coat_misses_its_recoat_window_and_its_pot() -> None:
    clear = generic_library().coating["clear-two-pack"]
    found = coat_findings(plan_coat("clear", clear, area=10.0, times=2, rate=1 / 1200), clear)
    assert [f.severity for f in found] == [Severity.DECIDE, Severity.WATCH, Severity.SEEN]
    assert found[0].what == "one coat on all parts takes 212 min; the next must follow within 120 min"


@pytest.mark.published("FEPA P grits, ISO 6344: median grain")
def test_grits() -> None:
    printed = {
        "P80": 201,
        "P120": 125,
        "P180": 82,
        "P240": 58.5,
        "P400": 35.0,
        "P800": 21.8,
        "P1500": 12.6,
        "P2500": 8.4,
    }
    for grit, micrometres in printed.items():
        assert 1e6 * GRITS[grit] == pytest.approx(micrometres)
    steps = grit_sequence("P240", "P2000")
    assert (steps[0], steps[-1]) == ("P240", "P2000")
    assert all(GRITS[a] / GRITS[b] <= 1.7 for a, b in itertools.pairwise(steps))
    with pytest.raises(InputError) as caught:
        grit_sequence("P242", "P400")
    assert str(caught.value) == 'grit: "P242" – a FEPA P grit is wanted (did you mean "P240"?)'
