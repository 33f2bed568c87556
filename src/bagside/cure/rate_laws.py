"""The rate laws, each as published."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from bagside.cure.kinetics import GAS, Floats, Validity

_quiet = np.errstate(invalid="ignore", divide="ignore")
"""A negative degree of cure gives not a number, without a warning."""


def _arrays(alpha: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats]:
    return np.asarray(alpha, dtype=np.float64), np.asarray(temperature, dtype=np.float64)


def _left(alpha: Floats) -> Floats:
    """Return the share not yet reacted; none above full cure."""
    out: Floats = np.maximum(1.0 - alpha, 0.0)
    return out


def _power(base: Floats, exponent: float) -> Floats:
    out: Floats = base if exponent == 1.0 else base**exponent
    return out


def _power_slope(base: Floats, exponent: float) -> Floats:
    """Return the derivative of base**exponent; zero where the base is zero, as nothing moves there."""
    if exponent == 0.0:
        return np.zeros_like(base)
    if exponent == 1.0:
        return np.where(base > 0.0, 1.0, np.where(base == 0.0, 0.0, np.nan))
    out: Floats = exponent * base ** (exponent - 1.0)
    if not base.all():
        out = np.where(base == 0.0, 0.0, out)
    return out


def _logistic(argument: Floats) -> Floats:
    """Return 1/(1 + exp(argument)) without overflow."""
    out: Floats = 0.5 - 0.5 * np.tanh(0.5 * argument)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class NthOrder:
    """dα/dt = A exp(−E/RT) (1 − α)ⁿ.

    Parameters
    ----------
    A
        Rate constant [1/s].
    E
        Activation energy [J/mol].
    n
        Order.
    valid
        Where it may be believed.
    """

    A: float
    E: float
    n: float
    valid: Validity = field(default_factory=Validity)

    @property
    def stays_at_zero(self) -> bool:
        """Never: unreacted resin reacts fastest."""
        return False

    @_quiet
    def rate(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return dα/dt [1/s]."""
        a, t = _arrays(alpha, temperature)
        out: Floats = self.A * np.exp((-self.E / GAS) / t) * _power(_left(a), self.n)
        return out

    @_quiet
    def rate_and_slopes(self, alpha: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Return dα/dt [1/s] and its derivatives by α [1/s] and by temperature [1/(s K)]."""
        a, t = _arrays(alpha, temperature)
        k = self.A * np.exp((-self.E / GAS) / t)
        f = k * _power(_left(a), self.n)
        return f, -k * _power_slope(_left(a), self.n), f * self.E / (GAS * t * t)


@dataclass(frozen=True, slots=True, kw_only=True)
class Vitrification:
    """Slowing of the reaction as the glass transition overtakes the temperature.

    A factor 1/(1 + exp(−(T − Tg(α) − offset)/width)) with Tg(α) after DiBenedetto.

    Parameters
    ----------
    tg0, tg1
        Glass transition of unreacted and of fully reacted resin [K].
    tg_lambda
        DiBenedetto's ratio.
    offset
        By which the temperature exceeds Tg when the rate is halved [K].
    width
        Width of the transition [K].
    """

    tg0: float
    tg1: float
    tg_lambda: float
    offset: float = 0.0
    width: float = 8.0

    def factor(self, alpha: Floats, temperature: Floats) -> tuple[Floats, Floats, Floats]:
        """Return the factor and its derivatives by α and by temperature."""
        bottom = 1.0 - (1.0 - self.tg_lambda) * alpha
        rise = self.tg1 - self.tg0
        tg = self.tg0 + rise * self.tg_lambda * alpha / bottom
        g = _logistic(-(temperature - tg - self.offset) / self.width)
        slope = g * (1.0 - g) / self.width
        return g, -slope * rise * self.tg_lambda / bottom**2, slope


@dataclass(frozen=True, slots=True, kw_only=True)
class Kamal:
    """dα/dt = (k₁ + k₂ αᵐ)(1 − α)ⁿ, kᵢ = Aᵢ exp(−Eᵢ/RT), with an optional limit by vitrification.

    Parameters
    ----------
    A1, E1
        Rate constant [1/s] and activation energy [J/mol] of the reaction that starts by itself; A1 may be zero.
    A2, E2
        The same of the reaction that its own product speeds up.
    m, n
        Exponents.
    vitrification
        Slowing near the glass transition; none when left out.
    valid
        Where it may be believed.

    References
    ----------
    Kamal, Sourour 1973, Polymer Engineering and Science 13:59.
    """

    A1: float
    E1: float
    A2: float
    E2: float
    m: float
    n: float
    vitrification: Vitrification | None = None
    valid: Validity = field(default_factory=Validity)

    @property
    def stays_at_zero(self) -> bool:
        """Only when the first, uncatalysed reaction is missing."""
        return self.A1 == 0.0 and self.m > 0.0

    @_quiet
    def rate(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return dα/dt [1/s]."""
        a, t = _arrays(alpha, temperature)
        b = -1.0 / (GAS * t)
        k1 = self.A1 * np.exp(self.E1 * b)
        k2 = self.A2 * np.exp(self.E2 * b)
        f: Floats = (k1 + k2 * _power(a, self.m)) * _power(_left(a), self.n)
        if self.vitrification is not None:
            f = f * self.vitrification.factor(a, t)[0]
        return f

    @_quiet
    def rate_and_slopes(self, alpha: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Return dα/dt [1/s] and its derivatives by α [1/s] and by temperature [1/(s K)]."""
        a, t = _arrays(alpha, temperature)
        b = -1.0 / (GAS * t)
        k1 = self.A1 * np.exp(self.E1 * b)
        k2 = self.A2 * np.exp(self.E2 * b)
        am, un = _power(a, self.m), _power(_left(a), self.n)
        both = k1 + k2 * am
        f = both * un
        fa = k2 * _power_slope(a, self.m) * un - both * _power_slope(_left(a), self.n)
        ft = (k1 * self.E1 + k2 * am * self.E2) * un / (GAS * t * t)
        if self.vitrification is not None:
            g, ga, gt = self.vitrification.factor(a, t)
            return f * g, fa * g + f * ga, ft * g + f * gt
        return f, fa, ft


@dataclass(frozen=True, slots=True, kw_only=True)
class BogettiGillespie1991:
    """dα/dt = A exp(−E/RT) αᵐ (1 − α)ⁿ.

    Parameters
    ----------
    A
        Rate constant [1/s].
    E
        Activation energy [J/mol].
    m, n
        Exponents; with 0.524 and 1.476 the law is the published one of a glass and polyester laminate.
    valid
        Where it may be believed.

    Notes
    -----
    The heat published with this law, 77.5 kJ/kg, is for each kilogram of laminate and not of resin.

    References
    ----------
    Bogetti, Gillespie 1991, Journal of Composite Materials 25:239.
    """

    A: float
    E: float
    m: float
    n: float
    valid: Validity = field(default_factory=Validity)

    @property
    def stays_at_zero(self) -> bool:
        """Whenever the exponent m is above zero."""
        return self.m > 0.0

    @_quiet
    def rate(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return dα/dt [1/s]."""
        a, t = _arrays(alpha, temperature)
        out: Floats = self.A * np.exp((-self.E / GAS) / t) * _power(a, self.m) * _power(_left(a), self.n)
        return out

    @_quiet
    def rate_and_slopes(self, alpha: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Return dα/dt [1/s] and its derivatives by α [1/s] and by temperature [1/(s K)]."""
        a, t = _arrays(alpha, temperature)
        k = self.A * np.exp((-self.E / GAS) / t)
        am, un = _power(a, self.m), _power(_left(a), self.n)
        f = k * am * un
        fa = k * (_power_slope(a, self.m) * un - am * _power_slope(_left(a), self.n))
        return f, fa, f * self.E / (GAS * t * t)


@dataclass(frozen=True, slots=True, kw_only=True)
class HubertEtAl2001:
    """dα/dt = A exp(−E/RT) αᵐ (1 − α)ⁿ / (1 + exp(C (α − (αC₀ + αCT T)))).

    Parameters
    ----------
    A
        Rate constant [1/s].
    E
        Activation energy [J/mol].
    m, n
        Exponents.
    C
        Sharpness of the diffusion limit.
    aC0, aCT
        Critical degree of cure at 0 K, and its growth with temperature [1/K].
    valid
        Where it may be believed.

    References
    ----------
    Hubert, Johnston, Poursartip, Nelson 2001, 46th SAMPE Symposium.
    """

    A: float
    E: float
    m: float
    n: float
    C: float
    aC0: float  # noqa: N815 - the symbol the law is printed with
    aCT: float  # noqa: N815 - the symbol the law is printed with
    valid: Validity = field(default_factory=Validity)

    @property
    def stays_at_zero(self) -> bool:
        """Whenever the exponent m is above zero."""
        return self.m > 0.0

    @_quiet
    def rate(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return dα/dt [1/s]."""
        a, t = _arrays(alpha, temperature)
        k = self.A * np.exp((-self.E / GAS) / t)
        limit = _logistic(self.C * (a - self.aC0 - self.aCT * t))
        out: Floats = k * _power(a, self.m) * _power(_left(a), self.n) * limit
        return out

    @_quiet
    def rate_and_slopes(self, alpha: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Return dα/dt [1/s] and its derivatives by α [1/s] and by temperature [1/(s K)]."""
        a, t = _arrays(alpha, temperature)
        k = self.A * np.exp((-self.E / GAS) / t)
        g = _logistic(self.C * (a - self.aC0 - self.aCT * t))
        am, un = _power(a, self.m), _power(_left(a), self.n)
        f = k * am * un * g
        steep = f * (1.0 - g) * self.C
        fa = k * g * (_power_slope(a, self.m) * un - am * _power_slope(_left(a), self.n)) - steep
        return f, fa, f * self.E / (GAS * t * t) + steep * self.aCT


@dataclass(frozen=True, slots=True, kw_only=True)
class LeeLoosSpringer1982:
    """dα/dt = (k₁ + k₂ α)(1 − α)(B − α) up to α = jump, k₃ (1 − α) above it; the jump in the rate is real.

    Parameters
    ----------
    A1, E1, A2, E2
        Rate constants [1/s] and activation energies [J/mol] of the first branch; A2 is negative in the published set.
    A3, E3
        The same of the second branch.
    B
        Root of the first branch.
    jump
        Degree of cure at which the second branch takes over.
    valid
        Where it may be believed.

    References
    ----------
    Lee, Loos, Springer 1982, Journal of Composite Materials 16:510.
    """

    A1: float
    E1: float
    A2: float
    E2: float
    A3: float
    E3: float
    B: float = 0.47
    jump: float = 0.3
    valid: Validity = field(default_factory=Validity)

    @property
    def stays_at_zero(self) -> bool:
        """Never: the first branch reacts at zero."""
        return False

    @_quiet
    def rate(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return dα/dt [1/s]."""
        a, t = _arrays(alpha, temperature)
        b = -1.0 / (GAS * t)
        early = (self.A1 * np.exp(self.E1 * b) + self.A2 * np.exp(self.E2 * b) * a) * (self.B - a)
        out: Floats = np.where(a <= self.jump, early, self.A3 * np.exp(self.E3 * b)) * _left(a)
        return out

    @_quiet
    def rate_and_slopes(self, alpha: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Return dα/dt [1/s] and its derivatives by α [1/s] and by temperature [1/(s K)]."""
        a, t = _arrays(alpha, temperature)
        b = -1.0 / (GAS * t)
        k1, k2 = self.A1 * np.exp(self.E1 * b), self.A2 * np.exp(self.E2 * b)
        k3 = self.A3 * np.exp(self.E3 * b)
        first, u = a <= self.jump, _left(a)
        part, gap = k1 + k2 * a, self.B - a
        late = np.where(u > 0.0, -k3, 0.0)
        f = np.where(first, part * gap, k3) * u
        fa = np.where(first, k2 * u * gap - part * (gap + u), late)
        ft = np.where(first, (k1 * self.E1 + k2 * a * self.E2) * gap, k3 * self.E3) * u / (GAS * t * t)
        return f, fa, ft
