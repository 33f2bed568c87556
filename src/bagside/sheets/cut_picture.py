"""The cloth on the table as whoever cuts sees it: the near edge at the bottom, the fresh end on the left.

A window shows about a metre of cloth with big numbers in the order of cutting. What lies only partly in a window is
drawn as far as it goes; its number stands wherever a quarter of it or more is seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import FlatPiece
from bagside.sheets import colour, marks
from bagside.sheets import paper as draw
from bagside.sheets.cut_numbers import Spot, Taken, numbered, under
from bagside.sheets.cut_steps import CutStep, corners_of
from bagside.sheets.grounds import on_tape
from bagside.sheets.nest_drawing import Left, hatched
from bagside.sheets.on_table import LaidOut, Spread, placed
from bagside.sheets.typeface import CAPTION, NOTE, width

Floats = NDArray[np.float64]
Place = Callable[[Floats], Floats]

MM = 1e3

SCALES = (1.0, 2.0, 2.5, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 50.0)
"""Length on the table over length on paper."""
METRE = 1.0
"""Of cloth in a window [m]."""
LEFT, RIGHT, TOP, BOTTOM = 12.0, 3.0, 9.5, 13.0
"""Room round the cloth for what is written there [mm]."""
LEAST_WIDE = 112.0
"""Words under a short piece of cloth need as much [mm]."""
LETTERED, SMALL = 10.0, 1.3
"""Radius on paper of a piece's widest place: so large that its corners have letters, too small to have corners [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A part of the cloth on one page.

    Parameters
    ----------
    begin, end
        Along the cloth, from its low end [m].
    shown
        From where to where more is drawn so that the next page is found again [m].
    scale
        Length on the table over length on paper.
    """

    begin: float
    end: float
    shown: tuple[float, float]
    scale: float


def windows(length: float, across: float, room: tuple[float, float]) -> tuple[Window, ...]:
    """Return how a cloth is spread over pages: a metre to a page, all at one scale.

    Parameters
    ----------
    length, across
        Of the cloth [m].
    room
        Width and height for the picture on a page [mm].
    """
    wide, high = room[0] - LEFT - RIGHT, room[1] - TOP - BOTTOM
    once = length if length <= 1.25 * METRE else METRE
    scale = next((s for s in SCALES if MM * across / s <= high and MM * once / s <= wide), SCALES[-1])
    pages = np.ceil(MM * length / (scale * wide) - 1e-9)
    # A slightly smaller drawing that saves a page is easier at the table than a tail on a page of its own.
    near = [s for s in SCALES if scale < s <= 1.25 * scale and np.ceil(MM * length / (s * wide) - 1e-9) < pages]
    scale = min(near, default=scale)
    fits = scale * wide / MM
    if length <= fits:
        return (Window(begin=0.0, end=length, shown=(0.0, length), scale=scale),)
    count = int(np.ceil(length / fits - 1e-9))
    step = min(np.ceil(length / count / 0.05 - 1e-9) * 0.05, fits)  # pages begin at whole 50 mm if they can
    more = max(0.0, 0.5 * (fits - step))
    out = []
    for k in range(count):
        begin, end = k * step, min((k + 1) * step, length)
        out.append(Window(begin=begin, end=end, shown=(max(0.0, begin - more), min(length, end + more)), scale=scale))
    return tuple(out)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cutting:
    """What is drawn.

    Parameters
    ----------
    nest
        The layout.
    cloth
        It lies on.
    steps
        In the order of cutting.
    common
        Cuts that two pieces share, each shape (k, 2) [m].
    left
        Name and outline [m] of what is left and kept.
    """

    nest: LaidOut
    cloth: Spread
    steps: tuple[CutStep, ...]
    common: Sequence[Floats] = ()
    left: Sequence[Left] = ()


def window_picture(cutting: Cutting, window: Window) -> str:
    """Return one window as an SVG document, true to its scale.

    Parameters
    ----------
    cutting
        What is drawn.
    window
        Which part of the cloth.
    """
    cloth, s = cutting.cloth, window.scale / MM
    low, across = cloth.low, float(cloth.high[1] - cloth.low[1])
    x0, x1 = window.shown
    wide, high = (x1 - x0) / s, across / s

    def at(points: Floats) -> Floats:
        p = np.atleast_2d(np.asarray(points, dtype=np.float64)) - low
        out: Floats = np.column_stack([LEFT + (p[:, 0] - x0) / s, TOP + (across - p[:, 1]) / s])
        return out

    frame = shapely.box(LEFT, TOP, LEFT + wide, TOP + high)
    out = _cloth(cutting, at, frame)
    laid = [shapely.Polygon(at(cutting.nest.placed_loops(step.placement)[0])) for step in cutting.steps]
    taken = Taken(copies=shapely.union_all([p for p in laid if p.intersects(frame)]), words=[])
    beside: list[tuple[CutStep, Spot]] = []
    for step in cutting.steps:
        out += _piece(cutting, step, at, frame, taken, beside)
    for step, spot in beside:  # when every copy and every other number is there
        out += numbered(step, spot, taken, frame)
    for line in cutting.common:
        out += _clip(at(line), frame, 1.0)
    out += [part for name, outline in cutting.left for part in _left(name, outline, at, frame)]
    out += _rulers(cutting, window, frame)
    out += _edges(cutting, window, frame)
    size = (LEFT + max(wide, LEAST_WIDE) + RIGHT, TOP + high + BOTTOM)
    told = f"{cloth.title}, {MM * window.begin:.0f} to {MM * window.end:.0f} mm"
    return draw.sheet(*size, out, title=told)


def _clip(points: Floats, frame: shapely.Polygon, weight: float, dashes: str = "", ink: str = colour.INK) -> list[str]:
    inside = shapely.LineString(points).intersection(frame)
    lines = [g for g in shapely.get_parts(inside) if g.geom_type == "LineString"]
    return [draw.line(np.asarray(g.coords), weight=weight, dashes=dashes, ink=ink) for g in lines]


def _filled(shape: shapely.Geometry, fill: str) -> str:
    data = "".join(
        draw.path(np.asarray(ring.coords)[:-1], closed=True)
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
    )
    return f'<path d="{data}" fill="{fill}" fill-rule="evenodd"/>' if data else ""


def _ring(points: Floats) -> Floats:
    out: Floats = np.vstack([points, points[:1]])
    return out


def _cloth(cutting: Cutting, at: Place, frame: shapely.Polygon) -> list[str]:
    cloth = cutting.cloth
    shape = shapely.Polygon(at(cloth.outline), [at(h) for h in cloth.holes])
    out = [_filled(shape.intersection(frame), colour.WASH)]
    for loop in (cloth.outline, *cloth.holes):
        out += _clip(_ring(at(loop)), frame, draw.THIN, ink=colour.EDGE)
    for line in cloth.selvedges:
        out += _clip(at(line), frame, draw.HAIR, ink=colour.SECOND)
    for line in cloth.margins:
        out += _clip(at(line), frame, draw.HAIR, "2 2", ink=colour.EDGE)
    for flaw in cloth.flaws:
        out += _clip(_ring(at(flaw)), frame, draw.THIN)
        for line in hatched(at(flaw), 1.4):
            out += _clip(line, frame, draw.HAIR)
    return out


def _piece(
    cutting: Cutting,
    step: CutStep,
    at: Place,
    frame: shapely.Polygon,
    taken: Taken,
    beside: list[tuple[CutStep, Spot]],
) -> list[str]:
    loops = [at(loop) for loop in cutting.nest.placed_loops(step.placement)]
    whole = shapely.Polygon(loops[0], loops[1:])
    seen = whole.intersection(frame)
    if seen.area <= 0.0:
        return []
    out = [_filled(seen, colour.PAPER)]
    for loop in loops:
        out += _clip(_ring(loop), frame, draw.EDGE)
    if seen.area < 0.25 * whole.area:
        return out
    free = max((p for p in shapely.get_parts(seen) if p.geom_type == "Polygon"), key=lambda p: float(p.area))
    spot = Spot.of(free)
    piece = next(p for p in cutting.nest.pieces if p.label == step.piece)
    if spot.radius >= SMALL:
        out += _corners(piece, step, at, frame, spot)
    if not spot.holds:
        beside.append((step, spot))
        return out
    return [*out, *numbered(step, spot, taken, frame)]


def _corners(piece: FlatPiece, step: CutStep, at: Place, frame: shapely.Polygon, spot: Spot) -> list[str]:
    own = corners_of(piece)
    out = []
    half = 0.85 if spot.radius >= 2.0 * SMALL else 0.6
    for name, place, fill in (("a", own.a, colour.PAPER), ("b", own.b, colour.INK)):
        ((x, y),) = at(placed(np.array([place]), step.placement))
        if not frame.contains(shapely.Point(x, y)):
            continue
        out.append(draw.rect(x - half, y - half, 2 * half, 2 * half, weight=draw.THIN, fill=fill))
        if spot.radius >= LETTERED:
            inward = np.array(spot.free.centroid.coords[0]) - (x, y)
            tx, ty = np.array([x, y]) + 3.0 * inward / max(float(np.hypot(*inward)), 1e-9)
            out.append(draw.text(float(tx), float(ty) + 0.9, name, size=CAPTION, anchor="middle", halo=True))
    return out


def _left(name: str, outline: shapely.Polygon, at: Place, frame: shapely.Polygon) -> list[str]:
    out = []
    for ring in (outline.exterior, *outline.interiors):
        out += _clip(at(np.asarray(ring.coords)), frame, draw.THIN, marks.KNIFE)
    loops = [at(np.asarray(r.coords)) for r in (outline.exterior, *outline.interiors)]
    whole = shapely.Polygon(loops[0], loops[1:])
    seen = [p for p in shapely.get_parts(whole.intersection(frame)) if p.geom_type == "Polygon"]
    if sum(p.area for p in seen) < 0.25 * whole.area:
        return out
    free = max(seen, key=lambda p: float(p.area))
    reach = shapely.maximum_inscribed_circle(free, tolerance=0.05)
    x, y = (float(c) for c in reach.coords[0])
    size = max(min(0.6 * float(reach.length), 5.0), 2.5)
    out.append(draw.text(x, y, name, size=size, bold=True, anchor="middle", halo=True))
    out.append(under(free, x, y + 1.3 * CAPTION, "keep", CAPTION))
    return [o for o in out if o]


def _rulers(cutting: Cutting, window: Window, frame: shapely.Polygon) -> list[str]:
    """Return the two tapes: along from the fresh end, across from the near edge."""
    x0, y0, x1, y1 = frame.bounds
    s = window.scale / MM
    out = [draw.line([(x0, y1 + 2.0), (x1, y1 + 2.0)], weight=draw.HAIR)]
    out.append(draw.line([(x0 - 2.0, y0), (x0 - 2.0, y1)], weight=draw.HAIR))
    every = 0.1 if 0.1 / s >= 9.0 else 0.2 if 0.2 / s >= 9.0 else 0.5
    first = int(np.ceil(window.shown[0] / 0.1 - 1e-9))
    for k in range(first, int(window.shown[1] / 0.1 + 1e-9) + 1):
        x = x0 + (0.1 * k - window.shown[0]) / s
        told = abs(0.1 * k / every - round(0.1 * k / every)) < 1e-6
        out.append(draw.line([(x, y1 + 2.0), (x, y1 + (4.0 if told else 3.0))], weight=draw.HAIR))
        if told:
            out.append(draw.text(x, y1 + 6.6, f"{100 * k}", size=CAPTION, anchor="middle"))
    for k in range(int((y1 - y0) * s / 0.1 + 1e-9) + 1):
        y = y1 - 0.1 * k / s
        told = abs(0.1 * k / every - round(0.1 * k / every)) < 1e-6
        out.append(draw.line([(x0 - 2.0, y), (x0 - (4.0 if told else 3.0), y)], weight=draw.HAIR))
        if told:
            out.append(draw.text(x0 - 4.6, y + 0.9, f"{100 * k}", size=CAPTION, anchor="end"))
    return out


def _edges(cutting: Cutting, window: Window, frame: shapely.Polygon) -> list[str]:
    """Return the words at the edges: where to begin, where the roll is cut, where the next page goes on."""
    cloth = cutting.cloth
    x0, y0, x1, y1 = frame.bounds
    s = window.scale / MM
    out = []
    low = y1 + 11.4
    near = "near edge, mm from the fresh end" if cloth.roll else "mm from the left-most point"
    if window.begin == 0.0:
        begin = "tape begins here"
        wide = width(begin, NOTE, bold=True) + 3.0
        tape = draw.rect(x0 - 2.0, low - 3.6, wide, 5.0, weight=draw.EDGE, fill=colour.TAPE)
        out.append(draw.line([(x0, low - 3.6), (x0, y1 + 2.0)], weight=draw.EDGE))
        out.append(on_tape([tape, draw.text(x0 - 0.5, low, begin, size=NOTE, bold=True)]))
        told = x0 + wide + 1.0
    else:
        told = x0
    out.append(draw.text(told, low, near, size=CAPTION, ink=colour.SECOND))
    end = max(x1, x0 + LEAST_WIDE)
    out.append(draw.text(end - 19.0, low, "warp", size=NOTE, anchor="end"))
    out.append(marks.warp_arrow(np.array([end - 18.0, low - 1.0]), np.array([end, low - 1.0]), weight=0.9))
    long = float(cloth.high[0] - cloth.low[0])
    for place, words in ((window.begin, "page before"), (window.end, "next page")):
        if 1e-9 < place < long - 1e-9:
            x = x0 + (place - window.shown[0]) / s
            out.append(draw.line([(x, y0 - 4.5), (x, y1 + 2.0)], weight=draw.THIN, dashes=marks.NET_EDGE))
            anchor, shift = ("end", -1.0) if words == "next page" else ("start", 1.0)
            out.append(draw.text(x + shift, y0 - 2.0, words, size=CAPTION, anchor=anchor, ink=colour.SECOND))
    if cloth.roll and cloth.knife is not None and window.shown[1] >= cloth.knife - 1e-9:
        x = x0 + (cloth.knife - window.shown[0]) / s
        out.append(draw.line([(x, y0 - 7.5), (x, y1 + 4.5)], weight=0.6, dashes=marks.KNIFE))
        words = f"cut the roll at {MM * cloth.knife:.0f} mm"
        anchor, shift = ("end", -1.0) if x - x0 > 60.0 else ("start", 1.0)
        out.append(draw.text(x + shift, y0 - 5.6, words, size=NOTE, bold=True, anchor=anchor))
    if cloth.selvedges:
        out.append(draw.text(0.5 * (x0 + x1), y0 - 1.2, "selvedge", size=CAPTION, anchor="middle", ink=colour.SECOND))
    return out
