"""The family of laws, its isotherms and its courses: against the cure's own law, closed forms and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bagside.cure import Validity, hold_to_reach
from bagside.cure.fit.course import along
from bagside.cure.fit.family import NAMES, kamal, rate_of, slopes_of, tg_of
from bagside.cure.fit.isotherm import LAST, Isotherms

MIDDLE = 373.15


def theta(**changes: float) -> np.ndarray:
    values = {
        "ln_k": -6.4, "E": 7.6e4, "ln_m": np.log(0.85), "ln_n": np.log(1.6), "ln_r": -4.2, "E_gap": 3e3,
        "tg0": 266.0, "tg1": 405.0, "ln_lambda": np.log(0.5), "offset": -8.0, "gel": 0.5, "ln_latent": 0.0,
    }  # fmt: skip
    return np.array([{**values, **changes}[name] for name in NAMES])


@given(
    st.floats(1e-3, 0.999), st.floats(280.0, 470.0), st.floats(0.3, 1.5), st.floats(0.8, 2.9), st.floats(-40.0, 25.0)
)
def test_it_is_the_law_that_the_cure_runs(alpha, heat, m, n, offset):
    one = theta(ln_m=np.log(m), ln_n=np.log(n), offset=offset)
    law = kamal(one, MIDDLE, Validity())
    wanted = law.rate_and_slopes(np.array([alpha]), np.array([heat]))
    got = slopes_of(one[None, :], MIDDLE, np.array([alpha]), np.array([heat]))
    for a, b in zip(got, wanted, strict=True):
        assert a == pytest.approx(b, rel=1e-9, abs=1e-300)
    assert rate_of(one[None, :], MIDDLE, np.array([alpha]), heat) == pytest.approx(wanted[0], rel=1e-9)


def test_isotherm_of_order_n():
    """(1 − α)^(1−n) = 1 + (n − 1) k t, by hand: α = .609375 after 600 s with k 2e-3, n 1.5, from zero."""
    one = theta(ln_k=np.log(2e-3) - 20.0, ln_r=20.0, E=0.0, E_gap=0.0, ln_n=np.log(1.5), offset=-1e4)
    before = 2.0 / 2e-3 * ((1.0 - 1e-3) ** -0.5 - 1.0)  # [s] until the 0.001 that the table starts from
    table = Isotherms(one[None, :], MIDDLE, np.array([350.0]), 1e-3)
    assert table.alpha_at(np.array([600.0 - before])) == pytest.approx([0.609375], abs=1e-8)
    assert table.time_to(np.array([0.609375])) == pytest.approx([600.0 - before], rel=1e-8)


def test_isotherm_of_kamal():
    """m = n = 1, k1 1e-4, k2 2e-3: α = (e − 1)/(e + k2/k1), e = exp((k1 + k2) t): .10735, .67093, .98917 by hand."""
    one = theta(ln_k=np.log(2e-3), ln_r=np.log(0.05), E=0.0, E_gap=0.0, ln_m=0.0, ln_n=0.0, offset=-1e4)
    start = 1e-3
    before = np.log((1.0 + 20.0 * start) / (1.0 - start)) / 2.1e-3
    table = Isotherms(np.repeat(one[None, :], 3, axis=0), MIDDLE, np.full(3, 350.0), start)
    got = table.alpha_at(np.array([600.0, 1800.0, 3600.0]) - before)
    assert got == pytest.approx([0.10735, 0.67093, 0.98917], abs=5e-6)


@settings(max_examples=40)
@given(st.floats(300.0, 440.0), st.floats(-40.0, 20.0), st.floats(0.05, 0.95))
def test_isotherm_against_the_hold_of_the_cure(heat, offset, alpha):
    one = theta(offset=offset)
    table = Isotherms(one[None, :], MIDDLE, np.array([heat]), 0.01)
    time = table.time_to(np.array([alpha]))
    wanted = hold_to_reach(kamal(one, MIDDLE, Validity()), 0.01, alpha, heat)
    if np.isfinite(wanted):
        assert time[0] == pytest.approx(wanted, rel=1e-5, abs=1e-2)
    assert table.alpha_at(time) == pytest.approx([alpha], abs=1e-9), "there and back"


def test_a_hold_beyond_the_table_ends_there():
    table = Isotherms(theta(offset=-200.0)[None, :], MIDDLE, np.array([450.0]), 0.01)
    assert table.alpha_at(np.array([1e9])) == pytest.approx([LAST], abs=1e-12)


@pytest.mark.parametrize("offset", [-8.0, 15.0])
def test_course_against_scipy(offset):
    sets = np.array([theta(offset=offset), theta(offset=offset, ln_k=-7.4), theta(offset=offset, E=6e4)])
    times = np.array([0.0, 2400.0, 6000.0, 7800.0, 20000.0, 22000.0])
    heats = np.array([293.15, 353.15, 353.15, 393.15, 393.15, 323.15])
    course = along(sets, MIDDLE, times, heats, 0.01)
    inside = np.linspace(10.0, 22000.0, 101)
    for lane, one in enumerate(sets):
        law = kamal(one, MIDDLE, Validity())
        got = solve_ivp(
            lambda t, y, law=law: law.rate(y, np.interp(t, times, heats)),
            (0.0, times[-1]),
            [0.01],
            method="Radau",
            rtol=1e-9,
            atol=1e-11,
            max_step=100.0,
            t_eval=inside,
        )
        assert np.abs(course.at(lane, inside) - got.y[0]).max() < 1e-4
        reached = course.time_to(np.full(3, 0.5))[lane]
        assert np.interp(reached, inside, got.y[0]) == pytest.approx(0.5, abs=2e-3)
        assert course.tg(sets)[lane, -1] == pytest.approx(float(tg_of(one, got.y[0, -1])), abs=0.01)
    assert np.isinf(along(sets, MIDDLE, times[:2], heats[:2], 0.01).time_to(np.full(3, 0.5))).all()


def test_a_long_hold_in_the_glass_stays_stable():
    """500 h at 60 °C, where vitrification makes it stiff: the course ends where the isotherm says."""
    one = theta()[None, :]
    hours = 500 * 3600.0
    course = along(one, MIDDLE, np.array([0.0, hours]), np.array([333.15, 333.15]), 0.01)
    table = Isotherms(one, MIDDLE, np.array([333.15]), 0.01)
    assert course.alpha[0, -1] == pytest.approx(table.alpha_at(np.array([hours]))[0], abs=1e-5)
    assert (np.diff(course.alpha[0]) > 0.0).all()
