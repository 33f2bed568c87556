"""Edges made between vertices of a mesh by dividing the edges in between, one link after another.

Seen along a link every vertex lies left of it, right of it or, closer than a stated distance, on it. Which edges the
link crosses and which vertices it passes through follows from these three signs alone, so that it is one connected way
over the mesh however thin the triangles are and however close other links run. Once its edges are divided all of the
way is edges, and a later link that crosses it divides them further but never takes them away: no link is made twice.
"""

from __future__ import annotations

import heapq
import itertools
import math

import numpy as np

from bagside.errors import NotSolved
from bagside.geometry.surface import Floats, Surface

Place = tuple[float, float, float]
Edge = tuple[int, int]  # low vertex first
Node = int | Edge  # a vertex passed through, or an edge crossed

PART = 0.05  # of a link, at most this much beside it is on it


class Links:
    """A mesh in which links between vertices are made one after another.

    Parameters
    ----------
    mesh
        The surface.
    near
        A link goes through vertices closer to it than this [m].
    """

    def __init__(self, mesh: Surface, near: float) -> None:
        self.near = near
        self.places: list[Place] = list(map(tuple, mesh.vertices.tolist()))
        self.triangles: list[tuple[int, int, int]] = list(map(tuple, mesh.triangles.tolist()))
        self.made: dict[Edge, list[Node]] = {}
        self.middle: dict[Edge, int] = {}
        self.normals = mesh.vertex_normals
        corner = mesh.triangles.ravel()
        self._by = np.argsort(corner, kind="stable") // 3
        self._first = np.searchsorted(np.sort(corner), np.arange(len(mesh.vertices) + 1))
        self._round: dict[int, set[int]] = {}

    @property
    def mesh(self) -> Surface:
        """Return the surface as it is now."""
        return Surface(np.array(self.places), np.array(self.triangles, dtype=np.int64))

    def link(self, start: int, end: int) -> None:
        """Divide edges until edges lead from one vertex straight to another.

        Parameters
        ----------
        start, end
            Vertices of the mesh as it was given, with nothing but surface on the straight line between them.

        Raises
        ------
        NotSolved
            When the surface ends between them.
        """
        key = (min(start, end), max(start, end))
        if key in self.made or self._joined(start, end):
            return
        way, share = self._way(*key)
        crossed = [node for node in way if not isinstance(node, int)]
        for edge in self._ordered(crossed, share):
            self._divide(edge, share[edge])
        self.made[key] = way

    def along(self, start: int, end: int) -> list[int]:
        """Return the vertices from one end of a link or an edge to the other, both ends among them.

        Parameters
        ----------
        start, end
            Vertices that were linked, or joined from the beginning.
        """
        out = [start]
        work = [(start, end)]
        while work:
            one, two = work.pop()
            key = (min(one, two), max(one, two))
            if key in self.made:
                through = [n if isinstance(n, int) else self.middle[n] for n in self.made[key]]
                through = through if one == key[0] else through[::-1]
            elif key in self.middle:
                through = [one, self.middle[key], two]
            else:
                out.append(two)
                continue
            work += list(itertools.pairwise(through))[::-1]
        return out

    def _at(self, vertex: int) -> set[int]:
        """Return the triangles round a vertex."""
        found = self._round.get(vertex)
        if found is None:
            found = set(self._by[self._first[vertex] : self._first[vertex + 1]].tolist())
            self._round[vertex] = found
        return found

    def _joined(self, one: int, two: int) -> bool:
        return any(two in self.triangles[k] for k in self._at(one))

    def _way(self, start: int, end: int) -> tuple[list[Node], dict[Edge, float]]:
        """Return the vertices and edges that a link passes, both ends among them, and where it crosses the edges."""
        seen = _Seen(self, start, end)
        cost: dict[Node, float] = {start: 0.0}
        before: dict[Node, Node] = {}
        done: set[Node] = set()
        front: list[tuple[float, int, Node]] = [(0.0, 0, start)]
        while front:
            far, _, node = heapq.heappop(front)
            if node in done:
                continue
            if node == end:
                way: list[Node] = [node]
                while way[-1] != start:
                    way.append(before[way[-1]])
                return way[::-1], seen.share
            done.add(node)
            here = seen.place(node)
            for onto in self._beside(node, seen):
                if onto in done or not seen.between(onto):
                    continue
                longer = far + math.dist(here, seen.place(onto))
                if longer < cost.get(onto, math.inf):
                    cost[onto], before[onto] = longer, node
                    heapq.heappush(front, (longer, len(before), onto))
        raise NotSolved("the surface ends between two points that a line over it runs straight between")

    def _beside(self, node: Node, seen: _Seen) -> list[Node]:
        """Return where a link can go on through the triangles at a vertex or an edge."""
        out: list[Node] = []
        if isinstance(node, int):
            for k in self._at(node):
                one, two = (c for c in self.triangles[k] if c != node)
                out += [c for c in (one, two) if seen.sign(c) == 0]
                if seen.sign(one) * seen.sign(two) < 0:
                    out.append((min(one, two), max(one, two)))
            return out
        for k in self._at(node[0]) & self._at(node[1]):
            apex = next(c for c in self.triangles[k] if c not in node)
            side = seen.sign(apex)
            if side == 0:
                out.append(apex)
            else:
                other = node[0] if seen.sign(node[0]) != side else node[1]
                out.append((min(apex, other), max(apex, other)))
        return out

    def _ordered(self, crossed: list[Edge], share: dict[Edge, float]) -> list[Edge]:
        """Return crossed edges in an order of dividing them that leaves the shorter diagonal beside the link."""
        out: list[Edge] = []
        waiting: list[Edge] = []
        for k, edge in enumerate(crossed):
            waiting.append(edge)
            if k + 1 < len(crossed) and not self._first_of(edge, crossed[k + 1], share):
                continue
            out += waiting[::-1]
            waiting = []
        return out

    def _first_of(self, one: Edge, two: Edge, share: dict[Edge, float]) -> bool:
        both = set(one) & set(two)
        if len(both) != 1:
            return True
        far_one, far_two = (set(one) - both).pop(), (set(two) - both).pop()
        p, q = self.point(one, share[one]), self.point(two, share[two])
        return math.dist(p, self.places[far_two]) <= math.dist(q, self.places[far_one])

    def point(self, edge: Edge, share: float) -> Place:
        """Return the place on an edge.

        Parameters
        ----------
        edge
            The edge.
        share
            Where, from its low vertex (0) to its high one (1).
        """
        (ax, ay, az), (bx, by, bz) = self.places[edge[0]], self.places[edge[1]]
        return ax + share * (bx - ax), ay + share * (by - ay), az + share * (bz - az)

    def _divide(self, edge: Edge, share: float) -> None:
        fresh = len(self.places)
        self.places.append(self.point(edge, share))
        self.middle[edge] = fresh
        self._round[fresh] = set()
        low, high = edge
        for k in self._at(low) & self._at(high):
            corners = self.triangles[k]
            apex = next(c for c in corners if c not in edge)
            added = len(self.triangles)
            a, b, c = (fresh if x == high else x for x in corners)
            self.triangles[k] = (a, b, c)
            a, b, c = (fresh if x == low else x for x in corners)
            self.triangles.append((a, b, c))
            self._at(high).remove(k)
            self._at(high).add(added)
            self._at(apex).add(added)
            self._round[fresh] |= {k, added}


