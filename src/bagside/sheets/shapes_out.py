"""Flat pieces and nests as SVG and DXF, true to size, for a printer, a cutting table or a drawing program."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cutting import FlatPiece
from bagside.sheets.drawing import KITS, Area, Drawing, Layer, Line, Ring, Text
from bagside.sheets.drawing_dxf import as_dxf
from bagside.sheets.drawing_svg import CAPITALS, as_svg
from bagside.sheets.drawn_piece import MM, dimension, marks_of, named, on_paper, pair, seams_of
from bagside.sheets.nest_drawing import Left, nest_drawing
from bagside.sheets.on_table import LaidOut
from bagside.sheets.typeface import width

Floats = NDArray[np.float64]
Shape = Line | Area | Ring | Text

BORDER = 5.0  # [mm] white round a piece
CHECK = 100.0  # [mm] of the line to measure on paper


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


def nest_svg(
    nest: LaidOut,
    *,
    pull: float | None = None,
    scale: float = 1.0,
    common: Sequence[Floats] = (),
    left: Sequence[Left] = (),
    flaws: Sequence[Floats] = (),
) -> str:
    """Return a nest as SVG: the warp runs to the right, a roll's fresh end is on the left.

    Parameters
    ----------
    nest
        On a roll or on an offcut.
    pull
        Length to pull off the roll, where the knife crosses it [m]; the length of the nest when None.
    scale
        Length on paper over true length.
    common
        Cuts that two pieces share, each shape (k, 2), or bits of shape (k, 2, 2) [m].
    left
        Name and outline [m] of what is left and kept.
    flaws
        Places on a roll not to be used, each shape (k, 2) [m]; an offcut tells its own.

    Returns
    -------
    str
        An SVG document whose view box is in true millimetres.

    Raises
    ------
    InputError
        When less is pulled than the nest is long, or the scale is not positive.
    """
    return as_svg(nest_drawing(nest, pull=pull, scale=scale, common=common, left=left, flaws=flaws))


def nest_dxf(
    nest: LaidOut,
    *,
    pull: float | None = None,
    common: Sequence[Floats] = (),
    left: Sequence[Left] = (),
    flaws: Sequence[Floats] = (),
) -> bytes:
    """Return a nest as DXF in millimetres: x along the warp (on a roll from its fresh end), y across it.

    Parameters
    ----------
    nest
        On a roll or on an offcut.
    pull
        Length to pull off the roll, where the knife crosses it [m]; the length of the nest when None.
    common
        Cuts that two pieces share, each shape (k, 2), or bits of shape (k, 2, 2) [m]; on their own layer, over the two
        closed outlines on the layer of cuts.
    left
        Name and outline [m] of what is left and kept.
    flaws
        Places on a roll not to be used, each shape (k, 2) [m]; an offcut tells its own.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    InputError
        When less is pulled than the nest is long.
    """
    return as_dxf(nest_drawing(nest, pull=pull, common=common, left=left, flaws=flaws))


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
    paper = on_paper(scale)
    loops = tuple(MM * loop for loop in piece.loops)
    shapes: list[Shape] = [Area(layer=Layer.CUT, loops=loops, fill=KITS[0])]
    marks = [*seams_of(piece, _own, paper, whole=True), *marks_of(piece, _own, paper)]
    shapes += [*marks, *named(loops, piece.label, kit, 0.0, marks, paper)]
    low, high = loops[0].min(axis=0) - BORDER * paper, loops[0].max(axis=0) + BORDER * paper
    if check:
        length = CHECK * paper
        y = float(low[1]) - 4.0 * paper
        left = float(low[0]) + BORDER * paper
        shapes += dimension((left, y), (left + length, y), f"{length:g} mm", paper)
        low[1] -= 10.0 * paper
        high[0] = max(float(high[0]), left + length + BORDER * paper)
        if note:
            size = 2.2 * paper
            wide = width(note, size / CAPITALS)
            shapes.append(Text(at=(left + 0.5 * wide, float(low[1]) + 0.5 * size), text=note, height=size))
            low[1] -= 4.0 * paper
            high[0] = max(float(high[0]), left + wide + BORDER * paper)
    title = f"piece {piece.label} of {piece.material}"
    return Drawing(low=pair(low), high=pair(high), shapes=tuple(shapes), scale=scale, title=title)


def _own(points: Floats) -> Floats:
    out: Floats = MM * np.atleast_2d(points)
    return out
