from __future__ import annotations

import numpy as np
import pytest

from bagside.errors import InputError, NotSolved
from bagside.laminate import (
    Edge,
    Lamina,
    Plate,
    bent_by_force,
    bent_by_pressure,
    buckling,
    buckling_supported,
    deflection_even,
    deflection_point,
    deflection_sine,
    frequency,
    frequency_supported,
    laminate_of,
    ply_stresses,
    strip_of,
    three_point,
    wrinkling_hoff_mautner_1945,
)
from bagside.laminate.ply import LaidPly
from laminae import AS4, stack

S, C, F = Edge.SUPPORTED, Edge.CLAMPED, Edge.FREE
STEEL = Lamina(E1=210e9, E2=210e9, G12=210e9 / 2.6, nu12=0.3)
UNIT = np.array([[1, 0.3, 0], [0.3, 1, 0], [0, 0, 0.35]])


def unit_plate(b: float, edge: Edge) -> Plate:
    return Plate(D=UNIT, a=1.0, b=b, edges=(edge,) * 4)


def cross(contrast: float, shear: float, degrees: list[float]):
    lamina = Lamina(E1=contrast * 1e9, E2=1e9, G12=shear * 1e9, nu12=0.25)
    return stack(lamina, degrees, 0.01 / len(degrees))


@pytest.mark.published("Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, table 8")
@pytest.mark.parametrize(
    ("b", "w", "mx", "my"),
    [
        (1.0, 0.00406, 0.0479, 0.0479),
        (1.2, 0.00564, 0.0627, 0.0501),
        (1.5, 0.00772, 0.0812, 0.0498),
        (2.0, 0.01013, 0.1017, 0.0464),
        (3.0, 0.01223, 0.1189, 0.0406),
    ],
)
def test_simply_supported_under_pressure(b, w, mx, my):
    found = bent_by_pressure(unit_plate(b, S), 1.0)
    assert found.deflection == pytest.approx(w, abs=1.1e-5)
    assert found.moments[:2] == pytest.approx([mx, my], abs=1.1e-4)


@pytest.mark.published("Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, table 35 (1.2 and 1.5: memory)")
@pytest.mark.parametrize(
    ("b", "w", "mx", "edge"),
    [
        (1.0, 0.00126, 0.0229, -0.0513),
        (1.2, 0.00172, 0.0299, -0.0639),
        (1.5, 0.00220, 0.0368, -0.0757),
        (2.0, 0.00254, 0.0412, -0.0829),
    ],
)
def test_clamped_under_pressure(b, w, mx, edge):
    plate = unit_plate(b, C)
    found = bent_by_pressure(plate, 1.0)
    assert found.deflection == pytest.approx(w, rel=5e-3)
    assert found.moments[0] == pytest.approx(mx, rel=5e-3)
    assert bent_by_pressure(plate, 1.0, (0.0, b / 2)).moments[0] == pytest.approx(edge, abs=1.1e-4)


@pytest.mark.published("Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, table 23")
def test_central_force_on_a_simply_supported_plate():
    steel = stack(STEEL, [0], 1e-3)
    for b, w in zip(
        (1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 3),
        (0.01160, 0.01265, 0.01353, 0.01484, 0.01570, 0.01620, 0.01651, 0.01690),
        strict=True,
    ):
        assert deflection_point(steel, 1, b, 1.0) * steel.D[0, 0] == pytest.approx(w, rel=3e-3)


@pytest.mark.published("Timoshenko and Woinowsky-Krieger, tables 23 and 37, square plates")
def test_central_force_by_ritz_is_a_little_stiff():
    assert bent_by_force(unit_plate(1, S), 1.0).deflection == pytest.approx(0.01160, rel=5e-3)
    assert bent_by_force(unit_plate(1, C), 1.0).deflection == pytest.approx(0.0056, abs=5e-5)


@pytest.mark.published("Leissa 1969 and 1973, NASA SP-160 table 4.53 and J. Sound Vib.; cantilever by splines")
@pytest.mark.parametrize(("edges", "omega"), [((S,) * 4, 19.739), ((C,) * 4, 35.99), ((C, F, F, F), 3.471)])
def test_frequencies(edges, omega):
    found = frequency(Plate(D=UNIT, a=1, b=1, edges=edges), 1.0) * 2 * np.pi
    assert found == pytest.approx(omega, rel=4e-4)


