"""One tight inside corner: its line, its walls, and what the rules say to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.mould.radius import CornerVerdict

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """One tight inside corner, a line without branches.

    Parameters
    ----------
    id
        Its number on the sheets: ``C1`` is the longest.
    points
        Points along it, in order, shape (k, 3) [m].
    links
        Which points follow each other, shape (l, 2).
    closed
        Whether the line closes on itself.
    length
        Along it [m].
    radius
        Smallest hollow radius, not set by single noisy vertices [m]; zero for a crease.
    radius_error
        Standard deviation of that radius as read from one section [m]; None when the walls are not straight enough for
        sections, and radius and angle come from the ball and from fitted curvature.
    included
        Angle between its walls on the laminate's side [rad].
    bending
        Angle by which the line itself bends over its length [rad].
    surplus
        Curvature gathered along it [rad]: cloth too much where positive, too little where negative, which shear or cuts
        must take up.
    gap
        Height of the bridge over its deepest line when the needed radius is the tightest bend [m].
    needed
        Radius wanted there [m].
    thickness
        Of the stack laid into it [m].
    meetings
        Those of its ends at which more than two walls meet, shape (0 to 2, 3) [m].
    verdict
        What it asks, the whole stack laid at once.
    """

    id: str
    points: Floats
    links: Ints
    closed: bool
    length: float
    radius: float
    radius_error: float | None
    included: float
    bending: float
    surplus: float
    gap: float
    needed: float
    thickness: float
    meetings: Floats
    verdict: CornerVerdict

    @property
    def turn(self) -> float:
        """Angle by which its walls turn, the supplement of the included one [rad]."""
        return float(np.pi - self.included)

    @property
    def branches(self) -> int:
        """Number of its ends at which more than two walls meet."""
        return len(self.meetings)

    @property
    def centre(self) -> tuple[float, float, float]:
        """The point of it nearest its middle [m]."""
        at = self.points[np.argmin(np.linalg.norm(self.points - self.points.mean(axis=0), axis=1))]
        return (float(at[0]), float(at[1]), float(at[2]))
