"""Activation energy without a rate law, as a check of a fitted one.

At one degree of cure every curve has reacted by the same; how its rate there changes with the temperature is the
activation energy, whatever the law.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.dsc_curve import DscKind, Reacted
from bagside.cure.kinetics import GAS

Floats = NDArray[np.float64]

LEVELS = np.linspace(0.1, 0.8, 8)
"""Degrees of cure at which it is read."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Isoconversional:
    """Activation energies over the degree of cure.

    Parameters
    ----------
    alpha
        Shape (levels,).
    by_rate
        By the rates of all curves (Friedman), shape (levels,) [J/mol]; not a number where fewer than two temperatures
        are told.
    by_heating
        By the temperatures at which ramps get there (Kissinger, Akahira, Sunose), same shape.

    References
    ----------
    Friedman 1964, Journal of Polymer Science C 6:183.
    Akahira, Sunose 1971, Research Report Chiba Institute of Technology 16:22, as given in Vyazovkin et al. 2011,
    Thermochimica Acta 520:1.
    """

    alpha: Floats
    by_rate: Floats
    by_heating: Floats


def isoconversional(curves: Sequence[Reacted], total: float) -> Isoconversional:
    """Return activation energies without a law.

    Parameters
    ----------
    curves
        Two or more.
    total
        Heat of reaction [J/kg resin].
    """
    by_rate, by_heating = np.full(len(LEVELS), np.nan), np.full(len(LEVELS), np.nan)
    for k, level in enumerate(LEVELS):
        points, ramps = [], []
        for c in curves:
            whole = c.total if c.kind is DscKind.RAMP else total
            share = c.given / whole
            if not share[0] < level < share[-1]:
                continue
            at = int(np.searchsorted(np.maximum.accumulate(share), level))
            span = slice(max(0, at - 3), at + 4)
            rate = float(c.heat[span].mean()) / whole
            heat = float(c.temperature[at])
            if rate > 0.0:
                points.append((1.0 / (GAS * heat), np.log(rate)))
            if c.kind is DscKind.RAMP:
                ramps.append((1.0 / (GAS * heat), np.log(c.rate / heat**2)))
        for out, pairs in ((by_rate, points), (by_heating, ramps)):
            x = np.array(pairs).reshape(-1, 2)
            if len(x) >= 2 and np.ptp(x[:, 0]) > 3e-6:
                out[k] = -np.polyfit(x[:, 0], x[:, 1], 1)[0]
    return Isoconversional(alpha=LEVELS, by_rate=by_rate, by_heating=by_heating)