class _Seen:
    """Vertices and edges as seen along a link: on which side they lie, how far along."""

    def __init__(self, links: Links, start: int, end: int) -> None:
        self._links = links
        self._from = np.array(links.places[start])
        along = np.array(links.places[end]) - self._from
        self._long = float(np.linalg.norm(along))
        if self._long == 0:
            raise NotSolved("two vertices that a line runs between lie in one place")
        self._along = along / self._long
        self._aside = _aside(self._along, links.normals[start] + links.normals[end])
        self._near = min(links.near, PART * self._long)
        self._signs: dict[int, int] = {start: 0, end: 0}
        self._off: dict[int, float] = {start: 0.0, end: 0.0}
        self.share: dict[Edge, float] = {}

    def sign(self, vertex: int) -> int:
        """Return 1 for a vertex on the left of the link, −1 on the right, 0 on it."""
        known = self._signs.get(vertex)
        if known is None:
            away = np.array(self._links.places[vertex]) - self._from
            off, run = float(away @ self._aside), float(away @ self._along)
            on = abs(off) <= self._near and -self._near <= run <= self._long + self._near
            known = 0 if on else 1 if off >= 0 else -1
            self._signs[vertex], self._off[vertex] = known, off
        return known

    def place(self, node: Node) -> Place:
        """Return where a link passes a vertex or an edge."""
        if isinstance(node, int):
            return self._links.places[node]
        if node not in self.share:
            one, two = self._off[node[0]], self._off[node[1]]
            self.share[node] = one / (one - two)
        return self._links.point(node, self.share[node])

    def between(self, node: Node) -> bool:
        """Return whether a link passes a vertex or an edge between its ends."""
        run = float((np.array(self.place(node)) - self._from) @ self._along)
        return -self._near <= run <= self._long + self._near


def _aside(along: Floats, normal: Floats) -> Floats:
    """Return the unit vector to the left of a direction, seen against a normal."""
    aside = np.cross(normal, along)
    if float(np.linalg.norm(aside)) < 1e-3 * float(np.linalg.norm(normal)) or not normal.any():
        aside = np.cross(np.eye(3)[int(np.abs(along).argmin())], along)
    out: Floats = aside / np.linalg.norm(aside)
    return out
