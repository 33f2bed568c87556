"""How fast the resin reacts: what every rate law answers.

Each law is a frozen dataclass with the same two methods, `rate` and `rate_and_slopes`; the solver needs the slopes
exactly, so they are written out and not differenced. A law never clips its arguments to stay out of trouble: for
α ≥ 1 nothing is left to react and the rate is zero; for α < 0 the result is not a number, which makes the solver try a
shorter step. Where α = 0 is a fixed point (`stays_at_zero`), a cure that starts there never begins; the solver
refuses it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

GAS = 8.314
"""Gas constant as used when the published parameter sets were fitted [J/(mol K)]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Validity:
    """Where a law may be believed.

    Parameters
    ----------
    coldest, hottest
        Temperatures between which it was fitted [K].
    least, most
        Degrees of cure between which it was fitted.

    Raises
    ------
    InputError
        When a range is empty.
    """

    coldest: float = 290.0
    hottest: float = 480.0
    least: float = 0.0
    most: float = 1.0

    def __post_init__(self) -> None:
        """Refuse an empty range."""
        wrong = [
            Problem(
                place=f"kinetics, {low} and {high}",
                came=f"{getattr(self, low)!r} and {getattr(self, high)!r}",
                wanted="a range from low to high is wanted",
            )
            for low, high in (("coldest", "hottest"), ("least", "most"))
            if not getattr(self, low) < getattr(self, high)
        ]
        if wrong:
            raise InputError(wrong)

    def holds(self, alpha: ArrayLike, temperature: ArrayLike) -> NDArray[np.bool_]:
        """Return where the law may be believed.

        Parameters
        ----------
        alpha
            Degree of cure, any shape.
        temperature
            Shape that fits [K].
        """
        a, t = np.asarray(alpha, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
        return np.asarray((a >= self.least) & (a <= self.most) & (t >= self.coldest) & (t <= self.hottest))


class Kinetics(Protocol):
    """A rate law."""

    @property
    def valid(self) -> Validity:
        """Where the law may be believed."""

    @property
    def stays_at_zero(self) -> bool:
        """Whether a degree of cure of zero stays zero for ever."""

    def rate(self, alpha: ArrayLike, temperature: ArrayLike) -> Floats:
        """Return dα/dt [1/s]."""

    def rate_and_slopes(self, alpha: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Return dα/dt [1/s] and its derivatives by α [1/s] and by temperature [1/(s K)]."""
