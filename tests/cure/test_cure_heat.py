"""Heat alone against published conduction and convection problems."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import erfc

from bagside.cure import Air, CureResin, Layer, NthOrder, Programme, Section, Segment, continued, simulate
from bagside.cure.face import face_heat

ZERO_C = 273.15
INERT = CureResin(
    kinetics=NthOrder(A=1e5, E=7e4, n=1.0),
    heat=0.0,
    density=1200.0,
    heat_capacity=1200.0,
    conductivity=0.2,
    tg0=260.0,
    tg1=400.0,
    tg_lambda=0.5,
    gel=0.5,
    alpha0=0.0,
)


def slab(thickness, k, rho, c, *, cells=60, bag=0.0, tool=0.0, start, emissivity=0.0) -> Section:
    layer = Layer(name="slab", thickness=thickness, density=rho, heat_capacity=c, conductivity=k, cells=cells)
    return Section(
        name="slab",
        layers=(layer,),
        film_bag=bag,
        film_tool=tool,
        emissivity_bag=emissivity,
        emissivity_tool=emissivity,
        start=start,
    )


def constant(kelvin: float, seconds: float) -> Air:
    return Air.recorded([0.0, seconds], [kelvin, kelvin])


@pytest.mark.published("Incropera DeWitt, Table 5.1 (0.1, 1 and 10 seen in print, the other values from memory)")
@pytest.mark.parametrize(
    ("biot", "zeta", "c1"),
    [
        (0.01, 0.0998, 1.0017),
        (0.1, 0.3111, 1.0161),
        (0.3, 0.5218, 1.0450),
        (0.5, 0.6533, 1.0701),
        (1.0, 0.8603, 1.1191),
        (2.0, 1.0769, 1.1785),
        (5.0, 1.3138, 1.2402),
        (10.0, 1.4289, 1.2620),
        (100.0, 1.5552, 1.2731),
    ],
)
def test_one_term_of_a_wall_cooled_by_a_film(biot, zeta, c1):
    """Half a wall, insulated at its middle, of length, diffusivity and conductivity one in a suitable scale."""
    length, k, heat = 0.01, 0.5, 1.0e6
    unit = heat * length**2 / k  # Fourier number one
    fo = np.array([1.0, 2.0])
    s = slab(length, k, 1000.0, heat / 1000.0, cells=100, tool=biot * k / length, start=400.0)
    (h,) = simulate([s], INERT, constant(300.0, 2.0 * unit), output_interval=1.0 * unit, tolerance=2e-6)
    theta = (np.interp(fo * unit, h.time, h.temperature[:, 0]) - 300.0) / 100.0
    found = math.sqrt(math.log(theta[0] / theta[1]) / (fo[1] - fo[0]))
    assert found == pytest.approx(zeta, abs=6e-5)
    middle = theta[0] / math.cos(found * h.x[0] / length)
    assert middle * math.exp(found**2 * fo[0]) == pytest.approx(c1, abs=6e-5)


@pytest.mark.published("Carslaw Jaeger, slab with a step of surface temperature, centre (from memory)")
def test_centre_of_a_slab_after_a_step():
    half, k, heat = 0.01, 0.5, 1.0e6
    unit = heat * half**2 / k
    s = slab(half, k, 1000.0, heat / 1000.0, cells=200, tool=math.inf, start=400.0)
    (h,) = simulate([s], INERT, constant(300.0, unit), output_interval=unit / 20, tolerance=1e-5)
    fo = np.array([0.05, 0.1, 0.2, 0.3, 0.5, 1.0])
    theta = (np.interp(fo * unit, h.time, h.temperature[:, 0]) - 300.0) / 100.0
    assert theta == pytest.approx([0.9969, 0.9493, 0.7723, 0.6068, 0.3708, 0.1080], abs=6e-5)


@pytest.mark.published("Incropera DeWitt, Example 5.4, pipe wall heated from inside")
def test_pipe_wall():
    s = slab(0.040, 63.9, 7832.0, 434.0, cells=80, tool=500.0, start=ZERO_C - 20.0)
    (h,) = simulate([s], INERT, constant(ZERO_C + 60.0, 480.0), output_interval=1.0, tolerance=1e-3)
    assert h.temperature[-1, 0] - ZERO_C == pytest.approx(42.9, rel=0.01)
    assert h.temperature[-1, 0] - ZERO_C == pytest.approx(43.0, abs=0.05)  # the whole series, derived here
    assert float(h.tool_heat.flux[-1]) == pytest.approx(7.36e3, rel=0.01)
    assert float(h.tool_heat.flux[-1]) == pytest.approx(7318.0, abs=5.0)  # derived here
    stored = math.pi * float(s.capacities @ (h.temperature[-1] - h.temperature[0]))
    assert stored == pytest.approx(2.72e7, rel=0.01)


@pytest.mark.published("Incropera DeWitt, Example 5.3, coated panel cured in an oven with radiation")
def test_painted_panel_with_radiation():
    def panel(film: float, start: float) -> Section:
        return slab(0.003, 177.0, 2770.0, 875.0, cells=3, bag=film, tool=film, start=start, emissivity=0.8)

    (warm,) = simulate([panel(40.0, ZERO_C + 25)], INERT, constant(ZERO_C + 175, 423.1), output_interval=0.1)
    reaches = float(np.interp(ZERO_C + 150, warm.temperature[:, 1], warm.time))
    assert reaches == pytest.approx(123.5, abs=1.3)
    assert reaches == pytest.approx(123.1, abs=0.15)  # by an independent integration, derived here
    assert warm.temperature[-1, 1] - ZERO_C == pytest.approx(174.8, abs=0.1)
    cooler = continued(panel(10.0, 300.0), warm)
    (cool,) = simulate([cooler], INERT, constant(ZERO_C + 25, 700.0), output_interval=0.1)
    done = 423.1 + float(np.interp(-(ZERO_C + 37), -cool.temperature[:, 1], cool.time))
    assert done == pytest.approx(989.0, rel=0.01)
    assert done == pytest.approx(986.3, abs=0.3)  # derived here


@pytest.mark.published("Incropera DeWitt, Example 5.5, first stage: a sphere cooled in air")
def test_a_sphere_cooled_in_air():
    """Radius 5 mm, k 20, ρ 3000, c 1000, h 10: from 400 to 335 °C in air of 20 °C takes 94 s.

    So small a Biot number makes it one temperature; a slab as thick as a third of the radius is the same.
    """
    s = slab(0.005 / 3, 20.0, 3000.0, 1000.0, cells=3, bag=10.0, start=ZERO_C + 400)
    (h,) = simulate([s], INERT, constant(ZERO_C + 20, 120.0), output_interval=0.5, tolerance=1e-3)
    mean = h.temperature.mean(axis=1)
    assert float(np.interp(-(ZERO_C + 335), -mean, h.time)) == pytest.approx(94.0, abs=0.5)


@pytest.mark.published("Tables of the complementary error function, four digits (from memory)")
def test_a_thick_body_after_a_step():
    k, heat, time = 0.5, 1.0e6, 900.0
    depth = 0.20
    s = slab(depth, k, 1000.0, heat / 1000.0, cells=800, bag=math.inf, start=300.0)
    (h,) = simulate([s], INERT, constant(400.0, time), output_interval=time, tolerance=1e-4)
    eta = np.array([0.25, 0.5, 1.0, 1.5])
    got = np.interp(2.0 * eta * math.sqrt(k / heat * time), h.x, h.temperature[-1])
    assert erfc(eta) == pytest.approx([0.7237, 0.4795, 0.1573, 0.0339], abs=6e-5)
    assert (got - 300.0) / 100.0 == pytest.approx([0.7237, 0.4795, 0.1573, 0.0339], abs=2e-4)


@pytest.mark.parametrize(("faces", "tau"), [(2, 486.0), (1, 972.0)])
def test_lag_of_a_lumped_tool(faces, tau):
    """ρ c t/(n h) of 10 mm aluminium, h 25: 486 and 972 s; behind a ramp of 2 K/min by rate × τ (derived here)."""
    s = slab(0.010, 1e5, 2700.0, 900.0, cells=2, bag=25.0, tool=25.0 if faces == 2 else 0.0, start=300.0)
    p = Programme(start=300.0, segments=(Segment(target=300.0 + 2 / 60 * 12 * tau, ramp=2 / 60),))
    (h,) = simulate([s], INERT, p)
    behind = h.air[-1] - h.temperature[-1].mean()
    assert behind == pytest.approx(2 / 60 * tau, rel=1e-4)


def test_a_single_cell_is_the_exponential():
    s = slab(0.002, 1e4, 1000.0, 1000.0, cells=1, bag=20.0, tool=20.0, start=300.0)
    (h,) = simulate([s], INERT, constant(400.0, 200.0), tolerance=1e-4)
    assert h.temperature[:, 0] == pytest.approx(400.0 - 100.0 * np.exp(-h.time / 50.0), abs=0.01)


@pytest.mark.parametrize(("thickness", "lag"), [(0.010, 4.35), (0.002, 0.17)])
def test_lag_of_a_laminate_heated_from_one_side(thickness, lag):
    """Ramp × L²/(2 a), k 0.637, ρ 1581, c 1051, 2 K/min (derived here)."""
    s = slab(thickness, 0.637, 1581.0, 1051.0, cells=80, tool=math.inf, start=300.0)
    p = Programme(start=300.0, segments=(Segment(target=400.0, ramp=2 / 60),))
    (h,) = simulate([s], INERT, p, tolerance=1e-3)
    assert h.air[-1] - h.temperature[-1, 0] == pytest.approx(lag, abs=0.006)


def test_lag_through_two_unlike_layers():
    """A steady ramp: each layer passes on what the layers inside it take up (derived here)."""
    outer = Layer(name="tool", thickness=0.01, density=800.0, heat_capacity=1000.0, conductivity=0.15, cells=40)
    inner = Layer(name="metal", thickness=0.005, density=2700.0, heat_capacity=900.0, conductivity=5.0, cells=10)
    s = Section(name="two", layers=(inner, outer), film_bag=0.0, film_tool=math.inf, start=300.0)
    p = Programme(start=300.0, segments=(Segment(target=600.0, ramp=0.01),))
    (h,) = simulate([s], INERT, p, tolerance=1e-3)
    inside, outside = 2700 * 900 * 0.005, 800 * 1000 * 0.01
    across_outer = 0.01 * (inside + outside / 2) * 0.01 / 0.15
    across_inner = 0.01 * inside / 2 * 0.005 / 5.0
    assert h.air[-1] - h.temperature[-1, 0] == pytest.approx(across_outer + across_inner, rel=2e-4)
    (mid,) = simulate([replace(s, layers=(replace(inner, resin=1.0), outer))], INERT, p, tolerance=1e-3)
    assert mid.air[-1] - mid.tool_surface[-1] == pytest.approx(across_outer, rel=2e-4)
    assert mid.surface_peak == pytest.approx(mid.tool_surface[-1])


@given(
    cell=st.floats(250.0, 500.0),
    air=st.floats(250.0, 500.0),
    film=st.floats(0.5, 200.0),
    half=st.floats(1.0, 1e5),
    emissivity=st.floats(0.0, 1.0),
)
def test_a_face_balances_and_its_slopes_are_derivatives(cell, air, film, half, emissivity):
    f = face_heat(cell, air, film, half, emissivity)
    gain = film * (air - f.surface) + emissivity * 5.670374419e-8 * (air**4 - f.surface**4)
    assert float(f.flux) == pytest.approx(float(gain), abs=1e-6 * (1 + half))
    assert min(cell, air) - 1e-6 <= float(f.surface) <= max(cell, air) + 1e-6
    d = 1e-3
    by_cell = face_heat(cell + d, air, film, half, emissivity).flux - f.flux
    by_air = face_heat(cell, air + d, film, half, emissivity).flux - f.flux
    assert float(f.by_cell) == pytest.approx(float(by_cell) / d, rel=1e-3, abs=1e-3)
    assert float(f.by_air) == pytest.approx(float(by_air) / d, rel=1e-3, abs=1e-3)


def test_a_held_and_an_insulated_face():
    held = face_heat(300.0, 400.0, math.inf, 50.0, 0.8)
    assert (float(held.flux), float(held.surface)) == (5000.0, 400.0)
    closed = face_heat([300.0, 350.0], 400.0, 0.0, 50.0, 0.0)
    assert closed.flux == pytest.approx([0.0, 0.0], abs=1e-9)
    both = face_heat(300.0, 400.0, [math.inf, 0.0], 50.0, 0.0)
    assert both.flux == pytest.approx([5000.0, 0.0], abs=1e-9)
