"""Laps against worked figures. Units of the sources are kept beside each case."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.joining import goland_reissner_1944, heat_shear, lap_length_by_rule, volkersen_1938

GPA, MM = 1e9, 1e-3


@pytest.mark.published("Volkersen's equation (source seen); these outputs derived from it, not printed anywhere")
@pytest.mark.parametrize(
    ("load", "length", "first", "second", "g", "ta", "ratio", "mean", "peak", "middle"),
    [
        (5e3, 12.5, (70, 1.6), (70, 1.6), 1.0, 0.2, 1.9589, 16.0, 31.34, 9.46),
        (8e3, 25.0, (54, 2.0), (54, 2.0), 0.8, 0.3, 2.799, 12.8, 35.83, None),
    ],
)
def test_balanced(
    load: float,
    length: float,
    first: tuple[float, float],
    second: tuple[float, float],
    g: float,
    ta: float,
    ratio: float,
    mean: float,
    peak: float,
    middle: float | None,
) -> None:
    s = volkersen_1938(
        load, length * MM, 25 * MM, modulus_1=first[0] * GPA, thickness_1=first[1] * MM, modulus_2=second[0] * GPA,
        thickness_2=second[1] * MM, shear_modulus=g * GPA, bondline=ta * MM,
    )  # fmt: skip
    assert s.mean / 1e6 == pytest.approx(mean, abs=0.05)
    assert s.peak / 1e6 == pytest.approx(peak, abs=0.005)
    assert s.peak / s.mean == pytest.approx(ratio, abs=0.0005)
    assert s.first == pytest.approx(s.second)
    assert s.lowest == pytest.approx(s.middle)
    if middle is not None:
        assert s.middle / 1e6 == pytest.approx(middle, abs=0.005)


@pytest.mark.published("Volkersen's equation (source seen); these outputs derived from it, not printed anywhere")
def test_unbalanced_is_worst_where_the_softer_sheet_carries() -> None:
    s = volkersen_1938(
        8e3, 25 * MM, 25 * MM, modulus_1=54 * GPA, thickness_1=2 * MM, modulus_2=70 * GPA, thickness_2=3 * MM,
        shear_modulus=0.8 * GPA, bondline=0.3 * MM,
    )  # fmt: skip
    assert s.first / 1e6 == pytest.approx(41.20, abs=0.005)
    assert s.second / 1e6 == pytest.approx(21.67, abs=0.005)
    assert s.middle / 1e6 == pytest.approx(5.56, abs=0.005)


@pytest.mark.published("Shigley's Mechanical Engineering Design, example 9-7 (double lap, mean 1000, ends 1922 psi)")
def test_double_lap_by_halves() -> None:
    # By symmetry half of the middle sheet works against one outer sheet: 0.050 in of steel under 0.150 in of aluminium.
    psi, inch, pound = 6894.757, 0.0254, 4.4482216
    s = volkersen_1938(
        1000 * pound, 1 * inch, 1 * inch, modulus_1=10e6 * psi, thickness_1=0.150 * inch, modulus_2=30e6 * psi,
        thickness_2=0.050 * inch, shear_modulus=0.2e6 * psi, bondline=0.020 * inch,
    )  # fmt: skip
    assert s.mean / psi == pytest.approx(1000, abs=0.5)
    assert s.peak / psi == pytest.approx(1922, abs=2)


@pytest.mark.published("Shigley's Mechanical Engineering Design, example 9-7 (200 to 70 °F leaves 2466 psi)")
def test_heat_in_a_double_lap_by_halves() -> None:
    psi, inch = 6894.757, 0.0254
    strain = (13.3e-6 - 6.0e-6) * (200 - 70)  # both per °F
    left = heat_shear(
        strain, 1 * inch, modulus_1=10e6 * psi, thickness_1=0.150 * inch, modulus_2=30e6 * psi,
        thickness_2=0.050 * inch, shear_modulus=0.2e6 * psi, bondline=0.020 * inch,
    )  # fmt: skip
    assert left / psi == pytest.approx(2466, abs=1.5)  # their w is rounded to 3.65; unrounded gives 2467


def test_heat_in_a_stiff_short_lap_is_the_free_movement_over_the_bondline() -> None:
    # Sheets so stiff that they do not give: each end slides by strain times half the length.
    left = heat_shear(
        1e-3, 0.01, modulus_1=1e15, thickness_1=0.01, modulus_2=1e15, thickness_2=0.01, shear_modulus=1e9,
        bondline=2e-4,
    )  # fmt: skip
    assert left == pytest.approx(1e9 * 1e-3 * 0.005 / 2e-4, rel=1e-5)


@pytest.mark.published("Goland, Reissner 1944 (equation seen restated in public; outputs recomputed from it)")
def test_single_lap_of_a_public_example() -> None:
    # Inputs from a public example (72 GPa, 1.6 mm, overlap 12.7 mm, 7.5 kN on 25.4 mm); outputs derived here.
    stress = 7.5e3 / (25.4 * MM * 1.6 * MM)
    k, ratio = goland_reissner_1944(
        stress, 6.35 * MM, modulus=72 * GPA, poisson=0.33, thickness=1.6 * MM, shear_modulus=0.7 * GPA,
        bondline=0.15 * MM,
    )  # fmt: skip
    assert k == pytest.approx(0.6077, abs=0.00005)
    assert ratio == pytest.approx(2.849, abs=0.0005)
    assert ratio * 7.5e3 / (25.4 * MM * 12.7 * MM) / 1e6 == pytest.approx(66.2, abs=0.05)


@pytest.mark.published("Goland, Reissner 1944 (equation seen restated in public; outputs recomputed from it)")
@pytest.mark.parametrize(("stress", "k"), [(50e6, 0.7464), (100e6, 0.6765), (200e6, 0.5989)])
def test_bending_factor(stress: float, k: float) -> None:
    found, _ = goland_reissner_1944(
        stress, 6.25 * MM, modulus=70 * GPA, poisson=0.33, thickness=1.6 * MM, shear_modulus=1 * GPA, bondline=0.2 * MM
    )
    assert found == pytest.approx(k, abs=0.0005)


@pytest.mark.published("Goland, Reissner 1944 (equation seen restated in public; outputs recomputed from it)")
def test_peak_of_a_single_lap() -> None:
    _, ratio = goland_reissner_1944(
        100e6, 6.25 * MM, modulus=70 * GPA, poisson=0.33, thickness=1.6 * MM, shear_modulus=1 * GPA, bondline=0.2 * MM
    )
    assert ratio == pytest.approx(3.0747, abs=0.0005)


def test_a_longer_lap_does_not_cut_the_peak() -> None:
    peaks = [
        volkersen_1938(
            100e3 * 25 * MM, length * MM, 25 * MM, modulus_1=70 * GPA, thickness_1=2 * MM, modulus_2=70 * GPA,
            thickness_2=2 * MM, shear_modulus=1 * GPA, bondline=0.2 * MM,
        ).peak
        / 1e6
        for length in (12.5, 25.0, 50.0)
    ]  # fmt: skip
    assert peaks == pytest.approx([14.34, 13.40, 13.36], abs=0.005)


@given(st.floats(0.005, 0.1), st.floats(1e9, 2e11), st.floats(1e9, 2e11), st.floats(1e8, 3e9), st.floats(5e-5, 1e-3))
def test_the_stress_along_the_lap_adds_up_to_the_load(length: float, e1: float, e2: float, g: float, ta: float) -> None:
    s = volkersen_1938(
        1e3,
        length,
        0.02,
        modulus_1=e1,
        thickness_1=0.002,
        modulus_2=e2,
        thickness_2=0.002,
        shear_modulus=g,
        bondline=ta,
    )
    assert 0.0 <= s.lowest <= s.mean * (1 + 1e-9) <= s.peak * (1 + 2e-9)
    assert s.lowest <= s.middle * (1 + 1e-9)
    # τ = C cosh wx + S sinh wx: C from the middle, S from the ends; its integral over the lap is the load.
    half = 0.5 * length * math.sqrt(g / ta * (1 / (e1 * 0.002) + 1 / (e2 * 0.002)))
    if half < 50.0:
        x = np.linspace(-1.0, 1.0, 4001)
        skew = 0.5 * (s.second - s.first) / math.sinh(half)
        along = s.middle * np.cosh(half * x) + skew * np.sinh(half * x)
        assert along[0] == pytest.approx(s.first, rel=1e-9, abs=1e-9 * s.peak)
        assert along[-1] == pytest.approx(s.second, rel=1e-9, abs=1e-9 * s.peak)
        assert 0.5 * np.trapezoid(along, x) == pytest.approx(s.mean, rel=1e-3)
        assert along.min() == pytest.approx(s.lowest, rel=1e-3, abs=1e-3 * s.mean)
    swapped = volkersen_1938(
        1e3,
        length,
        0.02,
        modulus_1=e2,
        thickness_1=0.002,
        modulus_2=e1,
        thickness_2=0.002,
        shear_modulus=g,
        bondline=ta,
    )
    assert math.isclose(s.first, swapped.second, rel_tol=1e-9)


def test_a_very_long_lap_is_carried_by_its_ends() -> None:
    s = volkersen_1938(
        1e3, 50.0, 0.02, modulus_1=70 * GPA, thickness_1=2 * MM, modulus_2=70 * GPA, thickness_2=2 * MM,
        shear_modulus=1 * GPA, bondline=0.2 * MM,
    )  # fmt: skip
    assert s.middle == s.lowest == 0.0
    w = math.sqrt(1e9 / 2e-4 * 2 / (70e9 * 2e-3))
    assert s.peak == pytest.approx(1e3 / 0.02 * w / 2)


def test_what_is_not_a_lap_is_refused_whole() -> None:
    with pytest.raises(InputError) as caught:
        volkersen_1938(
            1e3, 0.0, 0.02, modulus_1=70 * GPA, thickness_1=-1.0, modulus_2=70 * GPA, thickness_2=2 * MM,
            shear_modulus=1 * GPA, bondline=0.2 * MM,
        )  # fmt: skip
    assert str(caught.value).splitlines() == [
        "lap, length: 0 – a number above zero is wanted",
        "lap, thickness 1: -1 – a number above zero is wanted",
    ]
    with pytest.raises(InputError, match="lap, load: -5 N – a load that is not negative is wanted"):
        volkersen_1938(
            -5.0, 0.01, 0.02, modulus_1=70 * GPA, thickness_1=2 * MM, modulus_2=70 * GPA, thickness_2=2 * MM,
            shear_modulus=1 * GPA, bondline=0.2 * MM,
        )  # fmt: skip


@pytest.mark.published("one-page handbook of lay-up rules: single lap 80 t, double 30 t, scarf 1:50")
def test_rules_of_length() -> None:
    assert [lap_length_by_rule(k, 0.001) for k in ("single", "double", "scarf")] == pytest.approx([0.08, 0.03, 0.05])
    with pytest.raises(InputError) as caught:
        lap_length_by_rule("triple", 0.001)
    assert str(caught.value) == 'lap, kind: "triple" – one of single, double, scarf is wanted'
