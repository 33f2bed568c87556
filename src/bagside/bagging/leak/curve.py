"""Outgassing told from a leak by the shape of the rise.

A leak into a vacuum is choked: the pressure rises in a straight line. Moist breather and resin give off gas ever more
slowly: the line bends. Four curves are fitted and weighed against each other; none is called the answer when the
readings do not tell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError

Floats = NDArray[np.float64]

SURE = 0.9  # share of the weight from which one shape is called the answer
SMALL = 0.2  # share of the whole rise below which a leak is called none that shows
TRIED = 60  # time constants tried
TOGETHER = 1.5  # rounding errors of neighbouring readings hang together, so each counts as if it were this much wider


class Rise(StrEnum):
    """What makes the pressure in an isolated bag rise."""

    TIGHT = "nothing"
    LEAK = "leak"
    SOAK = "outgassing"
    BOTH = "leak and outgassing"


@dataclass(frozen=True, slots=True, kw_only=True)
class RiseFit:
    """One curve through the readings.

    Parameters
    ----------
    rise
        Which.
    rate, rate_spread
        Of the straight part, the leak's, over all time constants, and its standard deviation [Pa/s].
    given_off
        Pressure that outgassing adds in the end [Pa].
    fading
        Time constant of the outgassing [s]; zero without.
    misfit
        Sum of squared deviations over the gauge's own spread.
    weight
        Probability among the four, all equally likely before.
    """

    rise: Rise
    rate: float
    rate_spread: float
    given_off: float
    fading: float
    misfit: float
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RiseVerdict:
    """What the readings say about leak and outgassing.

    Parameters
    ----------
    fits
        Most probable first.
    leak_weight, soak_weight
        Probability that there is a leak, and that there is outgassing.
    rate, rate_spread
        Of the leak alone, over all curves by their weight, and its standard deviation [Pa/s].
    answer
        The one curve that is sure, or outgassing when a leak beside it makes at most a fifth of the rise; None when the
        readings do not tell.
    """

    fits: tuple[RiseFit, ...]
    leak_weight: float
    soak_weight: float
    rate: float
    rate_spread: float
    answer: Rise | None


def rise_verdict(time: Floats, pressure: Floats, spread: Floats) -> RiseVerdict:
    """Return what a rise curve says about leak and outgassing.

    Parameters
    ----------
    time
        Of three readings or more, shape (k,) [s].
    pressure
        Absolute and at one temperature, shape (k,) [Pa].
    spread
        Standard deviation of each reading, shape (k,) [Pa].

    Returns
    -------
    RiseVerdict

    Raises
    ------
    InputError
        When there are less than three readings, times do not rise or a spread is not positive.

    Notes
    -----
    Curves p = p₀ + r t + a (1 − exp(−t/τ)) with r and a from zero up; weights from BIC = χ² + n ln k, n = 1, 2, 3 and
    4 constants. Time constants from a third of the shortest interval to three times the test are tried: a longer one
    cannot be told from a leak. Three readings hardly weigh four curves; five or more over half an hour do.

    References
    ----------
    Schwarz 1978, Annals of Statistics 6:461, for the weights; the shapes are those of every vacuum handbook's rate of
    rise test.
    """
    t, p, s = (np.asarray(x, dtype=np.float64) for x in (time, pressure, spread))
    if not (len(t) >= 3 and len(t) == len(p) == len(s) and (np.diff(t) > 0.0).all() and (s > 0.0).all()):
        raise InputError.one(
            "rise curve", f"{len(t)} readings", "three or more with rising times and a known gauge are wanted"
        )
    t, s = t - t[0], TOGETHER * s
    k = len(t)
    taus = np.geomspace(np.diff(t).min() / 3.0, 3.0 * t[-1], TRIED)
    found = [
        (Rise.TIGHT, _line(t, p, s, None, leak=False), 1),
        (Rise.LEAK, _line(t, p, s, None, leak=True), 2),
        (Rise.SOAK, _over([_line(t, p, s, tau, leak=False) for tau in taus]), 3),
        (Rise.BOTH, _over([_line(t, p, s, tau, leak=True) for tau in taus]), 4),
    ]
    bic = np.array([f[0] + n * math.log(k) for _, f, n in found])
    weight = np.exp(-0.5 * (bic - bic.min()))
    weight /= weight.sum()
    fits = tuple(
        RiseFit(
            rise=rise,
            rate=f[1],
            rate_spread=f[2],
            given_off=f[3],
            fading=f[4],
            misfit=f[0],
            weight=float(w),
        )
        for (rise, f, _), w in zip(found, weight, strict=True)
    )
    rate = sum(f.weight * f.rate for f in fits)
    square = sum(f.weight * (f.rate_spread**2 + f.rate**2) for f in fits)
    ranked = tuple(sorted(fits, key=lambda f: -f.weight))
    rate_spread = math.sqrt(max(square - rate**2, 0.0))
    soak = fits[2].weight + fits[3].weight
    answer = ranked[0].rise if ranked[0].weight >= SURE else None
    # A leak of nothing is nested in the last curve, so weights alone never rule a leak out: its size does.
    if answer is None and soak >= SURE and rate + 2.0 * rate_spread <= SMALL * float(p[-1] - p[0]) / float(t[-1]):
        answer = Rise.SOAK
    return RiseVerdict(
        fits=ranked,
        leak_weight=fits[1].weight + fits[3].weight,
        soak_weight=soak,
        rate=rate,
        rate_spread=rate_spread,
        answer=answer,
    )


_Fit = tuple[float, float, float, float, float]


def _over(fits: list[_Fit]) -> _Fit:
    """Return the best of fits over time constants, its rate and spread over all of them by their likelihood."""
    best = min(fits, key=lambda f: f[0])
    weight = np.exp(-0.5 * (np.array([f[0] for f in fits]) - best[0]))
    weight /= weight.sum()
    rate = float(weight @ [f[1] for f in fits])
    square = float(weight @ [f[1] ** 2 + f[2] ** 2 for f in fits])
    return best[0], rate, math.sqrt(max(square - rate**2, 0.0)), best[3], best[4]


def _line(t: Floats, p: Floats, s: Floats, tau: float | None, *, leak: bool) -> _Fit:
    """Return misfit, rate, its standard deviation, pressure given off and time constant of one curve."""
    from scipy.optimize import nnls

    columns = [np.ones_like(t)]
    if leak:
        columns.append(t / t[-1])
    if tau is not None:
        columns.append(1.0 - np.exp(-t / tau))
    a = np.stack(columns, axis=1) / s[:, None]
    x, rest = nnls(a, p / s)
    rate = float(x[1] / t[-1]) if leak else 0.0
    off = float(x[-1]) if tau is not None else 0.0
    deviation = 0.0
    if leak:
        inverse = np.linalg.pinv(a.T @ a)
        deviation = math.sqrt(max(float(inverse[1, 1]), 0.0)) / float(t[-1])
    return float(rest) ** 2, rate, deviation, off, tau or 0.0
