"""The map by which tiles are laid: every tile in its place with its number, flat, the warp along the sheet.

Tiles are drawn in the order they are laid, so that one that lies over another is seen to lie over it. Whole tiles are
white, those cut for their own place blue; what is left to the ply behind is hatched.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.sheets import colour, marks, paper
from bagside.sheets.flatview import OnPaper, round_scale
from bagside.sheets.typeface import ASCENT, CAPTION, HEAD, NOTE, width

Floats = NDArray[np.float64]

LEFT, RIGHT, TOP, BOTTOM, BETWEEN = 3.0, 3.0, 12.0, 7.0, 6.0  # [mm]
LEAST = 1.3  # [mm] type smaller than this is not printed
HATCH = 1.2  # [mm]
OFF = 2.6  # [mm] that numbers keep from the start and from holes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapTile:
    """One tile on the map.

    Parameters
    ----------
    words
        What stands on it: its number.
    loops
        Outline first, then holes, in the cloth coordinates of its piece, each shape (k, 2) [m].
    whole
        Whether it is one of a sort, and may be laid in any place of it.
    heavy
        Whether its edge is drawn bold: it is to be looked at.
    """

    words: str
    loops: tuple[Floats, ...]
    whole: bool
    heavy: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapPiece:
    """One piece of the ply, and its tiles.

    Parameters
    ----------
    label
        Its name.
    loops
        Its outline first, then holes, each shape (k, 2) [m].
    tiles
        In the order of laying.
    start
        Where laying starts [m]; None when it is not on this piece.
    holes
        Centres of holes to be piloted [m].
    """

    label: str
    loops: tuple[Floats, ...]
    tiles: tuple[MapTile, ...]
    start: tuple[float, float] | None = None
    holes: tuple[tuple[float, float], ...] = ()


def laying_map(pieces: Sequence[MapPiece], *, size_mm: tuple[float, float] = (184.0, 150.0)) -> str:
    """Return the map of a ply's tiles at one round scale, its pieces side by side.

    Parameters
    ----------
    pieces
        At least one.
    size_mm
        Room on paper: width and greatest height; the height used follows the pieces [mm].

    Returns
    -------
    str
        An SVG document.

    Raises
    ------
    ValueError
        When there is no piece or one does not fit at 1 : 50.
    """
    if not pieces:
        raise ValueError("a laying map needs a piece")
    lows = [p.loops[0].min(axis=0) for p in pieces]
    sizes = [p.loops[0].max(axis=0) - low for p, low in zip(pieces, lows, strict=True)]
    used = len(pieces) * (LEFT + RIGHT) + (len(pieces) - 1) * BETWEEN
    across, tall = float(sum(s[0] for s in sizes)), float(max(s[1] for s in sizes))
    scale = round_scale((across, tall), (size_mm[0] - used, size_mm[1] - TOP - BOTTOM))
    unit = 1e3 / scale
    spare = (size_mm[0] - used - across * unit) / len(pieces)
    out: list[str] = []
    x = 0.0
    for k, (piece, low, size) in enumerate(zip(pieces, lows, sizes, strict=True)):
        out.append(paper.text(x, 4.6, piece.label, size=HEAD, bold=True))
        if k == 0:
            after = x + width(piece.label, HEAD, bold=True) + 3
            words = f"tiles in the order of laying, 1 : {scale}"
            out.append(paper.text(after, 4.6, words, size=CAPTION, ink=colour.SECOND))
        out += _piece(piece, low, size, unit, x + LEFT + 0.4 * spare)
        x += LEFT + RIGHT + spare + size[0] * unit + BETWEEN
    end, height = size_mm[0], TOP + tall * unit + BOTTOM
    out.append(paper.text(end - 22, 3.4, "warp", size=CAPTION))
    out.append(marks.warp_arrow(np.array([end - 22.0, 6.0]), np.array([end, 6.0])))
    out += _key(height - 1.2, any(t.heavy for p in pieces for t in p.tiles))
    return paper.sheet(size_mm[0], height, out, title="laying map " + ", ".join(p.label for p in pieces))


def _piece(piece: MapPiece, low: Floats, size: Floats, unit: float, x: float) -> list[str]:
    def at(uv: Floats) -> Floats:
        p = np.atleast_2d(uv) - low
        return np.column_stack([x + unit * p[:, 0], TOP + unit * (size[1] - p[:, 1])])

    out = _hatched(piece, at)
    for tile in piece.tiles:
        data = "".join(paper.path(at(loop), closed=True) for loop in tile.loops)
        fill = colour.PAPER if tile.whole else colour.CLOTH_WASH
        weight = paper.BOLD if tile.heavy else paper.HAIR
        out.append(
            f'<path d="{data}" fill="{fill}" fill-rule="evenodd" stroke="{colour.INK}" stroke-width="{weight}" '
            'stroke-linejoin="round"/>'
        )
    outline = "".join(paper.path(at(loop), closed=True) for loop in piece.loops)
    out.append(paper.stroked(outline, weight=paper.EDGE))
    keep_off = shapely.MultiPoint([*piece.holes, *([] if piece.start is None else [piece.start])])
    clear = keep_off.buffer(OFF / unit)
    for tile in piece.tiles:
        out += _number(tile, at, unit, clear)
    for hole in piece.holes:
        ((hx, hy),) = at(np.array(hole))
        out.append(marks.hole_ring(hx, hy, pilot=True))
    if piece.start is not None:
        ((sx, sy),) = at(np.array(piece.start))
        out.append(marks.start_cross(sx, sy, size=1.6))
    return out


def _number(tile: MapTile, at: OnPaper, unit: float, clear: shapely.Geometry) -> list[str]:
    """Return a tile's number where it has most room, as large as it fits; nothing when that is too small to read."""
    shape = shapely.Polygon(tile.loops[0], tile.loops[1:])
    free = shape.difference(clear)
    shape = shape if free.is_empty else max(shapely.get_parts(free), key=lambda p: float(p.area))
    circle = shapely.maximum_inscribed_circle(shape, tolerance=2e-4)
    middle = np.asarray(circle.coords[0])
    centre = np.asarray(shape.centroid.coords[0])
    reach = float(circle.length)
    if shape.boundary.distance(shapely.Point(centre)) > 0.9 * reach and shape.contains(shapely.Point(centre)):
        middle = centre
    room = 2.0 * reach * unit
    size = min(NOTE, 0.9 * room / math.hypot(width(tile.words, 1.0), ASCENT))
    if size < LEAST:
        return []
    ((x, y),) = at(middle)
    return [paper.text(x, y + 0.5 * ASCENT * size, tile.words, size=size, anchor="middle")]


