"""How much longer a hold must be."""

from __future__ import annotations

import math

import numpy as np

from bagside.cure.kinetics import Kinetics
from bagside.cure.resin import CureResin
from bagside.errors import InputError, NotSolved

LONGEST = 1e7
"""Hold beyond which a degree of cure counts as out of reach [s]: four months."""


def hold_to_reach(kinetics: Kinetics, start: float, target: float, temperature: float) -> float:
    """Return how long a hold at one temperature takes from one degree of cure to another.

    Parameters
    ----------
    kinetics
        The rate law.
    start, target
        Degree of cure before and after.
    temperature
        Of the hold [K].

    Returns
    -------
    float
        Time [s]; infinite when the reaction stops on the way or takes more than four months.

    Raises
    ------
    InputError
        When a degree of cure is outside 0 to 1 or the law never starts from ``start``.
    NotSolved
        When the time cannot be summed up to a thousandth.

    Notes
    -----
    The time is the integral of dα over the rate, with the temperature of the laminate taken as that of the hold: heat
    of reaction and lag are left out, so it is for the end of a cure and not for its beginning.

    Examples
    --------
    >>> from bagside.cure import NthOrder
    >>> round(hold_to_reach(NthOrder(A=2e-3, E=0.0, n=1.0), 0.0, 0.69881, 400.0))
    600
    """
    if not (0.0 <= start <= 1.0 and 0.0 <= target <= 1.0 and 0.0 < temperature < math.inf):
        raise InputError.one(
            "hold", f"{start} to {target} at {temperature} K", "degrees of cure from 0 to 1 are wanted"
        )
    if target <= start:
        return 0.0
    if target == 1.0:
        return math.inf
    if start == 0.0 and kinetics.stays_at_zero:
        raise InputError.one("hold", "0", "with this rate law resin at zero never starts to react")
    # In the logarithm of what is left, slow ends are spread out and the sum converges.
    low, high = math.log(1.0 - target), math.log(1.0 - start)
    grid = np.linspace(low, high, 257)
    left = np.exp(grid)
    rate = kinetics.rate(1.0 - left, temperature)
    if not (rate > 0.0).all() or float(np.trapezoid(left / rate, grid)) > LONGEST:
        return math.inf

    def slowness(x: float) -> float:
        u = math.exp(x)
        return u / float(kinetics.rate(1.0 - u, temperature))

    from scipy.integrate import quad  # loaded when it is wanted: commands on records start without it

    time, error = quad(slowness, low, high, limit=400, epsrel=1e-6, epsabs=1e-3, full_output=1)[:2]
    if error > 1e-3 * time + 1.0:
        raise NotSolved(f"the hold at {temperature:g} K could be summed up to {error:.0f} s in {time:.0f} s only")
    return float(time)


def cure_for_tg(resin: CureResin, tg: float) -> float:
    """Return the degree of cure at which the glass transition is reached.

    Parameters
    ----------
    resin
        The resin.
    tg
        Glass transition wanted [K].

    Returns
    -------
    float
        Degree of cure; above 1 when full cure does not reach it, below 0 when uncured resin exceeds it.
    """
    share = (tg - resin.tg0) / (resin.tg1 - resin.tg0)
    return share / (resin.tg_lambda + share * (1.0 - resin.tg_lambda))
