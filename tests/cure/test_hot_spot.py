"""Fixings and thick flanges as sections of their own; which place leads and which lags."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import solve_banded

from bagside.cure import (
    Air,
    CureResin,
    Layer,
    NthOrder,
    Programme,
    Section,
    Segment,
    outcomes,
    simulate,
)
from bagside.cure.fin import reach
from bagside.cure.first_last import first_and_last
from bagside.cure.hot_spot import Fixing, fixing_place
from bagside.cure.thick_place import Thickening, thick_place
from bagside.errors import InputError

RESIN = CureResin(
    kinetics=NthOrder(A=1e-30, E=7e4, n=1.0),
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
LIVE = replace(RESIN, kinetics=NthOrder(A=1e5, E=6.5e4, n=1.0), heat=3e5)
LAMINATE = Layer(
    name="laminate", thickness=0.003, density=1550.0, heat_capacity=1000.0, conductivity=0.65, resin=500.0, cells=6
)
MOULD = Layer(name="tool", thickness=0.005, density=1550.0, heat_capacity=1000.0, conductivity=0.7, cells=6)
BASE = Section(name="seat", layers=(LAMINATE, MOULD), film_bag=20.0, film_tool=20.0)
INSERT = Fixing(
    name="insert",
    diameter=0.030,
    depth=0.012,
    inside=0.003,
    density=7850.0,
    heat_capacity=470.0,
    conductivity=50.0,
)
THIN = replace(BASE, layers=(replace(LAMINATE, conductivity=500.0), replace(MOULD, conductivity=500.0)))
ALONG = {"laminate": 3.0, "tool": 0.7}
"""The same with nothing to pass across the layers, as the reference in the plane has it."""
SHEET = 3.0 * 0.003 + 0.7 * 0.005  # conductivity along the layers times thickness, summed


def test_reach_by_hand():
    """√(0.0125/40) = 17.7 mm; ten times the conductivity along the mould: √(0.044/40) = 33.2 mm."""
    assert reach(BASE) == pytest.approx(math.sqrt(SHEET / 40.0))
    assert reach(BASE) == pytest.approx(0.0177, abs=5e-5)
    assert reach(BASE, {"tool": 7.0}) == pytest.approx(0.0332, abs=5e-5)
    assert reach(replace(BASE, film_tool=math.inf)) == 0.0
    assert math.isinf(reach(replace(BASE, film_bag=0.0, film_tool=0.0)))


def ramp(minutes: float, rate: float = 2 / 60) -> Programme:
    return Programme(start=300.0, segments=(Segment(target=300.0 + rate * 60 * minutes, ramp=rate),))


def lag(section: Section, programme: Programme) -> float:
    """How far the first layer that reacts is behind the air at the end."""
    (h,) = simulate([replace(section, name="x")], RESIN, programme, tolerance=1e-3)
    return float(h.air[-1] - h.laminate_temperature[-1].mean())


def in_a_plane(radius: float, metal: float, minutes: float, rate: float = 2 / 60) -> tuple[float, float]:
    """Lag of a disc in a wide sheet and of the sheet far away, by finite volumes in the radius (the other way round).

    The sheet is one temperature through its thickness; the disc is one temperature altogether, metal its capacity per
    area beside that of the sheet it covers.
    """
    n, step = 1500, 2.0
    width = 0.45 / n
    edges = radius + width * np.arange(n + 1)
    area = np.concatenate([[math.pi * radius**2], math.pi * (edges[1:] ** 2 - edges[:-1] ** 2)])
    sheet = 1550.0 * 1000.0 * 0.008
    capacity = area * sheet
    capacity[0] = area[0] * (sheet + metal)
    g = SHEET * 2 * math.pi * edges[:-1] / np.concatenate([[0.5 * width], np.full(n - 1, width)])
    film = 40.0 * area
    out = film + np.concatenate([g, [0.0]]) + np.concatenate([[0.0], g])
    bands = np.zeros((3, n + 1))
    bands[0, 1:], bands[1], bands[2, :-1] = -g, capacity / step + out, -g
    t, air = np.full(n + 1, 300.0), 300.0
    for _ in range(round(minutes * 60 / step)):
        air += rate * step
        t = solve_banded((1, 1), bands, capacity / step * t + film * air)
    return air - t[0], air - t[-1]


@pytest.mark.parametrize(("diameter", "within"), [(0.010, 0.03), (0.030, 0.03), (0.100, 0.05)])
def test_a_fixing_lags_as_in_the_plane(diameter, within):
    fixing = replace(INSERT, diameter=diameter)
    metal = 7850.0 * 470.0 * 0.012 - 1550.0 * 1000.0 * 0.003
    wanted, far = in_a_plane(0.5 * diameter, metal, 120.0)
    spot = fixing_place(THIN, fixing, in_plane=ALONG)
    extra = lag(spot.section, ramp(120.0)) - lag(THIN, ramp(120.0))
    assert extra == pytest.approx(wanted - far, rel=within)
    alone = metal / 40.0 * 2 / 60  # per area of metal, no help from around: many times too much for a small fixing
    assert extra < alone
    assert spot.share == pytest.approx(extra / alone, rel=within)


def test_after_a_step_the_place_is_slower_than_its_section():
    """What the answer says of itself: early in a ramp the section promises less lag than there is."""
    spot = fixing_place(THIN, INSERT, in_plane=ALONG)
    metal = 7850.0 * 470.0 * 0.012 - 1550.0 * 1000.0 * 0.003
    wanted, far = in_a_plane(0.015, metal, 4.0)
    early = lag(spot.section, ramp(4.0)) - lag(THIN, ramp(4.0))
    assert early > 0.0
    assert early < wanted - far
    assert "just after a step of the air the place is slower than it says" in spot.says


def test_away_from_the_fixing_its_lag_fades():
    lags = [lag(fixing_place(BASE, replace(INSERT, distance=d)).section, ramp(60.0)) for d in (0.0, 0.01, 0.03, 0.2)]
    assert lags[0] > lags[1] > lags[2] > lags[3]
    assert lags[3] == pytest.approx(lag(BASE, ramp(60.0)), abs=0.01)


def test_a_wide_fixing_is_on_its_own_and_a_held_face_helps_at_once():
    assert fixing_place(BASE, replace(INSERT, diameter=2.0)).says == (
        "as wide as it is, the place is on its own: the section holds"
    )
    held = fixing_place(replace(BASE, film_tool=math.inf), INSERT)
    assert (held.reach, held.share) == (0.0, 1.0)
    closed = fixing_place(replace(BASE, film_bag=0.0, film_tool=0.0), INSERT)
    assert closed.share == 0.0
    assert closed.section.layers == BASE.layers


@given(st.floats(0.002, 0.3), st.floats(0.003, 0.03))
def test_metal_is_shared_and_none_is_lost(diameter, depth):
    """Area that heats it by itself and area that helps: together they carry all of the metal."""
    fixing = replace(INSERT, diameter=diameter, depth=depth)
    spot = fixing_place(BASE, fixing)
    metal = spot.section.layers[0]
    assert metal.name == "insert"
    whole = 7850.0 * 470.0 * depth - 1550.0 * 1000.0 * 0.003
    assert metal.density * metal.heat_capacity * metal.thickness == pytest.approx(spot.share * whole, rel=1e-9)
    assert 0.0 < spot.share < 1.0


def test_a_fixing_gels_later_and_is_the_lagging_place():
    p = Programme(start=300.0, segments=(Segment(target=390.0, ramp=2 / 60, hold=7200.0),))
    spot = fixing_place(BASE, INSERT)
    histories = simulate([BASE, spot.section], LIVE, p)
    plain, metal = outcomes(histories, LIVE)
    assert metal.name == "seat, at insert"
    assert metal.gel_time > plain.gel_time + 60.0
    assert first_and_last(histories) == (0, 1)
    assert first_and_last(histories, gel=0.5) == (0, 1)
    assert first_and_last(histories, temperature=385.0) == (0, 1)
    assert first_and_last(tuple(reversed(histories)), gel=0.5) == (1, 0)


def test_first_and_last_where_some_never_get_there():
    """Thin and thick to 380 K, one of them cut short: who never gels lags, and leads nobody."""
    layers = (replace(LAMINATE, thickness=0.02),)
    thick = Section(name="thick", layers=layers, film_bag=20.0, film_tool=20.0)
    thin = Section(name="thin", layers=(LAMINATE,), film_bag=20.0, film_tool=20.0)
    bare = Section(name="bare", layers=(MOULD,), film_bag=20.0, film_tool=20.0)
    air = Air.recorded([0.0, 2400.0, 3600.0], [300.0, 380.0, 380.0])
    histories = simulate([bare, thick, thin], LIVE, air)
    assert first_and_last(histories, gel=0.99) == (2, 1)
    assert first_and_last(histories, temperature=379.0) == (2, 1)
    with pytest.raises(InputError, match="one section with resin or more is wanted"):
        first_and_last(histories[:1])
    with pytest.raises(InputError, match="not both"):
        first_and_last(histories, gel=0.5, temperature=380.0)


def test_a_flange_is_shared_with_what_goes_on_beside_it():
    """20 mm wide, mould 20 mm instead of 5: 20/(20 + 17.7) of 15 mm; both sides 20/(20 + 35.4)."""
    flange = Thickening(name="flange", layer="tool", thickness=0.020, width=0.020)
    one = thick_place(BASE, flange)
    assert one.share == pytest.approx(0.53, abs=0.002)
    assert one.section.layers[1].thickness == pytest.approx(0.005 + one.share * 0.015)
    assert one.section.name == "seat, at flange"
    two = thick_place(BASE, replace(flange, sides=2))
    assert two.share == pytest.approx(0.361, abs=0.002)
    beside = thick_place(BASE, replace(flange, distance=one.reach))
    assert beside.section.layers[1].thickness == pytest.approx(0.005 + one.share * 0.015 / math.e)
    assert lag(one.section, ramp(60.0)) > lag(two.section, ramp(60.0)) > lag(BASE, ramp(60.0))


def test_what_makes_no_sense_is_refused():
    with pytest.raises(InputError) as e:
        fixing_place(BASE, replace(INSERT, diameter=0.0, inside=0.004, distance=-1.0))
    assert str(e.value) == (
        "insert, diameter: 0.0 – above zero is wanted\n"
        "insert, distance: -1.0 – zero or more is wanted\n"
        "insert, inside: 4 mm – from zero to the laminate's 3 mm and the fixing's 12 mm is wanted"
    )
    with pytest.raises(InputError) as e:
        thick_place(BASE, Thickening(name="rib", layer="tol", thickness=0.01, width=0.0, sides=3, distance=-1.0))
    assert str(e.value) == (
        'rib, layer: tol – one of laminate, tool is wanted (did you mean "tool"?)\n'
        "rib, width: 0.0 – above zero is wanted\n"
        "rib, sides: 3 – 1 or 2 is wanted\n"
        "rib, distance: -1.0 – zero or more is wanted"
    )
    with pytest.raises(InputError) as e:
        thick_place(BASE, Thickening(name="rib", layer="tool", thickness=0.004, width=0.01))
    assert str(e.value) == "rib, thickness: 4 mm – no less than beside it is wanted: 5 mm"
    with pytest.raises(InputError) as e:
        reach(BASE, {"core": 1.0})
    assert str(e.value) == (
        "seat, conductivity along core: 1.0 – a layer of the section and a number above zero are wanted "
        "(known here: laminate, tool)"
    )
    with pytest.raises(InputError, match="a layer that reacts is wanted"):
        fixing_place(Section(name="bare", layers=(MOULD,), film_bag=1.0, film_tool=1.0), INSERT)
