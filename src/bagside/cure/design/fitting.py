"""A ridden course as few straight lines, the best ones by dynamic programming."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def corners_of(time: Floats, air: Floats, pieces: int) -> tuple[int, ...]:
    """Return which corners of a course to keep so that straight lines between them come nearest to it.

    Parameters
    ----------
    time, air
        The course, shape (k,) [s, K].
    pieces
        Most lines.

    Returns
    -------
    tuple of int
        Indices, first and last included; fewer lines when fewer do as well.

    Notes
    -----
    Nearest by the square of the difference summed over time. Every line joins two corners of the course, so it is never
    steeper than the course was.
    """
    k = len(time)
    if k - 1 <= pieces:
        return tuple(range(k))
    weight = np.gradient(time)
    t, y = (time - time[0]) / max(time[-1] - time[0], 1e-9), air - air[0]
    sums = [np.concatenate([[0.0], np.cumsum(weight * z)]) for z in (np.ones(k), t, t * t, y, y * t, y * y)]
    i, j = np.triu_indices(k, 1)
    one, st, stt, sy, syt, syy = (s[j + 1] - s[i] for s in sums)
    slope = (y[j] - y[i]) / (t[j] - t[i])
    level = y[i] - slope * t[i]
    cost = np.full((k, k), np.inf)
    cost[i, j] = np.maximum(
        syy - 2.0 * (level * sy + slope * syt) + level**2 * one + 2.0 * level * slope * st + slope**2 * stt, 0.0
    )
    best, back = cost[0], []
    for _ in range(pieces - 1):
        through = best[:, None] + cost
        through[0] = np.inf
        came = through.argmin(axis=0)
        better = through[came, np.arange(k)]
        back.append(np.where(better < best, came, -1))
        best = np.minimum(better, best)
    out, at = [k - 1], k - 1
    for came in reversed(back):
        if came[at] >= 0:
            at = int(came[at])
            out.append(at)
    return (0, *reversed(out)) if out[-1] != 0 else tuple(reversed(out))
