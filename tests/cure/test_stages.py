"""One step of all lanes: the matrix against plain linear algebra, and lanes that do not disturb each other."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cure import (
    Air,
    CureResin,
    HubertEtAl2001,
    Kamal,
    Layer,
    Section,
    heat_balance,
    simulate,
)
from bagside.cure.lanes import Lanes
from bagside.cure.rodas4 import DENSE, GAMMA, SLOPES, TIMES, A, C
from bagside.cure.stages import Stages
from bagside.cure.step_matrix import step_matrix
from bagside.errors import NotSolved

HUBERT = HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3)


def resin(kinetics=HUBERT, alpha0=0.02) -> CureResin:
    return CureResin(
        kinetics=kinetics,
        heat=540e3,
        density=1300.0,
        heat_capacity=1304.0,
        conductivity=0.212,
        tg0=266.15,
        tg1=523.15,
        tg_lambda=0.78,
        gel=0.47,
        alpha0=alpha0,
    )


def section(name="panel", thickness=0.006, cells=8, **more) -> Section:
    laminate = Layer(
        name="laminate",
        thickness=thickness,
        density=1580.0,
        heat_capacity=1050.0,
        conductivity=0.64,
        resin=550.0,
        cells=cells,
    )
    tool = Layer(name="tool", thickness=0.008, density=1550.0, heat_capacity=1000.0, conductivity=0.7, cells=5)
    return Section(name=name, layers=(laminate, tool), film_bag=15.0, film_tool=25.0, **more)


@given(
    n=st.integers(1, 9),
    seed=st.integers(0, 10_000),
    push=st.sampled_from([0.0, 1.0, 8.0]),
)
def test_the_eliminated_matrix_solves_the_whole_system(n, seed, push):
    """Against numpy on temperatures and degrees of cure together; a push so strong that it is no longer definite."""
    rng = np.random.default_rng(seed)
    r = int(rng.integers(0, n + 1))
    reacting = np.sort(rng.permutation(n)[:r])
    up = rng.uniform(0.1, 5.0, n)
    up[-1] = 0.0
    diagonal = rng.uniform(2.0, 4.0, n) + up + np.append(0.0, up[:-1])
    over, freed = rng.uniform(1.0, 2.0, r), rng.uniform(0.5, 1.5, r)
    f_alpha, f_t = rng.uniform(-1.0, 0.5, r), push * rng.uniform(0.5, 1.0, r)
    whole = np.zeros((n + r, n + r))
    whole[:n, :n] = np.diag(diagonal) - np.diag(up[:-1], 1) - np.diag(up[:-1], -1)
    for k, cell in enumerate(reacting):
        whole[cell, cell] -= freed[k] * f_t[k]
        whole[cell, n + k] = -freed[k] * f_alpha[k]
        whole[n + k, cell] = -f_t[k]
        whole[n + k, n + k] = over[k] - f_alpha[k]
    heat, rate = rng.normal(size=n), rng.normal(size=r)
    plain = np.concatenate([heat, rate])
    plain[reacting] += freed * rate
    if abs(np.linalg.det(whole)) < 1e-3:
        return
    wanted = np.linalg.solve(whole, plain)
    got = np.concatenate([heat, rate])
    matrix = step_matrix(diagonal.copy(), up[:-1], reacting, freed, over, f_alpha, f_t)
    assert matrix.usable
    matrix.solve(got, freed * rate)
    assert got == pytest.approx(wanted, rel=1e-7, abs=1e-7)


def test_a_matrix_that_is_not_definite_is_pivoted():
    one = np.array([0])
    calm = step_matrix(np.array([4.0, 4.0, 4.0]), np.ones(2), one, np.ones(1), np.ones(1), np.zeros(1), np.zeros(1))
    wild = step_matrix(np.array([4.0, 4.0, 4.0]), np.ones(2), one, np.ones(1), np.ones(1), np.zeros(1), np.full(1, 9.0))
    assert calm.definite is not None
    assert calm.pivoted is None
    assert wild.definite is None
    assert wild.pivoted is not None


@pytest.mark.published(
    "Hairer Wanner 1996, Solving Ordinary Differential Equations II, section VI.4, RODAS (order conditions)"
)
def test_the_coefficients_meet_the_conditions_of_order_four():
    """Back from the printed form to αᵢⱼ and γᵢⱼ, then the eight conditions of order four and stiff accuracy."""
    a, c = np.zeros((6, 6)), np.zeros((6, 6))
    for i in range(6):
        a[i, :i], c[i, :i] = A[i], C[i]
    gamma = np.linalg.inv(np.eye(6) / GAMMA - c)
    alpha = a @ gamma
    beta = alpha + gamma
    b = np.append(A[5], 1.0) @ gamma
    s, t = alpha.sum(axis=1), beta.sum(axis=1)
    assert s == pytest.approx(TIMES, abs=1e-12)
    assert gamma.sum(axis=1) == pytest.approx(SLOPES, abs=1e-12)
    conditions = {
        "1": (b.sum(), 1.0),
        "2": (b @ t, 1 / 2),
        "3a": (b @ s**2, 1 / 3),
        "3b": (b @ beta @ t, 1 / 6),
        "4a": (b @ s**3, 1 / 4),
        "4b": (b @ (s * (alpha @ t)), 1 / 8),
        "4c": (b @ beta @ s**2, 1 / 12),
        "4d": (b @ beta @ beta @ t, 1 / 24),
    }
    for name, (got, wanted) in conditions.items():
        assert got == pytest.approx(wanted, abs=1e-10), name
    assert beta[5] == pytest.approx(b, abs=1e-12)  # stiffly accurate
    assert DENSE.shape == (2, 6)


def test_a_lane_in_trouble_does_not_disturb_another():
    """One lane's temperature leaves the numbers; the other's step is the one it takes alone."""
    hot, cold = section("hot"), section("cold", thickness=0.004, cells=6)
    air, rise = np.full((6, 2), 400.0), np.zeros(2)

    def state(*sections: Section) -> np.ndarray:
        return np.concatenate(
            [*(np.full(len(s.widths), 380.0) for s in sections), *(np.full(len(s.reacting), 0.1) for s in sections)]
        )

    both, alone = (Stages.of(Lanes.of(s, 540e3), HUBERT) for s in ([hot, cold], [cold]))
    y = state(hot, cold)
    y[len(hot.widths) + len(cold.widths)] = -0.1  # a degree of cure of the first lane below zero
    with np.errstate(all="ignore"):
        end, k, believed = both.step(y, np.full(2, 20.0), air, rise)
        wanted, k_alone, sure = alone.step(state(cold), np.full(1, 20.0), air[:, :1], rise[:1])
    assert believed.tolist() == [False, True]
    assert sure.tolist() == [True]
    cells = slice(len(hot.widths), len(hot.widths) + len(cold.widths))
    assert end[cells] == pytest.approx(wanted[: len(cold.widths)], abs=1e-10)
    assert both.error(k[5])[1] == pytest.approx(alone.error(k_alone[5])[0], rel=1e-6)


def test_many_lanes_of_all_kinds_are_each_as_alone():
    """Resin or none, one cell or many, factors or none, finished early or late: the same histories to rounding."""
    bare = Section(
        name="bare",
        layers=(Layer(name="tool", thickness=0.01, density=2700.0, heat_capacity=900.0, conductivity=160.0, cells=1),),
        film_bag=20.0,
        film_tool=20.0,
    )
    places = [
        section("a"),
        bare,
        section("b", thickness=0.02, cells=12, rate_factor=1.3, heat_factor=0.8, air_offset=4.0),
        section("c", thickness=0.001, cells=1, alpha0=0.3),
    ]
    airs = [
        Air.recorded([0.0, 2000.0, 4000.0], [300.0, 400.0, 400.0]),
        Air.recorded([0.0, 500.0], [300.0, 350.0]),
        Air.recorded([0.0, 2500.0, 9000.0], [300.0, 420.0, 420.0]),
        Air.recorded([0.0, 1000.0, 1200.0, 3000.0], [300.0, 380.0, 380.0, 330.0]),
    ]
    together = simulate(places, resin(), airs, tolerance=1e-2)
    for place, air, h in zip(places, airs, together, strict=True):
        (alone,) = simulate([place], resin(), air, tolerance=1e-2)
        assert h.steps == alone.steps
        assert h.temperature == pytest.approx(alone.temperature, abs=1e-8)
        assert h.alpha == pytest.approx(alone.alpha, abs=1e-10)
        assert h.peak == pytest.approx(alone.peak, abs=1e-8)
        assert h.peak_time == pytest.approx(alone.peak_time, abs=1e-3)
        assert h.surface_peak == (None if alone.surface_peak is None else pytest.approx(alone.surface_peak, abs=1e-8))


@pytest.mark.parametrize("emissivity", [0.0, 0.9])
@pytest.mark.parametrize(("rate", "heat"), [(1.0, 1.0), (1.4, 0.8)])
def test_heat_adds_up_with_factors_and_radiation(rate, heat, emissivity):
    """What flowed in and was freed is what is stored, to the square of the output interval."""
    place = section(
        thickness=0.02,
        cells=12,
        rate_factor=rate,
        heat_factor=heat,
        emissivity_bag=emissivity,
        emissivity_tool=emissivity,
    )
    air = Air.recorded([0.0, 3000.0, 12000.0], [300.0, 440.0, 440.0])
    residuals = []
    for interval in (300.0, 75.0, 10.0):
        (h,) = simulate([place], resin(), air, output_interval=interval, tolerance=1e-5, max_steps=100_000)
        residuals.append(abs(heat_balance(h).relative))
    assert residuals[0] / residuals[1] == pytest.approx(16.0, rel=0.35)
    assert residuals[2] < 2e-6
    freed = heat * 540e3 * 550.0 * 0.02 * float(h.alpha[-1].mean() - 0.02)
    assert heat_balance(h).reaction == pytest.approx(freed, rel=1e-9)


def test_a_runaway_without_end_is_told():
    """A law whose rate has no bound, in a laminate that loses no heat: no step is short enough."""
    wild = Kamal(A1=1e-6, E1=0.0, A2=1e300, E2=0.0, m=3.0, n=0.5)
    closed = replace(section("pot"), film_bag=0.0, film_tool=0.0)
    with pytest.raises(NotSolved) as e:
        simulate([closed], resin(wild), Air.recorded([0.0, 3600.0], [300.0, 400.0]), max_steps=300)
    assert re.fullmatch(
        r"pot: after \d+ steps the cure is computed up to 0 s only; "
        r"the step is [0-9.e-]+ s for a tolerance of 0.03 K",
        str(e.value),
    )
