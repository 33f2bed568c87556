"""Flat pieces and nests as SVG and DXF, true to size, for a printer, a cutting table or a drawing program."""

from __future__ import annotations

import math

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray

from bagside.cutting import FlatPiece, Nest
from bagside.errors import InputError
from bagside.sheets.drawing import CLOTH_WASH, KITS, Area, Drawing, Layer, Line, Ring, Text, arrow_head
from bagside.sheets.drawing_dxf import as_dxf
from bagside.sheets.drawing_svg import CAPITALS, as_svg
from bagside.sheets.seam_marks import lip_of, seam_marks
from bagside.sheets.typeface import width

Floats = NDArray[np.float64]
Shape = Line | Area | Ring | Text

MM = 1e3
BORDER = 5.0  # [mm] white round a piece
CHECK = 100.0  # [mm] of the line to measure on paper
RING = 3.0  # [mm] radius of a mark
WIDE = 0.95  # width of a letter over the height of capitals, on the safe side for the type used


def piece_svg(piece: FlatPiece, *, kit: str = "", scale: float = 1.0, note: str = "") -> str:
    """Return one piece as SVG, with a line to measure on paper.

    Parameters
    ----------
    piece
        In cloth axes; the warp runs to the right.
    kit
        Name under the label; may be empty.
    scale
        Length on paper over true length.
    note
        A line under it: material, angle, area, mass; may be empty.

    Returns
    -------
    str
        An SVG document whose view box is in true millimetres.

    Raises
    ------
    InputError
        When the scale is not positive.
    """
    return as_svg(piece_drawing(piece, kit=kit, scale=scale, check=True, note=note))


def piece_dxf(piece: FlatPiece, *, kit: str = "") -> bytes:
    """Return one piece as DXF in millimetres, in its own axes.

    Parameters
    ----------
    piece
        In cloth axes; the warp runs along x.
    kit
        Name under the label; may be empty.

    Returns
    -------
    bytes
        The file.
    """
    return as_dxf(piece_drawing(piece, kit=kit))


def nest_svg(nest: Nest, *, pull: float | None = None, scale: float = 1.0) -> str:
    """Return a nest as SVG: the roll runs to the right, its fresh end on the left.

    Parameters
    ----------
    nest
        The layout.
    pull
        Length to pull off the roll, where the knife crosses it [m]; the length of the nest when None.
    scale
        Length on paper over true length.

    Returns
    -------
    str
        An SVG document whose view box is in true millimetres.

    Raises
    ------
    InputError
        When less is pulled than the nest is long, or the scale is not positive.
    """
    return as_svg(nest_drawing(nest, pull=pull, scale=scale))


def nest_dxf(nest: Nest, *, pull: float | None = None) -> bytes:
    """Return a nest as DXF in millimetres: x along the roll from its fresh end, y across it.

    Parameters
    ----------
    nest
        The layout.
    pull
        Length to pull off the roll, where the knife crosses it [m]; the length of the nest when None.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    InputError
        When less is pulled than the nest is long.
    """
    return as_dxf(nest_drawing(nest, pull=pull))


def piece_drawing(
    piece: FlatPiece, *, kit: str = "", scale: float = 1.0, check: bool = False, note: str = ""
) -> Drawing:
    """Return the drawing of one piece in its own axes.

    Parameters
    ----------
    piece
        In cloth axes.
    kit
        Name under the label; may be empty.
    scale
        Length on paper over true length.
    check
        Whether a line to measure on paper is drawn under it.
    note
        A line of text under that; may be empty.

    Raises
    ------
    InputError
        When the scale is not positive.
    """
    paper = _paper(scale)
    loops = tuple(MM * loop for loop in piece.loops)
    shapes: list[Shape] = [Area(layer=Layer.CUT, loops=loops, fill=KITS[0])]
    marks = [*_seams(piece, 0.0, np.zeros(2), paper, whole=True), *_marks(piece, 0.0, np.zeros(2), paper)]
    shapes += [*marks, *_named(loops, piece.label, kit, 0.0, marks, paper)]
    low, high = loops[0].min(axis=0) - BORDER * paper, loops[0].max(axis=0) + BORDER * paper
    if check:
        length = CHECK * paper
        y = float(low[1]) - 4.0 * paper
        left = float(low[0]) + BORDER * paper
        shapes += _dimension((left, y), (left + length, y), f"{length:g} mm", paper)
        low[1] -= 10.0 * paper
        high[0] = max(float(high[0]), left + length + BORDER * paper)
        if note:
            size = 2.2 * paper
            wide = width(note, size / CAPITALS)
            shapes.append(Text(at=(left + 0.5 * wide, float(low[1]) + 0.5 * size), text=note, height=size))
            low[1] -= 4.0 * paper
            high[0] = max(float(high[0]), left + wide + BORDER * paper)
    title = f"piece {piece.label} of {piece.material}"
    return Drawing(low=_pair(low), high=_pair(high), shapes=tuple(shapes), scale=scale, title=title)


