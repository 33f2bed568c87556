"""Degree of cure along a temperature that was measured: the rate law alone, integrated to a tolerance.

The same Rosenbrock method as through the thickness, for one point: every variant of the temperature is a lane, all
lanes share the step, and a step never passes a reading, where the slope of the temperature changes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.cure import rodas4
from bagside.cure.kinetics import Kinetics
from bagside.errors import NotSolved

Floats = NDArray[np.float64]

SHORTEST = 1e-6
"""Step below which it is given up [s]."""


def cured_along(
    kinetics: Kinetics,
    time: Floats,
    temperature: Floats,
    alpha0: float,
    rate: Floats | float = 1.0,
    *,
    tolerance: float = 1e-5,
) -> Floats:
    """Return the degree of cure along temperatures that are straight between times.

    Parameters
    ----------
    kinetics
        The rate law.
    time
        Rising, shape (k,) [s].
    temperature
        One row for each variant, shape (v, k) [K].
    alpha0
        Degree of cure at the first time.
    rate
        Factor on the rate, one for all or one for each variant.
    tolerance
        Error of the degree of cure allowed in one step.

    Returns
    -------
    Floats
        Shape (v, k).

    Raises
    ------
    NotSolved
        When the tolerance cannot be met.

    References
    ----------
    Hairer, Wanner 1996, Solving Ordinary Differential Equations II, section VI.4.

    Examples
    --------
    >>> from bagside.cure import NthOrder
    >>> law = NthOrder(A=2e-3, E=0.0, n=1.0)
    >>> hour = np.array([0.0, 600.0])
    >>> round(float(cured_along(law, hour, np.full((1, 2), 400.0), 0.0)[0, -1]), 5)
    0.69881
    """
    out = np.empty(temperature.shape)
    alpha = np.full(len(temperature), alpha0)
    out[:, 0] = alpha
    factor = np.asarray(rate, dtype=np.float64)
    step = 10.0
    with np.errstate(all="ignore"):  # a step that leaves the numbers is rejected and shortened
        for j in range(len(time) - 1):
            span = float(time[j + 1] - time[j])
            slope = (temperature[:, j + 1] - temperature[:, j]) / span
            done = 0.0
            while span - done > 1e-9 * span:
                step = min(step, span - done)
                new, error = _step(kinetics, factor, alpha, temperature[:, j] + slope * done, slope, step)
                miss = float(np.max(np.abs(error))) / tolerance
                if miss <= 1.0:
                    alpha, done = new, done + step
                elif step < SHORTEST:
                    raise NotSolved(f"the degree of cure could be followed up to {time[j] + done:.0f} s only")
                step *= 0.3 if not np.isfinite(miss) else min(max(0.9 * max(miss, 1e-8) ** -0.25, 0.2), 6.0)
            out[:, j + 1] = alpha
    return out


def _step(
    kinetics: Kinetics, factor: Floats, alpha: Floats, temperature: Floats, slope: Floats, h: float
) -> tuple[Floats, Floats]:
    f, f_alpha, f_t = (factor * part for part in kinetics.rate_and_slopes(alpha, temperature))
    weight = 1.0 / (1.0 / (h * rodas4.GAMMA) - f_alpha)
    k = np.empty((6, len(alpha)))
    y = alpha
    for i in range(6):
        if i:
            # the last stage starts where the last but one ends
            y = y + k[4] if i == 5 else alpha + rodas4.A[i] @ k[:i]
            f = factor * kinetics.rate(y, temperature + slope * (rodas4.TIMES[i] * h))
            f = f + rodas4.C[i] @ k[:i] / h
        k[i] = weight * (f + rodas4.SLOPES[i] * h * slope * f_t)
    return y + k[5], k[5]
