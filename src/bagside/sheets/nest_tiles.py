"""A whole nest at full size, tiled over the paper a workshop has.

The first page shows the cloth with every sheet's name on it and says which sheets hold nothing and are left out. The
others are glued edge over edge on the registration marks, laid on the cloth with the warp, and cut through.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import Placement
from bagside.errors import InputError
from bagside.sheets import colour, marks
from bagside.sheets import paper as draw
from bagside.sheets.drawn_piece import room_at
from bagside.sheets.nest_drawing import Left, hatched
from bagside.sheets.on_table import LaidOut, Spread, lines_of, part_words, piece_of, placed, spread
from bagside.sheets.press import SIZES, pressed
from bagside.sheets.tiles import FOOT, MARGIN, OVERLAP, Tile, check_square, clipped, joins_on, neighbours
from bagside.sheets.typeface import BODY, CAPTION, FIGURE, HEAD, NOTE, width, wrapped
from bagside.spec.workshop import Paper

Floats = NDArray[np.float64]
Cell = tuple[int, int]

MM = 1e3
MOST_ROWS = 26
"""Sheets are named by letters from the top."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NestTiles:
    """The sheets of a nest.

    Parameters
    ----------
    overview
        The first page.
    tiles
        Sheets that hold something, row by row.
    empty
        Names of those that hold nothing.
    """

    overview: str
    tiles: tuple[Tile, ...]
    empty: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grid:
    """How sheets lie on the cloth, in its millimetres from the top left corner, y downwards."""

    on: Paper
    room: Floats
    count: NDArray[np.int64]
    origin: Floats
    size: Floats

    def corner(self, cell: Cell) -> Floats:
        out: Floats = self.origin + (self.room - OVERLAP) * np.array([cell[1], cell[0]])
        return out

    def window(self, cell: Cell) -> shapely.Polygon:
        corner = self.corner(cell)
        return shapely.box(*corner, *(corner + self.room))


def nest_tiles(
    nest: LaidOut,
    *,
    on: Paper = Paper.A4,
    pull: float | None = None,
    roll: str = "",
    common: Sequence[Floats] = (),
    left: Sequence[Left] = (),
    flaws: Sequence[Floats] = (),
    note: str = "",
) -> NestTiles:
    """Return the sheets of a nest at full size.

    Parameters
    ----------
    nest
        On a roll or on an offcut.
    on
        Paper.
    pull
        Length to pull off the roll [m]; the length of the nest when None.
    roll
        Its name.
    common
        Cuts that two pieces share, each shape (k, 2), or bits of shape (k, 2, 2) [m]; drawn bold.
    left
        Name and outline [m] of what is left and kept.
    flaws
        Places on a roll not to be used, each shape (k, 2) [m]; an offcut tells its own.
    note
        Job and revision: one line on each sheet.

    Raises
    ------
    InputError
        When less is pulled than the nest is long, or the cloth takes more than 26 rows of sheets.
    """
    cloth = spread(nest, pull=pull, roll=roll, flaws=flaws)
    low, high = MM * cloth.low, MM * cloth.high

    def down(points: Floats) -> Floats:
        p = MM * np.atleast_2d(np.asarray(points, dtype=np.float64))
        out: Floats = np.column_stack([p[:, 0] - low[0], high[1] - p[:, 1]])
        return out

    grid = _grid(on, high - low)
    if grid.count[1] > MOST_ROWS:
        came = f"{grid.count[1]} rows of sheets for {high[1] - low[1]:.0f} mm of cloth"
        raise InputError.one("tiles of a nest", came, "at most 26 rows: print the drawing on a plotter instead")
    lines = _Lines(nest=nest, cloth=cloth, common=lines_of(common), left=tuple(left), down=down)
    taken = shapely.union_all([shapely.Polygon(down(nest.placed_loops(p)[0])) for p in nest.placements])
    cells = [(r, c) for r in range(grid.count[1]) for c in range(grid.count[0])]
    used = {cell for cell in cells if taken.intersects(grid.window(cell))}
    title = f"nest on {cloth.title}, {cloth.material}"
    tiles = []
    for cell in cells:
        if cell in used:
            corner = grid.corner(cell)
            svg = _sheet(lines, grid, cell, used, title, note)
            x, y = float(corner[0]), float(corner[1])
            tiles.append(Tile(name=_name(cell), row=cell[0], column=cell[1], left=x, top=y, svg=svg))
    empty = tuple(_name(cell) for cell in cells if cell not in used)
    return NestTiles(overview=_overview(lines, grid, used, empty, title, note), tiles=tuple(tiles), empty=empty)