@pytest.mark.published("Timoshenko and Gere, Theory of Elastic Stability, square plates (clamped: from memory)")
@pytest.mark.parametrize(
    ("edge", "load", "k", "band"),
    [
        (S, (-1, 0, 0), 4.00, 1e-3),
        (C, (-1, 0, 0), 10.07, 1e-3),
        (S, (0, 0, 1), 9.34, 5e-3),
        (C, (0, 0, 1), 14.71, 1e-2),
    ],
)
def test_buckling_of_isotropic_squares(edge, load, k, band):
    assert buckling(unit_plate(1, edge), load) / np.pi**2 == pytest.approx(k, rel=band)


@pytest.mark.published("Reddy 2004, Mechanics of Laminated Composite Plates and Shells, classical theory (from memory)")
def test_laminated_squares_under_pressure():
    scale = 100 * 1e9 * 0.01**3
    for degrees, sine, even in (
        ([0], 0.4312, 0.6497),
        ([0, 90, 0], 0.4312, 0.6660),
        ([0, 90, 90, 0], 0.4312, 0.6797),
        ([0, 90], 1.0636, 1.6955),
    ):
        lam = cross(25, 0.5, degrees)
        assert deflection_sine(lam, 1, 1, 1) * scale == pytest.approx(sine, abs=5.1e-5)
        assert deflection_even(lam, 1, 1, 1) * scale == pytest.approx(even, abs=6e-5)


@pytest.mark.published("Reddy and Khdeir, buckling and vibration of cross-ply squares, classical theory (from memory)")
def test_laminated_squares_buckle_and_vibrate():
    for contrast, n in ((3, 5.754), (10, 11.492), (20, 19.712), (30, 27.936), (40, 36.160)):
        assert buckling_supported(cross(contrast, 0.6, [0, 90, 90, 0]), 1, 1) / 1e3 == pytest.approx(n, abs=6e-4)
    assert buckling_supported(cross(40, 0.6, [0, 90]), 1, 1) / 1e3 == pytest.approx(12.957, abs=6e-4)
    omega = frequency_supported(cross(40, 0.6, [0, 90, 90, 0]), 1, 1, 10.0) * 2 * np.pi
    assert omega / 0.01 * np.sqrt(1000 / 1e9) == pytest.approx(18.891, abs=6e-4)


def test_series_and_ritz_agree_on_a_symmetric_cross_ply():
    lam = stack(AS4, [0, 90, 90, 0], 0.25e-3)
    plate = Plate(D=lam.bending, a=0.3, b=0.2)
    assert bent_by_pressure(plate, 1e3).deflection == pytest.approx(deflection_even(lam, 0.3, 0.2, 1e3), rel=1e-4)
    assert frequency(plate, 1.55) == pytest.approx(frequency_supported(lam, 0.3, 0.2, 1.55), rel=1e-6)
    assert buckling(plate, (-1, -0.5, 0)) == pytest.approx(buckling_supported(lam, 0.3, 0.2, 0.5), rel=1e-4)


@pytest.mark.published("Soden, Hinton and Kaddour 1998, moduli of AS4/3501-6 (plate derived here)")
def test_a_quasi_isotropic_sheet_as_a_plate():
    sheet = Lamina(E1=51.06e9, E2=51.06e9, G12=51.06e9 / 2 / 1.2915, nu12=0.2915)
    lam = stack(sheet, [0], 2e-3)
    assert lam.D[0, 0] == pytest.approx(37.20, abs=6e-3)
    assert deflection_even(lam, 0.3, 0.3, 1e3) * 1e3 == pytest.approx(0.884, abs=1e-3)


def test_turning_the_plate_by_a_quarter_changes_nothing():
    lam = stack(AS4, [30, 60, 60, 30], 0.25e-3)
    turned = stack(AS4, [120, 150, 150, 120], 0.25e-3)
    one = Plate(D=lam.D, a=0.3, b=0.2, edges=(C, F, S, S))
    two = Plate(D=turned.D, a=0.2, b=0.3, edges=(S, S, C, F))
    assert frequency(one, 1.5) == pytest.approx(frequency(two, 1.5), rel=1e-8)


