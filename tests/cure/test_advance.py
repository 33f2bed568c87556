"""Advance of cure over hours and months: by the law, and by life."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cure import (
    Air,
    CureResin,
    HubertEtAl2001,
    Kamal,
    Layer,
    LeeLoosSpringer1982,
    NthOrder,
    Section,
    hold_to_reach,
    simulate,
)
from bagside.cure.advance import advanced, alpha_from_life
from bagside.cure.life import Spell
from bagside.cure.life_effect import life_effect
from bagside.cure.viscosity import CastroMacosko
from bagside.errors import InputError, NotSolved

DAY = 86400.0
HUBERT = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)
LLS = LeeLoosSpringer1982(A1=2.101e9 / 60, A2=-2.014e9 / 60, A3=1.960e5 / 60, E1=8.07e4, E2=7.78e4, E3=5.66e4)
KAMAL = Kamal(A1=3.4e6, E1=8e4, A2=2.9e8, E2=8e4, m=0.85, n=1.6)


def test_equivalent_cure():
    """16 h at 60 °C = 4.11 h at 80 °C with 66.5 kJ/mol, whatever the rest of the law (derived here)."""
    law = Kamal(A1=1e4, E1=6.65e4, A2=1.5e6, E2=6.65e4, m=0.8, n=2.0)
    long = advanced(law, 0.01, [Spell(duration=16 * 3600.0, temperature=333.15)])[-1]
    short = advanced(law, 0.01, [Spell(duration=4.11 * 3600.0, temperature=353.15)])[-1]
    assert 0.1 < long < 0.9
    assert short == pytest.approx(long, abs=1e-3 * long)
    ratio = math.exp(6.65e4 / 8.314 * (1 / 333.15 - 1 / 353.15))
    assert 16 / ratio == pytest.approx(4.11, abs=0.006)


@pytest.mark.parametrize("celsius", [-18.0, 5.0, 21.0, 30.0, 80.0])
@pytest.mark.parametrize("order", [1.0, 1.5, 2.0])
def test_an_order_of_reaction_in_closed_form(celsius, order):
    t, k = celsius + 273.15, 1e6 * math.exp(-7e4 / (8.314 * (celsius + 273.15)))
    time = 0.7 / k
    left = math.exp(-0.7) if order == 1.0 else (1.0 + (order - 1.0) * 0.7) ** (1.0 / (1.0 - order))
    got = advanced(NthOrder(A=1e6, E=7e4, n=order), 0.0, [Spell(duration=time, temperature=t)])
    assert got[0] == pytest.approx(1.0 - left, abs=1e-7)


@settings(deadline=None, max_examples=40)
@given(st.floats(255.0, 400.0), st.floats(0.003, 0.2), st.floats(0.01, 0.3))
def test_a_hold_reaches_what_the_hold_that_is_needed_says(temperature, alpha0, rise):
    """Against the time summed up by quadrature, which knows no steps."""
    for law in (KAMAL, HUBERT):
        rate = float(law.rate(alpha0 + rise, temperature))
        time = hold_to_reach(law, alpha0, alpha0 + rise, temperature)
        if not math.isfinite(time) or rate <= 0.0:
            continue
        got = advanced(law, alpha0, [Spell(duration=time, temperature=temperature)])[-1]
        assert got == pytest.approx(alpha0 + rise, abs=2e-5 * max(1.0, rise / alpha0))


def test_an_even_change_in_closed_form():
    """First order over an even change: minus the logarithm of what is left is the integral of the rate constant."""
    law = NthOrder(A=1e6, E=7e4, n=1.0)
    a, b, time = 255.15, 295.15, 5 * 3600.0
    s = np.linspace(0.0, 1.0, 20001)
    k = 1e6 * np.exp(-7e4 / (8.314 * (a + (b - a) * s)))
    wanted = -math.expm1(-time * float(np.trapezoid(k, s)))
    got = advanced(law, 0.0, [Spell(duration=time, temperature=a, to=b)])
    assert got[0] == pytest.approx(wanted, rel=1e-6)


def test_a_thin_laminate_held_at_the_air_advances_the_same():
    """The other way through the code: a section whose faces are held, for a day."""
    resin = CureResin(
        kinetics=HUBERT,
        heat=1.0,
        density=1300.0,
        heat_capacity=1300.0,
        conductivity=0.2,
        tg0=266.0,
        tg1=523.0,
        tg_lambda=0.78,
        gel=0.47,
        alpha0=0.02,
    )
    layer = Layer(
        name="l", thickness=1e-4, density=1500.0, heat_capacity=1000.0, conductivity=0.5, resin=500.0, cells=3
    )
    s = Section(name="held", layers=(layer,), film_bag=math.inf, film_tool=math.inf)
    air = Air.recorded([0.0, 6 * 3600.0, 24 * 3600.0], [300.0, 350.0, 350.0])
    (h,) = simulate([s], resin, air, tolerance=1e-3)
    spells = [
        Spell(duration=6 * 3600.0, temperature=300.0, to=350.0),
        Spell(duration=18 * 3600.0, temperature=350.0),
    ]
    assert advanced(HUBERT, 0.02, spells)[-1] == pytest.approx(float(h.alpha[-1, 1]), abs=1e-5)


def test_months_and_minutes_together():
    """A year in the freezer, a month in the room, a morning in the oven; order kept, cure only grows."""
    spells = [
        Spell(duration=365 * DAY, temperature=255.15),
        Spell(duration=0.0, temperature=294.15),
        Spell(duration=30 * DAY, temperature=294.15),
        Spell(duration=4 * 3600.0, temperature=294.15, to=400.0),
    ]
    for law in (KAMAL, HUBERT, LLS):
        got = advanced(law, 0.01, spells)
        assert got.shape == (4,)
        assert (np.diff(np.append(0.01, got)) >= 0.0).all()
        assert got[1] == got[0]
        assert got[-1] > got[0] + 1e-4


def test_across_the_jump_of_the_two_branches():
    """The time over the jump is the sum of the times on both sides of it."""
    before, after = hold_to_reach(LLS, 0.1, 0.3, 400.0), hold_to_reach(LLS, 0.3 + 1e-12, 0.5, 400.0)
    got = advanced(LLS, 0.1, [Spell(duration=before + after, temperature=400.0)])[-1]
    assert got == pytest.approx(0.5, abs=1e-4)


def test_alpha_from_life():
    assert alpha_from_life(0.01, 0.05, 0.0) == 0.01
    assert alpha_from_life(0.01, 0.05, 1.0) == pytest.approx(0.05)
    assert alpha_from_life(0.01, 0.05, 1.5) == pytest.approx(0.07)
    with pytest.raises(InputError) as e:
        alpha_from_life(0.0, 0.0, -1.0)
    assert str(e.value) == (
        "life, fresh: 0.0 – a degree of cure above 0 and below 1 is wanted "
        "(fresh prepreg is usually at 0.01 to 0.05)\n"
        "life, worn: 0.0 – above fresh resin's and below 1 is wanted\n"
        "life, share: -1.0 – zero or more is wanted"
    )
    with pytest.raises(InputError, match="the resin would be cured"):
        alpha_from_life(0.01, 0.5, 3.0)


def test_a_straight_line_is_ahead_of_a_resin_that_speeds_itself_up():
    """The basis of judging flow on the safe side: the law's own way from fresh to worn lies below the line."""
    worn = advanced(HUBERT, 0.01, [Spell(duration=2000.0, temperature=393.15)])[0]
    half = advanced(HUBERT, 0.01, [Spell(duration=1000.0, temperature=393.15)])[0]
    assert half < alpha_from_life(0.01, float(worn), 0.5)


