"""Climate, coats and grits against published figures."""

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.finishing import (
    GRITS,
    climate_findings,
    climate_of,
    closed_share,
    coat_findings,
    dew_point_magnus,
    fill_passes,
    grit_sequence,
    mass_ratio,
    plan_coat,
    saturation_pressure_magnus,
    spreading_rate,
    warmed_until,
    wet_film,
)
from bagside.spec.library import generic_library

K = 273.15
COATINGS = generic_library().coating


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


@given(st.floats(5, 30), st.floats(0.2, 1.0), st.floats(0.2, 1.0))
def test_warmed_air_is_as_dry_as_wanted_and_keeps_its_dew_point(air: float, humidity: float, wanted: float) -> None:
    warm = warmed_until(air + K, humidity, wanted)
    assert warm >= air + K - 1e-9
    if humidity > wanted and warm <= 60 + K:
        assert dew_point_magnus(warm, wanted) == pytest.approx(dew_point_magnus(air + K, humidity), abs=1e-6)


def test_damp_air_is_told_how_warm_it_must_get() -> None:
    # 15 °C at 95 % is 16.19 hPa; at 85 % that is 19.05 hPa at saturation, 16.7 °C.
    damp = climate_findings(climate_of(15 + K, 0.95, 20 + K), coldest=10 + K, wettest=0.85, place="coat clear")
    assert [(f.severity, f.what) for f in damp] == [
        (Severity.DECIDE, "the air holds 95 %; this coat allows 85 %"),
    ]
    assert damp[0].do == "heat the room to 17 °C with a heater that burns nothing in it, or wait for drier air"
    wet = climate_findings(climate_of(30 + K, 0.95, 40 + K), coldest=10 + K, wettest=0.5, place="coat clear")
    assert wet[0].do == "wait for drier air or dry it: heating the room alone does not do it"


def test_a_cold_shop_is_told() -> None:
    (cold,) = climate_findings(climate_of(12 + K, 0.4), coldest=18 + K, wettest=0.85, place="coat clear")
    assert cold.what == "the shop is 12.0 °C; this coat wants 18.0 °C"


def test_climate_out_of_range_is_refused() -> None:
    with pytest.raises(InputError, match=r"humidity: 0 % – more than 0 and at most 100 % is wanted"):
        dew_point_magnus(20 + K, 0.0)
    with pytest.raises(InputError, match=r"air: 70\.0 °C – a temperature from −45 to 60 °C is wanted"):
        dew_point_magnus(70 + K, 0.5)


def test_fill_passes_by_hand() -> None:
    # 200 a square metre, each pass closes 80 %: 40, 8, 1.6.
    assert [fill_passes(200, a, closed=0.8) for a in (200, 40, 39, 8, 2)] == [0, 1, 2, 2, 3]
    assert fill_passes(200, 0, closed=1.0) == 1
    assert closed_share(50, 10) == pytest.approx(0.8)
    with pytest.raises(InputError) as caught:
        fill_passes(200, 0, closed=0.5)
    assert str(caught.value) == (
        "pinholes: 200 found on 1 m², 0 accepted, 50 % closed by a pass – more than 6 passes would be needed "
        "(accept more, close more with each pass, or look for the cause in lay-up and cure)"
    )
    with pytest.raises(InputError, match="some before and no more after"):
        closed_share(10, 11)


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
    clear = COATINGS["clear-two-pack"]
    plan = plan_coat("clear", clear, area=1.0, times=3, rate=1 / 1200)
    assert plan.build == pytest.approx(120e-6)
    assert 1e3 * plan.times * plan.volume == pytest.approx(0.53, abs=0.005)
    assert plan.masses[1] / plan.masses[0] == pytest.approx(0.535, abs=5e-4)