def nest_tiles_pdf(found: NestTiles, *, on: Paper = Paper.A4, title: str = "nest at full size") -> bytes:
    """Return the sheets of a nest as one PDF, true to size.

    Parameters
    ----------
    found
        From `nest_tiles`.
    on
        The same paper.
    title
        Of the document.
    """
    pages = [found.overview, *(t.svg for t in found.tiles)]
    return pressed("tiles.typ", {"title": title, "width": SIZES[on][0], "height": SIZES[on][1], "pages": pages})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lines:
    """What is drawn, and the way from the cloth [m] to its millimetres from the top left corner."""

    nest: LaidOut
    cloth: Spread
    common: tuple[Floats, ...]
    left: tuple[Left, ...]
    down: Callable[[Floats], Floats]

    def onto(self, shift: Floats, window: shapely.Polygon, scale: float = 1.0) -> list[str]:
        """Return everything that falls on a sheet, names apart."""

        def at(points: Floats) -> Floats:
            return scale * self.down(points) + shift

        cloth, out = self.cloth, []
        for loop in (cloth.outline, *cloth.holes):
            out += clipped(_closed(at(loop)), window, draw.THIN, ink=colour.EDGE)
        for line in cloth.selvedges:
            out += clipped(at(line), window, draw.HAIR, ink=colour.EDGE)
        for line in cloth.margins:
            out += clipped(at(line), window, draw.HAIR, "2 2", ink=colour.EDGE)
        for _, outline in self.left:
            out += clipped(at(np.asarray(outline.exterior.coords)), window, draw.THIN, marks.KNIFE)
        for flaw in cloth.flaws:
            out += clipped(_closed(at(flaw)), window, draw.THIN)
            for line in hatched(at(flaw), 3.0):
                out += clipped(line, window, draw.HAIR)
        for placement in self.nest.placements:
            for loop in self.nest.placed_loops(placement):
                out += clipped(_closed(at(loop)), window, draw.EDGE)
        for line in self.common:
            out += clipped(at(line), window, 1.0)
        return out

    def small(self, placement: Placement, shift: Floats, window: shapely.Polygon) -> list[str]:
        """Return marks and joins of a copy at full size."""
        piece = piece_of(self.nest, placement)

        def at(points: Floats) -> Floats:
            return self.down(placed(points, placement)) + shift

        out = joins_on(piece.seams, piece.outline, at, window, told=False)
        for name, place in piece.marks:
            ((x, y),) = at(np.array([place]))
            if window.contains(shapely.Point(x, y)):
                hole = "hole" in name.casefold()
                pilot = "pilot" in name.casefold()
                out.append(marks.hole_ring(x, y, pilot=pilot) if hole else marks.start_cross(x, y))
        return out


def _grid(on: Paper, size: Floats) -> _Grid:
    room = np.array([SIZES[on][0] - 2 * MARGIN, SIZES[on][1] - 2 * MARGIN - FOOT])
    step = room - OVERLAP
    count = np.maximum(np.ceil((size - OVERLAP) / step - 1e-9), 1).astype(int)
    return _Grid(on=on, room=room, count=count, origin=-0.5 * (count * step + OVERLAP - size), size=size)


def _name(cell: Cell) -> str:
    return f"{chr(65 + cell[0])}{cell[1] + 1}"


def _closed(points: Floats) -> Floats:
    out: Floats = np.vstack([points, points[:1]])
    return out


