"""Laps against worked figures. Units of the sources are kept beside each case."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.joining import goland_reissner_1944, lap_length_by_rule, volkersen_1938

GPA, MM = 1e9, 1e-3


@pytest.mark.published("Volkersen's equation (source seen); these outputs derived from it, not printed anywhere")
@pytest.mark.parametrize(
    ("load", "length", "first", "second", "g", "ta", "ratio", "mean", "peak"),
    [
        (5e3, 12.5, (70, 1.6), (70, 1.6), 1.0, 0.2, 1.9589, 16.0, 31.34),
        (8e3, 25.0, (54, 2.0), (54, 2.0), 0.8, 0.3, 2.799, 12.8, 35.83),
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
) -> None:
    s = volkersen_1938(
        load, length * MM, 25 * MM, modulus_1=first[0] * GPA, thickness_1=first[1] * MM, modulus_2=second[0] * GPA,
        thickness_2=second[1] * MM, shear_modulus=g * GPA, bondline=ta * MM,
    )  # fmt: skip
    assert s.mean / 1e6 == pytest.approx(mean, abs=0.05)
    assert s.peak / 1e6 == pytest.approx(peak, abs=0.005)
    assert s.peak / s.mean == pytest.approx(ratio, abs=0.0005)
    assert s.first == pytest.approx(s.second)


@pytest.mark.published("Volkersen's equation (source seen); these outputs derived from it, not printed anywhere")
def test_unbalanced_is_worst_where_the_softer_sheet_carries() -> None:
    s = volkersen_1938(
        8e3, 25 * MM, 25 * MM, modulus_1=54 * GPA, thickness_1=2 * MM, modulus_2=70 * GPA, thickness_2=3 * MM,
        shear_modulus=0.8 * GPA, bondline=0.3 * MM,
    )  # fmt: skip
    assert max(s.first, s.second) / 1e6 == pytest.approx(41.20, abs=0.005)
    assert min(s.first, s.second) / 1e6 == pytest.approx(21.67, abs=0.005)


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


@pytest.mark.published("Goland, Reissner 1944 (equation seen in a public transcription; outputs recomputed from it)")
@pytest.mark.parametrize(("stress", "k"), [(50e6, 0.7464), (100e6, 0.6765), (200e6, 0.5989)])
def test_bending_factor(stress: float, k: float) -> None:
    found, _ = goland_reissner_1944(
        stress, 6.25 * MM, modulus=70 * GPA, poisson=0.33, thickness=1.6 * MM, shear_modulus=1 * GPA, bondline=0.2 * MM
    )
    assert found == pytest.approx(k, abs=0.0005)


@pytest.mark.published("Goland, Reissner 1944 (equation seen in a public transcription; outputs recomputed from it)")
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


@pytest.mark.published("one-page handbook of lay-up rules: single lap 80 t, double 30 t, scarf 1:50")
def test_rules_of_length() -> None:
    assert [lap_length_by_rule(k, 0.001) for k in ("single", "double", "scarf")] == pytest.approx([0.08, 0.03, 0.05])
    with pytest.raises(InputError) as caught:
        lap_length_by_rule("triple", 0.001)
    assert str(caught.value) == 'lap, kind: "triple" – one of single, double, scarf is wanted'
