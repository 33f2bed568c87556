"""A decorative ply laid as a regular patchwork of tiles, and how it goes on from another part's."""

from __future__ import annotations

from enum import StrEnum

from bagside.spec.fields import Angle, Point3, PositiveLength, SomeArea, SomeLength, stated


class TileShape(StrEnum):
    """Shapes that fill the plane without end."""

    HEXAGONS = "hexagons"
    TRIANGLES = "triangles"
    RHOMBS = "rhombs"
    SQUARES = "squares"
    STRIPS = "strips"


@stated
class Continues:
    """Another part's patchwork that this one goes on from, by two points that meet.

    Parameters
    ----------
    job
        The other part's job file, beside this one or by its way from here.
    here
        Two points on this part [m].
    there
        The two points of the other part that they meet [m].
    """

    job: str
    here: tuple[Point3, Point3]
    there: tuple[Point3, Point3]


@stated
class Patchwork:
    """A ply cut as tiles on a regular pattern in the cloth's own coordinates.

    Parameters
    ----------
    ply
        Which ply, counted from one.
    shape
        Of the tiles; the other part's when it goes on from one.
    size
        Of one cell of the pattern [m]: a hexagon across its flats, the side of a triangle, a rhomb or a square, the
        width of a strip.
    length
        Of a strip, its joints staggered by half from row to row [m]; strips run from rim to rim when not stated.
    gap
        Left between tiles [m]: each is cut smaller by half of it all round.
    overlap
        By which a tile laid later lies over those before it [m].
    turn
        Of the pattern against the warp, counter-clockwise seen from the laminate side [rad].
    origin
        A point on the surface where the middle of a cell lies [m]; the start of laying when not stated.
    smallest, narrowest
        A tile at the rim of less area [m²] or width [m] than these is joined to its neighbour, or left to the ply
        behind when it has none.
    continues
        What it goes on from.
    """

    ply: int = 1
    shape: TileShape | None = None
    size: PositiveLength | None = None
    length: PositiveLength | None = None
    gap: SomeLength = 0.0
    overlap: SomeLength = 0.0
    turn: Angle = 0.0
    origin: Point3 | None = None
    smallest: SomeArea = 1e-4
    narrowest: SomeLength = 0.008
    continues: Continues | None = None
