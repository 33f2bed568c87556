"""How thick the resin is while it can still flow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.cure.kinetics import GAS
from bagside.errors import InputError, Problem, did_you_mean

Floats = NDArray[np.float64]


class Viscosity(Protocol):
    """A law for viscosity."""

    def at(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return the viscosity [Pa s]; infinite from gel on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CastroMacosko:
    """μ = A exp(E/RT) (g/(g − α))^(a + b α), infinite from gel on.

    Parameters
    ----------
    A
        Prefactor [Pa s].
    E
        Activation energy [J/mol].
    gel
        Degree of cure at gel.
    a, b
        Exponents.

    References
    ----------
    Castro, Macosko 1980, SPE ANTEC.
    """

    A: float
    E: float
    gel: float
    a: float
    b: float

    def at(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return the viscosity [Pa s]; infinite from gel on."""
        x, t = np.asarray(alpha, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
        gap = self.gel - x
        open_ = np.where(gap > 0.0, gap, self.gel)
        mu = self.A * np.exp(self.E / (GAS * t)) * (self.gel / open_) ** (self.a + self.b * x)
        out: Floats = np.where(gap > 0.0, mu, np.inf)
        return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Exponential:
    """μ = A exp(U/RT + K α); it knows no gel, and is not to be read beyond it.

    Parameters
    ----------
    A
        Prefactor [Pa s].
    U
        Activation energy [J/mol].
    K
        Growth with degree of cure.

    References
    ----------
    Lee, Loos, Springer 1982, Journal of Composite Materials 16:510.
    """

    A: float
    U: float
    K: float

    def at(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return the viscosity [Pa s]."""
        x, t = np.asarray(alpha, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
        out: Floats = self.A * np.exp(self.U / (GAS * t) + self.K * x)
        return out


_LAWS: dict[str, type[CastroMacosko] | type[Exponential]] = {
    "castro-macosko": CastroMacosko,
    "exponential": Exponential,
}


def viscosity_from(name: str, parameters: Mapping[str, float], place: str = "resin, viscosity") -> Viscosity:
    """Return a law for viscosity by its name.

    Parameters
    ----------
    name
        ``castro-macosko`` or ``exponential``.
    parameters
        Its parameters by the names of its fields [SI].
    place
        Where this was stated, for messages.

    Returns
    -------
    Viscosity
        The law.

    Raises
    ------
    InputError
        When the name or a parameter is unknown, or one is missing.
    """
    law = _LAWS.get(name)
    if law is None:
        raise InputError.one(place, name, "the name of a viscosity law is wanted", did_you_mean(name, _LAWS))
    names = {f.name for f in fields(law) if f.default is MISSING}
    wrong = [
        Problem(
            place=f"{place}, {key}",
            came=repr(parameters[key]),
            wanted=f'"{name}" has no such parameter',
            hint=did_you_mean(key, names),
        )
        for key in sorted(set(parameters) - names)
    ]
    wrong += [
        Problem(place=f"{place}, {key}", came="", wanted=f'"{name}" needs this parameter, in SI')
        for key in sorted(names - set(parameters))
    ]
    if wrong:
        raise InputError(wrong)
    return law(**{key: float(value) for key, value in parameters.items()})