def nest_drawing(nest: Nest, *, pull: float | None = None, scale: float = 1.0) -> Drawing:
    """Return the drawing of a nest on its cloth.

    Parameters
    ----------
    nest
        The layout.
    pull
        Length to pull off the roll [m]; the length of the nest when None.
    scale
        Length on paper over true length.

    Raises
    ------
    InputError
        When less is pulled than the nest is long, or the scale is not positive.
    """
    paper = _paper(scale)
    cloth = nest.cloth
    pull = nest.length if pull is None else pull
    if pull < nest.length - 1e-9:
        came = f"{pull:.3f} m for a nest of {nest.length:.3f} m"
        raise InputError.one("drawing of a nest, length to pull", came, "at least the length of the nest")
    across, length, margin = MM * cloth.width, MM * pull, MM * cloth.margin
    shapes: list[Shape] = [
        Area(layer=Layer.CLOTH_EDGE, loops=(_box(0.0, 0.0, length, across),), fill=CLOTH_WASH),
    ]
    if margin > 0.0:
        edges = np.array([[length, margin], [margin, margin], [margin, across - margin], [length, across - margin]])
        shapes.append(Line(layer=Layer.MARGIN, points=edges))
    kits = list(dict.fromkeys(nest.kit(p) for p in sorted(nest.placements, key=lambda p: (p.copy, p.label))))
    for placement in nest.placements:
        piece, kit = nest.piece(placement.label), nest.kit(placement)
        loops = tuple(MM * loop for loop in nest.placed_loops(placement))
        shapes.append(Area(layer=Layer.CUT, loops=loops, fill=KITS[kits.index(kit) % len(KITS)]))
        shown = "" if len(kits) == 1 else f"kit {kit}" if kit.isdecimal() else kit
        move = MM * np.array([placement.x, placement.y])
        marks = _marks(piece, placement.turn, move, paper)
        marks = [m for m in marks if not isinstance(m, Text)]  # their names are for the single piece
        marks += _seams(piece, placement.turn, move, paper, whole=False)
        shapes += [*marks, *_named(loops, piece.label, shown, placement.turn, marks, paper)]
    over = 6.0 * paper
    shapes.append(Line(layer=Layer.KNIFE_LINE, points=np.array([[length, -over], [length, across + over]])))
    aside = 8.0 * paper
    shapes += _dimension((0.0, across + aside), (length, across + aside), f"{length:.0f} mm", paper)
    shapes += _dimension((-aside, 0.0), (-aside, across), f"{across:.0f} mm", paper)
    middle = max(length - 30.0 * paper, 10.0 * paper)
    shapes += _arrow(np.array([middle, -aside]), 0.0, 20.0 * paper)
    shapes.append(Text(at=(middle + 18.0 * paper, -aside), text="warp", height=2.5 * paper))
    sheet = 14.0 * paper
    title = f"nest of {len(nest.placements)} pieces of {nest.material}"
    low, high = (-sheet, -sheet), (max(length + sheet, middle + 26.0 * paper), across + sheet)
    return Drawing(low=low, high=high, shapes=tuple(shapes), scale=scale, title=title)