def _hatched(piece: MapPiece, at: OnPaper) -> list[str]:
    """Return the hatch under the tiles: it shows where the ply behind does."""
    loops = [at(loop) for loop in piece.loops]
    shape = shapely.Polygon(loops[0], loops[1:])
    x0, y0, x1, y1 = shape.bounds
    count = int((x1 - x0 + y1 - y0) / HATCH)
    lines = shapely.MultiLineString(
        [[(x0 + k * HATCH, y0), (x0 + k * HATCH - (y1 - y0), y1)] for k in range(1, count + 1)]
    )
    found = shapely.get_parts(shapely.intersection(lines, shape))
    data = "".join(paper.path(np.asarray(line.coords)) for line in found if isinstance(line, shapely.LineString))
    return [paper.stroked(data, weight=0.1, ink=colour.SECOND)] if data else []


def _key(y: float, heavy: bool) -> list[str]:
    """Return what white, blue, bold and hatch mean."""
    out: list[str] = []
    x = 0.0
    meanings = [
        (colour.PAPER, paper.HAIR, "whole tile, any place"),
        (colour.CLOTH_WASH, paper.HAIR, "cut for its place"),
    ]
    if heavy:
        meanings.append((colour.PAPER, paper.BOLD, "sheared past the lock"))
    for fill, weight, words in meanings:
        out.append(paper.rect(x, y - 2.4, 3.6, 2.4, weight=weight, fill=fill))
        out.append(paper.text(x + 4.8, y - 0.3, words, size=CAPTION))
        x += 8.8 + width(words, CAPTION)
    return out
