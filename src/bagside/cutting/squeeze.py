"""A layout pushed together: every copy moves at once, by linear programming, towards the fresh end.

For two convex parts and any direction n, the difference of their reaches along n says how far the one must lie from
the other along n to be clear of it, a linear condition on where they lie. With the direction in which two parts are
furthest apart held for each pair, the shortest strip is a linear programme; its answer has new directions, and after a
few rounds nothing moves any more. Overlaps are allowed at a price, so a layout in which pieces still overlap comes
apart on the way. The engine moves one copy at a time and stops short of this.

References
----------
.. [1] Li, Z., Milenkovic, V. (1995). Compaction and separation algorithms for non-convex polygons and their
   applications. European Journal of Operational Research 84, 539–561: the idea; directions and rounds are our own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csr_array

from bagside.cutting.apart import Apart, Shape
from bagside.cutting.convex import convex_parts
from bagside.cutting.instance import MM, simpler
from bagside.cutting.layout import Cloth, Placement, laid
from bagside.cutting.piece import FlatPiece

Floats = NDArray[np.float64]
Key = tuple[int, bool, float]

FINE = 0.02e-3
"""Half of how far an outline of many points may be simplified outwards [m]."""
ROUNDS = 12
PRICE = 50.0
"""Of a millimetre of overlap, in millimetres of strip."""
PATIENCE = 1.0
"""Longest that one programme may take [s]."""
LOST = 1e-2
"""Overlap after a few rounds at which a layout is given up [mm]."""
ENOUGH = 1e-5
"""Share by which a round must shorten the strip for another one."""
_CLEAR = 1e-7  # [mm]; overlap that counts as none


@dataclass(frozen=True, slots=True, eq=False)
class Lay:
    """Where copies lie, in millimetres: one shape and one place for each.

    Parameters
    ----------
    keys
        For each copy its piece, whether it lies face down, and its turn [rad].
    at
        Moves, shape (n, 2) [mm].
    length
        Far edge of the last copy [mm]; infinite when copies still overlap.
    """

    keys: tuple[Key, ...]
    at: Floats
    length: float


class Squeezer:
    """Pushes layouts of the same pieces on the same cloth together; what two shapes allow each other is kept.

    Parameters
    ----------
    pieces, cloth
        What is nested on what.
    """

    def __init__(self, pieces: tuple[FlatPiece, ...], cloth: Cloth) -> None:
        self.pieces = pieces
        self.low, self.high, self.start = MM * cloth.edge, MM * (cloth.width - cloth.edge), MM * cloth.margin
        self.width = MM * cloth.usable
        self.index = {p.label: k for k, p in enumerate(pieces)}
        self.apart = Apart(MM * cloth.gap)
        self.known: dict[Key, Shape] = {}

    def lay(self, placements: tuple[Placement, ...]) -> Lay:
        """Return a layout in millimetres.

        Parameters
        ----------
        placements
            One for each copy; they may overlap.
        """
        keys = tuple((self.index[p.label], p.flipped, p.turn) for p in placements)
        at = MM * np.array([[p.x, p.y] for p in placements], dtype=np.float64)
        return Lay(keys, at, math.inf)

    def placements(self, lay: Lay) -> tuple[Placement, ...]:
        """Return a layout as placements, copies numbered as they come.

        Parameters
        ----------
        lay
            In millimetres.
        """
        count: dict[int, int] = {}
        out = []
        for (index, over, turn), (x, y) in zip(lay.keys, (lay.at / MM).tolist(), strict=True):
            copy = count[index] = count.get(index, 0) + 1
            label = self.pieces[index].label
            out.append(Placement(label=label, copy=copy, turn=turn, x=x, y=y, flipped=over))
        return tuple(out)

    def shape(self, key: Key) -> Shape:
        """Return a piece as it lies, in millimetres and convex parts.

        Parameters
        ----------
        key
            Its piece, whether it lies face down, and its turn [rad].
        """
        if key not in self.known:
            index, over, turn = key
            piece = self.pieces[index]
            slim = replace(piece, loops=(simpler(piece.loops[0], FINE),), seams=(), marks=())
            where = Placement(label=piece.label, copy=1, turn=turn, x=0.0, y=0.0, flipped=over)
            true = MM * laid(piece, where)[0]
            parts = convex_parts(shapely.Polygon(laid(slim, where)[0]))
            self.known[key] = Shape(tuple(MM * p for p in parts), true.min(axis=0), true.max(axis=0))
        return self.known[key]

    def squeezed(self, lay: Lay, *, reach: float = 0.02, limit: float = math.inf) -> Iterator[Lay | None]:
        """Push a layout together, one round each time it is asked.

        Parameters
        ----------
        lay
            What is pushed together; copies may overlap.
        reach
            How far a copy may move in one round, as a share of the usable width.
        limit
            It is given up when it will be longer than this [mm].

        Yields
        ------
        Lay or None
            After each round the layout when it can be cut and is not too long, else None; the last one is the
            shortest.
        """
        shapes = [self.shape(k) for k in lay.keys]
        at, last = lay.at, math.inf
        for turn in range(ROUNDS):
            answer = self._round(shapes, at, reach * self.width)
            if answer is None:
                return
            at, length, overlap = answer
            if (turn >= 3 and length > limit) or (turn >= 5 and overlap > LOST):
                return
            clear = overlap <= _CLEAR
            yield Lay(lay.keys, at, length) if clear and length <= limit else None
            if clear and last - length < ENOUGH * length:
                return
            last = length

    def _round(self, shapes: list[Shape], at: Floats, reach: float) -> tuple[Floats, float, float] | None:
        """Return where the copies move to, the length and the greatest overlap left [mm]."""
        n = len(shapes)
        low = np.array([s.low for s in shapes])
        high = np.array([s.high for s in shapes])
        i, j, normal, least = self.apart.conditions(shapes, at, 2.0 * math.sqrt(2.0) * reach)
        m = len(i)
        pair = np.unique(i * n + j, return_inverse=True)[1] if m else np.zeros(0, dtype=np.int64)
        pairs = int(pair.max()) + 1 if m else 0
        row, each = np.arange(m), np.arange(n)
        # Unknowns: x of each copy, y of each, the length, the overlap of each pair of copies.
        rows = np.concatenate([row, row, row, row, row, m + each, m + each])
        columns = np.concatenate([i, j, n + i, n + j, 2 * n + 1 + pair, each, np.full(n, 2 * n)])
        x, y = normal[:, 0], normal[:, 1]
        values = np.concatenate([x, -x, y, -y, -np.ones(m), np.ones(n), -np.ones(n)])
        matrix = csr_array((values, (rows, columns)), shape=(m + n, 2 * n + 1 + pairs))
        bounds = np.zeros((2 * n + 1 + pairs, 2))
        bounds[:, 1] = np.inf
        bounds[:n, 0] = np.maximum(self.start - low[:, 0], at[:, 0] - reach)
        bounds[:n, 1] = np.maximum(at[:, 0] + reach, bounds[:n, 0])
        floor = self.low - low[:, 1]
        ceiling = np.maximum(self.high - high[:, 1], floor)  # equal for a piece as wide as the cloth
        bounds[n : 2 * n, 0] = np.clip(at[:, 1] - reach, floor, ceiling)
        bounds[n : 2 * n, 1] = np.clip(at[:, 1] + reach, floor, ceiling)
        cost = np.concatenate([np.zeros(2 * n), [1.0], np.full(pairs, PRICE)])
        right = np.concatenate([-least, -high[:, 0]])
        found = linprog(cost, A_ub=matrix, b_ub=right, bounds=bounds, method="highs", options={"time_limit": PATIENCE})
        if found.status != 0:
            return None
        moved = np.stack([found.x[:n], found.x[n : 2 * n]], axis=1)
        return moved, float(found.x[2 * n]), float(found.x[2 * n + 1 :].max(initial=0.0))
