"""A piece in a drawing in millimetres: its name and warp arrow, its marks, its joins, and dimension lines.

Where a piece lies comes in as a function from its own axes [m] to the drawing [mm], so that one piece alone and a copy
on the cloth, turned or face down, are drawn by the same lines.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray

from bagside.cutting import FlatPiece
from bagside.errors import InputError
from bagside.sheets.drawing import Area, Layer, Line, Ring, Text, arrow_head
from bagside.sheets.drawing_svg import CAPITALS
from bagside.sheets.seam_marks import lip_of, seam_marks
from bagside.sheets.typeface import width, wrapped

Floats = NDArray[np.float64]
Shape = Line | Area | Ring | Text
Place = Callable[[Floats], Floats]

MM = 1e3
RING = 3.0  # [mm] radius of a mark
WIDE = 0.95  # width of a letter over the height of capitals, on the safe side for the type used


def named(
    loops: tuple[Floats, ...], label: str, kit: str, turn: float, marks: list[Shape], paper: float, more: str = ""
) -> list[Shape]:
    """Return label, part and warp arrow inside the widest place of a piece that marks leave.

    Parameters
    ----------
    loops
        Of the copy as it lies, each shape (k, 2) [mm].
    label
        Of the piece.
    kit
        Name of the part under it; may be empty.
    turn
        Of the warp from the drawing's x axis [rad].
    marks
        What already stands there.
    paper
        Length drawn over length on paper.
    more
        A further line; may be empty.
    """
    outline = shapely.Polygon(loops[0], list(loops[1:]))
    rings = [shapely.Point(m.centre).buffer(2.0 * m.radius) for m in marks if isinstance(m, Ring)]
    names = [_text_box(m) for m in marks if isinstance(m, Text)]
    free = max(
        (p for p in shapely.get_parts(outline.difference(shapely.union_all([*rings, *names]))) if p.area > 0.0),
        key=lambda p: float(p.area),
        default=outline,
    )
    centre, radius = _widest(free)
    # The arrow keeps to one side of the middle and the words to the other, whichever way the warp lies.
    side = np.array([-math.sin(turn), math.cos(turn)])
    if side[1] < -1e-9 or (abs(side[1]) <= 1e-9 and side[0] < 0.0):
        side = -side
    words = centre + 0.25 * radius * side
    # On true-size sheets letters need not grow with the piece; on small scales they must still be read.
    high = min(max(20.0, 3.4 * paper), (0.22 if paper <= 1.0 else 0.4) * radius)
    shapes = arrow(centre - 0.5 * radius * side, turn, min(radius, max(100.0, 12.0 * paper)), 3.0 * paper)
    label, kit = ("".join(c if c.isprintable() else " " for c in said) for said in (label, kit))
    lines = [line for line in (kit, more) if line]
    if width(label, high / CAPITALS, bold=True) > 1.4 * room_at(free, words):
        lines = [*wrapped(label, high / CAPITALS, room_at(free, words), bold=True), *lines]
        high *= 0.6  # a long name takes lines of its own and leaves the big letter to those who look at the table
        shapes += _lines(free, words, [(line, high, k < len(lines) - 1) for k, line in enumerate(lines)], 1.5 * high)
        return shapes
    return shapes + _lines(free, words, [(label, high, True), *((line, 0.6 * high, False) for line in lines)], high)


def _widest(free: shapely.Polygon) -> tuple[Floats, float]:
    """Return the middle of a shape that keeps well clear of its edge, and how far the edge is."""
    reach = shapely.maximum_inscribed_circle(free, tolerance=1e-3 * math.sqrt(free.area))
    radius = float(reach.length)
    middle = free.centroid
    if free.contains(middle) and free.exterior.distance(middle) >= 0.9 * radius and not free.interiors:
        return np.asarray(middle.coords[0], dtype=np.float64), float(free.exterior.distance(middle))
    return np.asarray(reach.coords[0], dtype=np.float64), radius


def room_at(free: shapely.Polygon, at: Floats) -> float:
    """Return the width a centred line of text has there inside a shape; 0 outside it.

    Parameters
    ----------
    free
        The shape, any unit.
    at
        Where the text is centred, shape (2,).
    """
    x0, _, x1, _ = free.bounds
    x, y = float(at[0]), float(at[1])
    for chord in shapely.get_parts(shapely.LineString([(x0 - 1.0, y), (x1 + 1.0, y)]).intersection(free)):
        left, _, right, _ = chord.bounds
        if left <= x <= right:
            return float(1.9 * min(x - left, right - x))
    return 0.0


def _lines(free: shapely.Polygon, words: Floats, said: list[tuple[str, float, bool]], step: float) -> list[Shape]:
    """Return lines of text one under the other, each shrunk to the shape's width where it stands."""
    shapes: list[Shape] = []
    y = float(words[1]) + 0.9 * said[0][1] * (len(said) - 1)
    for k, (line, high, bold) in enumerate(said):
        room = room_at(free, np.array([words[0], y]))
        height = min(high, high * room / width(line, high / CAPITALS, bold=bold)) if room > 0.0 else 0.5 * high
        shapes.append(Text(at=(float(words[0]), y), text=line, height=height, bold=bold))
        if k + 1 < len(said):
            y -= 0.5 * high + 0.5 * step + 0.6 * said[k + 1][1] - (0.25 * high if high == said[k + 1][1] else 0.0)
    return shapes