@given(st.floats(0.1, 20.0), st.integers(1, 4), st.sampled_from(["clear-two-pack", "primer-epoxy", "pinhole-epoxy"]))
def test_masses_mix_back_to_the_volume_and_what_lands_is_the_film(area: float, times: int, name: str) -> None:
    coating = COATINGS[name]
    plan = plan_coat(name, coating, area=area, times=times, rate=1 / 1200)
    parts = [m / d for m, d in zip(plan.masses, coating.densities, strict=True)]
    assert sum(parts) == pytest.approx(plan.volume)
    assert parts[0] / parts[1] == pytest.approx(coating.parts_by_volume[0] / coating.parts_by_volume[1])
    assert plan.volume * coating.transfer * coating.solids / area == pytest.approx(coating.dry_film)
    assert plan.mass == pytest.approx(times * sum(plan.masses))
    assert plan.pots * 0.7 * plan.pot_life >= plan.spray * (1 - 1e-12)


def test_a_coat_of_nothing_is_refused_whole() -> None:
    clear = replace(COATINGS["clear-two-pack"], parts_by_volume=(0.0, 0.0))
    with pytest.raises(InputError) as caught:
        plan_coat("clear", clear, area=0.0, times=0, rate=1.0)
    assert str(caught.value).splitlines() == [
        "coating clear, area: 0 – a number above zero is wanted",
        "coating clear, times: 0 – a number above zero is wanted",
        "coating clear, parts by volume: 0 : 0 – two parts are wanted, none negative, as in 2 : 1",
    ]
    with pytest.raises(InputError) as caught:
        wet_film(0.0, 1.2, -0.1)
    assert str(caught.value).splitlines() == [
        "coating, dry film: 0 m – a film above zero is wanted",
        "coating, solids: 120 % – more than 0 and at most 100 % is wanted",
        "coating, thinner: -10 % – a share not below 0 is wanted",
    ]


def test_isocyanate_is_said_before_it_is_sprayed() -> None:
    clear = COATINGS["clear-two-pack"]
    found = coat_findings(plan_coat("clear", clear, area=1.0, times=2, rate=1 / 1200), clear)
    assert any("isocyanates" in f.what and "air-fed" in f.do for f in found)


def test_a_slow_coat_misses_its_recoat_window_and_its_pot() -> None:
    clear = COATINGS["clear-two-pack"]
    found = coat_findings(plan_coat("clear", clear, area=10.0, times=2, rate=1 / 1200), clear)
    assert [f.severity for f in found] == [Severity.DECIDE, Severity.WATCH, Severity.SEEN]
    assert found[0].what == "one coat on all parts takes 212 min; the next must follow within 120 min"


@pytest.mark.published("FEPA P grits, ISO 6344: median grain")
def test_grits() -> None:
    printed = {
        "P80": 201, "P100": 162, "P120": 125, "P150": 100, "P180": 82, "P220": 68, "P240": 58.5, "P280": 52.2,
        "P320": 46.2, "P360": 40.5, "P400": 35.0, "P500": 30.2, "P600": 25.8, "P800": 21.8, "P1000": 18.3,
        "P1200": 15.3, "P1500": 12.6, "P2000": 10.3, "P2500": 8.4,
    }  # fmt: skip
    assert list(GRITS) == list(printed)
    for grit, micrometres in printed.items():
        assert 1e6 * GRITS[grit] == pytest.approx(micrometres)
    assert grit_sequence("P400", "P400") == ("P400",)
    with pytest.raises(InputError, match="grit: P400 to P240 – the last must be the finer"):
        grit_sequence("P400", "P240")
    with pytest.raises(InputError, match="no grit follows P80 within this ratio"):
        grit_sequence("P80", "P240", ratio=1.05)
    steps = grit_sequence("P240", "P2000")
    assert (steps[0], steps[-1]) == ("P240", "P2000")
    assert all(GRITS[a] / GRITS[b] <= 1.7 for a, b in itertools.pairwise(steps))
    with pytest.raises(InputError) as caught:
        grit_sequence("P242", "P400")
    assert str(caught.value) == 'grit: "P242" – a FEPA P grit is wanted (did you mean "P240"?)'
