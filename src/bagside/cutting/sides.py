"""How a copy may lie: its turns, those its tolerance adds, and its mirror image when it may be cut face down."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from bagside.cutting.piece import FlatPiece, edge_turns, turned

_SAME = 1e-6
"""Area by which a mirror image may differ and still be the same shape, as a share of its own."""


def turns_of(piece: FlatPiece) -> tuple[float, ...] | None:
    """Return the turns that are tried [rad], or None when any angle is.

    Parameters
    ----------
    piece
        The piece.

    Notes
    -----
    A tolerance adds both its ends to each turn: between them a piece that fits better at an angle gains less.
    """
    if piece.turns is None or piece.tolerance == 0.0:
        return piece.turns
    return tuple(dict.fromkeys(t + d for t in piece.turns for d in (0.0, -piece.tolerance, piece.tolerance)))


def narrowest(piece: FlatPiece) -> tuple[float, float]:
    """Return the least width across the roll over the turns that are tried [m] and the turn that has it [rad].

    Parameters
    ----------
    piece
        The piece.
    """
    turns = turns_of(piece)
    outline = piece.loops[0]
    widths = {t: float(np.ptp(turned(outline, t)[:, 1])) for t in (edge_turns(outline) if turns is None else turns)}
    best = min(widths, key=lambda t: widths[t])
    return widths[best], best


def flipped(piece: FlatPiece) -> FlatPiece:
    """Return the piece as it is cut face down: its across axis reversed.

    Parameters
    ----------
    piece
        The piece; its label stays, its seams and marks are left away.
    """
    over = np.array([1.0, -1.0])
    return replace(piece, loops=tuple(loop * over for loop in piece.loops), marks=(), seams=())


def worth_flipping(piece: FlatPiece) -> bool:
    """Return whether a piece may be cut face down and is then another shape at every turn it may have.

    Parameters
    ----------
    piece
        The piece.
    """
    if not piece.flips:
        return False
    if piece.turns is None:
        return True
    as_it_is = [_centred(piece, t) for t in piece.turns]
    return not all(any(_same(a, b) for b in as_it_is) for a in (_centred(flipped(piece), t) for t in piece.turns))


def _centred(piece: FlatPiece, turn: float) -> shapely.Polygon:
    points = turned(piece.loops[0], turn)
    return shapely.Polygon(points - 0.5 * (points.min(axis=0) + points.max(axis=0)))


def _same(a: shapely.Polygon, b: shapely.Polygon) -> bool:
    return bool(a.symmetric_difference(b).area <= _SAME * a.area)
