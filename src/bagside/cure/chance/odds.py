"""A chance counted on draws, and how closely it is known."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.stats import binomtest

from bagside.errors import InputError

LEVEL = 0.95
"""How sure the interval of a chance is, when nothing else is asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """In how many of so many draws something held.

    Parameters
    ----------
    held, draws
        Counts.
    low, high
        Between which the chance lies.
    level
        How sure that is.
    """

    held: int
    draws: int
    low: float
    high: float
    level: float

    @property
    def chance(self) -> float:
        """Share of the draws in which it held."""
        return self.held / self.draws


def odds(held: int, draws: int, level: float = LEVEL) -> Odds:
    """Return a chance and the interval it lies in.

    Parameters
    ----------
    held, draws
        In how many of how many draws it held.
    level
        How sure the interval is to hold the chance.

    Returns
    -------
    Odds
        With the exact interval after Clopper and Pearson.

    Raises
    ------
    InputError
        When counts or level make no sense.

    Notes
    -----
    The interval is exact for independent draws. Draws that fill the space evenly scatter less, so for them it is wider
    than it need be, and on the safe side.

    References
    ----------
    Clopper, Pearson 1934, Biometrika 26:404.

    Examples
    --------
    >>> o = odds(9, 10)
    >>> o.chance, round(o.low, 3), round(o.high, 3)
    (0.9, 0.555, 0.997)
    """
    if not (0 <= held <= draws and draws >= 1 and 0.0 < level < 1.0):
        raise InputError.one("chance", f"{held} of {draws} at {level}", "one draw or more is wanted")
    interval = binomtest(held, draws).proportion_ci(confidence_level=level, method="exact")
    return Odds(held=held, draws=draws, low=float(interval.low), high=float(interval.high), level=level)


def draws_to_show(wanted: float, level: float = LEVEL) -> int:
    """Return the fewest draws that can show a chance: as many as must all hold for the interval to lie above it.

    Parameters
    ----------
    wanted
        Chance that is to be shown, below 1.
    level
        How sure the interval is, both sides together.

    Returns
    -------
    int
        Draws.

    Raises
    ------
    InputError
        When the chance is not between 0 and 1.

    Examples
    --------
    >>> draws_to_show(0.95)
    72
    """
    if not 0.0 < wanted < 1.0:
        raise InputError.one("wanted chance", repr(wanted), "a chance above 0 % and below 100 % is wanted")
    return math.ceil(math.log(0.5 * (1.0 - level)) / math.log(wanted))