def test_too_few_terms_are_not_called_solved():
    with pytest.raises(NotSolved, match="still changes"):
        bent_by_force(unit_plate(1, C), 1.0, terms=6)
    with pytest.raises(NotSolved, match="the buckling load still changes"):
        buckling(Plate(D=UNIT, a=6.0, b=1.0), (-1, 0, 0), terms=6)


def test_plates_that_cannot_stand_are_refused():
    with pytest.raises(InputError, match="one clamped or two supported edges"):
        Plate(D=UNIT, a=1, b=1, edges=(S, F, F, F))
    with pytest.raises(InputError, match="positive definite"):
        Plate(D=-UNIT, a=1, b=1)
    with pytest.raises(InputError, match="compression or shear"):
        buckling(unit_plate(1, S), (1.0, 1.0, 0.0))
    for mass in (frequency, lambda p, m: frequency_supported(stack(AS4, [0], 1e-3), 1, 1, m)):
        with pytest.raises(InputError, match="mass per area"):
            mass(unit_plate(1, S), 0.0)
    with pytest.raises(InputError, match="use `ritz`"):
        deflection_even(stack(AS4, [30], 1e-3), 1, 1, 1)
    with pytest.raises(InputError, match="a place on the plate"):
        bent_by_pressure(unit_plate(1, S), 1.0, (2.0, 0.5))


@pytest.mark.published("NAFEMS R0031 test 1, laminated strip under three-point bending")
def test_laminated_strip():
    lamina = Lamina(E1=100e9, E2=5e9, G12=3e9, nu12=0.4)
    lam = stack(lamina, [0, 90, 0, 90, 0, 90, 0], [1e-4, 1e-4, 1e-4, 4e-4, 1e-4, 1e-4, 1e-4])
    strip = strip_of(lam, [2e9] * 7)
    bending, shear = three_point(strip, 0.03, 10e3)
    assert (bending + shear) * 1e3 == pytest.approx(1.06, abs=5.1e-3)
    assert bending * 1e3 == pytest.approx(1.0192, abs=1e-4)  # derived here
    assert abs(ply_stresses(lam, (0, 0, 0), (10e3 * 0.03 / 4, 0, 0))[0, 0, 0]) / 1e6 == pytest.approx(684, abs=0.5)
    assert strip.interfaces[1] * 5e3 / 1e6 == pytest.approx(4.1, abs=0.05)
    assert strip.interfaces[[0, -1]] == pytest.approx([0, 0], abs=1e-6 * strip.interfaces.max())


@pytest.mark.published("Allen 1969, Analysis and Design of Structural Sandwich Panels, formulae (figures derived here)")
def test_sandwich_strip():
    face = Lamina(E1=54e9, E2=54e9, G12=20e9, nu12=0.3)
    core = Lamina(E1=1e3, E2=1e3, G12=30e6, nu12=0.3)
    lam = laminate_of(
        [
            LaidPly(name=str(k), lamina=x, thickness=t, angle=0.0)
            for k, (x, t) in enumerate(((face, 1e-3), (core, 20e-3), (face, 1e-3)))
        ]
    )
    strip = strip_of(lam, [20e9, 30e6, 20e9])
    bending, shear = three_point(strip, 0.5, 500 / 0.05)
    # thin faces in the formula, faces of their own thickness here: 0.2 % and less
    assert bending * 1e3 == pytest.approx(2.187, rel=3e-3)
    assert shear * 1e3 == pytest.approx(1.890, rel=5e-3)
    assert strip.interfaces[1] * 250 / 0.05 / 1e6 == pytest.approx(0.238, abs=5.1e-4)


@pytest.mark.published("Hoff and Mautner 1945, wrinkling in its design form (figure derived here)")
def test_wrinkling():
    assert wrinkling_hoff_mautner_1945(54e9, 70e6, 30e6) / 1e6 == pytest.approx(242, abs=0.5)


def test_shear_of_a_solid_strip_has_the_factor_five_sixths():
    strip = strip_of(stack(STEEL, [0, 0, 0], 1e-3), [80e9] * 3)
    assert strip.shear == pytest.approx(5 / 6 * 80e9 * 3e-3, rel=1e-12)
    with pytest.raises(InputError, match="one positive modulus"):
        strip_of(stack(STEEL, [0, 0], 1e-3), [80e9])
