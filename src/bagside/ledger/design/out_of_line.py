"""Which parts stand out in one figure: a few that are far off must not hide themselves by widening the rest."""

from __future__ import annotations

from collections.abc import Sequence
from math import log
from statistics import fmean, median

import numpy as np

FAR = 3.5
"""Modified z-score under which no part stands out, however many there are."""
FEWEST = 5
"""Parts below which none stands out: common practice."""
BY_COUNT = (
    (5, 12.7), (6, 8.4), (7, 8.4), (8, 6.7), (9, 6.7), (10, 5.8), (12, 5.4), (15, 5.2), (20, 4.7), (30, 4.4), (50, 4.2),
    (100, 4.1),
)  # fmt: skip
"""Modified z-score that the farthest of so many parts made alike exceeds once in fifty designs.

Counted here on normal scatter: with few parts the median deviation is itself uncertain, and 3.5 would be exceeded in
one design of eight.
"""


def modified_z(values: Sequence[float]) -> tuple[float, ...]:
    """Return how far each value lies from the median, in what the median deviation would be for a normal scatter.

    Parameters
    ----------
    values
        At least one.

    Notes
    -----
    0.6745 (x − median) / MAD. When more than half are alike, MAD is zero: the mean absolute deviation takes its place,
    with the factor 0.7979 that it has for a normal scatter.

    References
    ----------
    Iglewicz and Hoaglin 1993, as given in NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.

    Examples
    --------
    >>> [round(z, 1) for z in modified_z([10.0, 11.0, 12.0, 13.0, 30.0])]
    [-1.3, -0.7, 0.0, 0.7, 12.1]
    """
    middle = median(values)
    off = [abs(x - middle) for x in values]
    mad = median(off)
    if mad > 0.0:
        return tuple(0.6745 * (x - middle) / mad for x in values)
    mean = fmean(off)
    return tuple(0.7979 * (x - middle) / mean if mean > 0.0 else 0.0 for x in values)


def far_enough(count: int) -> float:
    """Return the modified z-score from which a part of so many stands out.

    Parameters
    ----------
    count
        Of parts.
    """
    counts, scores = zip(*BY_COUNT, strict=True)
    at: float = float(np.interp(log(count), [log(n) for n in counts], scores))
    return max(at, FAR)


def far_off(values: Sequence[float]) -> tuple[int, ...]:
    """Return which values stand out, from 0; none of fewer than `FEWEST`.

    Parameters
    ----------
    values
        Of each part.
    """
    if len(values) < FEWEST:
        return ()
    far = far_enough(len(values))
    return tuple(k for k, z in enumerate(modified_z(values)) if abs(z) > far)
