"""Filling a net from its two first threads: node by node from three known corners, all that can be placed at a time.

Where a rim or a hole leaves nodes without three known corners, one thread, the one nearest the first of its kind, goes
straight on, and filling goes on from there. When no thread can, one sets out at a right angle from one that is there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.drape.halves import Halves, crossed, dotted
from bagside.drape.net_march import marched
from bagside.drape.net_threads import Thread, strung
from bagside.drape.rays import rays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

TURNS = ((1, 1), (-1, 1), (-1, -1), (1, -1))
TURN_I, TURN_J = np.array(TURNS).T
STEPS = ((1, 0), (0, 1), (-1, 0), (0, -1))
NARROWEST = 0.05  # sine of the least angle at which two threads still cross: 3°
FEW = 8  # nodes placed at once: with more it does not pay to look for threads that go straight on meanwhile
CLEAR = 3  # threads between one that goes straight on and nodes that are being placed
SAME_PLACE = 0.5  # spacings: two nodes this close lie on each other
FAR_THREADS = 5  # when they are so many threads apart
AT_ONCE = 12  # spacings a thread goes straight on before others are looked at again
ROOM = 8  # rows kept free around a net that grows


class Grid:
    """The nodes of a net that is being filled, by thread numbers.

    Parameters
    ----------
    halves
        The surface.
    spacing
        Distance between neighbouring nodes [m].
    threads
        For each of the directions along the warp, along the weft, against the warp and against the weft, the first
        thread's nodes, shape (k, 3) [m], and their triangles, shape (k,), the start left out.
    start
        The start, shape (3,) [m].
    triangle
        Its triangle.
    """

    def __init__(self, halves: Halves, spacing: float, threads: list[Thread], start: Floats, triangle: int) -> None:
        self.halves, self.spacing = halves, spacing
        east, north, west, south = (len(p) for p, _ in threads)
        shape = (east + west + 1 + 2 * ROOM, north + south + 1 + 2 * ROOM)
        self.origin = np.array([west + ROOM, south + ROOM])
        self.point = np.zeros((*shape, 3))
        self.triangle = np.full(shape, -1, dtype=np.int64)
        self.tried = np.zeros((8, *shape), dtype=np.bool_)
        self.jammed = np.zeros(shape, dtype=np.bool_)
        self.onward = np.zeros((4, *shape, 3))  # where each node's thread would go straight on
        self.onto = np.full((4, *shape), -1, dtype=np.int64)
        i0, j0 = self.origin
        self.point[i0, j0], self.triangle[i0, j0] = start, triangle
        for (points, triangles), (di, dj) in zip(threads, STEPS, strict=True):
            far = np.arange(1, len(points) + 1)
            self.point[i0 + di * far, j0 + dj * far] = points
            self.triangle[i0 + di * far, j0 + dj * far] = triangles

    def filled(self, most: int, patience: int) -> None:
        """Place every node that can be placed.

        Parameters
        ----------
        most
            Number of nodes at which to stop.
        patience
            Number of sweeps at which to stop.
        """
        for _ in range(patience):
            if np.count_nonzero(self.triangle >= 0) > most:
                return
            placed = self._swept()
            if placed is None:
                if not self._gone_on(None, aside=False) and not self._gone_on(None, aside=True):
                    return
            elif len(placed) <= FEW:
                self._gone_on(placed, aside=False)

    def _swept(self) -> Ints | None:
        """Place all nodes that have three known corners; return which were tried, nothing when there was none."""
        known = self.triangle >= 0
        free = ~_inner(known, 0, 0)
        ready = np.empty((4, *free.shape), dtype=np.bool_)
        for k, (ti, tj) in enumerate(TURNS):
            ready[k] = free & _inner(known, -ti, 0) & _inner(known, 0, -tj) & _inner(known, -ti, -tj)
            ready[k] &= ~_inner(self.tried[k], 0, 0)
            free &= ~ready[k]
        turn, i, j = _where(ready)
        if len(turn) == 0:
            return None
        self.tried[turn, i, j] = True
        tried: Ints = np.stack([i, j], axis=1) - self.origin
        si, sj = TURN_I[turn], TURN_J[turn]
        sense = si * sj
        a, b, c = self.point[i - si, j], self.point[i, j - sj], self.point[i - si, j - sj]
        start = self.triangle[i - si, j - sj]
        left = (a - b) * sense[:, None]
        n = self.halves.normals
        normal = n[start] + n[self.triangle[i - si, j]] + n[self.triangle[i, j - sj]]
        size = np.maximum(np.sqrt(dotted(normal, normal)), 1e-12)
        sine = sense * dotted(crossed(b - c, a - c), normal) / (size * self.spacing**2)
        crosses = (sine > NARROWEST) & (dotted(left, left) < 4 * self.spacing**2)
        if not crosses.all():
            self.jammed[i[~crosses], j[~crosses]] = True
            go = np.flatnonzero(crosses)
            if len(go) == 0:
                return tried
            i, j, a, b, c, left, start = i[go], j[go], a[go], b[go], c[go], left[go], start[go]
        point, into = marched(self.halves, start, c, left, 0.5 * (a + b), a, self.spacing)
        off = point - c
        flat = (dotted(off, off) < (NARROWEST * self.spacing) ** 2) & (into >= 0)
        self.jammed[i[flat], j[flat]] = True
        into = np.where(flat, -1, into)
        if len(i) <= FEW:
            into = np.where(self._taken(i, j, point, into), -1, into)
        self._placed(i, j, point, into)
        return tried

    def _placed(self, i: Ints, j: Ints, point: Floats, into: Ints) -> None:
        self.point[i, j], self.triangle[i, j] = point, into
        made = np.flatnonzero(into >= 0)
        self.jammed[i[made], j[made]] = False
        if len(made):
            rise = self._grown_round(int(i[made].min()), int(j[made].min()))
            self._grown_round(int(i[made].max()) + rise, int(j[made].max()) + rise)

    def _grown_round(self, i: int, j: int) -> int:
        """Make room when a place comes near the grid's edge; return by how much its numbers rise."""
        ni, nj = self.triangle.shape
        if 2 <= i <= ni - 3 and 2 <= j <= nj - 3:
            return 0
        pad = ((ROOM, ROOM), (ROOM, ROOM))
        self.point = np.pad(self.point, (*pad, (0, 0)))
        self.triangle = np.pad(self.triangle, pad, constant_values=-1)
        self.jammed = np.pad(self.jammed, pad)
        self.tried = np.pad(self.tried, ((0, 0), *pad))
        self.onward = np.pad(self.onward, ((0, 0), *pad, (0, 0)))
        self.onto = np.pad(self.onto, ((0, 0), *pad), constant_values=-1)
        self.origin = self.origin + ROOM
        return ROOM

    def _gone_on(self, busy: Ints | None, *, aside: bool) -> bool:
        """Let the thread nearest the first one of its kind go straight on; return whether one could.

        While nodes are being placed elsewhere (``busy``, as thread numbers), only a thread nearer the first one than
        all of them may: what lies beyond may still be reached from three corners. A thread may set out ``aside`` from
        one that it crosses, at a right angle, when nothing else is left.
        """
        known = self.triangle >= 0
        self._tried_onward(known, busy, aside=aside)
        free = np.empty((4, known.shape[0] - 2, known.shape[1] - 2), dtype=np.bool_)
        for w, (di, dj) in enumerate(STEPS):
            free[w] = _inner(self.onto[w] >= 0, 0, 0) & ~_inner(known, di, dj)
        way, i, j = self._quiet(*_where(free), busy)
        if len(way) == 0:
            return False
        # One thread at a time: two that set out together would meet out of step.
        off, along = self._away(way, i, j)
        k = int(np.lexsort((j, i, way, along, off))[0])
        self._straight_on(int(way[k]), int(i[k]), int(j[k]))
        return True

    def _away(self, way: Ints, i: Ints, j: Ints) -> tuple[Ints, Ints]:
        """Return how many threads lie between a node's thread and the first of its kind, and how far along it is."""
        away = np.abs(np.stack([i, j]) - self.origin[:, None])
        off, along = np.where(way % 2 == 0, away[::-1], away)
        return off, along

    def _quiet(self, way: Ints, i: Ints, j: Ints, busy: Ints | None) -> tuple[Ints, Ints, Ints]:
        """Return those nodes whose threads lie nearer the first one than all that are being placed."""
        if busy is None:
            return way, i, j
        near_i, near_j = np.abs(busy).min(axis=0)
        off, _ = self._away(way, i, j)
        quiet = np.flatnonzero(off + CLEAR < np.where(way % 2 == 0, near_j, near_i))
        return way[quiet], i[quiet], j[quiet]

    def _straight_on(self, way: int, i: int, j: int) -> None:
        """Let one thread go straight on from a node until it ends or comes beside nodes that are placed."""
        di, dj = STEPS[way]
        here, triangle = self.point[i, j], int(self.triangle[i, j])
        points, into = self.onward[way, i, j][None], self.onto[way, i, j][None]
        self.onto[way, i, j] = -1
        if self._taken(np.array([i + di]), np.array([j + dj]), points, into)[0]:
            return
        normal = self.halves.normals[triangle]
        heading = points[0] - here
        heading = heading - (heading @ normal) * normal
        size = float(np.linalg.norm(heading))
        if size > 0 and not self._beside(i + di, j + dj, dj, di):
            line = rays(self.halves, here, triangle, (heading / size)[None, :], AT_ONCE * self.spacing)
            more, onto = strung(np.concatenate([here[None, :], line.exit]), line.triangle, self.spacing)
            if len(more) > 1:
                points, into = more, onto
        for point, of in zip(points, into, strict=True):
            i, j = i + di, j + dj
            if self.triangle[i, j] >= 0 or self._taken(np.array([i]), np.array([j]), point[None], np.array([of]))[0]:
                return
            self.point[i, j], self.triangle[i, j], self.jammed[i, j] = point, of, False
            if self._beside(i, j, dj, di):
                return
            shift = self._grown_round(i, j)
            i, j = i + shift, j + shift

    def _beside(self, i: int, j: int, di: int, dj: int) -> bool:
        return bool(self.triangle[i + di, j + dj] >= 0 or self.triangle[i - di, j - dj] >= 0)

    def _taken(self, i: Ints, j: Ints, point: Floats, into: Ints) -> Bools:
        """Return which of a few new nodes would lie on nodes that are far from them by threads, shape (k,)."""
        a, b = np.nonzero(self.triangle >= 0)
        placed = self.point[a, b]
        off = placed[None, :, :] - point[:, None, :]
        close = np.einsum("kij,kij->ki", off, off) < (SAME_PLACE * self.spacing) ** 2
        k, other = np.nonzero(close)
        apart = np.abs(a[other] - i[k]) + np.abs(b[other] - j[k]) >= FAR_THREADS
        normals = self.halves.normals
        alike = dotted(normals[into[k]], normals[self.triangle[a[other], b[other]]]) > 0
        out = np.zeros(len(i), dtype=np.bool_)
        out[k[apart & alike]] = True
        return out

    def _tried_onward(self, known: Bools, busy: Ints | None, *, aside: bool) -> None:
        """Find where the threads of all nodes at an end would go straight on, once for each node and way."""
        inner = _inner(known, 0, 0)
        ends = np.empty((4, *inner.shape), dtype=np.bool_)
        for w, (di, dj) in enumerate(STEPS):
            ends[w] = inner & ~_inner(known, di, dj) & ~_inner(self.tried[4 + w], 0, 0)
            if aside:
                ends[w] &= ~_inner(known, -di, -dj) & (_inner(known, dj, di) | _inner(known, -dj, -di))
            else:
                ends[w] &= _inner(known, -di, -dj)
        way, i, j = self._quiet(*_where(ends), busy)
        if len(way) == 0:
            return
        self.tried[4 + way, i, j] = True
        step = np.array(STEPS)[way]
        here = self.point[i, j]
        normal = self.halves.normals[self.triangle[i, j]]
        if aside:
            ti, tj = np.abs(step[:, 1]), np.abs(step[:, 0])
            ahead, behind = known[i + ti, j + tj], known[i - ti, j - tj]
            to = np.where(ahead[:, None], self.point[i + ti, j + tj], here)
            left = to - np.where(behind[:, None], self.point[i - ti, j - tj], here)
            left = left * (step[:, 0] - step[:, 1])[:, None]
        else:
            bi, bj = i - step[:, 0], j - step[:, 1]
            left = crossed(normal + self.halves.normals[self.triangle[bi, bj]], here - self.point[bi, bj])
        size = np.sqrt(dotted(left, left))
        left = left / np.where(size > 0, size, 1.0)[:, None]
        point, into = marched(self.halves, self.triangle[i, j], here, left, here, here, self.spacing)
        self.onward[way, i, j], self.onto[way, i, j] = point, into


def _inner(array: Bools, di: int, dj: int) -> Bools:
    """Return a view in which each inner place shows what lies so many rows and columns further."""
    ni, nj = array.shape
    return array[1 + di : ni - 1 + di, 1 + dj : nj - 1 + dj]


def _where(inner: Bools) -> tuple[Ints, Ints, Ints]:
    """Return the first index and the places in the whole grid of what is true in its inner part, shape (4, …)."""
    flat = np.flatnonzero(inner.reshape(-1))
    first, rest = np.divmod(flat, inner.shape[1] * inner.shape[2])
    i, j = np.divmod(rest, inner.shape[2])
    return first, i + 1, j + 1
