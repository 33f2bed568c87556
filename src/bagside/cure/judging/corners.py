"""A noisy line drawn with few corners: a model that must stop at every corner then runs in a tenth of the time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.cure.judging.readings import Series

Floats = NDArray[np.float64]

CLOSE = 0.3
"""Corners are spent until a line without noise is met this closely [K]."""

OVER = 300.0
"""Time over which noise is averaged before corners are chosen [s]."""


def smoothed(line: Series, over: float = OVER) -> Floats:
    """Return the mean of a line over a time around each of its corners; shorter towards its ends.

    Parameters
    ----------
    line
        The line.
    over
        Time [s].

    Notes
    -----
    A straight stretch is not changed by it; a corner is rounded within half that time.
    """
    t, y = line.time, line.values
    half = np.minimum(0.5 * over, np.minimum(t - t[0], t[-1] - t))
    area = np.concatenate([[0.0], np.cumsum(0.5 * (y[1:] + y[:-1]) * np.diff(t))])
    out = y.copy()
    inner = half > 0.0
    a, b = t[inner] - half[inner], t[inner] + half[inner]
    out[inner] = (_area(t, y, area, b) - _area(t, y, area, a)) / (b - a)
    return out


def _area(t: Floats, y: Floats, area: Floats, at: Floats) -> Floats:
    i = np.clip(np.searchsorted(t, at, side="right") - 1, 0, len(t) - 2)
    since = at - t[i]
    slope = (y[i + 1] - y[i]) / (t[i + 1] - t[i])
    out: Floats = area[i] + since * (y[i] + 0.5 * slope * since)
    return out


def few_corners(line: Series, close: float = CLOSE) -> tuple[Floats, Floats]:
    """Return a line with few corners that runs through the readings.

    Parameters
    ----------
    line
        The line.
    close
        How closely a line without noise is to be met [K].

    Returns
    -------
    tuple of Floats
        Times of the corners [s] and values [K].

    Notes
    -----
    Corners are chosen on the averaged line, where it is farthest from straight; then their values are found by least
    squares over all readings, so that noise averages out along every stretch.

    References
    ----------
    Douglas, Peucker 1973, Cartographica 10:112 (the choice of corners).
    """
    t, y = line.time, line.values
    if len(t) < 8:
        return t, y
    calm = smoothed(line)
    steep = np.abs(np.gradient(np.gradient(calm, t), t))
    straight = steep <= np.quantile(steep, 0.7)
    noise = float(np.std((y - calm)[straight])) if straight.sum() > 4 else float(np.std(y - calm))
    each = max(OVER / max(float(np.median(np.diff(t))), 1.0), 1.0)
    keep = _chosen(t, calm, close + 2.5 * noise / np.sqrt(each))
    knots = t[keep]
    place = np.clip(np.searchsorted(knots, t, side="right") - 1, 0, len(knots) - 2)
    share = (t - knots[place]) / (knots[place + 1] - knots[place])
    hats = np.zeros((len(t), len(knots)))
    hats[np.arange(len(t)), place] = 1.0 - share
    hats[np.arange(len(t)), place + 1] += share
    values: Floats = np.linalg.lstsq(hats, y, rcond=None)[0].astype(np.float64)
    return knots, values


def _chosen(t: Floats, y: Floats, close: float) -> NDArray[np.int64]:
    """Return the indices of the corners kept."""
    keep = {0, len(t) - 1}
    todo = [(0, len(t) - 1)]
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        line = y[a] + (y[b] - y[a]) * (t[a : b + 1] - t[a]) / (t[b] - t[a])
        off = np.abs(y[a : b + 1] - line)
        off[(t[a : b + 1] < t[0] + 0.5 * OVER) | (t[a : b + 1] > t[-1] - 0.5 * OVER)] = 0.0  # not averaged there
        k = a + int(np.argmax(off))
        if off[k - a] > close:
            keep.add(k)
            todo += [(a, k), (k, b)]
    return np.array(sorted(keep), dtype=np.int64)
