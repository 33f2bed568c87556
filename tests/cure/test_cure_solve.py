"""The solver against closed forms, against published data integrated to convergence, and against itself."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bagside.cure import (
    Air,
    CureResin,
    HubertEtAl2001,
    Layer,
    LeeLoosSpringer1982,
    NthOrder,
    Programme,
    Section,
    Segment,
    heat_balance,
    simulate,
)
from bagside.errors import InputError, NotSolved

ZERO_C = 273.15
LLS = LeeLoosSpringer1982(A1=2.101e9 / 60, A2=-2.014e9 / 60, A3=1.960e5 / 60, E1=8.07e4, E2=7.78e4, E3=5.66e4)
HUBERT = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)


def resin(kinetics=LLS, heat=473.6e3, alpha0=0.0) -> CureResin:
    return CureResin(
        kinetics=kinetics,
        heat=heat,
        density=1272.0,
        heat_capacity=1260.0,
        conductivity=0.167,
        tg0=253.15,
        tg1=493.15,
        tg_lambda=0.5,
        gel=0.5,
        alpha0=alpha0,
    )


def laminate(thickness: float, cells: int = 24) -> Layer:
    return Layer(
        name="laminate",
        thickness=thickness,
        density=1578.0,
        heat_capacity=862.0,
        conductivity=0.4135,
        resin=1272.0 * 0.48,
        cells=cells,
    )


def held(thickness: float, cells: int = 24, name: str = "held") -> Section:
    return Section(name=name, layers=(laminate(thickness, cells),), film_bag=math.inf, film_tool=math.inf)


def two_dwell() -> Programme:
    ramp = 2.5 / 60
    return Programme(
        start=25 + ZERO_C,
        segments=(
            Segment(target=116 + ZERO_C, ramp=ramp, hold=3600.0),
            Segment(target=177 + ZERO_C, ramp=ramp, hold=7200.0),
        ),
    )


@pytest.mark.published("Lee Loos Springer 1982 set integrated to convergence (derived here), 25.4 mm, faces held")
def test_exotherm_of_one_inch():
    (h,) = simulate([held(0.0254, 41)], resin(), two_dwell(), output_interval=30.0, tolerance=0.02)
    mid = h.temperature[:, 20] - ZERO_C
    assert mid.max() == pytest.approx(200.0, abs=0.1)
    assert h.time[mid.argmax()] / 60 == pytest.approx(126.5, abs=0.5)
    early = h.time < 70 * 60
    assert mid[early].max() == pytest.approx(124.4, abs=0.1)
    assert h.time[early][mid[early].argmax()] / 60 == pytest.approx(46.0, abs=1.0)
    alpha = np.interp([3600.0, 5400.0, 7200.0, 9600.0], h.time, h.alpha[:, 20])
    assert alpha == pytest.approx([0.227, 0.291, 0.572, 0.979], abs=1e-3)


def test_zero_start_is_refused_where_it_never_reacts():
    with pytest.raises(InputError, match="never starts to react"):
        resin(kinetics=HUBERT, alpha0=0.0)
    s = Section(name="flange", layers=(laminate(0.002),), film_bag=20.0, film_tool=20.0, alpha0=0.0)
    with pytest.raises(InputError, match="flange, alpha0"):
        simulate([s], resin(kinetics=HUBERT, alpha0=0.01), two_dwell())


def test_gives_up_and_says_where():
    with pytest.raises(NotSolved, match="held: after 5 steps"):
        simulate([held(0.0254)], resin(), two_dwell(), max_steps=5)


def test_sections_together_as_alone():
    sections = [held(t, n, f"{t}") for t, n in ((0.002, 6), (0.0254, 24), (0.01, 12))]
    r = resin()
    together = simulate(sections, r, two_dwell())
    for s, h in zip(sections, together, strict=True):
        (alone,) = simulate([s], r, two_dwell())
        assert h.temperature == pytest.approx(alone.temperature, abs=1e-6)
        assert h.alpha == pytest.approx(alone.alpha, abs=1e-8)


def test_heat_adds_up():
    section = Section(
        name="on tool",
        layers=(
            laminate(0.02),
            Layer(name="tool", thickness=0.01, density=2700, heat_capacity=900, conductivity=160, cells=6),
        ),
        film_bag=20.0,
        film_tool=25.0,
    )
    r = resin()
    coarse, fine = (
        heat_balance(simulate([section], r, two_dwell(), output_interval=i, tolerance=1e-3)[0]) for i in (60.0, 15.0)
    )
    assert abs(fine.relative) < 2e-5
    assert abs(fine.residual) < abs(coarse.residual)


def test_no_resin_follows_a_ramp_with_the_lumped_lag():
    """A thin metal sheet lags a ramp by rate × ρ c t/(2 h) (derived here)."""
    sheet = Layer(name="tool", thickness=0.01, density=2700, heat_capacity=900, conductivity=160, cells=4)
    s = Section(name="sheet", layers=(sheet,), film_bag=25.0, film_tool=25.0)
    p = Programme(start=300.0, segments=(Segment(target=420.0, ramp=2 / 60),))
    (h,) = simulate([s], resin(kinetics=NthOrder(A=1e5, E=7e4, n=1.0)), p)
    tau = 2700 * 900 * 0.01 / 50
    wanted = h.air - 2 / 60 * tau * (1 - np.exp(-h.time / tau))
    assert h.temperature.mean(axis=1) == pytest.approx(wanted, abs=0.05)


def test_step_in_the_air_against_the_exact_series():
    """Slab at 300 K, both faces put to 400 K: the classical series (Carslaw and Jaeger)."""
    k, rho, c, length = 0.5, 1500.0, 1000.0, 0.02
    n = 60
    layer = Layer(name="slab", thickness=length, density=rho, heat_capacity=c, conductivity=k, cells=n)
    s = Section(name="slab", layers=(layer,), film_bag=math.inf, film_tool=math.inf, start=300.0)
    air = Air.recorded([0.0, 1200.0], [400.0, 400.0])
    (h,) = simulate([s], resin(), air, output_interval=10.0, tolerance=1e-3)
    a = k / rho / c
    i = h.time > 60.0
    m = np.arange(60)
    x = np.asarray(h.x)
    shape = 4 / np.pi / (2 * m + 1) * np.sin((2 * m + 1) * np.pi * x[:, None] / length)
    fade = np.exp(-(((2 * m + 1) * np.pi / length) ** 2) * a * h.time[i][:, None])
    wanted = 400.0 - 100.0 * fade @ shape.T
    assert h.temperature[i] == pytest.approx(wanted, abs=0.03)
