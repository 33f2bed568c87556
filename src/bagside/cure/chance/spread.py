"""How far one input may be off, as a distribution that is read at a share from 0 to 1.

Reading at a share, and not from a stream of random numbers, is what makes a draw depend on its own number only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from bagside.errors import InputError
from bagside.findings import Basis

Floats = NDArray[np.float64]


class Kind(StrEnum):
    """Shape of a distribution, and what its size means."""

    NORMAL = "normal"
    """Size is the standard deviation."""
    LOGNORMAL = "log-normal"
    """A factor whose middle is 1; size is the standard deviation of its natural logarithm."""
    UNIFORM = "uniform"
    """As likely anywhere up to the size on either side."""
    EXPONENTIAL = "exponential"
    """From zero up; size is the mean. Most are small, a few are not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """By how much an input may be off what is stated.

    Parameters
    ----------
    kind
        Shape of the distribution.
    size
        What the kind says; in the unit of the input, or a plain number where it is a factor. Zero: it is never off.
    basis, source
        On what the size rests.

    Raises
    ------
    InputError
        When the size is negative or not finite.

    Examples
    --------
    >>> Spread(kind=Kind.UNIFORM, size=3.0).at([0.0, 0.5, 1.0]).tolist()
    [-3.0, 0.0, 3.0]
    """

    kind: Kind
    size: float
    basis: Basis = Basis.COMMON
    source: str = ""

    def __post_init__(self) -> None:
        """Refuse a size that makes no sense."""
        if not 0.0 <= self.size < math.inf:
            raise InputError.one(f"scatter, {self.kind}", repr(self.size), "a size of zero or more is wanted")

    def at(self, share: ArrayLike) -> Floats:
        """Return the value below which a share of all cases lies.

        Parameters
        ----------
        share
            Any shape, between 0 and 1.

        Returns
        -------
        Floats
            Same shape: a difference, or a factor when log-normal.
        """
        p = np.asarray(share, dtype=np.float64)
        if self.kind is Kind.NORMAL:
            out: Floats = self.size * ndtri(p) if self.size else np.zeros_like(p)
        elif self.kind is Kind.LOGNORMAL:
            out = np.exp(self.size * ndtri(p)) if self.size else np.ones_like(p)
        elif self.kind is Kind.UNIFORM:
            out = self.size * (2.0 * p - 1.0)
        else:
            out = -self.size * np.log1p(-p) if self.size else np.zeros_like(p)
        return out

    @property
    def told(self) -> str:
        """The size in words: ``normal, sd 0.05``."""
        word = {
            Kind.NORMAL: "normal, sd {:.3g}",
            Kind.LOGNORMAL: "log-normal, sd {:.3g} of its logarithm",
            Kind.UNIFORM: "uniform, ±{:.3g}",
            Kind.EXPONENTIAL: "exponential, mean {:.3g}",
        }
        return word[self.kind].format(self.size)
