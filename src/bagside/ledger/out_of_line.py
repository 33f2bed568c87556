"""Which parts stand out in one figure: a few that are far off must not hide themselves by widening the rest."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean, median

FAR = 3.5
"""Modified z-score from which a part stands out."""
FEWEST = 5
"""Parts below which none stands out: common practice."""


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


def far_off(values: Sequence[float]) -> tuple[int, ...]:
    """Return which values stand out, from 0; none of fewer than `FEWEST`.

    Parameters
    ----------
    values
        Of each part.
    """
    if len(values) < FEWEST:
        return ()
    return tuple(k for k, z in enumerate(modified_z(values)) if abs(z) > FAR)
