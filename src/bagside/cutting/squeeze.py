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
from bagside.cutting.instance import MM, SIMPLER, simpler
from bagside.cutting.layout import Cloth, Placement, laid
from bagside.cutting.piece import FlatPiece

Floats = NDArray[np.float64]
Key = tuple[int, bool, float]

FINE = (0.02e-3, 0.08e-3, SIMPLER)
"""Half of how far an outline of many points may be simplified outwards, until it has few parts [m]."""
FEW_PARTS = 10
ROUNDS = 40
DRAWN = 0.02
"""Share by which all copies together may be drawn towards the fresh end in one round."""
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
        self.held = 0
        """How many copies, the first of each layout, stay where they are."""

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
            where = Placement(label=piece.label, copy=1, turn=turn, x=0.0, y=0.0, flipped=over)
            true = MM * laid(piece, where)[0]
            for fine in FINE:
                slim = replace(piece, loops=(simpler(piece.loops[0], fine),), seams=(), marks=())
                parts = convex_parts(shapely.Polygon(laid(slim, where)[0]))
                if len(parts) <= FEW_PARTS:
                    break
            hull = convex_parts(shapely.MultiPoint(np.concatenate(parts)).convex_hull)[0]
            self.known[key] = Shape(
                parts=tuple(MM * p for p in parts), hull=MM * hull, low=true.min(axis=0), high=true.max(axis=0)
            )
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
        past, idle = False, 0
        for turn in range(ROUNDS):
            answer = self._round(shapes, at, reach * self.width, past)
            if answer is None:
                return
            at, length, overlap = answer
            if (turn >= 3 and length > limit) or (turn >= 5 and overlap > LOST):
                return
            clear = overlap <= _CLEAR
            yield Lay(lay.keys, at, length) if clear and length <= limit else None
            if clear and last - length < ENOUGH * length:
                past, idle = not past, idle + 1
                if idle == 2:  # neither way of keeping apart gives more
                    return
            else:
                idle = 0
            last = length

    def _round(self, shapes: list[Shape], at: Floats, reach: float, past: bool) -> tuple[Floats, float, float] | None:
        """Return where the copies move to, the length and the greatest overlap left [mm].

        A copy moves by at most the reach, and besides by a share of its distance from the fresh end that is the same
        for all: so a long layout is drawn together in few rounds, while no copy moves far against its neighbours.
        """
        n = len(shapes)
        low = np.array([s.low for s in shapes])
        high = np.array([s.high for s in shapes])
        ahead = at[:, 0] + low[:, 0] - self.start
        ahead[: self.held] = 0.0
        longest = float((high - low).max())
        near = (2.0 * math.sqrt(2.0) * reach + 2.0 * DRAWN * longest) / (1.0 - DRAWN)
        i, j, normal, least = self.apart.conditions(shapes, at, near, past=past)
        if self.held:  # what stays is apart already; its simplified outlines need not be
            some = (i >= self.held) | (j >= self.held)
            i, j, normal, least = i[some], j[some], normal[some], least[some]
        m = len(i)
        pair = np.unique(i * n + j, return_inverse=True)[1] if m else np.zeros(0, dtype=np.int64)
        pairs = int(pair.max()) + 1 if m else 0
        # Unknowns: moves along and across for each copy, share drawn, length, overlap of each pair of copies.
        drawn, length, first = 2 * n, 2 * n + 1, 2 * n + 2
        row, each = np.arange(m), np.arange(n)
        x, y = normal[:, 0], normal[:, 1]
        clear = [  # n · (move of j - move of i) + overlap >= least, as it is now taken off
            (row, i, x), (row, j, -x), (row, n + i, y), (row, n + j, -y),
            (row, np.full(m, drawn), x * (ahead[j] - ahead[i])), (row, first + pair, -np.ones(m)),
        ]  # fmt: skip
        within = [  # far edge <= length, near edge >= start
            (m + each, each, np.ones(n)), (m + each, np.full(n, drawn), -ahead),
            (m + each, np.full(n, length), -np.ones(n)),
            (m + n + each, each, -np.ones(n)), (m + n + each, np.full(n, drawn), ahead),
        ]  # fmt: skip
        rows, columns, values = (np.concatenate(each_of) for each_of in zip(*clear, *within, strict=True))
        matrix = csr_array((values, (rows, columns)), shape=(m + 2 * n, first + pairs))
        now = (normal * (at[j] - at[i])).sum(axis=1)
        right = np.concatenate([now - least, -at[:, 0] - high[:, 0], np.maximum(ahead, 0.0)])
        bounds = np.zeros((first + pairs, 2))
        bounds[:, 1] = np.inf
        bounds[:n] = -reach, reach
        floor = self.low - low[:, 1]
        ceiling = np.maximum(self.high - high[:, 1], floor)  # equal for a piece as wide as the cloth
        bounds[n : 2 * n, 0] = np.clip(at[:, 1] - reach, floor, ceiling) - at[:, 1]
        bounds[n : 2 * n, 1] = np.clip(at[:, 1] + reach, floor, ceiling) - at[:, 1]
        bounds[: self.held] = bounds[n : n + self.held] = 0.0
        bounds[drawn, 1] = DRAWN
        cost = np.concatenate([np.zeros(2 * n + 1), [1.0], np.full(pairs, PRICE)])
        found = linprog(cost, A_ub=matrix, b_ub=right, bounds=bounds, method="highs", options={"time_limit": PATIENCE})
        if found.status != 0:
            return None
        moved = at + np.stack([found.x[:n] - found.x[drawn] * ahead, found.x[n : 2 * n]], axis=1)
        return moved, float(found.x[length]), float(found.x[first:].max(initial=0.0))
