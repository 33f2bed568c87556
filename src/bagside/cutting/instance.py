"""Pieces and cloth as the nesting engine wants them, and its answer back on the cloth.

The engine keeps the gap from the strip's edges as well as between pieces, works in single precision, refuses a piece
exactly as wide as the strip, and simplifies outlines outwards by itself, which makes a piece nearly as wide as the
strip too wide for it. It knows no piece cut face down: the copies that are become items of their own. All of that is
known here and nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.layout import Cloth, Placement
from bagside.cutting.piece import FlatPiece, edge_turns, turned
from bagside.cutting.sides import flipped, narrowest, turns_of

Floats = NDArray[np.float64]

MM = 1e3
SIMPLER = 0.25e-3
"""Half of how far a simplified outline may lie outside the true one [m]."""
FEW_POINTS = 40
EXACT = 1e-4
"""Share of the width by which a strip must exceed its widest piece for the engine to take it."""
NEARLY = 1e-2
"""Share of the width within which a piece may be too wide for the engine once it has simplified it."""


class Instance:
    """One task for the engine.

    Parameters
    ----------
    pieces, cloth
        What is nested on what.
    face_down
        By label, how many copies of a piece are cut face down.
    blocks
        Whether pieces nearly as wide as the cloth are given as the rectangles round them.

    Attributes
    ----------
    message
        Items and strip in millimetres, as the child process reads them.

    Notes
    -----
    For gap g on a usable width U the strip is U + 2 g high and its answer is moved by the edge less g across, by the
    margin less g along. For a piece as wide as the cloth the strip is made wider by an excess e. Its answer is pushed
    back to the cloth by at most e/2 from either side, which may bring two pieces closer by e; so g + e is asked for
    instead of g.
    """

    def __init__(
        self,
        pieces: tuple[FlatPiece, ...],
        cloth: Cloth,
        *,
        face_down: Mapping[str, int] | None = None,
        blocks: bool = False,
    ) -> None:
        self.cloth = cloth
        self.items: list[tuple[FlatPiece, bool]] = []
        items = []
        widest = 0.0
        for piece in pieces:
            down = min(piece.quantity, (face_down or {}).get(piece.label, 0)) if piece.flips else 0
            for over, copies in ((False, piece.quantity - down), (True, down)):
                if copies == 0:
                    continue
                lies = flipped(piece) if over else piece
                outline, turns = _block(lies, cloth) if blocks and as_wide(piece, cloth) else _slim(lies, cloth)
                widest = max(widest, _narrow(outline, turns))
                degrees = None if turns is None else [math.degrees(t) for t in turns]
                points = (MM * outline).tolist()
                items.append({"id": str(len(self.items)), "points": points, "demand": copies, "turns": degrees})
                self.items.append((lies, over))
        self.excess = max(0.0, widest * (1.0 + EXACT) - cloth.usable)
        self.separation = cloth.gap + self.excess
        self.message: dict[str, Any] = {
            "items": items,
            "height": MM * (cloth.usable + self.excess + 2.0 * self.separation),
            "separation": MM * self.separation if self.separation > 0.0 else None,
        }

    def placements(self, placed: list[list[Any]]) -> tuple[Placement, ...]:
        """Return where the copies lie on the cloth.

        Parameters
        ----------
        placed
            For each copy its item, its turn [°] and its move [mm].
        """
        cloth = self.cloth
        count: dict[str, int] = {}
        out = []
        for name, degrees, x, y in placed:
            piece, over = self.items[int(name)]
            copy = count[piece.label] = count.get(piece.label, 0) + 1
            turn = _allowed(piece, math.radians(degrees))
            points = turned(piece.loops[0], turn)
            along = x / MM - self.separation + cloth.margin
            across = y / MM - self.separation - 0.5 * self.excess + cloth.edge
            low, high = float(points[:, 1].min()), float(points[:, 1].max())
            across = min(max(across, cloth.edge - low), cloth.width - cloth.edge - high)
            along = max(along, cloth.margin - float(points[:, 0].min()))
            out.append(Placement(label=piece.label, copy=copy, turn=turn, x=along, y=across, flipped=over))
        return tuple(out)


def as_wide(piece: FlatPiece, cloth: Cloth) -> bool:
    """Return whether a piece is nearly as wide as the cloth at its narrowest allowed turn.

    Parameters
    ----------
    piece, cloth
        What is nested on what.
    """
    return narrowest(piece)[0] > cloth.usable * (1.0 - NEARLY)


def simpler(outline: Floats, tolerance: float = SIMPLER) -> Floats:
    """Return an outline of fewer points that contains the given one.

    Parameters
    ----------
    outline
        Shape (k, 2) [m].
    tolerance
        Half of how far it may lie outside [m].

    Returns
    -------
    array
        Shape (j, 2) [m]; the outline itself when it has few points or a simpler one would not contain it.
    """
    if len(outline) <= FEW_POINTS:
        return outline
    true = shapely.Polygon(outline)
    grown = true.buffer(tolerance, join_style="mitre", mitre_limit=2.0).simplify(tolerance)
    if not isinstance(grown, shapely.Polygon):
        return outline
    filled = shapely.Polygon(grown.exterior)
    if not (filled.is_valid and filled.covers(true)) or len(filled.exterior.coords) > len(outline):
        return outline
    out: Floats = np.asarray(filled.exterior.coords, dtype=np.float64)[:-1]
    return out


def _slim(piece: FlatPiece, cloth: Cloth) -> tuple[Floats, tuple[float, ...] | None]:
    """Return the piece's outline with fewer points, unless these would not fit where the true ones do."""
    outline = simpler(piece.loops[0])
    turns = turns_of(piece)
    fits = _narrow(outline, turns) <= cloth.usable * (1.0 - EXACT)
    return (outline if fits else piece.loops[0]), turns


def _block(piece: FlatPiece, cloth: Cloth) -> tuple[Floats, tuple[float, ...]]:
    """Return the rectangle round a piece at its narrowest turn, and the turns that keep it straight and fitting."""
    _, turn = narrowest(piece)
    points = turned(piece.loops[0], turn)
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    corners = turned(np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64), -turn)
    turns = turns_of(piece) or (turn, turn + math.pi)
    return corners, tuple(t for t in turns if abs(math.remainder(t - turn, math.pi)) < 1e-9)


def _narrow(outline: Floats, turns: tuple[float, ...] | None) -> float:
    if turns is None:
        turns = edge_turns(outline)
    return min(float(np.ptp(turned(outline, t)[:, 1])) for t in turns)


def _allowed(piece: FlatPiece, turn: float) -> float:
    """Return the stated turn that the engine's answer means."""
    turns = turns_of(piece)
    if turns is None:
        return turn
    return min(turns, key=lambda t: abs(math.remainder(turn - t, math.tau)))
