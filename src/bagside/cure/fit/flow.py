"""Viscosity from a sheet: two constants of the Castro–Macosko law, the rest as usual."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from bagside.cure.fit.course import along
from bagside.cure.fit.family import GEL
from bagside.cure.fit.row import ROOM
from bagside.cure.kinetics import GAS
from bagside.cure.viscosity import CastroMacosko

Floats = NDArray[np.float64]

OFF = 0.3
"""Share by which a stated viscosity is usually off. Common practice."""
FASTEST_END = 473.15
"""A heating that looks for the least viscosity ends here at the latest [K]."""
_KNOWN = (2.0, 15e3)  # deviations of ln viscosity at the middle and of its activation energy, before any row


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """A stated viscosity.

    Parameters
    ----------
    viscosity
        [Pa s].
    temperature
        Of fresh resin [K]; None when it is the least on the way up.
    ramp
        Heating rate from the room [K/s]; None when it is that of fresh resin.
    """

    viscosity: float
    temperature: float | None
    ramp: float | None


def flow_fitted(
    rows: Sequence[Thickness], theta: Floats, middle: float, start: float, usual: CastroMacosko
) -> tuple[CastroMacosko, Floats]:
    """Return the law for viscosity that fits rows best, and what it says for each.

    Parameters
    ----------
    rows
        None or more; without any, the usual law is returned with this resin's own gel.
    theta
        Parameters of its kinetics, shape (12,).
    middle
        Temperature at which its rate constant is stated [K].
    start
        Degree of cure when fresh.
    usual
        A usual law: its exponents are kept, its constants are what is known before.

    Returns
    -------
    tuple
        The law, and viscosities, shape (rows,) [Pa s].
    """
    gel = float(theta[GEL])
    ways = [_way(row, theta, middle, start) for row in rows]
    thick = [(usual.a + usual.b * a) * np.log(gel / (gel - a)) for _, a in ways]

    def said(x: Floats) -> Floats:
        e = usual.E + _KNOWN[1] * x[1]
        level = np.log(usual.A) + usual.E / (GAS * middle) + _KNOWN[0] * x[0]
        return np.array(
            [
                (level + e / GAS * (1.0 / t - 1.0 / middle) + grown).min()
                for (t, _), grown in zip(ways, thick, strict=True)
            ]
        )

    best = np.zeros(2)
    if rows:
        stated = np.log([row.viscosity for row in rows])
        best = least_squares(lambda x: np.concatenate([(said(x) - stated) / OFF, x]), best).x
    e = usual.E + _KNOWN[1] * float(best[1])
    level = np.log(usual.A) + usual.E / (GAS * middle) + _KNOWN[0] * float(best[0])
    law = CastroMacosko(A=float(np.exp(level - e / (GAS * middle))), E=e, gel=gel, a=usual.a, b=usual.b)
    return law, np.exp(said(best)) if rows else np.zeros(0)


def _way(row: Thickness, theta: Floats, middle: float, start: float) -> tuple[Floats, Floats]:
    """Return temperatures and degrees of cure, short of gel, at which a row may have been read."""
    if row.ramp is None:
        return np.array([row.temperature]), np.array([start])
    ends = np.array([0.0, (FASTEST_END - ROOM) / row.ramp])
    course = along(theta[None, :], middle, ends, np.array([ROOM, FASTEST_END]), start)
    times = np.linspace(0.0, ends[1], 600)
    alpha = course.at(0, times)
    before = alpha < 0.98 * theta[GEL]
    return (ROOM + row.ramp * times)[before], alpha[before]
