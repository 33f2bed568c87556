"""The drawing of a nest on its cloth: a roll or an offcut, with everything a knife must know."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import Placement
from bagside.sheets.drawing import CLOTH_WASH, KITS, Area, Drawing, Layer, Line, Text
from bagside.sheets.drawn_piece import MM, Shape, arrow, dimension, marks_of, named, on_paper, seams_of
from bagside.sheets.on_table import LaidOut, Spread, lines_of, piece_of, placed, spread

Floats = NDArray[np.float64]
Left = tuple[str, shapely.Polygon]
"""Name and outline [m] of what is left and kept."""


def nest_drawing(
    nest: LaidOut,
    *,
    pull: float | None = None,
    scale: float = 1.0,
    common: Sequence[Floats] = (),
    left: Sequence[Left] = (),
    flaws: Sequence[Floats] = (),
) -> Drawing:
    """Return the drawing of a nest on its cloth.

    Parameters
    ----------
    nest
        On a roll or on an offcut.
    pull
        Length to pull off the roll [m]; the length of the nest when None.
    scale
        Length on paper over true length.
    common
        Cuts that two pieces share, each shape (k, 2), or bits of shape (k, 2, 2) [m].
    left
        Name and outline [m] of what is left and kept.
    flaws
        Places on a roll not to be used, each shape (k, 2) [m]; an offcut tells its own.

    Raises
    ------
    InputError
        When less is pulled than the nest is long, or the scale is not positive.
    """
    paper = on_paper(scale)
    cloth = spread(nest, pull=pull, flaws=flaws)
    shapes: list[Shape] = _cloth(cloth)
    shapes += _left_over(left, paper)
    copies = sorted(nest.placements, key=lambda p: (p.copy, p.label))
    kits = list(dict.fromkeys(nest.kit(p) for p in copies))
    for placement in nest.placements:
        kit = nest.kit(placement)
        fill = KITS[kits.index(kit) % len(KITS)]
        told = "" if len(kits) == 1 else f"kit {kit}" if kit.isdecimal() else kit
        shapes += _copy(nest, placement, fill, told, paper)
    for line in lines_of(common):
        shapes.append(Line(layer=Layer.COMMON_LINE, points=MM * line))
    for flaw in cloth.flaws:
        shapes += _flaw(MM * flaw, 3.0 * paper)
    shapes += _measures(cloth, paper)
    return _framed(cloth, shapes, scale, f"nest of {len(nest.placements)} pieces of {cloth.material}")


def _cloth(cloth: Spread) -> list[Shape]:
    loops = tuple(MM * loop for loop in (cloth.outline, *cloth.holes))
    shapes: list[Shape] = [Area(layer=Layer.CLOTH_EDGE, loops=loops, fill=CLOTH_WASH)]
    shapes += [Line(layer=Layer.SELVEDGE, points=MM * line) for line in cloth.selvedges]
    shapes += [Line(layer=Layer.MARGIN, points=MM * line) for line in cloth.margins]
    return shapes


def _left_over(left: Sequence[Left], paper: float) -> list[Shape]:
    shapes: list[Shape] = []
    for name, outline in left:
        for ring in (outline.exterior, *outline.interiors):
            shapes.append(Line(layer=Layer.LEFT_OVER, points=MM * np.asarray(ring.coords)[:-1], closed=True))
        reach = shapely.maximum_inscribed_circle(outline)
        x, y = (MM * float(c) for c in reach.coords[0])
        height = min(5.0 * paper, 0.5 * MM * float(reach.length))
        shapes.append(Text(at=(x, y), text=name, height=height, bold=True))
    return shapes


def _copy(nest: LaidOut, placement: Placement, fill: str, kit: str, paper: float) -> list[Shape]:
    piece = piece_of(nest, placement)
    loops = tuple(MM * loop for loop in nest.placed_loops(placement))

    def at(points: Floats) -> Floats:
        return MM * placed(points, placement)

    marks: list[Shape] = [m for m in marks_of(piece, at, paper) if not isinstance(m, Text)]
    marks += seams_of(piece, at, paper, whole=False)
    down = "face down" if placement.flipped else ""
    area = Area(layer=Layer.CUT, loops=loops, fill=fill)
    return [area, *marks, *named(loops, piece.label, kit, placement.turn, marks, paper, down)]


def _flaw(loop: Floats, pitch: float) -> list[Shape]:
    """Return a place not to be used: its edge and a hatch."""
    shapes: list[Shape] = [Line(layer=Layer.FLAW, points=loop, closed=True)]
    return shapes + [Line(layer=Layer.FLAW, points=h) for h in hatched(loop, pitch)]


def hatched(loop: Floats, pitch: float) -> tuple[Floats, ...]:
    """Return lines at 45° inside a loop, each shape (2, 2).

    Parameters
    ----------
    loop
        Corners, shape (k, 2), any unit.
    pitch
        Between lines, the same unit.
    """
    shape = shapely.Polygon(loop)
    x0, y0, x1, y1 = shape.bounds
    high, step = y1 - y0, pitch * 2.0**0.5
    lines = [
        shapely.LineString([(x, y0), (x + high, y1)]) for x in np.arange(x0 - high + 0.5 * step, x1, step)
    ]  # fmt: skip
    found = shapely.get_parts(shapely.intersection(np.array(lines, dtype=object), shape)) if lines else ()
    return tuple(np.asarray(g.coords) for g in found if g.geom_type == "LineString" and not g.is_empty)


def _measures(cloth: Spread, paper: float) -> list[Shape]:
    """Return the sizes of the cloth, the line the knife crosses a roll on, and the way of the warp."""
    (x0, y0), (x1, y1) = MM * cloth.low, MM * cloth.high
    shapes: list[Shape] = []
    if cloth.roll:
        over = 6.0 * paper
        shapes.append(Line(layer=Layer.KNIFE_LINE, points=np.array([[x1, y0 - over], [x1, y1 + over]])))
    aside = 8.0 * paper
    shapes += dimension((float(x0), float(y1 + aside)), (float(x1), float(y1 + aside)), f"{x1 - x0:.0f} mm", paper)
    shapes += dimension((float(x0 - aside), float(y0)), (float(x0 - aside), float(y1)), f"{y1 - y0:.0f} mm", paper)
    middle = _arrow_at(cloth, paper)
    shapes += arrow(np.array([middle, float(y0) - aside]), 0.0, 20.0 * paper)
    shapes.append(Text(at=(middle + 18.0 * paper, float(y0) - aside), text="warp", height=2.5 * paper))
    return shapes


def _arrow_at(cloth: Spread, paper: float) -> float:
    (x0, _), (x1, _) = MM * cloth.low, MM * cloth.high
    return float(max(x1 - 30.0 * paper, x0 + 10.0 * paper))


def _framed(cloth: Spread, shapes: list[Shape], scale: float, title: str) -> Drawing:
    paper = 1.0 / scale
    (x0, y0), (x1, y1) = MM * cloth.low, MM * cloth.high
    sheet = 14.0 * paper
    low = (float(x0 - sheet), float(y0 - sheet))
    high = (float(max(x1 + sheet, _arrow_at(cloth, paper) + 26.0 * paper)), float(y1 + sheet))
    return Drawing(low=low, high=high, shapes=tuple(shapes), scale=scale, title=title)