def _text_box(text: Text) -> shapely.Polygon:
    (x, y), wide = text.at, 0.5 * WIDE * text.height * len(text.text)
    box = shapely.box(x - wide, y - text.height, x + wide, y + text.height)
    return shapely.affinity.rotate(box, text.turn, origin=(x, y)) if text.turn else box


def arrow(middle: Floats, turn: float, length: float, least_head: float = 0.0) -> list[Shape]:
    """Return the arrow along the warp.

    Parameters
    ----------
    middle
        Shape (2,) [mm].
    turn
        Of the warp from the drawing's x axis [rad].
    length
        [mm].
    least_head
        Length its head has at least, if the arrow is long enough [mm].
    """
    along = np.array([math.cos(turn), math.sin(turn)])
    tail, tip = middle - 0.5 * length * along, middle + 0.5 * length * along
    head = min(max(0.2 * length, least_head), 0.5 * length)
    shaft = np.array([tail, tip - 0.5 * head * along])
    return [
        Line(layer=Layer.WARP_ARROW, points=shaft),
        Area(
            layer=Layer.WARP_ARROW,
            loops=(arrow_head(tip, along, head),),
            fill=Layer.WARP_ARROW.value.ink,
            outlined=False,
        ),
    ]


def marks_of(piece: FlatPiece, at: Place, paper: float) -> list[Shape]:
    """Return a ring and a cross for each mark: a long cross for a hole, a dashed ring where it is only piloted.

    Parameters
    ----------
    piece
        The piece.
    at
        From its axes [m] to the drawing [mm].
    paper
        Length drawn over length on paper.
    """
    shapes: list[Shape] = []
    for name, place in piece.marks:
        (there,) = at(np.array([place]))
        hole = "hole" in name.casefold()
        arm = (2.0 if hole else 1.0) * RING
        dashed = "pilot" in name.casefold()
        shapes.append(Ring(layer=Layer.MARK, centre=pair(there), radius=RING, dashed=dashed))
        for step in (np.array([arm, 0.0]), np.array([0.0, arm])):
            shapes.append(Line(layer=Layer.MARK, points=np.array([there - step, there + step])))
        shapes.append(Text(at=(float(there[0]), float(there[1]) - arm - 2.5 * paper), text=name, height=2.0 * paper))
    return shapes


