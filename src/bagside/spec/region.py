"""Regions of the mould surface, by name, and the shapes that bound them.

A region starts from another one (``of``; ``"everything"`` is the whole surface) and is narrowed in a fixed order:
inside an outline, outside one, on one side of a plane, near something, away from something. Its boundary follows the
true curve: triangles are cut (`bagside.geometry.regions`).
"""

from __future__ import annotations

from enum import StrEnum

from bagside.spec.fields import Angle, Direction, Point2, Point3, PositiveLength, Size2, SomeLength, stated

EVERYTHING = "everything"


class Shape(StrEnum):
    """Shapes an outline can be stated by."""

    CIRCLE = "circle"
    ELLIPSE = "ellipse"
    ROUNDED_RECTANGLE = "rounded rectangle"
    POLYGON = "polygon"


@stated
class Outline:
    """A closed outline seen along a direction.

    Parameters
    ----------
    shape
        Which shape.
    along
        Direction of sight in the mould's axes. The outline's x axis is the mould's x axis as seen along it (the mould's
        y axis when the sight is within 1° of x); its y axis completes a right-handed pair with the reversed sight, so
        that seen against ``along = [0, 0, 1]`` x and y are the mould's own.
    centre
        Centre in the outline's plane [m].
    size
        Full size along x and y [m]; not for a polygon.
    corner
        Corner radius of a rounded rectangle [m].
    turn
        Turn about the centre, counter-clockwise [rad].
    points
        Corners of a polygon, about the centre [m].
    """

    shape: Shape
    along: Direction = (0.0, 0.0, 1.0)
    centre: Point2 = (0.0, 0.0)
    size: Size2 | None = None
    corner: SomeLength = 0.0
    turn: Angle = 0.0
    points: tuple[Point2, ...] = ()


@stated
class Plane:
    """One side of a plane: the side its normal points to."""

    point: Point3
    normal: Direction


@stated
class Near:
    """Within a distance, measured over the surface, of something.

    Parameters
    ----------
    distance
        Distance over the surface [m].
    edge
        Of the boundary of the region this one is made from.
    holes
        Of the rims of these holes, by name.
    points
        Of these points on the surface.
    region
        Of another region, by name; distance is zero inside it.
    lines
        Of these lines, by name.
    """

    distance: PositiveLength
    edge: bool = False
    holes: tuple[str, ...] = ()
    points: tuple[Point3, ...] = ()
    region: str = ""
    lines: tuple[str, ...] = ()


@stated
class Region:
    """A named part of the surface."""

    of: str = EVERYTHING
    inside: Outline | None = None
    outside: Outline | None = None
    beside: Plane | None = None
    near: Near | None = None
    away: Near | None = None


@stated
class Hole:
    """A hole in the finished part.

    Parameters
    ----------
    name
        Its name, used in regions and on the sheets.
    at
        A point on or near the surface at its centre [m]; must be stated when the mould has a mesh.
    diameter
        Finished diameter [m].
    """

    name: str
    at: Point3 = (0.0, 0.0, 0.0)
    diameter: PositiveLength