def _sheet(lines: _Lines, grid: _Grid, cell: Cell, used: set[Cell], title: str, note: str) -> str:
    shift = np.array([MARGIN, MARGIN]) - grid.corner(cell)
    window = shapely.box(MARGIN, MARGIN, MARGIN + grid.room[0], MARGIN + grid.room[1])
    out = [check_square(grid.room), *neighbours(grid.room, *cell, used), *lines.onto(shift, window)]
    for placement in lines.nest.placements:
        out += lines.small(placement, shift, window)
        out += _names(lines, placement, shift, window)
    if lines.cloth.knife is not None:
        x = float(grid.size[0] + shift[0])
        out += clipped(np.array([[x, MARGIN], [x, MARGIN + grid.room[1]]]), window, draw.EDGE, marks.KNIFE)
    out += _foot(lines, grid, cell, used, title, note)
    return draw.sheet(*SIZES[grid.on], out, title=f"{title}, sheet {_name(cell)}")


def _names(lines: _Lines, placement: Placement, shift: Floats, window: shapely.Polygon) -> list[str]:
    """Return name, part and warp arrow in the widest place of the copy that is on the sheet."""
    loops = [lines.down(loop) + shift for loop in lines.nest.placed_loops(placement)]
    parts = shapely.get_parts(shapely.Polygon(loops[0], loops[1:]).intersection(window.buffer(-OVERLAP)))
    parts = [p for p in parts if p.geom_type == "Polygon" and p.area > 20.0]
    if not parts:
        return []
    free = max(parts, key=lambda p: float(p.area))
    reach = shapely.maximum_inscribed_circle(free, tolerance=0.1)
    radius = float(reach.length)
    x, y = (float(c) for c in reach.coords[0])
    chord = shapely.LineString([(MARGIN, y), (MARGIN + SIZES[Paper.LETTER][0], y)]).intersection(free)
    along = max(shapely.get_parts(chord), key=lambda g: float(g.length)).centroid
    if free.boundary.distance(along) >= 0.9 * radius:
        x = float(along.x)
    piece, part = piece_of(lines.nest, placement), part_words(lines.nest.kit(placement))
    part += ", face down" if placement.flipped else ""
    base = y - 0.2 * radius
    size = min(0.5 * radius, 9.0, room_at(free, np.array([x, base])) / width(piece.label, 1.0, bold=True))
    under = min(0.6 * size, 4.0, room_at(free, np.array([x, base + 0.5 * size])) / width(part, 1.0))
    way = np.array([np.cos(placement.turn), -np.sin(placement.turn)])
    half = min(0.5 * radius, 14.0)
    middle = np.array([x, y + 0.6 * radius])
    out = [draw.text(x, base, piece.label, size=size, bold=True, anchor="middle", halo=True)]
    if radius > 2.5:
        out.append(draw.text(x, base + 1.3 * under, part, size=under, anchor="middle", halo=True))
        out.append(marks.warp_arrow(middle - half * way, middle + half * way, weight=min(0.8, 0.1 * half), halo=True))
    return out


def _foot(lines: _Lines, grid: _Grid, cell: Cell, used: set[Cell], title: str, note: str) -> list[str]:
    y, end = MARGIN + float(grid.room[1]), SIZES[grid.on][0] - MARGIN
    name = _name(cell)
    out = [
        draw.text(MARGIN, y + 7.6, name, size=FIGURE, bold=True),
        draw.text(MARGIN + 18, y + 5.0, f"one of {len(used)} sheets", size=NOTE, bold=True),
    ]
    for k, line in enumerate((title, note)):
        size = CAPTION
        while width(line, size) > end - 68.0 - MARGIN - 18.0 and size > 1.2:
            size *= 0.95
        out.append(draw.text(MARGIN + 18, y + 8.2 + 3.0 * k, line, size=size, ink=colour.SECOND))
    out.append(draw.text(end - 62, y + 4.4, "warp", size=CAPTION))
    out.append(marks.warp_arrow(np.array([end - 62.0, y + 7.4]), np.array([end - 40.0, y + 7.4])))
    spread_ = grid.count * (grid.room - OVERLAP) + OVERLAP
    unit = float(min(34.0 / spread_[0], (FOOT - 1.5) / spread_[1]))
    corner = np.array([end - unit * float(spread_[0]), y + 1.2])
    for c in sorted(used):
        a = corner + unit * (grid.corner(c) - grid.origin)
        w, h = (float(v) for v in unit * (grid.room - OVERLAP))
        out.append(draw.rect(a[0], a[1], w, h, weight=0.1, fill=colour.TAPE if c == cell else colour.PAPER))
    whole = shapely.box(corner[0] - 1, corner[1] - 1, end + 1, y + FOOT + 1)
    for placement in lines.nest.placements if len(used) <= 24 else ():  # more of them would be a blot
        loop = _closed(unit * (lines.down(lines.nest.placed_loops(placement)[0]) - grid.origin) + corner)
        out += clipped(loop, whole, 0.1)
    return out


