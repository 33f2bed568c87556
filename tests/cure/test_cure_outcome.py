"""What a cure came to: crossings by hand, and outcomes of histories that are known."""

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
    HubertEtAl2001,
    Layer,
    NthOrder,
    Programme,
    Section,
    SectionHistory,
    Segment,
    heat_balance,
    outcomes,
    simulate,
)
from bagside.cure.outcome import crossed, time_above
from bagside.errors import InputError

ZERO_C = 273.15
LAW = NthOrder(A=1e5, E=7e4, n=1.0)


def resin(**changes) -> CureResin:
    values = {
        "kinetics": LAW,
        "heat": 400e3,
        "density": 1200.0,
        "heat_capacity": 1200.0,
        "conductivity": 0.2,
        "tg0": 260.0,
        "tg1": 400.0,
        "tg_lambda": 0.5,
        "gel": 0.5,
        "alpha0": 0.01,
    }
    return CureResin(**{**values, **changes})


def made_up() -> SectionHistory:
    """Two laminate cells on one tool cell, every number chosen by hand."""
    lam = Layer(
        name="laminate", thickness=0.002, density=1500, heat_capacity=1000, conductivity=1.0, resin=500, cells=2
    )
    tool = Layer(name="tool", thickness=0.001, density=2700, heat_capacity=900, conductivity=1.0, cells=1)
    section = Section(name="wing root", layers=(lam, tool), film_bag=math.inf, film_tool=math.inf)
    return SectionHistory(
        section=section,
        time=np.array([0.0, 100.0, 200.0, 300.0]),
        programme=np.array([300.0, 400.0, 400.0, 350.0]),
        air=np.array([300.0, 390.0, 400.0, 350.0]),
        temperature=np.array([[300.0, 300, 300], [380, 370, 360], [410, 398, 380], [360, 365, 370]]),
        alpha=np.array([[0.0, 0.0], [0.2, 0.1], [0.8, 0.4], [0.9, 0.8]]),
        peak=np.array([411.0, 398.0, 380.0]),
        peak_time=np.array([190.0, 200.0, 200.0]),
        surface_peak=389.0,
        surface_peak_time=200.0,
        heat=400e3,
        steps=3,
    )


def test_an_outcome_by_hand():
    (o,) = outcomes([made_up()], resin(viscosity=Exponential(A=10.0, U=0.0, K=1.0)), flow_viscosity=10 * math.exp(0.3))
    assert o.name == "wing root"
    assert (o.hottest, o.hottest_time, o.hottest_depth) == (411.0, 190.0, pytest.approx(0.0005))
    assert (o.air_hottest, o.overshoot) == (400.0, pytest.approx(411.0 - 399.0))
    assert (o.alpha_lagging, o.alpha_leading) == (0.8, 0.9)
    assert o.tg == pytest.approx(260 + 140 * 0.5 * 0.8 / (1 - 0.4))
    assert o.gel_time == pytest.approx(225.0)
    assert o.gel_temperature == pytest.approx(398 - 0.25 * 33)
    assert o.gel_first == pytest.approx(150.0)
    assert (o.viscosity, o.viscosity_time) == (10.0, 0.0)
    assert o.flow_time == pytest.approx(100.0 + 100.0 * 0.2 / 0.3)
    assert o.spread == 12.0
    assert o.dwell_asked == pytest.approx(100.0, abs=1e-4)
    assert o.dwell == pytest.approx(100.0 * 3 / 28 + 100.0 * 3 / 38)
    assert o.tool_hottest == pytest.approx(400.0)  # the face held at the air of 400 K is hotter than the tool's cell
    assert o.end == 370.0
    assert o.beyond_law == 0.0
    assert o.stiff_margin == pytest.approx(260 + 140 * 0.5 * 0.2 / 0.9 - 380.0)


def test_a_cure_that_never_gels_says_so():
    (o,) = outcomes([made_up()], resin(gel=0.95))
    assert (o.gel_time, o.gel_temperature, o.gel_first) == (None, None, None)
    assert (o.viscosity, o.flow_time) == (None, None)


def test_a_cure_that_gels_in_part_only_has_not_gelled():
    (o,) = outcomes([made_up()], resin(gel=0.85))
    assert (o.gel_time, o.gel_temperature) == (None, None)
    assert o.gel_first == pytest.approx(250.0)


