"""How long a hold must be: closed forms, the solver, and what is out of reach."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cure import (
    CureResin,
    HubertEtAl2001,
    Layer,
    LeeLoosSpringer1982,
    NthOrder,
    Programme,
    Section,
    Segment,
    Validity,
    cure_for_tg,
    hold_to_reach,
    simulate,
)
from bagside.errors import InputError, NotSolved

ZERO_C = 273.15
LLS = LeeLoosSpringer1982(A1=2.101e9 / 60, A2=-2.014e9 / 60, A3=1.960e5 / 60, E1=8.07e4, E2=7.78e4, E3=5.66e4)
HUBERT = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)


def resin(kinetics) -> CureResin:
    return CureResin(
        kinetics=kinetics,
        heat=1.0,
        density=1200.0,
        heat_capacity=1200.0,
        conductivity=0.2,
        tg0=266.15,
        tg1=523.15,
        tg_lambda=0.78,
        gel=0.5,
        alpha0=0.01,
    )


@given(st.sampled_from([1.0, 1.5, 2.0]), st.floats(0.0, 0.9), st.floats(0.01, 0.09))
def test_nth_order_closed_form(n, start, more):
    law = NthOrder(A=2e-3, E=0.0, n=n)
    a, b = 1 - start, 1 - start - more
    wanted = math.log(a / b) / 2e-3 if n == 1.0 else (b ** (1 - n) - a ** (1 - n)) / (n - 1) / 2e-3
    assert hold_to_reach(law, start, start + more, 300.0) == pytest.approx(wanted, rel=1e-6)


@pytest.mark.published("Lee Loos Springer 1982 set, minutes to a degree of cure of 0.3 (derived here)")
def test_to_the_jump():
    for celsius, minutes in ((107, 148.3), (135, 23.9), (150, 9.96)):
        got = hold_to_reach(LLS, 0.0, 0.3, celsius + ZERO_C) / 60
        assert got == pytest.approx(minutes, abs=0.06 if minutes > 10 else 0.006)


@pytest.mark.parametrize("law", [HUBERT, LLS], ids=["diffusion", "across the jump"])
def test_it_agrees_with_the_solver(law):
    layer = Layer(name="l", thickness=2e-5, density=1500, heat_capacity=1000, conductivity=1, resin=600, cells=3)
    s = Section(name="s", layers=(layer,), film_bag=math.inf, film_tool=math.inf)
    p = Programme(start=430.0, segments=(Segment(target=430.0, ramp=1.0, hold=7200.0),))
    (h,) = simulate([s], resin(law), p, tolerance=1e-4)
    i, j = 10, len(h.time) - 1
    got = hold_to_reach(law, float(h.alpha[i, 1]), float(h.alpha[j, 1]), 430.0)
    assert got == pytest.approx(h.time[j] - h.time[i], rel=2e-3)


def test_what_is_out_of_reach():
    assert hold_to_reach(HUBERT, 0.3, 0.95, 393.15) == math.inf  # diffusion stops it near 0.5
    assert hold_to_reach(LLS, 0.5, 1.0, 400.0) == math.inf
    assert hold_to_reach(LLS, 0.5, 0.4, 400.0) == 0.0
    with pytest.raises(InputError, match="never starts"):
        hold_to_reach(HUBERT, 0.0, 0.5, 400.0)
    with pytest.raises(InputError, match="from 0 to 1"):
        hold_to_reach(LLS, 0.5, 1.1, 400.0)


class Jagged:
    """A law no sum converges on: its rate jumps a thousandfold at every tenth of a millionth of cure."""

    valid = Validity()
    stays_at_zero = False

    def rate(self, alpha, temperature):
        return np.where(np.floor(np.asarray(alpha) * 1e7) % 2 == 0, 1e-3, 1e-6)

    def rate_and_slopes(self, alpha, temperature):
        f = self.rate(alpha, temperature)
        return f, 0.0 * f, 0.0 * f


def test_a_sum_that_does_not_converge_says_so():
    with pytest.raises(NotSolved, match="the hold at 400 K could be summed up to"):
        hold_to_reach(Jagged(), 0.1, 0.9, 400.0)


@given(st.floats(0.0, 1.0))
def test_cure_for_tg_is_the_inverse(alpha):
    r = resin(LLS)
    assert cure_for_tg(r, float(r.tg(alpha))) == pytest.approx(alpha, abs=1e-9)
    assert cure_for_tg(r, 530.0) > 1.0
