"""Lines given by their points, in space or in the plane: length, points along them, fewer points."""

from __future__ import annotations

import numpy as np

from bagside.geometry.surface import Floats, Ints


def length_of(line: Floats) -> float:
    """Return the length of a line [m].

    Parameters
    ----------
    line
        Points, shape (k, d) [m].

    Examples
    --------
    >>> length_of(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 5.0]]))
    6.0
    """
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())


def stations(line: Floats, at: Floats) -> Floats:
    """Return the points of a line at given lengths along it, shape (t, d) [m].

    Parameters
    ----------
    line
        Points, shape (k, d) [m].
    at
        Lengths from its beginning, shape (t,) [m]; those beyond its ends give its ends.
    """
    p = np.asarray(line, dtype=np.float64)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(p, axis=0), axis=1))])
    out: Floats = np.stack([np.interp(at, along, p[:, k]) for k in range(p.shape[1])], axis=1)
    return out


def resampled(line: Floats, spacing: float) -> Floats:
    """Return a line in even steps, its ends kept, shape (k, d) [m].

    Parameters
    ----------
    line
        Points, shape (k, d) [m].
    spacing
        Longest step [m].
    """
    long = length_of(line)
    return stations(line, np.linspace(0.0, long, max(2, int(np.ceil(long / spacing - 1e-9)) + 1)))


def corners_of(line: Floats, tolerance: float) -> Ints:
    """Return which points to keep so that a line strays from the given one by at most a tolerance, shape (k,).

    Parameters
    ----------
    line
        Points, shape (k, d) [m]; of a closed line the last is the first.
    tolerance
        Largest distance of a point left out from the chord [m].
    """
    p = np.asarray(line, dtype=np.float64)
    keep = np.zeros(len(p), dtype=np.bool_)
    keep[[0, -1]] = True
    if len(p) > 3 and np.array_equal(p[0], p[-1]):
        keep[[len(p) // 3, 2 * len(p) // 3]] = True
    fixed = np.flatnonzero(keep)
    open_ = list(zip(fixed[:-1].tolist(), fixed[1:].tolist(), strict=True))
    while open_:
        i, j = open_.pop()
        if j - i < 2:
            continue
        chord, away = p[j] - p[i], p[i + 1 : j] - p[i]
        square = float(chord @ chord)
        share = np.clip(away @ chord / square, 0, 1) if square > 0 else np.zeros(len(away))
        off = np.linalg.norm(away - share[:, None] * chord, axis=1)
        k = int(off.argmax())
        if off[k] > tolerance:
            keep[i + 1 + k] = True
            open_ += [(i, i + 1 + k), (i + 1 + k, j)]
    return np.flatnonzero(keep)