def _overview(lines: _Lines, grid: _Grid, used: set[Cell], empty: tuple[str, ...], title: str, note: str) -> str:
    wide, high = SIZES[grid.on]
    room = wide - 2 * MARGIN
    out = [draw.text(MARGIN, 20.0, "Nest at full size", size=FIGURE, bold=True)]
    y = 27.0
    said = [
        f"{title}. {len(used)} sheets, {len(lines.nest.placements)} pieces" + (f", {note}." if note else "."),
        "Print at 100 %, not fitted to the page. Measure the square of 100 mm on each sheet before cutting cloth.",
        "Trim one of two neighbours on its dashed line, lay it over the other cross on cross, and tape it. Leave "
        "the film on, lay the sheets on the cloth with the warp along the arrow, tape them down, and cut.",
    ]
    if empty:
        these = f"Sheets {', '.join(empty)} hold" if len(empty) > 1 else f"Sheet {empty[0]} holds"
        said.append(f"{these} nothing and {'are' if len(empty) > 1 else 'is'} left out.")
    else:
        said.append("Every sheet holds something; none is left out.")
    for k, sentence in enumerate(said):
        for line in wrapped(sentence, BODY, room):
            out.append(draw.text(MARGIN, y, line, size=BODY, bold=k == 3))
            y += 1.4 * BODY
        y += 1.0
    words = "New blade, cut-proof glove on the holding hand, cut away from the hand."
    out.append(draw.rect(MARGIN, y - 1.0, room, 8.0, fill=colour.INK))
    out.append(draw.text(MARGIN + 3.0, y + 4.2, words, size=BODY, bold=True, ink=colour.PAPER))
    y += 14.0
    spread_ = grid.count * (grid.room - OVERLAP) + OVERLAP
    scale = float(min(room / spread_[0], (high - MARGIN - y) / spread_[1]))
    corner = np.array([MARGIN, y])
    shift = corner - scale * grid.origin
    everywhere = shapely.box(0.0, 0.0, wide, high)
    out += lines.onto(shift, everywhere, scale)
    for row in range(grid.count[1]):
        for column in range(grid.count[0]):
            cell = (row, column)
            a = corner + scale * (grid.corner(cell) - grid.origin)
            size = scale * (grid.room - OVERLAP)
            dashes = "" if cell in used else "1 1"
            across, along = np.array([size[0], 0.0]), np.array([0.0, size[1]])
            ends = np.array([a, a + across, a + size, a + along])
            out.append(draw.line(ends, weight=draw.THIN, closed=True, dashes=dashes, ink=colour.EDGE))
            high_ = min(HEAD, 0.35 * float(size[1]), 0.4 * float(size[0]))
            ink = colour.INK if cell in used else colour.EDGE
            x, base = float(a[0] + 0.5 * size[0]), float(a[1] + 0.5 * size[1] + 0.35 * high_)
            out.append(draw.text(x, base, _name(cell), size=high_, bold=True, ink=ink, anchor="middle", halo=True))
    return draw.sheet(wide, high, out, title=f"{title}, overview of the sheets")
