"""A resin as the heat balance sees it: how it reacts, what heat that frees, when it gels and turns to glass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.cure.kinetics import Kinetics
from bagside.cure.viscosity import Viscosity
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]


def tg_di_benedetto(alpha: ArrayLike, tg0: float, tg1: float, tg_lambda: float) -> Floats:
    """Return the glass transition at a degree of cure.

    Parameters
    ----------
    alpha
        Degree of cure, any shape.
    tg0, tg1
        Glass transition of unreacted and of fully reacted resin [K].
    tg_lambda
        Ratio that bends the curve; 1 is a straight line.

    Returns
    -------
    Floats
        Glass transition, same shape [K].

    Notes
    -----
    Valid for 0 ≤ α ≤ 1 and a dry resin; moisture lowers it.

    References
    ----------
    DiBenedetto 1987, Journal of Polymer Science B 25:1949, as given in Pascault, Williams 1990.

    Examples
    --------
    >>> round(float(tg_di_benedetto(0.5, 266.15, 523.15, 0.78)) - 273.15, 1)
    105.6
    """
    a = np.asarray(alpha, dtype=np.float64)
    out: Floats = tg0 + (tg1 - tg0) * tg_lambda * a / (1.0 - (1.0 - tg_lambda) * a)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class CureResin:
    """A resin system.

    Parameters
    ----------
    kinetics
        Its rate law.
    heat
        Heat of reaction [J/kg resin].
    density, heat_capacity, conductivity
        Of the resin [kg/m³, J/(kg K), W/(m K)].
    tg0, tg1, tg_lambda
        DiBenedetto constants [K, K, –].
    gel
        Degree of cure at gel.
    alpha0
        Degree of cure when laid up.
    viscosity
        Law for viscosity; none when not known.
    hottest
        Temperature at which the resin is spoiled [K]; infinite when not stated.

    Raises
    ------
    InputError
        When a value is outside what makes sense, or the law can never start from ``alpha0``.
    """

    kinetics: Kinetics
    heat: float
    density: float
    heat_capacity: float
    conductivity: float
    tg0: float
    tg1: float
    tg_lambda: float
    gel: float
    alpha0: float
    viscosity: Viscosity | None = None
    hottest: float = float("inf")

    def __post_init__(self) -> None:
        """Refuse values that make no sense."""
        wrong = []
        for name in ("density", "heat_capacity", "conductivity", "tg0", "tg_lambda"):
            value = float(getattr(self, name))
            if not 0.0 < value < np.inf:
                wrong.append(Problem(place=f"resin, {name}", came=repr(value), wanted="a number above zero is wanted"))
        if not 0.0 <= self.heat < np.inf:
            wrong.append(Problem(place="resin, heat", came=repr(self.heat), wanted="zero or more is wanted"))
        if not self.tg1 > self.tg0:
            wrong.append(
                Problem(
                    place="resin, tg1",
                    came=repr(self.tg1),
                    wanted="the glass transition of cured resin must be above that of uncured resin",
                )
            )
        if not 0.0 < self.gel < 1.0:
            wrong.append(Problem(place="resin, gel", came=repr(self.gel), wanted="between 0 and 1 is wanted"))
        wrong += start_problems(self.alpha0, self.kinetics, "resin, alpha0")
        if wrong:
            raise InputError(wrong)

    def tg(self, alpha: ArrayLike) -> Floats:
        """Return the glass transition at a degree of cure [K].

        Parameters
        ----------
        alpha
            Degree of cure, any shape.
        """
        return tg_di_benedetto(alpha, self.tg0, self.tg1, self.tg_lambda)


def start_problems(alpha0: float, kinetics: Kinetics, place: str) -> list[Problem]:
    """Return what is wrong with a degree of cure to start from.

    Parameters
    ----------
    alpha0
        Degree of cure at the start.
    kinetics
        The rate law.
    place
        Where it was stated.
    """
    if not 0.0 <= alpha0 < 1.0:
        return [Problem(place=place, came=repr(alpha0), wanted="a degree of cure from 0 to below 1 is wanted")]
    if alpha0 == 0.0 and kinetics.stays_at_zero:
        return [
            Problem(
                place=place,
                came="0",
                wanted="with this rate law resin at zero never starts to react; a start above zero is wanted",
                hint="fresh prepreg is usually at 0.01 to 0.05",
            )
        ]
    return []