def test_a_heat_balance_by_hand():
    """Faces held, 2000 W/(m² K) from each to its cell; fluxes summed by trapezoids."""
    b = heat_balance(made_up())
    bag = np.array([0.0, 10.0, -10.0, -10.0]) * 2000.0
    tool = np.array([0.0, 30.0, 20.0, -20.0]) * 2000.0
    assert b.stored == pytest.approx(1500.0 * (60 + 65) + 2430.0 * 70)
    assert b.reaction == pytest.approx(400e3 * 0.5 * (0.9 + 0.8))
    assert b.bag == pytest.approx(100.0 * (bag[1] + bag[2] + bag[3] / 2))
    assert b.tool == pytest.approx(100.0 * (tool[1] + tool[2] + tool[3] / 2))
    moved = 100.0 * (20e3 + 20e3 + 10e3 + 60e3 + 40e3 + 20e3)
    assert b.moved == pytest.approx(moved)
    assert b.residual == pytest.approx(b.stored - b.reaction - b.bag - b.tool)
    assert b.relative == pytest.approx(b.residual / moved)


def test_the_peak_and_the_dwell_of_a_real_cure():
    """A thin laminate on metal lags by rate × τ; its dwell is short by the time it takes to arrive within the band."""
    lam = Layer(name="l", thickness=0.001, density=1550, heat_capacity=1000, conductivity=0.6, resin=500.0, cells=4)
    tool = Layer(name="tool", thickness=0.025, density=2700, heat_capacity=900, conductivity=160.0, cells=6)
    s = Section(name="flat", layers=(lam, tool), film_bag=15.0, film_tool=15.0)
    law = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)
    viscosity = CastroMacosko(A=3.45e-10, E=76536.0, gel=0.47, a=3.8, b=2.5)
    r = resin(kinetics=law, heat=1.0, viscosity=viscosity, gel=0.47)
    p = Programme(start=20 + ZERO_C, segments=(Segment(target=180 + ZERO_C, ramp=1 / 60, hold=4 * 3600.0),))
    (o,) = outcomes(simulate([s], r, p), r, dwell_band=4.0)
    tau = (2700 * 900 * 0.025 + 1550 * 1000 * 0.001) / 30.0
    assert o.dwell_asked == pytest.approx(4 * 3600.0, abs=0.1)
    assert o.dwell_asked - o.dwell == pytest.approx(tau * math.log(tau / 60 / 4.0), rel=0.04)
    assert o.overshoot < 0.0
    assert o.gel_time is not None
    assert o.viscosity is not None
    assert o.gel_time > o.viscosity_time
    assert o.flow_time < o.gel_time
    assert o.tool_hottest == pytest.approx(o.hottest, abs=1.0)


def test_a_section_without_laminate_has_no_outcome():
    tool = Layer(name="tool", thickness=0.01, density=2700, heat_capacity=900, conductivity=160, cells=2)
    s = Section(name="bare", layers=(tool,), film_bag=15.0, film_tool=15.0)
    p = Programme(start=300.0, segments=(Segment(target=310.0, ramp=0.1),))
    with pytest.raises(InputError, match="bare – a section with a laminate is wanted"):
        outcomes(simulate([s], resin(), p), resin())


def test_crossings_by_hand():
    t = np.array([0.0, 10.0, 20.0, 30.0])
    v = np.array([0.0, 2.0, 1.0, 3.0])
    assert crossed(t, v, 1.5) == pytest.approx(7.5)
    assert crossed(t, v, 0.0) == 0.0
    assert crossed(t, v, 3.1) is None
    assert time_above(t, v, 1.5) == pytest.approx(2.5 + 5.0 + 7.5)
    assert time_above(t, v, 1.0) == pytest.approx(5.0 + 10.0 + 10.0)
    assert time_above(t, np.full(4, 2.0), 2.0) == 30.0
    assert time_above(t, np.full(4, 2.0), 2.1) == 0.0


@given(st.lists(st.floats(-5, 5), min_size=2, max_size=12), st.floats(-5, 5))
def test_time_above_and_below_make_the_whole(values, level):
    v = np.array(values)
    t = np.arange(len(v)) * 7.0
    above, below = time_above(t, v, level), time_above(t, -v, -level)
    flat = float(np.sum((v[:-1] == level) & (v[1:] == level)) * 7.0)
    assert above + below - flat == pytest.approx(t[-1], abs=1e-6)
    assert 0.0 <= above <= t[-1] + 1e-9
