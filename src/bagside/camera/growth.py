"""How far black reaches beyond its drawn edge, the same on every side of every marker.

Ink spreads, a bright exposure eats into black, and a camera's own tone curve moves an edge: by tenths of a pixel, alike
all round. It moves corners along their diagonals and no marker as a whole, so it is found from what a fit leaves, and
taken away.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def growth(corners: Floats, left: Floats) -> float:
    """Return how far black reaches beyond its edge [px]; below zero when it was eaten into.

    Parameters
    ----------
    corners
        As measured, shape (n, 4, 2) [px].
    left
        Measured minus seen by a fit, shape (n, 4, 2) [px].
    """
    if not len(corners):
        return 0.0
    way = _corner_ways(corners)
    # one figure for each marker, then the middle one: a marker with something over it does not count
    return float(np.median((way * left).sum(axis=(1, 2)) / (way**2).sum(axis=(1, 2))))


def without_growth(corners: Floats, by: float) -> Floats:
    """Return corners as they would be if black ended at its edge.

    Parameters
    ----------
    corners
        As measured, shape (n, 4, 2) [px].
    by
        The growth [px].
    """
    return np.asarray(corners - by * _corner_ways(corners))


def _corner_ways(corners: Floats) -> Floats:
    """Return how corners move when each side moves outwards by one pixel, shape (n, 4, 2)."""
    side = np.roll(corners, -1, axis=1) - corners
    unit = side / np.linalg.norm(side, axis=2, keepdims=True)
    after = np.stack([unit[..., 1], -unit[..., 0]], axis=-1)  # outward normal of the side that begins here
    before = np.roll(after, 1, axis=1)
    both = np.stack([before, after], axis=2)  # (n, 4, 2, 2): both normals times the way are one
    return np.asarray(np.linalg.solve(both, np.ones((*both.shape[:2], 2, 1)))[..., 0])
