"""Thawing of rolls and stacks against the analytic series and against what shops go by."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros, y0, y1

from bagside.cure.life import LifeSheet, Spell
from bagside.cure.thaw import FILM, Pack, Shape, core_after, core_temperatures, flat, rolled, thaw_time
from bagside.errors import InputError
from bagside.finishing.climate import dew_point_magnus
from bagside.planning.thawing import as_rolled
from bagside.spec.library import generic_library

COLD, ROOM = 255.15, 294.15
K, C = 0.15, 1.3e6
A = K / C


def theta(pack: Pack, fourier: float, size: float) -> float:
    """Return what is left of the difference at the core, from 1 down to 0, at a Fourier number."""
    return float(core_temperatures(pack, 1.0, 0.0, [fourier * size**2 / A])[0])


@pytest.mark.published("Incropera Table 5.1, plane wall: ζ₁ and C₁ at Bi 0.1, 1 and 10")
@pytest.mark.parametrize(("biot", "zeta", "c"), [(0.1, 0.3111, 1.0161), (1.0, 0.8603, 1.1191), (10.0, 1.4289, 1.2620)])
def test_a_stack_is_half_of_a_plane_wall(biot, zeta, c):
    size = 0.01
    pack = flat(size, C, conductivity=K, film=biot * K / size)
    for fourier in (0.5, 1.0, 2.0):
        assert theta(pack, fourier, size) == pytest.approx(c * math.exp(-(zeta**2) * fourier), rel=1e-3)


@pytest.mark.published("Incropera Table 5.1, infinite cylinder: ζ₁ and C₁ at Bi 0.1, 1 and 10 (from memory)")
@pytest.mark.parametrize(("biot", "zeta", "c"), [(0.1, 0.4417, 1.0246), (1.0, 1.2558, 1.2071), (10.0, 2.1795, 1.5677)])
def test_a_roll_without_a_tube_is_a_cylinder(biot, zeta, c):
    # the digits from memory satisfy the equations they come from
    assert zeta * j1(zeta) / j0(zeta) == pytest.approx(biot, rel=2e-3)
    assert 2 / zeta * j1(zeta) / (j0(zeta) ** 2 + j1(zeta) ** 2) == pytest.approx(c, abs=2e-4)
    size = 0.06
    pack = Pack(shape=Shape.ROLL, inner=0.0, outer=size, capacity=C, conductivity=K, film=biot * K / size)
    for fourier in (0.6, 1.0):
        assert theta(pack, fourier, size) == pytest.approx(c * math.exp(-(zeta**2) * fourier), rel=2e-3)


@pytest.mark.published("Carslaw & Jaeger, slab after a step at its faces: centre at Fo 0.05 … 1")
def test_a_face_held_at_the_room():
    pack = flat(0.01, C, conductivity=K, film=1e7)
    wanted = [0.9969, 0.9493, 0.7723, 0.6068, 0.3708, 0.1080]
    got = [theta(pack, fo, 0.01) for fo in (0.05, 0.1, 0.2, 0.3, 0.5, 1.0)]
    assert got == pytest.approx(wanted, abs=3e-4)


def cylinder_series(biot: float, fourier: float) -> float:
    """Return the core of a solid cylinder by the Bessel series, forty terms."""
    total, last = 0.0, 1e-9
    for edge in jn_zeros(0, 40):
        z = brentq(lambda x: x * j1(x) - biot * j0(x), last, edge)
        total += 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) * math.exp(-(z**2) * fourier)
        last = float(brentq(j1, edge, edge + math.pi))
    return total


@pytest.mark.parametrize("biot", [0.2, 1.0, 4.0])
def test_the_time_of_a_solid_roll_by_the_whole_series(biot):
    size = 0.07
    pack = Pack(shape=Shape.ROLL, inner=0.0, outer=size, capacity=C, conductivity=K, film=biot * K / size)
    for share in (0.9, 0.5, 0.2):
        wanted = brentq(lambda fo, s=share: cylinder_series(biot, fo) - s, 1e-3, 60.0) * size**2 / A
        got = thaw_time(pack, COLD, ROOM, ROOM + share * (COLD - ROOM))
        assert got == pytest.approx(wanted, rel=3e-4)


def test_a_hollow_roll_by_its_own_bessel_functions():
    """Nothing flows through the tube, film outside: roots of the cross product, integrals by quadrature."""
    inner, outer, film = 0.038, 0.09, 2.5
    pack = Pack(shape=Shape.ROLL, inner=inner, outer=outer, capacity=C, conductivity=K, film=film)

    def shape(z: float, r: float) -> float:
        return float(j0(z * r) * y1(z * inner) - y0(z * r) * j1(z * inner))

    def edge(z: float) -> float:
        slope = -z * (j1(z * outer) * y1(z * inner) - y1(z * outer) * j1(z * inner))
        return float(K * slope + film * shape(z, outer))

    grid = np.linspace(0.5, 900.0, 6000)
    signs = [edge(z) for z in grid]
    changes = np.flatnonzero(np.diff(np.sign(signs)))
    roots = [brentq(edge, grid[k], grid[k + 1]) for k in changes]
    assert len(roots) > 10
    for hours in (1.0, 3.0, 10.0, 20.0):
        total = 0.0
        for z in roots:
            over, _ = quad(lambda r, z=z: r * shape(z, r), inner, outer)
            under, _ = quad(lambda r, z=z: r * shape(z, r) ** 2, inner, outer)
            total += over / under * shape(z, inner) * math.exp(-(z**2) * A * hours * 3600)
        assert float(core_temperatures(pack, 1.0, 0.0, [hours * 3600])[0]) == pytest.approx(total, abs=2e-4)


def test_a_thin_stack_is_one_lump():
    """Bi 0.005: ρ c d / h decides alone."""
    pack = flat(0.0003, C, conductivity=K, film=FILM)
    tau = C * 0.0003 / FILM
    assert thaw_time(pack, COLD, ROOM, ROOM - 39.0 / math.e) == pytest.approx(tau, rel=5e-3)


def test_the_size_of_a_roll():
    """π (R² − r²) is length times thickness: 25 m of 0.5 mm on 76 mm is 74 mm."""
    pack = rolled(25.0, 0.0005, C)
    assert pack.outer == pytest.approx(math.sqrt(0.038**2 + 0.0125 / math.pi))
    assert math.pi * (pack.outer**2 - pack.inner**2) == pytest.approx(25.0 * 0.0005)


@pytest.mark.parametrize(
    ("what", "least", "most"),
    [("6 plies", 1, 2), ("8 plies", 1, 2), ("5 m", 4, 8), ("10 m", 4, 8), ("25 m", 12, 24), ("100 m", 24, 48)],
)
def test_what_shops_go_by(what, least, most):
    """Flat kit 1–2 h, 5–10 m 4–8 h, 25 m 12–24 h: common practice, no source; a full reel up to 48 h: prepreg stores.

    From −18 °C in a room of 21 °C and 65 %, to 3 K above the dew point, for cloths of 200 and 400 g/m²: what comes out
    for the two and the range that shops go by overlap, and not even the thick reel takes longer than 48 h.
    """
    library = generic_library()
    wanted = dew_point_magnus(ROOM, 0.65) + 3.0
    found = []
    for name in ("twill-200", "twill-400"):
        cloth = library.prepreg[name]
        thickness, capacity = as_rolled(cloth, library.resin[cloth.resin])
        number = float(what.split()[0])
        pack = flat(number * thickness, capacity) if "plies" in what else rolled(number, thickness, capacity)
        found.append(thaw_time(pack, COLD, ROOM, wanted) / 3600)
    assert found[0] <= most
    assert found[1] >= least
    assert max(found) <= 48


SPELLS = st.tuples(st.floats(60.0, 1e5), st.floats(240.0, 310.0), st.floats(240.0, 310.0))


@given(st.lists(SPELLS, min_size=1, max_size=5))
@settings(max_examples=30, deadline=None)
def test_spells_that_change_evenly_are_many_small_steps(told):
    pack = rolled(10.0, 0.0005, C)
    spells = [Spell(duration=d, temperature=a, to=b) for d, a, b in told]
    small = [
        Spell(duration=d / 400, temperature=a + (b - a) * (k + 0.5) / 400) for d, a, b in told for k in range(400)
    ]
    now, _ = core_after(pack, COLD, spells, room=ROOM, wanted=290.0)
    again, _ = core_after(pack, COLD, small, room=ROOM, wanted=290.0)
    assert now == pytest.approx(again, abs=0.02)
    seen = [COLD, *(t for _, *both in told for t in both)]
    assert min(seen) - 1e-6 <= now <= max(seen) + 1e-6


def test_after_half_its_time_the_other_half_is_left():
    pack = rolled(10.0, 0.0005, C)
    whole = thaw_time(pack, COLD, ROOM, 287.15)
    now, left = core_after(pack, COLD, [Spell(duration=0.4 * whole, temperature=ROOM)], room=ROOM, wanted=287.15)
    assert COLD < now < 287.15
    assert left == pytest.approx(0.6 * whole, rel=1e-6)
    assert core_after(pack, COLD, [Spell(duration=2 * whole, temperature=ROOM)], room=ROOM, wanted=287.15)[1] == 0.0
    assert thaw_time(pack, COLD, 287.0, 287.15) == math.inf


def test_counting_from_door_to_door_is_never_kinder_than_what_the_cloth_felt():
    """A roll out for 3 h, 12 h, 40 h and back in the freezer for long: life along its core and along its outside."""
    sheet = LifeSheet(points=((COLD, 365 * 86400.0), (ROOM, 30 * 86400.0)))
    pack = rolled(40.0, 0.0005, C)
    for hours in (3.0, 12.0, 40.0):
        out, back = Spell(duration=hours * 3600, temperature=ROOM), 60.0
        times = np.arange(0.0, 400 * 3600.0, 900.0)
        felt = [COLD]
        for t in times[1:]:
            first = Spell(duration=min(t, out.duration), temperature=ROOM)
            then = Spell(duration=max(0.0, t - out.duration), temperature=COLD)
            felt.append(core_after(pack, COLD, [first, then], room=ROOM, wanted=back)[0])
        along = float(sheet.mean_rates(felt[:-1], felt[1:]).sum() * 900.0)
        door = sheet.used([out, Spell(duration=times[-1] - out.duration, temperature=COLD)])
        assert along <= door * (1 + 1e-6)


def test_what_cannot_be_a_roll_is_refused():
    with pytest.raises(InputError, match="thaw, capacity: 0 – more than zero is wanted"):
        flat(0.01, 0.0)
    with pytest.raises(InputError, match=r"thaw, inner: 0\.038 – zero or more, and less than outside is wanted"):
        rolled(0.0, 0.0005, C)
