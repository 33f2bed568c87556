"""Scatter and trend of one figure over parts that were made one after another.

Limits are those of a chart of individuals: mean ± 3 · mean moving range / 1.128. They tell what parts made alike do by
themselves; they are no tolerance. A trend is a straight line by least squares with what it may be, 95 times in 100.
With few parts nothing is claimed: that is said instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

D2 = 1.128
"""Mean range of two draws of a normal distribution over its standard deviation."""
FEWEST_LIMITS = 5
"""Parts below which no limits are given: common practice."""
FIRM_LIMITS = 20
"""Parts from which limits count as firm: common practice."""
FEWEST_TREND = 5
"""Parts below which no trend is told: common practice; three would do for the sum."""
RUN = 8
"""Parts in a row on one side of the mean that count as a shift."""
SURE = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What parts made alike do by themselves.

    Parameters
    ----------
    mean
        Of all.
    moving_range
        Mean difference from one part to the next.
    low, high
        Limits; `low` is None where the figure cannot be below zero and its limit would be.
    outside
        Which lie outside, from 0.
    shifted
        Which end a run of `RUN` or more on one side of the mean, from 0.
    firm
        Whether there are enough parts for limits that stay.
    """

    mean: float
    moving_range: float
    low: float | None
    high: float
    outside: tuple[int, ...]
    shifted: tuple[int, ...]
    firm: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A straight line through a figure over the parts.

    Parameters
    ----------
    slope
        Change from one part to the next.
    low, high
        What the slope may be, 95 times in 100.
    start
        The line at the first part.
    residual
        Standard deviation about the line.
    count
        Of parts.
    """

    slope: float
    low: float
    high: float
    start: float
    residual: float
    count: int

    @property
    def told(self) -> bool:
        """Whether the slope can be told from scatter."""
        return self.low > 0.0 or self.high < 0.0


def limits_of(values: Sequence[float], *, positive: bool = True) -> Limits | None:
    """Return the limits of a figure over parts in their order; None when there are too few.

    Parameters
    ----------
    values
        Of each part, in the order they were made.
    positive
        Whether it cannot be below zero.

    Notes
    -----
    When all values are one, the limits are that value. Moving ranges of two; d2 = 1.128.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 Individuals control charts.

    Examples
    --------
    >>> found = limits_of([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(found.high, 4)
    55.8041
    """
    if len(values) < FEWEST_LIMITS:
        return None
    x = np.asarray(values, dtype=np.float64)
    mean = float(x.mean())
    moving = float(np.abs(np.diff(x)).mean())
    reach = 3.0 * moving / D2
    low, high = mean - reach, mean + reach
    slack = 1e-9 * max(abs(high), abs(low))
    outside = np.flatnonzero((x > high + slack) | (x < low - slack))
    return Limits(
        mean=mean,
        moving_range=moving,
        low=None if positive and low < 0.0 else low,
        high=high,
        outside=tuple(int(k) for k in outside),
        shifted=_runs(x - mean),
        firm=len(values) >= FIRM_LIMITS,
    )


def _runs(off: np.ndarray[tuple[int], np.dtype[np.float64]]) -> tuple[int, ...]:
    out, run, side = [], 0, 0.0
    for k, value in enumerate(off):
        now = float(np.sign(value))
        run = run + 1 if now and now == side else int(now != 0)
        side = now
        if run >= RUN:
            out.append(k)
    return tuple(out)


def trend_of(at: Sequence[float], values: Sequence[float]) -> Trend | None:
    """Return the straight line through a figure; None when there are too few parts, or all at one place.

    Parameters
    ----------
    at
        Place of each part in the order: its number.
    values
        Of each.

    Notes
    -----
    Ordinary least squares; the interval is Student's with count − 2 degrees of freedom, and holds when the scatter
    about the line is alike for all parts and each is independent of the one before.

    Examples
    --------
    >>> round(trend_of([1, 2, 3, 4, 5], [2.0, 4.1, 5.9, 8.0, 10.0]).slope, 2)
    1.99
    """
    if len(values) < FEWEST_TREND:
        return None
    x, y = np.asarray(at, dtype=np.float64), np.asarray(values, dtype=np.float64)
    spread = float(((x - x.mean()) ** 2).sum())
    if spread == 0.0:
        return None
    slope = float(((x - x.mean()) * (y - y.mean())).sum()) / spread
    start = float(y.mean()) - slope * float(x.mean())
    residual = float(np.sqrt(((y - start - slope * x) ** 2).sum() / (len(x) - 2)))
    reach = float(stats.t.ppf(0.5 + 0.5 * SURE, len(x) - 2)) * residual / np.sqrt(spread)
    return Trend(
        slope=slope,
        low=slope - float(reach),
        high=slope + float(reach),
        start=start + slope * float(x[0]),
        residual=residual,
        count=len(x),
    )


def mean_between(values: Sequence[float]) -> tuple[float, float, float]:
    """Return a mean and what it may be, 95 times in 100; without bounds for one value.

    Parameters
    ----------
    values
        At least one.

    Notes
    -----
    Student's interval with count − 1 degrees of freedom.
    """
    x = np.asarray(values, dtype=np.float64)
    mean = float(x.mean())
    if len(x) < 2:
        return mean, float("-inf"), float("inf")
    reach = float(stats.t.ppf(0.5 + 0.5 * SURE, len(x) - 1)) * float(x.std(ddof=1)) / float(np.sqrt(len(x)))
    return mean, mean - reach, mean + reach


def share_between(count: int, whole: int) -> tuple[float, float]:
    """Return what a share may be, 95 times in 100, when so many of so many were seen.

    Parameters
    ----------
    count
        Seen.
    whole
        Of how many; at least one.

    Notes
    -----
    The exact interval of Clopper and Pearson (1934).

    Examples
    --------
    >>> low, high = share_between(0, 10)
    >>> low, round(high, 3)
    (0.0, 0.308)
    """
    tail = 0.5 * (1.0 - SURE)
    low = 0.0 if count == 0 else float(stats.beta.ppf(tail, count, whole - count + 1))
    high = 1.0 if count == whole else float(stats.beta.ppf(1.0 - tail, count + 1, whole - count))
    return low, high
