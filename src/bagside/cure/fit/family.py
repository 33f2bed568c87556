"""The family of rate laws that a fit chooses from, for many parameter sets at once.

dα/dt = k (r + αᵐ)(1 − α)ⁿ · 1/(1 + exp(−(T − Tg(α) − offset)/8 K)), with Tg(α) after DiBenedetto: the law of
`bagside.cure.Kamal` with its `Vitrification`. A fit works on vectors, one number for each of `NAMES`; what must stay
above zero enters by its logarithm. The rate constant is that at the middle of the stated temperatures: at 0 or
infinite temperature it would be tied to the activation energy.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.cure.kinetics import GAS, Validity
from bagside.cure.rate_laws import Kamal, Vitrification

Floats = NDArray[np.float64]

NAMES = ("ln_k", "E", "ln_m", "ln_n", "ln_r", "E_gap", "tg0", "tg1", "ln_lambda", "offset", "gel", "ln_latent")
"""Parameters of the family: rate constant at the middle temperature [1/s], activation energy [J/mol], exponents, share
of the reaction that starts by itself at the middle temperature, by how much its activation energy is higher [J/mol],
DiBenedetto's constants [K, K, –], offset of vitrification [K], degree of cure at gel, and how many times longer than
the law says the resin keeps in the room: latent hardeners only dissolve and react when it is warm."""

LN_K, E, LN_M, LN_N, LN_R, E_GAP, TG0, TG1, LN_LAMBDA, OFFSET, GEL, LN_LATENT = range(len(NAMES))

WIDTH = 8.0
"""Width of vitrification [K], not fitted."""
NO_GLASS = -1e4
"""Offset at which nothing vitrifies [K]."""


def tg_of(theta: Floats, alpha: Floats) -> Floats:
    """Return the glass transition at a degree of cure.

    Parameters
    ----------
    theta
        Parameter sets, shape (..., 12), broadcast against ``alpha``.
    alpha
        Degree of cure, shape (...).

    Returns
    -------
    Floats
        Glass transition [K].
    """
    ratio = np.exp(theta[..., LN_LAMBDA])
    rise = theta[..., TG1] - theta[..., TG0]
    out: Floats = theta[..., TG0] + rise * ratio * alpha / (1.0 - (1.0 - ratio) * alpha)
    return out


def rate_of(theta: Floats, middle: float, alpha: Floats, temperature: Floats | float) -> Floats:
    """Return how fast each parameter set reacts.

    Parameters
    ----------
    theta
        Parameter sets, shape (..., 12), broadcast against ``alpha``.
    middle
        Temperature at which the rate constant is stated [K].
    alpha
        Degree of cure above 0 and below 1, shape (...).
    temperature
        Shape (...) or one [K].

    Returns
    -------
    Floats
        dα/dt [1/s].
    """
    span = (1.0 / np.asarray(temperature) - 1.0 / middle) / GAS
    k = np.exp(theta[..., LN_K] - theta[..., E] * span)
    r = np.exp(theta[..., LN_R] - theta[..., E_GAP] * span)
    am = np.exp(np.exp(theta[..., LN_M]) * np.log(alpha))
    un = np.exp(np.exp(theta[..., LN_N]) * np.log1p(-alpha))
    x = (temperature - tg_of(theta, alpha) - theta[..., OFFSET]) / WIDTH
    out: Floats = k * (r + am) * un * _logistic(x)
    return out


def slopes_of(
    theta: Floats, middle: float, alpha: Floats, temperature: Floats | float
) -> tuple[Floats, Floats, Floats]:
    """Return how fast each parameter set reacts, and how that changes with the degree of cure and the temperature.

    Parameters
    ----------
    theta
        Parameter sets, shape (..., 12), broadcast against ``alpha``.
    middle
        Temperature at which the rate constant is stated [K].
    alpha
        Degree of cure above 0 and below 1, shape (...).
    temperature
        Shape (...) or one [K].

    Returns
    -------
    tuple
        dα/dt [1/s], its derivative by α [1/s] and by temperature [1/(s K)].
    """
    t = np.asarray(temperature, dtype=np.float64)
    span = (1.0 / t - 1.0 / middle) / GAS
    k = np.exp(theta[..., LN_K] - theta[..., E] * span)
    r = np.exp(theta[..., LN_R] - theta[..., E_GAP] * span)
    m, n, ratio = np.exp(theta[..., LN_M]), np.exp(theta[..., LN_N]), np.exp(theta[..., LN_LAMBDA])
    am = np.exp(m * np.log(alpha))
    un = np.exp(n * np.log1p(-alpha))
    bottom = 1.0 - (1.0 - ratio) * alpha
    rise = (theta[..., TG1] - theta[..., TG0]) * ratio
    g = _logistic((t - theta[..., TG0] - rise * alpha / bottom - theta[..., OFFSET]) / WIDTH)
    f = k * (r + am) * un * g
    late = (1.0 - g) / WIDTH
    by_alpha = k * g * un * m * am / alpha - f * n / (1.0 - alpha) - f * late * rise / bottom**2
    by_heat = (f * theta[..., E] + k * r * un * g * theta[..., E_GAP]) / (GAS * t * t) + f * late
    return f, by_alpha, by_heat


def _logistic(x: Floats) -> Floats:
    """Return 1/(1 + exp(−x)); far below zero it must stay above zero, as a time is one over it."""
    x = np.asarray(x)
    small = np.exp(-np.abs(x))
    out: Floats = np.where(x >= 0.0, 1.0, small) / (1.0 + small)
    return out


def kamal(theta: Floats, middle: float, valid: Validity) -> Kamal:
    """Return one parameter set as a rate law.

    Parameters
    ----------
    theta
        Parameter set, shape (12,).
    middle
        Temperature at which the rate constant is stated [K].
    valid
        Where the law may be believed.

    Returns
    -------
    Kamal
        The law; with vitrification unless the offset rules it out.
    """
    t = [float(x) for x in theta]
    glass = Vitrification(tg0=t[TG0], tg1=t[TG1], tg_lambda=float(np.exp(t[LN_LAMBDA])), offset=t[OFFSET], width=WIDTH)
    first = t[E] + t[E_GAP]
    return Kamal(
        A1=float(np.exp(t[LN_K] + t[LN_R] + first / (GAS * middle))),
        E1=first,
        A2=float(np.exp(t[LN_K] + t[E] / (GAS * middle))),
        E2=t[E],
        m=float(np.exp(t[LN_M])),
        n=float(np.exp(t[LN_N])),
        vitrification=None if t[OFFSET] <= NO_GLASS else glass,
        valid=valid,
    )
