"""How a sheet that does not lie quite flat is bent: a smooth height over its plane.

Paper on a table lifts by a millimetre at an edge, and each millimetre moves what is seen there by a third of one. The
ring of markers shows it. The height is a polynomial of second to fourth degree over the sheet: constant and slope are
the pose's own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

POWERS = tuple((total - k, k) for total in (2, 3, 4) for k in range(total + 1))
"""Powers of x and y in each term."""
LIKELY = {2: 0.0010, 3: 0.0005, 4: 0.0005}
"""Height of a term at the sheet's edge, as a standard deviation, by its degree [m]: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bend:
    """A smooth height over the plane of a sheet.

    Parameters
    ----------
    middle
        Of the sheet, shape (2,) [m].
    reach
        From there to its farther edge [m].
    heights
        Of each term of `POWERS` at that reach, shape (12,) [m].
    """

    middle: Floats
    reach: float
    heights: Floats

    def terms(self, points: Floats) -> Floats:
        """Return each term at places, shape (n, 12).

        Parameters
        ----------
        points
            Shape (n, 2) [m].
        """
        u, v = ((points - self.middle) / self.reach).T
        return np.column_stack([u**a * v**b for a, b in POWERS])

    def height(self, points: Floats) -> Floats:
        """Return the height at places, shape (n,) [m].

        Parameters
        ----------
        points
            Shape (n, 2) [m].
        """
        return np.asarray(self.terms(points) @ self.heights)

    def slope(self, points: Floats) -> Floats:
        """Return the change of height with x and y, shape (n, 2).

        Parameters
        ----------
        points
            Shape (n, 2) [m].
        """
        u, v = ((points - self.middle) / self.reach).T
        by_u = np.column_stack([a * u ** max(a - 1, 0) * v**b for a, b in POWERS])
        by_v = np.column_stack([b * u**a * v ** max(b - 1, 0) for a, b in POWERS])
        return np.column_stack([by_u @ self.heights, by_v @ self.heights]) / self.reach


def flat_over(points: Floats) -> Bend:
    """Return the bend of a flat sheet that reaches over places.

    Parameters
    ----------
    points
        Corners of its markers, shape (n, 2) [m].
    """
    low, high = points.min(axis=0), points.max(axis=0)
    return Bend(middle=0.5 * (low + high), reach=float(0.5 * (high - low).max()), heights=np.zeros(len(POWERS)))


def likely() -> Floats:
    """Return the standard deviation of each term's height, shape (12,) [m]."""
    return np.array([LIKELY[a + b] for a, b in POWERS])
