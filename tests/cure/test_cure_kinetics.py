"""Rate laws: published figures, closed forms, slopes, and refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bagside.cure import (
    BogettiGillespie1991,
    HubertEtAl2001,
    Kamal,
    LeeLoosSpringer1982,
    NthOrder,
    Validity,
    Vitrification,
    kinetics_names,
    model_from,
)
from bagside.errors import InputError

ZERO_C = 273.15
LLS = LeeLoosSpringer1982(A1=2.101e9 / 60, A2=-2.014e9 / 60, A3=1.960e5 / 60, E1=8.07e4, E2=7.78e4, E3=5.66e4)
HUBERT = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)
POLYESTER = BogettiGillespie1991(A=6.167e20, E=1.674e5, m=0.524, n=1.476)
VITRIFYING = Kamal(
    A1=3.4e6, E1=8e4, A2=2.9e8, E2=8e4, m=0.85, n=1.6, vitrification=Vitrification(tg0=266.0, tg1=408.0, tg_lambda=0.5)
)
ALL = (NthOrder(A=1e5, E=7e4, n=1.5), POLYESTER, HUBERT, LLS, VITRIFYING)


def held(law, celsius: float, start: float, minutes: list[float]) -> np.ndarray:
    """Degree of cure in a hold, by a general solver: the laws are tested here, not our time steps."""
    t = np.array(minutes) * 60.0

    def f(_t, a):
        return law.rate(a, celsius + ZERO_C)

    return solve_ivp(f, (0.0, t[-1]), [start], t_eval=t, rtol=1e-9, atol=1e-12, method="LSODA", max_step=60.0).y[0]


def half_digit(printed: str) -> float:
    mantissa, _, exponent = printed.lower().partition("e")
    decimals = len(mantissa.partition(".")[2])
    return 0.5 * 10.0 ** (int(exponent or 0) - decimals) * 1.0001


@pytest.mark.published("Lee Loos Springer 1982 rate law and parameters, evaluated (derived here)")
@pytest.mark.parametrize(
    ("kelvin", "printed"),
    [
        (400.0, ["2.856e-2", "1.560e-2", "7.108e-3", "2.258e-3", "5.570e-3", "3.979e-3"]),
        (450.0, [".4234", ".2376", ".1136", ".04028", ".03691", ".02637"]),
    ],
)
def test_two_branch_rates_per_minute(kelvin, printed):
    alphas = [0.0, 0.1, 0.2, 0.3 - 1e-9, 0.3 + 1e-9, 0.5]
    for a, text in zip(alphas, printed, strict=True):
        assert 60 * float(LLS.rate(a, kelvin)) == pytest.approx(float(text), abs=half_digit(text))


@pytest.mark.published("Hubert Johnston Poursartip Nelson 2001 rate law and parameters, evaluated (derived here)")
@pytest.mark.parametrize(
    ("celsius", "alphas", "printed"),
    [
        (180.0, [0.01, 0.05, 0.2, 0.5, 0.7], ["7.597e-5", "2.511e-4", "4.842e-4", "2.819e-4", "9.021e-5"]),
        (120.0, [0.01, 0.05, 0.2, 0.5], ["5.137e-6", "1.698e-5", "3.275e-5", "3.901e-6"]),
    ],
)
def test_diffusion_limited_rates(celsius, alphas, printed):
    for a, text in zip(alphas, printed, strict=True):
        assert float(HUBERT.rate(a, celsius + ZERO_C)) == pytest.approx(float(text), abs=half_digit(text))


@pytest.mark.published("Bogetti Gillespie 1991 rate law and parameters, evaluated (derived here)")
def test_polyester_rates():
    for a, text in ((0.1, "1.538e-3"), (0.5, "1.501e-3")):
        assert float(POLYESTER.rate(a, 380.0)) == pytest.approx(float(text), abs=half_digit(text))


@pytest.mark.published("Lee Loos Springer 1982 set, isothermal, integrated to convergence (derived here)")
@pytest.mark.parametrize(
    ("celsius", "alphas"),
    [
        (120, [0.1253, 0.1905, 0.2315, 0.2980, 0.5051]),
        (135, [0.2137, 0.2835, 0.3463, 0.5325, 0.7610]),
        (150, [0.3005, 0.4284, 0.5329, 0.7451, 0.9241]),
        (177, [0.5320, 0.7245, 0.8379, 0.9669, 0.9986]),
    ],
)
def test_two_branch_isothermal(celsius, alphas):
    assert held(LLS, celsius, 0.0, [10, 20, 30, 60, 120]) == pytest.approx(alphas, abs=5e-4)


@pytest.mark.published("Lee Loos Springer 1982 set, minutes to a degree of cure of 0.3 (derived here)")
@pytest.mark.parametrize(
    ("celsius", "minutes"), [(107, 148.3), (116, 80.0), (120, 61.4), (135, 23.9), (150, 9.96), (177, 2.40)]
)
def test_two_branch_time_to_the_jump(celsius, minutes):
    t = np.linspace(0.5, 1.1, 4001)[1:] * minutes
    a = held(LLS, celsius, 0.0, t.tolist())
    assert float(np.interp(0.3, a, t)) == pytest.approx(minutes, abs=0.06 if minutes > 10 else 0.006)


@pytest.mark.published("Hubert Johnston Poursartip Nelson 2001 set, isothermal from 0.01 (derived here)")
@pytest.mark.parametrize(
    ("celsius", "alphas"),
    [
        (120, [0.0135, 0.0232, 0.0463, 0.1286, 0.2433, 0.3559]),
        (150, [0.0313, 0.1409, 0.3795, 0.6237, 0.6680, 0.6831]),
        (180, [0.1800, 0.5951, 0.7625, 0.8216, 0.8372, 0.8457]),
    ],
)
def test_diffusion_limited_isothermal(celsius, alphas):
    assert held(HUBERT, celsius, 0.01, [10, 30, 60, 120, 180, 240]) == pytest.approx(alphas, abs=5e-4)


@pytest.mark.parametrize(("order", "wanted"), [(1.0, 0.69881), (1.5, 0.609375), (2.0, 0.54545)])
def test_nth_order_closed_form(order, wanted):
    """1 − (1 + (n − 1) k t)^(1/(1 − n)), k 2e-3 1/s, 600 s (derived here)."""
    law = NthOrder(A=2e-3, E=0.0, n=order)
    assert held(law, 20.0, 0.0, [10.0])[0] == pytest.approx(wanted, abs=6e-6)


def test_kamal_closed_form():
    """m = n = 1: α = (e − 1)/(e + k₂/k₁), e = exp((k₁ + k₂) t) (derived here)."""
    law = Kamal(A1=1e-4, E1=0.0, A2=2e-3, E2=0.0, m=1.0, n=1.0)
    assert held(law, 20.0, 0.0, [10.0, 30.0, 60.0]) == pytest.approx([0.10735, 0.67093, 0.98917], abs=6e-6)


def test_equivalent_cure():
    """First-order time scales as the rate: 66.5 kJ/mol, 16 h at 60 °C are 4.11 h at 80 °C (derived here)."""
    law = NthOrder(A=1e5, E=66.5e3, n=1.0)
    slow, fast, room, freezer = (float(law.rate(0.5, c + ZERO_C)) for c in (60, 80, 21, -18))
    assert 16 * slow / fast == pytest.approx(4.11, abs=0.005)
    assert room / freezer == pytest.approx(63.8, abs=0.05)


@pytest.mark.parametrize("law", ALL, ids=lambda law: type(law).__name__)
@given(
    alpha=st.floats(0.02, 0.98).filter(lambda a: abs(a - 0.3) > 1e-4),
    kelvin=st.floats(300.0, 470.0),
)
def test_slopes_are_the_derivatives(law, alpha, kelvin):
    f, fa, ft = (float(x) for x in law.rate_and_slopes(alpha, kelvin))
    da, dt = 1e-6, 1e-3
    assert f == float(law.rate(alpha, kelvin))
    by_a = float(law.rate(alpha + da, kelvin) - law.rate(alpha - da, kelvin)) / (2 * da)
    by_t = float(law.rate(alpha, kelvin + dt) - law.rate(alpha, kelvin - dt)) / (2 * dt)
    scale = abs(f) + float(law.rate(0.3 * alpha, kelvin))
    assert fa == pytest.approx(by_a, rel=2e-4, abs=1e-4 * scale)
    assert ft == pytest.approx(by_t, rel=2e-4, abs=1e-7 * scale)


@pytest.mark.parametrize("law", ALL, ids=lambda law: type(law).__name__)
def test_an_array_is_a_list_of_scalars(law):
    a, t = np.meshgrid([0.0, 0.01, 0.3, 0.31, 0.9, 1.0, 1.1], [300.0, 450.0])
    f, fa, ft = law.rate_and_slopes(a, t)
    assert f == pytest.approx(law.rate(a, t), rel=1e-14)
    for i in np.ndindex(a.shape):
        one = [float(x) for x in law.rate_and_slopes(float(a[i]), float(t[i]))]
        assert one == pytest.approx([f[i], fa[i], ft[i]], rel=1e-13)


@pytest.mark.parametrize("law", ALL, ids=lambda law: type(law).__name__)
def test_at_and_above_full_cure_nothing_reacts(law):
    assert law.rate([1.0, 1.01], 400.0) == pytest.approx([0.0, 0.0], abs=0.0)
    assert law.rate(0.5, 400.0) > 0.0


def test_which_laws_never_start_from_zero():
    assert [law.stays_at_zero for law in ALL] == [False, True, True, False, False]
    for law in ALL:
        assert (float(law.rate(0.0, 400.0)) == 0.0) is law.stays_at_zero


def test_below_zero_is_not_a_number_where_the_law_has_no_answer():
    assert np.isnan(HUBERT.rate(-0.01, 400.0))


def test_vitrification_halves_the_rate_at_its_middle():
    plain = Kamal(A1=3.4e6, E1=8e4, A2=2.9e8, E2=8e4, m=0.85, n=1.6)
    tg = 266.0 + 142.0 * 0.5 * 0.6 / (1 - 0.5 * 0.6)
    assert float(VITRIFYING.rate(0.6, tg)) == pytest.approx(0.5 * float(plain.rate(0.6, tg)), rel=1e-12)


def test_built_by_name():
    for name, law in (("lee-loos-springer-1982", LLS), ("hubert-2001", HUBERT)):
        parameters = {k: getattr(law, k) for k in type(law).__slots__ if k != "valid"}
        assert model_from(name, parameters) == law
    got = model_from(
        "kamal",
        {
            "A1": 3.4e6,
            "E1": 8e4,
            "A2": 2.9e8,
            "E2": 8e4,
            "m": 0.85,
            "n": 1.6,
            "tg0": 266.0,
            "tg1": 408.0,
            "tg_lambda": 0.5,
            "hottest": 440.0,
        },
    )
    assert got.rate(0.4, 370.0) == VITRIFYING.rate(0.4, 370.0)
    assert got.valid.hottest == 440.0
    published = {"bogetti-gillespie-1991", "hubert-2001", "lee-loos-springer-1982"}
    assert set(kinetics_names()) == {"nth-order", "kamal"} | published


def test_every_mistake_is_named():
    with pytest.raises(InputError) as e:
        model_from("hubert", {})
    assert str(e.value) == 'resin, kinetics: hubert – the name of a rate law is wanted (did you mean "hubert-2001"?)'
    with pytest.raises(InputError) as e:
        model_from("nth-order", {"A": 1.0, "e": 2.0, "n": float("nan")}, "resin epoxy-80")
    assert str(e.value).splitlines() == [
        'resin epoxy-80, e: 2.0 – "nth-order" has no such parameter '
        "(known here: A, E, coldest, hottest, least, most, n)",
        'resin epoxy-80, E – "nth-order" needs this parameter, in SI',
        "resin epoxy-80, n: nan – a finite number is wanted",
    ]
    with pytest.raises(InputError, match='tg1 – "kamal" needs this parameter'):
        model_from(
            "kamal", {"A1": 1.0, "E1": 1.0, "A2": 1.0, "E2": 1.0, "m": 1.0, "n": 1.0, "tg0": 260.0, "tg_lambda": 0.5}
        )


def test_the_polyester_law_is_the_autocatalytic_one_without_its_first_reaction():
    other = Kamal(A1=0.0, E1=0.0, A2=6.167e20, E2=1.674e5, m=0.524, n=1.476)
    a, t = np.linspace(0.01, 0.99, 9)[:, None], np.linspace(330.0, 420.0, 5)
    for one, two in zip(POLYESTER.rate_and_slopes(a, t), other.rate_and_slopes(a, t), strict=True):
        assert one == pytest.approx(two, rel=1e-12)
    by_name = model_from("bogetti-gillespie-1991", {"A": 6.167e20, "E": 1.674e5, "m": 0.524, "n": 1.476})
    assert by_name == POLYESTER
    assert POLYESTER.stays_at_zero


def test_where_a_law_may_be_believed():
    law = model_from(
        "nth-order", {"A": 1e5, "E": 7e4, "n": 1.0, "coldest": 350.0, "hottest": 450.0, "least": 0.05, "most": 0.9}
    )
    assert law.valid.holds([0.01, 0.5, 0.95, 0.5], [400.0, 400.0, 400.0, 460.0]).tolist() == [False, True, False, False]
    with pytest.raises(InputError) as e:
        Validity(coldest=450.0, hottest=350.0, least=0.9, most=0.9)
    assert str(e.value) == (
        "kinetics, coldest and hottest: 450.0 and 350.0 – a range from low to high is wanted\n"
        "kinetics, least and most: 0.9 and 0.9 – a range from low to high is wanted"
    )


def test_what_is_negative_makes_no_noise_and_is_not_a_number():
    for law in (POLYESTER, HUBERT, VITRIFYING):
        assert np.isnan(law.rate(-1e-3, 400.0))
