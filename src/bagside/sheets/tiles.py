"""Templates at full size, tiled over the paper a workshop has.

Sheets are glued edge over edge on the registration marks. A square of 100 mm stands on each sheet: whoever prints with
"fit to page" sees it before cutting cloth.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon, box

from bagside.cutting import PieceSeam
from bagside.sheets import colour, marks
from bagside.sheets import paper as draw
from bagside.sheets.press import SIZES, pressed
from bagside.sheets.seam_marks import lip_of, seam_marks
from bagside.sheets.typeface import CAPTION, NOTE
from bagside.spec.workshop import Paper

Floats = NDArray[np.float64]

MARGIN = 10.0
"""Paper no printer reaches [mm]."""
OVERLAP = 10.0
"""Of neighbouring sheets [mm]."""
CHECK = 100.0
"""Side of the check square [mm]."""
FOOT = 12.0
"""Under what is drawn: name, note, warp and map of the sheets [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Template:
    """One piece to be printed at full size, u along the warp.

    Parameters
    ----------
    label
        Its name.
    loops
        Outline first, then holes, each shape (k, 2) [m].
    note
        Material, angle, job: one line on each sheet.
    net_edges
        Lines of the net edge, each shape (k, 2) [m].
    start
        Where laying starts [m].
    holes
        Centres to be piloted [m].
    seams
        Its sides of joins, in the same axes.
    corners
        The two places, a and b, by which it is laid on the cloth [m]: `bagside.sheets.cut_steps.corners_of`.
    """

    label: str
    loops: tuple[Floats, ...]
    note: str = ""
    net_edges: tuple[Floats, ...] = ()
    start: tuple[float, float] | None = None
    holes: tuple[tuple[float, float], ...] = ()
    seams: tuple[PieceSeam, ...] = ()
    corners: tuple[tuple[float, float], tuple[float, float]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One sheet of a template.

    Parameters
    ----------
    name
        Row letter from the top, column number from the left: ``B2``.
    row, column
        From the top, from the left.
    left, top
        Of its picture in the template's own millimetres, y downwards from the top of the piece.
    svg
        The sheet.
    """

    name: str
    row: int
    column: int
    left: float
    top: float
    svg: str


def tiles(template: Template, *, on: Paper = Paper.A4) -> tuple[Tile, ...]:
    """Return the sheets of one template; sheets the piece does not touch are left out.

    Parameters
    ----------
    template
        The piece.
    on
        Paper.

    Raises
    ------
    ValueError
        When the outline is not a closed shape with area, or would take more than 26 rows.
    """
    outline = np.asarray(template.loops[0], dtype=np.float64) * 1e3
    if outline.ndim != 2 or outline.shape[1] != 2 or len(outline) < 3 or not np.isfinite(outline).all():
        raise ValueError(f"template {template.label}: an outline of at least three finite points is wanted")
    low, high = outline.min(axis=0), outline.max(axis=0)
    size = high - low
    room = np.array([SIZES[on][0] - 2 * MARGIN, SIZES[on][1] - 2 * MARGIN - FOOT])
    step = room - OVERLAP
    count = np.maximum(np.ceil((size - OVERLAP) / step - 1e-9), 1).astype(int)
    if count[1] > 26:
        raise ValueError(f"template {template.label}: {count[1]} rows of sheets are more than letters go round")
    shape = Polygon(_down(outline, low, high), [_down(np.asarray(h) * 1e3, low, high) for h in template.loops[1:]])
    if not shape.is_valid or shape.area <= 0:
        raise ValueError(f"template {template.label}: the outline crosses itself or has no area")
    spread = count * step + OVERLAP
    origin = -0.5 * (spread - size)  # the piece stands in the middle of the sheets
    found = []
    for row in range(count[1]):
        for column in range(count[0]):
            corner = origin + step * np.array([column, row])
            if shape.intersects(box(*corner, *(corner + room))):
                found.append((row, column, corner))
    out = []
    for row, column, corner in found:
        name = f"{chr(65 + row)}{column + 1}"
        svg = _sheet(template, shape, low, high, on, room, corner, name, count, {(r, c) for r, c, _ in found})
        out.append(Tile(name=name, row=row, column=column, left=float(corner[0]), top=float(corner[1]), svg=svg))
    return tuple(out)


def templates_pdf(templates: Iterable[Template], *, on: Paper = Paper.A4, title: str = "templates") -> bytes:
    """Return templates as one PDF, true to size.

    Parameters
    ----------
    templates
        In printing order; at least one.
    on
        Paper.
    title
        Of the document.

    Raises
    ------
    ValueError
        When there is none, or an outline cannot be printed.
    """
    pages = [tile.svg for template in templates for tile in tiles(template, on=on)]
    if not pages:
        raise ValueError("there is no template to print")
    return pressed("tiles.typ", {"title": title, "width": SIZES[on][0], "height": SIZES[on][1], "pages": pages})


def _down(points: Floats, low: Floats, high: Floats) -> Floats:
    return np.column_stack([points[:, 0] - low[0], high[1] - points[:, 1]])


def _sheet(
    template: Template,
    shape: Polygon,
    low: Floats,
    high: Floats,
    on: Paper,
    room: Floats,
    corner: Floats,
    name: str,
    count: NDArray[np.int64],
    used: set[tuple[int, int]],
) -> str:
    shift = np.array([MARGIN, MARGIN]) - corner
    window = box(MARGIN, MARGIN, MARGIN + room[0], MARGIN + room[1])
    row, column = ord(name[0]) - 65, int(name[1:]) - 1
    out = [check_square(room), *neighbours(room, row, column, used)]
    for ring in (shape.exterior, *shape.interiors):
        out += clipped(np.array(ring.coords) + shift, window, draw.EDGE, "")
    for edge in template.net_edges:
        out += clipped(_down(np.asarray(edge) * 1e3, low, high) + shift, window, draw.THIN, marks.NET_EDGE)
    outline = Polygon(np.asarray(template.loops[0]))
    out += joins_on(template.seams, outline, lambda p: _down(np.atleast_2d(p) * 1e3, low, high) + shift, window)
    for hole in template.holes:
        ((x, y),) = _down(np.array([hole]) * 1e3, low, high) + shift
        if window.contains(box(x, y, x, y).centroid):
            out.append(marks.hole_ring(x, y, pilot=True))
    if template.start is not None:
        ((x, y),) = _down(np.array([template.start]) * 1e3, low, high) + shift
        if window.contains(box(x, y, x, y).centroid):
            out.append(marks.start_cross(x, y))
    for letter, place in zip("ab", template.corners or (), strict=False):
        ((x, y),) = _down(np.array([place]) * 1e3, low, high) + shift
        if window.contains(box(x, y, x, y).centroid):
            fill = colour.PAPER if letter == "a" else colour.INK
            out.append(draw.rect(x - 1.5, y - 1.5, 3.0, 3.0, weight=draw.THIN, fill=fill))
            inward = np.array(shape.centroid.coords[0]) + shift - (x, y)
            tx, ty = np.array([x, y]) + 6.0 * inward / max(float(np.hypot(*inward)), 1e-9)
            out.append(draw.text(float(tx), float(ty) + 1.5, letter, size=4.6, bold=True, anchor="middle", halo=True))
    out += _foot(template, shape, on, room, corner, name, count, used)
    return draw.sheet(SIZES[on][0], SIZES[on][1], out, title=f"template {template.label}, sheet {name}")


def joins_on(
    seams: tuple[PieceSeam, ...],
    outline: Polygon,
    at: Callable[[Floats], Floats],
    window: Polygon,
    *,
    told: bool = True,
) -> list[str]:
    """Return what of the marks at a piece's joins falls on a sheet.

    Parameters
    ----------
    seams
        Its sides of joins, in its own axes.
    outline
        Of the piece, in the same axes [m].
    at
        From those axes [m] to the sheet [mm].
    window
        The part of the sheet that is printed on [mm].
    told
        Whether the sentence along each join is printed.
    """
    out: list[str] = []
    for seam in seams:
        lip = lip_of(seam, seams)
        found = seam_marks(seam, outline, notch=0.006, pitch=0.004, letter=0.008, glyph=0.0015, lip=lip)
        for hatch in found.hatch:
            out += clipped(at(hatch), window, 0.1, "", colour.EDGE)
        if found.inside:
            out += clipped(at(found.line), window, draw.THIN, marks.BELOW)
        elif found.knife:
            out += clipped(at(found.line), window, draw.EDGE, "")
        for notch in found.notches:
            out += clipped(at(notch), window, draw.EDGE, "")
        for place, words, size, lean in (
            (found.letter, seam.shown, 5.6, 0.0),
            (found.note, found.words if found.told and told else "", NOTE, -float(np.degrees(found.turn))),
        ):
            ((x, y),) = at(np.array(place))
            if words and window.contains(box(x, y, x, y).centroid):
                way = np.radians(lean + 90.0)
                x, y = float(x + 0.36 * size * np.cos(way)), float(y + 0.36 * size * np.sin(way))
                bold = words == seam.shown
                out.append(draw.text(x, y, words, size=size, bold=bold, anchor="middle", turn=lean, halo=True))
    return out


def clipped(points: Floats, window: Polygon, weight: float, dashes: str = "", ink: str = colour.INK) -> list[str]:
    """Return the part of a line that lies on a sheet.

    Parameters
    ----------
    points
        Shape (k, 2), on the sheet [mm].
    window
        The part of the sheet that is printed on [mm].
    weight
        Of the line [mm].
    dashes
        As SVG wants them [mm]; empty is solid.
    ink
        Its colour.
    """
    inside = LineString(points).intersection(window)
    lines = [g for g in getattr(inside, "geoms", [inside]) if g.geom_type == "LineString" and not g.is_empty]
    data = "".join(draw.path(np.array(g.coords)) for g in lines)
    return [draw.stroked(data, weight=weight, dashes=dashes, ink=ink)] if data else []


def check_square(room: Floats) -> str:
    """Return the square that is measured before anything is cut.

    Parameters
    ----------
    room
        Width and height that is printed on, shape (2,) [mm].
    """
    x, y = MARGIN + 0.5 * (room[0] - CHECK), MARGIN + 0.5 * (room[1] - CHECK)
    frame = draw.rect(x, y, CHECK, CHECK, weight=0.1, ink=colour.EDGE)
    words = "100 mm each way: measure before cutting"
    return frame + draw.text(x + 1.5, y + CHECK - 1.5, words, size=CAPTION, ink=colour.EDGE)


def neighbours(room: Floats, row: int, column: int, used: set[tuple[int, int]]) -> list[str]:
    """Return where the neighbours' edges lie, with the neighbour's name, and crosses in the overlap's corners.

    Parameters
    ----------
    room
        Width and height that is printed on, shape (2,) [mm].
    row, column
        Of this sheet.
    used
        Row and column of every sheet that is printed.
    """
    left, top, right, bottom = MARGIN, MARGIN, MARGIN + float(room[0]), MARGIN + float(room[1])
    out = []
    sides = {
        (row, column - 1): ([(left + OVERLAP, top), (left + OVERLAP, bottom)], (left + 3.8, 0.5 * (top + bottom)), -90),
        (row, column + 1): (
            [(right - OVERLAP, top), (right - OVERLAP, bottom)],
            (right - 2.6, 0.5 * (top + bottom)),
            -90,
        ),
        (row - 1, column): ([(left, top + OVERLAP), (right, top + OVERLAP)], (0.5 * (left + right), top + 3.8), 0),
        (row + 1, column): (
            [(left, bottom - OVERLAP), (right, bottom - OVERLAP)],
            (0.5 * (left + right), bottom - 2.6),
            0,
        ),
    }
    for (r, c), (ends, (x, y), turn) in sides.items():
        if (r, c) not in used:
            continue
        out.append(draw.line(ends, weight=draw.HAIR, dashes=marks.KNIFE, ink=colour.EDGE))
        words = f"lies under or over {chr(65 + r)}{c + 1}"
        out.append(draw.text(x, y, words, size=CAPTION, anchor="middle", turn=turn, ink=colour.SECOND))
    half = 0.5 * OVERLAP
    for x in (left + half, right - half):
        for y in (top + half, bottom - half):
            out.append(draw.line([(x - 3, y), (x + 3, y)], weight=draw.HAIR))
            out.append(draw.line([(x, y - 3), (x, y + 3)], weight=draw.HAIR))
            out.append(draw.circle(x, y, 1.5, weight=draw.HAIR))
    out.append(draw.rect(left, top, right - left, bottom - top, weight=draw.HAIR, ink=colour.EDGE))
    return out


def _foot(
    template: Template,
    shape: Polygon,
    on: Paper,
    room: Floats,
    corner: Floats,
    name: str,
    count: NDArray[np.int64],
    used: set[tuple[int, int]],
) -> list[str]:
    y = MARGIN + float(room[1])
    row, column = ord(name[0]) - 65, int(name[1:]) - 1
    out = [
        draw.text(MARGIN, y + 7.6, template.label, size=6.4, bold=True),
        draw.text(MARGIN + 34, y + 5.0, f"sheet {name} of {len(used)}", size=NOTE, bold=True),
        draw.text(MARGIN + 34, y + 9.2, template.note, size=CAPTION, ink=colour.SECOND),
    ]
    end = SIZES[on][0] - MARGIN
    out.append(draw.text(end - 62, y + 4.4, "warp", size=CAPTION))
    out.append(marks.warp_arrow(np.array([end - 62.0, y + 7.4]), np.array([end - 32.0, y + 7.4])))
    step = room - OVERLAP
    spread = count * step + OVERLAP
    unit = float(min(24.0 / spread[0], (FOOT - 1.5) / spread[1]))
    origin = corner - step * np.array([column, row])
    x0, y0 = end - unit * float(spread[0]), y + 1.2
    for r, c in sorted(used):
        a = np.array([x0, y0]) + unit * step * np.array([c, r])
        fill = colour.TAPE if (r, c) == (row, column) else colour.PAPER
        out.append(draw.rect(a[0], a[1], unit * float(step[0]), unit * float(step[1]), weight=0.1, fill=fill))
    small = (np.array(shape.exterior.coords) - origin) * unit + np.array([x0, y0])
    out.append(draw.line(small, weight=draw.THIN, closed=True))
    return out
