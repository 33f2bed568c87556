"""Leak and outgassing told apart: made-up curves with a rounding gauge, recovered."""

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from bagside.bagging.leak import Rise, rise_verdict
from bagside.bagging.leak.curve import TOGETHER
from bagside.errors import InputError

TIMES = np.arange(0.0, 2401.0, 120.0)  # 40 min, every 2 min


def rise(kind: Rise, rng: np.random.Generator, step: float = 50.0) -> tuple[np.ndarray, np.ndarray, float]:
    """Return readings, their spread and the leak's rate [Pa/s]."""
    rate = rng.uniform(0.5, 2.0) if kind in (Rise.LEAK, Rise.BOTH) else 0.0
    given = rng.uniform(1000.0, 3000.0) if kind in (Rise.SOAK, Rise.BOTH) else 0.0
    tau = rng.uniform(200.0, 500.0)
    p = rng.uniform(1500.0, 2500.0) + rate * TIMES + given * (1.0 - np.exp(-TIMES / tau))
    return np.round(p / step) * step, np.full(len(TIMES), step / np.sqrt(12.0)), rate


@pytest.mark.parametrize(("kind", "least"), [(Rise.LEAK, 54), (Rise.SOAK, 48), (Rise.BOTH, 54)])
def test_the_shape_is_recovered(kind: Rise, least: int) -> None:
    """Most probable in at least 90 % of 60 seeded draws, 80 % where a leak of nothing competes; sure answers right."""
    best, sure, right = 0, 0, 0
    for seed in range(60):
        p, s, _ = rise(kind, np.random.default_rng([5, seed]))
        found = rise_verdict(TIMES, p, s)
        best += found.fits[0].rise is kind
        sure += found.answer is not None
        right += found.answer is kind
    assert best >= least
    assert right >= 0.95 * sure
    assert sure >= 40


def test_a_tight_bag_is_called_tight() -> None:
    found = rise_verdict(TIMES, np.full(len(TIMES), 2000.0), np.full(len(TIMES), 14.4))
    assert found.fits[0].rise is Rise.TIGHT
    assert found.rate < 0.01


def test_the_leak_alone_lies_within_its_spread() -> None:
    away = []
    for seed in range(80):
        p, s, rate = rise(Rise.BOTH, np.random.default_rng([9, seed]))
        found = rise_verdict(TIMES, p, s)
        away.append((found.rate - rate) / found.rate_spread)
    assert abs(np.mean(away)) < 0.5
    assert np.mean(np.abs(away) < 2.0) > 0.85


def test_the_fit_is_that_of_bounded_least_squares() -> None:
    """scipy's own bounded solver on the same columns."""
    p, s, _ = rise(Rise.BOTH, np.random.default_rng(2))
    found = next(f for f in rise_verdict(TIMES, p, s).fits if f.rise is Rise.BOTH)
    a = np.stack([np.ones_like(TIMES), TIMES, 1.0 - np.exp(-TIMES / found.fading)], axis=1) / s[:, None]
    peer = lsq_linear(a, p / s, bounds=(0.0, np.inf), tol=1e-14)
    assert found.misfit * TOGETHER**2 == pytest.approx(2.0 * peer.cost, rel=1e-6)
    assert abs(found.rate - peer.x[1]) < found.rate_spread


def test_three_readings_do_not_make_it_sure_of_both() -> None:
    t = np.array([0.0, 300.0, 600.0])
    found = rise_verdict(t, np.array([2000.0, 2300.0, 2500.0]), np.full(3, 29.0))
    assert found.answer is None
    assert sum(f.weight for f in found.fits) == pytest.approx(1.0)
    assert 0.0 < found.leak_weight < 1.0


def test_a_leak_that_may_be_there_is_not_called_outgassing() -> None:
    """A third of the rise is a leak; eleven readings of half a millibar show outgassing for sure, and not that leak."""
    t = np.arange(0.0, 1201.0, 120.0)
    p = 2000.0 + 0.4 * t + 800.0 * (1.0 - np.exp(-t / 300.0))
    found = rise_verdict(t, np.round(p / 50.0) * 50.0, np.full(len(t), 50.0 / np.sqrt(12.0)))
    assert found.soak_weight > 0.99
    assert found.answer is None
    assert abs(found.rate - 0.4) < 2.0 * found.rate_spread


def test_too_few_readings_are_refused() -> None:
    with pytest.raises(InputError) as told:
        rise_verdict(np.array([0.0, 1.0]), np.array([1.0, 2.0]), np.array([1.0, 1.0]))
    assert str(told.value) == "rise curve: 2 readings – three or more with rising times and a known gauge are wanted"
