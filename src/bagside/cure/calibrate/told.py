"""A number that a log told, or did not: as stated before, as it most probably is, and how far it may be off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

SIGMAS = 1.96
"""Deviations between a value and either end of its range: 95 in 100 lie within."""

TOLD, PARTLY = 0.5, 0.75
"""Share of the doubt before that may be left for a number to be told, and to be told in part."""


class Told(StrEnum):
    """How much a log tells of a number."""

    MEASURED = "measured here"
    PARTLY = "told in part"
    NOT = "not told: as stated"


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A number before and after.

    Parameters
    ----------
    name
        As people call it.
    before, value
        As stated, and as it most probably is, SI.
    low, high
        It lies between them, 95 times in 100, SI.
    left
        Share of the doubt before that is left.
    told
        How much the log tells of it.
    """

    name: str
    before: float
    value: float
    low: float
    high: float
    left: float
    told: Told

    @property
    def half(self) -> float:
        """Half the range [SI]."""
        return 0.5 * (self.high - self.low)


def factor(name: str, before: float, logarithm: float, sd: float, belief: float) -> Value:
    """Return a number known by the logarithm of its factor.

    Parameters
    ----------
    name
        Of it.
    before
        As stated, SI.
    logarithm, sd
        Of the factor.
    belief
        Deviation of the logarithm before.
    """
    low, value, high = (before * math.exp(logarithm + s * SIGMAS * sd) for s in (-1.0, 0.0, 1.0))
    return Value(name=name, before=before, value=value, low=low, high=high, left=sd / belief, told=_told(sd / belief))


def plain(name: str, before: float, value: float, sd: float, belief: float) -> Value:
    """Return a number known by itself.

    Parameters
    ----------
    name
        Of it.
    before, value, sd
        As stated, as it is, and its deviation, SI.
    belief
        Deviation before, SI.
    """
    return Value(
        name=name,
        before=before,
        value=value,
        low=value - SIGMAS * sd,
        high=value + SIGMAS * sd,
        left=sd / belief,
        told=_told(sd / belief),
    )


def _told(left: float) -> Told:
    return Told.MEASURED if left <= TOLD else Told.PARTLY if left <= PARTLY else Told.NOT
