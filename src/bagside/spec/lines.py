"""Named lines on the mould surface, and the cuts that part a ply along them.

A line is stated by a few points; how it runs over the surface between them is worked out by `bagside.geometry.lines`.
One line may serve several plies: a seam in the first, a shifted one in the next, the line laid first in a third.
"""

from __future__ import annotations

from enum import StrEnum

from bagside.spec.fields import Point3, SomeLength, stated


class Follow(StrEnum):
    """How a line runs between its points."""

    STRAIGHT = "straight"
    HOLLOW = "hollow"
    RIDGE = "ridge"


class Join(StrEnum):
    """How the two sides of a cut lie."""

    OVERLAP = "overlap"
    BUTT = "butt"
    SLIP = "slip joint"


class Pieces(StrEnum):
    """Who says where a ply is cut into pieces."""

    DRAWN = "as drawn"
    AUTO = "auto"


@stated
class Line:
    """A line over the mould surface.

    Parameters
    ----------
    points
        Points on or near the surface that it runs through [m].
    follow
        Straight over the surface from point to point, or along the hollow or the ridge between them.
    closed
        Whether it returns to its first point.
    """

    points: tuple[Point3, ...]
    follow: Follow = Follow.STRAIGHT
    closed: bool = False


@stated
class Cut:
    """A cut of a ply along a line: from rim to rim it parts the ply in two, ending inside it is a dart.

    Parameters
    ----------
    line
        Name of a line.
    join
        How the two sides lie: one over the other, edge to edge, or over each other and free to slide.
    overlap
        Width that the piece laid later lies over the other [m]; the job's when not stated. A butt has none.
    """

    line: str
    join: Join = Join.OVERLAP
    overlap: SomeLength | None = None