def seams_of(piece: FlatPiece, at: Place, paper: float, *, whole: bool) -> list[Shape]:
    """Return the marks of a piece's joins; on a nest small, without hatch and sentences.

    Parameters
    ----------
    piece
        The piece.
    at
        From its axes [m] to the drawing [mm].
    paper
        Length drawn over length on paper.
    whole
        Whether the piece is drawn alone, with everything there is to say.
    """
    small = 1.0 if whole else 0.6
    high = small * 4.0 * paper
    shapes: list[Shape] = []
    for seam in piece.seams:
        found = seam_marks(
            seam,
            piece.outline,
            notch=small * 6.0 * paper / MM,
            pitch=4.0 * paper / MM,
            letter=2.0 * high / MM,
            beyond=0.4 if whole else 0.0,
            glyph=1.5 * paper / MM if whole else 0.0,
            lip=lip_of(seam, piece.seams),
        )
        if whole:
            shapes += [Line(layer=Layer.OVERLAP, points=at(h)) for h in found.hatch]
        if found.inside:
            shapes.append(Line(layer=Layer.JOIN, points=at(found.line)))
        elif found.knife:
            shapes.append(Line(layer=Layer.CUT, points=at(found.line)))
        shapes += [Line(layer=Layer.NOTCH, points=at(n)) for n in found.notches]
        letter = at(np.array([found.letter]))[0]
        shapes.append(Text(at=pair(letter), text=seam.shown, height=high, bold=True))
        if whole and found.told:
            place, lean = at(np.array([found.note]))[0], math.degrees(found.turn)
            shapes.append(Text(at=pair(place), text=found.words, height=2.2 * paper, turn=lean))
    return shapes


def dimension(a: tuple[float, float], b: tuple[float, float], text: str, paper: float) -> list[Shape]:
    """Return a dimension line with filled arrows at both ends and its figure on the line.

    Parameters
    ----------
    a, b
        Its ends [mm].
    text
        The figure.
    paper
        Length drawn over length on paper.
    """
    start, end = np.array(a), np.array(b)
    along = (end - start) / np.linalg.norm(end - start)
    ink = Layer.DIMENSION.value.ink
    ends = ((start, -along), (end, along))
    long = float(np.linalg.norm(end - start))
    size = min(3.0 * paper, 0.45 * long)
    heads = [
        Area(layer=Layer.DIMENSION, loops=(arrow_head(tip, way, size),), fill=ink, outlined=False) for tip, way in ends
    ]
    turn = math.degrees(math.atan2(along[1], along[0]))
    height = 2.5 * paper
    middle = 0.5 * (start + end)
    half = 0.5 * WIDE * height * (len(text) + 1)
    if long < 2.0 * (half + 3.0 * paper):  # too short for figure and arrows: the figure stands beside the line
        beside = middle + 1.1 * height * np.array([-along[1], along[0]])
        line = Line(layer=Layer.DIMENSION, points=np.array([start, end]))
        return [line, *heads, Text(at=pair(beside), text=text, height=height, turn=turn)]
    figure = Text(at=pair(middle), text=text, height=height, turn=turn)
    halves = [np.array([start, middle - half * along]), np.array([middle + half * along, end])]
    return [*(Line(layer=Layer.DIMENSION, points=h) for h in halves), *heads, figure]


def on_paper(scale: float) -> float:
    """Return length drawn over length on paper.

    Parameters
    ----------
    scale
        Length on paper over true length.

    Raises
    ------
    InputError
        When it is not a positive number.
    """
    if not (math.isfinite(scale) and scale > 0.0):
        raise InputError.one("drawing, scale", f"{scale}", "a number above zero: 1 for true size, 0.1 for 1:10")
    return 1.0 / scale


def box(x0: float, y0: float, x1: float, y1: float) -> Floats:
    """Return a rectangle, shape (4, 2).

    Parameters
    ----------
    x0, y0, x1, y1
        Its lower left and upper right corners.
    """
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64)


def pair(point: Floats) -> tuple[float, float]:
    """Return a place as two numbers.

    Parameters
    ----------
    point
        Shape (2,).
    """
    return float(point[0]), float(point[1])