def _named(
    loops: tuple[Floats, ...], label: str, kit: str, turn: float, marks: list[Shape], paper: float
) -> list[Shape]:
    """Return label, kit and warp arrow inside the widest place of a piece that marks leave."""
    outline = shapely.Polygon(loops[0], list(loops[1:]))
    rings = [shapely.Point(m.centre).buffer(2.0 * m.radius) for m in marks if isinstance(m, Ring)]
    names = [_text_box(m) for m in marks if isinstance(m, Text)]
    free = max(
        (p for p in shapely.get_parts(outline.difference(shapely.union_all([*rings, *names]))) if p.area > 0.0),
        key=lambda p: float(p.area),
        default=outline,
    )
    reach = shapely.maximum_inscribed_circle(free, tolerance=1e-3 * math.sqrt(free.area))
    centre = np.asarray(reach.coords[0], dtype=np.float64)
    radius = float(reach.length)
    # The arrow keeps to one side of the middle and the words to the other, whichever way the warp lies.
    side = np.array([-math.sin(turn), math.cos(turn)])
    if side[1] < -1e-9 or (abs(side[1]) <= 1e-9 and side[0] < 0.0):
        side = -side
    words = centre + 0.25 * radius * side
    # On true-size sheets letters need not grow with the piece; on small scales they must still be read.
    high = min(max(20.0, 3.4 * paper), (0.22 if paper <= 1.0 else 0.4) * radius)
    shapes = _arrow(centre - 0.5 * radius * side, turn, min(radius, max(100.0, 12.0 * paper)), 3.0 * paper)
    above = 0.9 * high if kit else 0.0
    shapes.append(Text(at=(float(words[0]), float(words[1]) + above), text=label, height=high, bold=True))
    if kit:
        shapes.append(Text(at=(float(words[0]), float(words[1]) - 0.7 * high), text=kit, height=0.6 * high))
    return shapes


def _text_box(text: Text) -> shapely.Polygon:
    (x, y), wide = text.at, 0.5 * WIDE * text.height * len(text.text)
    box = shapely.box(x - wide, y - text.height, x + wide, y + text.height)
    return shapely.affinity.rotate(box, text.turn, origin=(x, y)) if text.turn else box


def _arrow(middle: Floats, turn: float, length: float, least_head: float = 0.0) -> list[Shape]:
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


def _marks(piece: FlatPiece, turn: float, move: Floats, paper: float) -> list[Shape]:
    """Return a ring and a cross for each mark: a long cross for a hole, a dashed ring where it is only piloted."""
    shapes: list[Shape] = []
    c, s = math.cos(turn), math.sin(turn)
    for name, (u, v) in piece.marks:
        at = np.array([c * MM * u - s * MM * v, s * MM * u + c * MM * v]) + move
        hole = "hole" in name.casefold()
        arm = (2.0 if hole else 1.0) * RING
        dashed = "pilot" in name.casefold()
        shapes.append(Ring(layer=Layer.MARK, centre=_pair(at), radius=RING, dashed=dashed))
        for step in (np.array([arm, 0.0]), np.array([0.0, arm])):
            shapes.append(Line(layer=Layer.MARK, points=np.array([at - step, at + step])))
        shapes.append(Text(at=(float(at[0]), float(at[1]) - arm - 2.5 * paper), text=name, height=2.0 * paper))
    return shapes


def _seams(piece: FlatPiece, turn: float, move: Floats, paper: float, *, whole: bool) -> list[Shape]:
    """Return the marks of a piece's joins; on a nest small, without hatch and sentences."""
    small = 1.0 if whole else 0.6
    high = small * 4.0 * paper
    c, s = math.cos(turn), math.sin(turn)

    def at(points: Floats) -> Floats:
        p = MM * np.atleast_2d(points)
        return np.column_stack([c * p[:, 0] - s * p[:, 1], s * p[:, 0] + c * p[:, 1]]) + move

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
        shapes.append(Text(at=_pair(at(np.array(found.letter))[0]), text=seam.shown, height=high, bold=True))
        if whole and found.told:
            place, lean = at(np.array(found.note))[0], math.degrees(found.turn)
            shapes.append(Text(at=_pair(place), text=found.words, height=2.2 * paper, turn=lean))
    return shapes


def _dimension(a: tuple[float, float], b: tuple[float, float], text: str, paper: float) -> list[Shape]:
    """Return a dimension line with filled arrows at both ends and its figure on the line."""
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
        return [line, *heads, Text(at=_pair(beside), text=text, height=height, turn=turn)]
    figure = Text(at=_pair(middle), text=text, height=height, turn=turn)
    halves = [np.array([start, middle - half * along]), np.array([middle + half * along, end])]
    return [*(Line(layer=Layer.DIMENSION, points=h) for h in halves), *heads, figure]


def _paper(scale: float) -> float:
    if not (math.isfinite(scale) and scale > 0.0):
        raise InputError.one("drawing, scale", f"{scale}", "a number above zero: 1 for true size, 0.1 for 1:10")
    return 1.0 / scale


def _box(x0: float, y0: float, x1: float, y1: float) -> Floats:
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64)


def _pair(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])
