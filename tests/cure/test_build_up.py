"""Sections built up from bag to tool: series of films, cores, breathers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import CureResin, Layer, NthOrder, Programme, Segment, outcomes, simulate
from bagside.cure.build_up import film_with, honeycomb, section_through
from bagside.errors import InputError

BREATHER = Layer(name="breather", thickness=0.004, density=80.0, heat_capacity=1300.0, conductivity=0.06, cells=4)
SKIN = Layer(
    name="skin", thickness=0.0015, density=1550.0, heat_capacity=1000.0, conductivity=0.65, resin=500.0, cells=3
)
CORE = honeycomb(
    thickness=0.010,
    density=48.0,
    cell=0.004,
    wall_density=1380.0,
    wall_heat_capacity=1300.0,
    wall_conductivity=0.12,
    cells=10,
)
TOOL = Layer(name="tool", thickness=0.008, density=1550.0, heat_capacity=1000.0, conductivity=0.7, cells=8)
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
RAMP = Programme(start=300.0, segments=(Segment(target=540.0, ramp=2 / 60),))


def test_films_in_series_by_hand():
    """1/(1/25 + 0.004/0.06) = 9.375; nothing passes no air; a held face leaves the breather alone: 15."""
    assert film_with(25.0, BREATHER) == pytest.approx(9.375)
    assert film_with(25.0) == pytest.approx(25.0)
    assert film_with(0.0, BREATHER) == 0.0
    assert film_with(math.inf, BREATHER) == pytest.approx(15.0)
    assert math.isinf(film_with(math.inf))
    two = film_with(25.0, BREATHER, replace(BREATHER, name="bag", thickness=5e-5, conductivity=0.25))
    assert two == pytest.approx(1 / (1 / 25 + 0.004 / 0.06 + 5e-5 / 0.25))


def test_a_breather_as_film_is_a_breather_as_layer():
    """But for what it takes up itself, 416 J/(m² K) beside 13 950 of skin and tool."""
    one = section_through("film", SKIN, film_bag=film_with(25.0, BREATHER), film_tool=25.0, tool=TOOL)
    light = replace(BREATHER, density=1e-3)
    two = section_through("layer", SKIN, film_bag=25.0, film_tool=25.0, tool=TOOL, breather=light)
    real = section_through("real", SKIN, film_bag=25.0, film_tool=25.0, tool=TOOL, breather=BREATHER)
    a, b, c = simulate([one, two, real], INERT, RAMP, tolerance=1e-3)
    assert a.laminate_temperature == pytest.approx(b.laminate_temperature, abs=0.01)
    late = a.laminate_temperature[-1].mean() - c.laminate_temperature[-1].mean()
    # behind a steady ramp: what the breather takes up passes about half of it and its film
    assert 0.0 < late < 2 / 60 * 80 * 1300 * 0.004 / 25.0


def test_a_core_delays_the_skin_on_the_tool():
    """A steady ramp with the bag side held and the tool's back insulated: each layer passes what lies behind it."""
    held = section_through(
        "panel", SKIN, film_bag=math.inf, film_tool=0.0, tool=TOOL, core=CORE, tool_skin=replace(SKIN, name="tool skin")
    )
    assert [layer.name for layer in held.layers] == ["skin", "core", "tool skin", "tool"]
    slow = Programme(start=300.0, segments=(Segment(target=500.0, ramp=0.2 / 60),))
    (h,) = simulate([held], INERT, slow, tolerance=1e-3)
    rate, behind, wanted = 0.2 / 60, 0.0, 0.0
    for layer in reversed(held.layers):
        own = layer.density * layer.heat_capacity * layer.thickness
        wanted += rate * (behind + own / 2) * layer.thickness / layer.conductivity
        behind += own
    assert h.air[-1] - h.temperature[-1, -1] == pytest.approx(wanted, rel=0.01)
    assert len(h.section.tool_cells) == TOOL.cells
    assert len(h.reacting) == 2 * SKIN.cells


def test_honeycomb_by_hand():
    """48/1380 of the area is wall: 0.0348 × 0.12 + 0.9652 × 0.030 = 0.0331 W/(m K), and what shines through.

    Depth 2.5 cells: 0.664 × 2.8^−0.69 × 0.9^(1.63 × 3.5^−0.89) = 0.308; × 4 σ 353.15³ × 10 mm = 0.0308 W/(m K).
    """
    assert CORE.conductivity == pytest.approx(0.0331 + 0.0308, abs=1.5e-4)
    assert CORE.density * CORE.heat_capacity == pytest.approx(62400.0)
    assert CORE.resin == 0.0


def test_a_sandwich_is_judged_like_any_other():
    live = replace(INERT, kinetics=NthOrder(A=1e5, E=6.5e4, n=1.0), heat=3e5)
    p = Programme(start=300.0, segments=(Segment(target=393.0, ramp=2 / 60, hold=7200.0),))
    panel = section_through("panel", SKIN, film_bag=15.0, film_tool=25.0, tool=TOOL, core=CORE, tool_skin=SKIN)
    solid = section_through("solid", replace(SKIN, thickness=0.003, cells=6), film_bag=15.0, film_tool=25.0, tool=TOOL)
    sandwich, plain = outcomes(simulate([panel, solid], live, p), live)
    assert sandwich.spread > 5 * plain.spread
    assert sandwich.gel_first < sandwich.gel_time
    assert np.isfinite(sandwich.tool_hottest)


def test_what_makes_no_sense_is_refused():
    with pytest.raises(InputError) as e:
        section_through("rib", BREATHER, film_bag=25.0, film_tool=25.0, core=SKIN)
    assert str(e.value) == (
        "rib, breather – a laminate that reacts is wanted\n"
        "rib, core – a core and two skins are wanted, or neither\n"
        "rib, skin – a core that does not react is wanted"
    )
    with pytest.raises(InputError) as e:
        film_with(25.0, SKIN, replace(BREATHER, conductivity=0.0))
    assert str(e.value) == (
        "breather, conductivity: 0.0 – above zero is wanted\nskin – what reacts cannot be part of a film"
    )
    usual = {"thickness": 0.01, "density": 48.0, "cell": 0.004, "wall_heat_capacity": 1300.0}
    with pytest.raises(InputError) as e:
        honeycomb(**{**usual, "thickness": 0.0}, wall_density=1380.0, wall_conductivity=-1.0)
    assert [p.place for p in e.value.problems] == ["core, thickness", "core, wall conductivity"]
    with pytest.raises(InputError) as e:
        honeycomb(**usual, wall_density=40.0, wall_conductivity=0.1)
    assert str(e.value) == "core, density: 48.0 – less than its walls' is wanted: 40"