def resin_8552(alpha0: float = 0.01) -> CureResin:
    return CureResin(
        kinetics=HUBERT,
        heat=540e3,
        density=1300.0,
        heat_capacity=1304.0,
        conductivity=0.212,
        tg0=266.15,
        tg1=523.15,
        tg_lambda=0.78,
        gel=0.47,
        alpha0=alpha0,
        viscosity=CastroMacosko(A=3.45e-10, E=76536.0, gel=0.47, a=3.8, b=2.5),
    )


def test_life_shifts_gel_and_flow():
    """A laminate as thin as to follow its air: gel and the lowest viscosity against the law alone."""
    layer = Layer(
        name="l", thickness=2e-4, density=1500.0, heat_capacity=1000.0, conductivity=0.5, resin=500.0, cells=3
    )
    s = Section(name="thin", layers=(layer,), film_bag=math.inf, film_tool=math.inf)
    air = Air.recorded([0.0, 3000.0, 30000.0], [300.0, 400.0, 400.0])
    effects = life_effect(s, resin_8552(), air, (0.01, 0.03, 0.06))
    assert [e.alpha0 for e in effects] == [0.01, 0.03, 0.06]

    minutes = [Spell(duration=60.0, temperature=300.0 + 2.0 * i, to=302.0 + 2.0 * i) for i in range(50)]
    for e in effects:
        alphas = advanced(HUBERT, e.alpha0, minutes)
        gel = 3000.0 + hold_to_reach(HUBERT, float(alphas[-1]), 0.47, 400.0)
        assert e.gel_time == pytest.approx(gel, abs=5.0)
        held = advanced(HUBERT, float(alphas[-1]), [Spell(duration=60.0, temperature=400.0)] * 60)
        t = np.append(302.0 + 2.0 * np.arange(50), np.full(60, 400.0))
        mu = resin_8552().viscosity.at(np.append(alphas, held), t)
        assert e.viscosity == pytest.approx(float(mu.min()), rel=0.005)
        assert e.viscosity_time == pytest.approx(60.0 * (int(mu.argmin()) + 1), abs=61.0)
    gels = [e.gel_time for e in effects]
    assert gels[0] > gels[1] > gels[2]
    assert effects[0].viscosity < effects[1].viscosity < effects[2].viscosity
    assert effects[0].flow_time > effects[1].flow_time > effects[2].flow_time


def test_a_law_that_cannot_start_or_be_followed():
    with pytest.raises(InputError, match="never starts to react"):
        advanced(HUBERT, 0.0, [Spell(duration=1.0, temperature=300.0)])

    class Broken:
        stays_at_zero = False

        def rate(self, alpha, temperature):
            return np.full(np.shape(alpha), np.nan)

        def rate_and_slopes(self, alpha, temperature):
            nan = np.full(np.shape(alpha), np.nan)
            return nan, nan, nan

    with pytest.raises(NotSolved, match="could not be followed for 60 s at 300 K"):
        advanced(Broken(), 0.1, [Spell(duration=60.0, temperature=300.0)])
