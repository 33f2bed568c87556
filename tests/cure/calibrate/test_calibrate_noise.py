"""Noise that hangs together: whitening against its covariance, and the most probable noise."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from bagside.cure.calibrate import Beliefs
from bagside.cure.calibrate.noise import Noise, Shared, Together, likeliest
from trials import wandering

TIMES = np.array([0.0, 60.0, 130.0, 400.0, 2000.0, 2060.0])


def test_whitening_makes_it_independent() -> None:
    """W C Wᵀ is the identity, gaps and all: C from its definition, σ² exp(−|Δt|/τ)."""
    noise = Noise(size=1.3, together=600.0)
    w = noise.whitened(TIMES, np.eye(len(TIMES)))
    c = 1.3**2 * np.exp(-np.abs(TIMES[:, None] - TIMES) / 600.0)
    assert np.allclose(w @ c @ w.T, np.eye(len(TIMES)), atol=1e-9)


def test_what_sensors_share_is_taken_out_of_all_together() -> None:
    rng = np.random.default_rng(2)
    noises = [Noise(size=0.8, together=300.0), Noise(size=1.2, together=900.0)]
    knots = np.array([0.0, 1000.0, 2100.0])
    responses = tuple(rng.normal(size=(len(TIMES), 3)) for _ in noises)
    shared = Shared(which=(0, 1), knots=knots, responses=responses, count=2)
    w = Together(noises, [TIMES, TIMES], [shared]).whitened(
        [np.eye(2 * len(TIMES))[: len(TIMES)], np.eye(2 * len(TIMES))[len(TIMES) :]]
    )
    a = np.vstack(responses)
    c = a @ (1.0 * np.exp(-np.abs(knots[:, None] - knots) / 600.0)) @ a.T / 2.0  # medians: 1.0 K and 600 s
    for k, noise in enumerate(noises):
        i = slice(k * len(TIMES), (k + 1) * len(TIMES))
        c[i, i] += noise.size**2 * np.exp(-np.abs(TIMES[:, None] - TIMES) / noise.together)
    assert np.allclose(w @ c @ w.T, np.eye(2 * len(TIMES)), atol=1e-6)


def test_evidence_is_that_of_the_normal_distribution() -> None:
    """Unknowns left open: the readings are normal with covariance C + J Jᵀ (scipy), less what holds the noise."""
    rng = np.random.default_rng(3)
    time = np.arange(0.0, 6000.0, 300.0)
    slopes = rng.normal(size=(len(time), 2))
    rest = rng.normal(size=len(time))
    beliefs = Beliefs()
    found = likeliest(time, rest, slopes, beliefs)
    n = found.noise
    c = n.size**2 * np.exp(-np.abs(time[:, None] - time) / n.together) + slopes @ slopes.T
    want = multivariate_normal(np.zeros(len(time)), c).logpdf(rest)
    want -= 0.5 * (np.log(n.size) ** 2 + (np.log(n.together / 600.0) / 0.7) ** 2)
    assert found.evidence == pytest.approx(want, abs=1e-6)


@pytest.mark.parametrize(("size", "together"), [(1.0, 600.0), (0.3, 150.0), (2.0, 1500.0)])
def test_noise_is_found_again(size: float, together: float) -> None:
    time = np.arange(0.0, 18000.0, 120.0)
    found = [
        likeliest(time, wandering(np.random.default_rng(k), time, size, together), np.ones((len(time), 1)), Beliefs())
        for k in range(12)
    ]
    assert np.exp(np.mean([np.log(f.noise.size / size) for f in found])) == pytest.approx(1.0, abs=0.2)
    assert np.exp(np.mean([np.log(f.noise.together / together) for f in found])) == pytest.approx(1.0, abs=0.4)
