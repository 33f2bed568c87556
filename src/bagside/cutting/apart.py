"""How far two shapes of convex parts must lie from each other, as linear conditions on where they lie."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

KEPT = 20_000_000
"""Numbers kept in tables before they are made anew."""


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A piece as it lies, before it is moved.

    Parameters
    ----------
    parts
        Convex outlines that cover it, counter-clockwise.
    hull
        Convex outline round all of it, counter-clockwise.
    low, high
        Its least and greatest coordinates.
    """

    parts: tuple[Floats, ...]
    hull: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """For pairs of parts of two shapes the directions of their edges and the distance each asks for."""

    normal: Floats  # (pairs, directions, 2)
    least: Floats  # (pairs, directions); infinite where padded
    parts: tuple[tuple[Floats, Floats], ...]


class Apart:
    """Conditions under which shapes are clear of each other.

    Parameters
    ----------
    gap
        Kept between them.
    """

    def __init__(self, gap: float) -> None:
        self.gap = gap
        self.tables: dict[tuple[int, int], tuple[_Table, _Table]] = {}
        self.seen: list[Shape] = []  # keeps shapes alive, so that their identities stay theirs
        self.numbers = 0

    def conditions(
        self, shapes: list[Shape], at: Floats, near: float, *, past: bool = False
    ) -> tuple[Ints, Ints, Floats, Floats]:
        """Return conditions n · (move of j - move of i) >= least, one for each pair of parts that are near.

        Parameters
        ----------
        shapes
            One for each copy.
        at
            Where they lie, shape (n, 2).
        near
            Pairs of parts further apart than this and the gap are left out.
        past
            Whether parts that are clear of each other across the strip keep apart in that direction, and may slide
            past each other along it; else each pair keeps apart in the direction in which it is furthest apart.

        Returns
        -------
        i, j
            Which copies, shape (m,).
        normal
            Unit direction from i to j in which the parts keep apart, shape (m, 2).
        least
            Shape (m,).
        """
        low = np.array([s.low for s in shapes]) + at
        high = np.array([s.high for s in shapes]) + at
        g = self.gap + near
        close = (low[:, None] <= high[None] + g).all(axis=-1) & (low[None] <= high[:, None] + g).all(axis=-1)
        first, second = np.nonzero(np.triu(close, 1))
        ones, others, normals, leasts = [], [], [], []
        for i, j in zip(first.tolist(), second.tolist(), strict=True):
            normal, least = self._of_pair(*self._tables(shapes[i], shapes[j]), at[j] - at[i], g, past)
            ones.append(np.full(len(least), i))
            others.append(np.full(len(least), j))
            normals.append(normal)
            leasts.append(least)
        if not ones:
            return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64), np.zeros((0, 2)), np.zeros(0)
        return np.concatenate(ones), np.concatenate(others), np.concatenate(normals), np.concatenate(leasts)

    def _of_pair(self, hulls: _Table, table: _Table, move: Floats, near: float, past: bool) -> tuple[Floats, Floats]:
        # Two shapes well apart need no more than that their hulls stay apart: one condition for all their parts.
        apart = hulls.normal @ move - hulls.least
        if (furthest := float(apart.max())) > self.gap + 0.25 * (near - self.gap):
            best = self._chosen(apart, hulls.normal, past) if furthest <= near else np.zeros(0, dtype=np.int64)
            rows = np.zeros(len(best), dtype=np.int64)
            return hulls.normal[rows, best], hulls.least[rows, best] + self.gap
        clear = table.normal @ move - table.least
        kept = np.flatnonzero(clear.max(axis=1) <= near)
        best = self._chosen(clear[kept], table.normal[kept], past)
        normal, least, now = table.normal[kept, best], table.least[kept, best], clear[kept, best]
        if self.gap > 0.0:
            # Where two corners face each other no edge has the direction in which they are furthest apart.
            for row in np.flatnonzero((now > 0.0) & (now < 1.5 * self.gap)).tolist():
                a, b = table.parts[kept[row]]
                n, wanted = _between_corners(a, b, move)
                if float(n @ move) - wanted > now[row] + 1e-9:
                    normal[row], least[row] = n, wanted
        return normal, least + self.gap

    def _chosen(self, clear: Floats, normal: Floats, past: bool) -> Ints:
        """Return which direction each pair of parts keeps apart in."""
        best: Ints = clear.argmax(axis=1)
        if not past:
            return best
        upright = np.where(clear >= self.gap - 1e-9, np.abs(normal[:, :, 1]), -1.0)
        most: Ints = upright.argmax(axis=1)
        return np.where(upright[np.arange(len(most)), most] >= 0.0, most, best)

    def _tables(self, one: Shape, other: Shape) -> tuple[_Table, _Table]:
        key = (id(one), id(other))
        if key not in self.tables:
            if self.numbers > KEPT:  # pieces at any angle never come back at the same one
                self.tables, self.seen, self.numbers = {}, [], 0
            self.seen += [one, other]
            parts = tuple((a, b) for a in one.parts for b in other.parts)
            self.tables[key] = _table(((one.hull, other.hull),)), _table(parts)
            self.numbers += sum(t.normal.size + t.least.size for t in self.tables[key])
        return self.tables[key]


def _table(pairs: tuple[tuple[Floats, Floats], ...]) -> _Table:
    found = [_directions(a, b) for a, b in pairs]
    most = max(len(least) for _, least in found)
    normal = np.zeros((len(pairs), most, 2))
    least = np.full((len(pairs), most), np.inf)
    for row, (n, c) in enumerate(found):
        normal[row, : len(c)], least[row, : len(c)] = n, c
    return _Table(normal, least, pairs)


def _between_corners(a: Floats, b: Floats, move: Floats) -> tuple[Floats, float]:
    """Return the direction from the corner of a to that of b, moved, that are closest, and what it asks for."""
    apart = move - (a[:, None] - b[None]).reshape(-1, 2)
    at = int((apart**2).sum(axis=1).argmin())
    size = math.hypot(*apart[at])
    n: Floats = apart[at] / size if size > 0.0 else np.array([1.0, 0.0])
    return n, float((a @ n).max() - (b @ n).min())


def _directions(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Return outward normals of a's edges and inward ones of b's, and how far b must be moved along each."""
    edges = np.concatenate([np.roll(a, -1, axis=0) - a, b - np.roll(b, -1, axis=0)])
    size = np.hypot(edges[:, 0], edges[:, 1])
    edges, size = edges[size > 0.0], size[size > 0.0]
    normal = np.stack([edges[:, 1], -edges[:, 0]], axis=1) / size[:, None]
    return normal, (a @ normal.T).max(axis=0) - (b @ normal.T).min(axis=0)
