"""Card templates: flat outlines that need no mould surface, and how a ply is cut from them.

A template is stated by a plain shape, by its corners, or by a file (DXF or SVG), as the ply is seen on the mould from
the laminate side. Its x axis is the zero direction of the part, so that one card serves plies of different angles; when
the warp belongs to the card, ``warp`` or a drawn line says where it points and the angle of the ply does not turn it.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any

from pydantic import BeforeValidator

from bagside.spec.fields import Angle, Point2, PositiveLength, Size2, SomeLength, stated


class Card(StrEnum):
    """Plain shapes a template can have."""

    RECTANGLE = "rectangle"
    DISC = "disc"
    RING = "ring"
    STRIP = "strip"
    GUSSET = "gusset"


@stated
class Template:
    """A flat outline.

    Parameters
    ----------
    shape
        A plain shape; none when points or a file are stated.
    size
        Of a rectangle or strip along x and y; of a gusset its two legs, square to each other [m].
    corner
        Radius of all corners of a rectangle, strip or gusset [m].
    diameter
        Of a disc, or of a ring's outer edge [m].
    hole
        Diameter of a ring's hole [m].
    points
        Corners of the outline [m].
    holes
        Corners of each hole [m].
    file
        DXF or SVG beside the job.
    unit
        Of the file's numbers, when the file does not say: ``mm``, ``cm``, ``m``, ``in`` or ``ft``.
    layer
        Layer of the DXF, or id, label or class of a group or element of the SVG, that holds it, when it holds several.
    warp
        Where the warp points, from the template's x axis, when it was not drawn; when neither says it, the ply's angle
        does [rad].
    """

    shape: Card | None = None
    size: Size2 | None = None
    corner: SomeLength = 0.0
    diameter: PositiveLength | None = None
    hole: PositiveLength | None = None
    points: tuple[Point2, ...] = ()
    holes: tuple[tuple[Point2, ...], ...] = ()
    file: str = ""
    unit: str = ""
    layer: str = ""
    warp: Angle | None = None


@stated
class CutFrom:
    """A template and how many times a ply is cut from it for each part."""

    template: str
    copies: int = 1


def _named(value: Any) -> Any:
    return {"template": value} if isinstance(value, str) else value


Cutting = Annotated[CutFrom, BeforeValidator(_named)]
"""A template's name, or a table with its name and the copies for each part."""
