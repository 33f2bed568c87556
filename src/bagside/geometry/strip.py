"""The straightest way over a surface between two points, through a strip of triangles laid flat.

A strip of triangles that leads from one point to the other is unrolled into the plane; the shortest line inside it is
found by pulling a thread taut between its two edges. Where the thread bends round a vertex that is shorter to pass on
the other side, the strip is led round there, until no such vertex is left. What remains is a geodesic: straight on the
triangles and across every edge, bending only at the rim or where a vertex holds more than a full turn.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import dijkstra

from bagside.errors import NotSolved
from bagside.geometry.geodesic import sides_across
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import sides

Flat = tuple[float, float]

MOST_PASSES = 400
STRAIGHT_WALK = 6.0  # edge lengths up to which a plane through both ends finds the strip
AT_END = 1e-9  # [m] a bend this close to an end is that end
GAIN = 1e-13  # share by which leading the thread round a vertex must make it shorter
TIE = 1e-12  # sine of the angle within which two sides of the thread's room are one: it does not bend there
SLACK = 1e-7  # [rad] by which the other side of a vertex must be less than a half turn


@dataclass(frozen=True, eq=False)
class Net:
    """A surface made ready for finding ways over it.

    Parameters
    ----------
    surface
        The surface.
    """

    surface: Surface

    @cached_property
    def across(self) -> Ints:
        """Return 3 × triangle + side across each side, −1 at the boundary, shape (m, 3)."""
        return sides_across(self.surface)

    @cached_property
    def turn(self) -> Floats:
        """Return the angle of all triangles round each vertex, infinite on the boundary, shape (n,) [rad]."""
        c, t = self.surface.corners, self.surface.triangles
        out = np.zeros(len(self.surface.vertices))
        for k in range(3):
            a, b = c[:, (k + 1) % 3] - c[:, k], c[:, (k + 2) % 3] - c[:, k]
            angle = np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b))
            np.add.at(out, t[:, k], angle)
        rim = self.across < 0
        for k in range(3):
            out[t[rim[:, k], k]] = np.inf
            out[t[rim[:, k], (k + 1) % 3]] = np.inf
        return out

    @cached_property
    def _graph(self) -> tuple[Ints, Ints, Floats, Ints, Floats]:
        """Return links between vertices and middles of edges: ends, lengths, edge of each side, where the nodes are."""
        v, t = self.surface.vertices, self.surface.triangles
        _, of, edges = sides(t)
        m, n = len(t), len(v)
        middle = n + of.reshape(3, m).T  # of side k of each triangle
        places = np.concatenate([v, 0.5 * (v[edges[:, 0]] + v[edges[:, 1]])])
        pairs = [np.stack([t[:, k], middle[:, (k + 1) % 3]], axis=1) for k in range(3)]
        pairs += [np.stack([middle[:, k], middle[:, (k + 1) % 3]], axis=1) for k in range(3)]
        pairs += [np.stack([edges[:, 0], n + np.arange(len(edges))], axis=1)]
        pairs += [np.stack([edges[:, 1], n + np.arange(len(edges))], axis=1)]
        link = np.concatenate(pairs)
        length = np.linalg.norm(places[link[:, 0]] - places[link[:, 1]], axis=1)
        return link[:, 0], link[:, 1], length, middle, places

    def way(self, start: int, end: int, cost: Floats | None = None) -> Floats:
        """Return the cheapest way between two triangles over vertices and middles of edges, shape (k, 3) [m].

        Parameters
        ----------
        start, end
            Triangles.
        cost
            Of a metre at each vertex, shape (n,); one everywhere when not given.

        Raises
        ------
        NotSolved
            When no way leads from one to the other.
        """
        nodes, places = self._nodes(start, end, cost)
        out: Floats = places[nodes]
        return out

    def _nodes(self, start: int, end: int, cost: Floats | None) -> tuple[Ints, Floats]:
        one, two, length, middle, places = self._graph
        weight = length
        if cost is not None:
            _, _, edges = sides(self.surface.triangles)
            dear = np.concatenate([cost, 0.5 * (cost[edges[:, 0]] + cost[edges[:, 1]])])
            weight = length * 0.5 * (dear[one] + dear[two])
        size = len(places)
        graph = sp.csr_array((weight, (one, two)), shape=(size, size))
        first, last = middle[start, 0], middle[end, 0]
        _, before = dijkstra(graph, directed=False, indices=int(first), return_predecessors=True)
        nodes = [int(last)]
        while nodes[-1] != first:
            previous = int(before[nodes[-1]])
            if previous < 0:
                raise NotSolved("no way over the surface leads from one point to the other")
            nodes.append(previous)
        return np.array(nodes[::-1], dtype=np.int64), places

    def strip(self, start: int, at: Floats, end: int, to: Floats) -> list[int]:
        """Return triangles that lead from one point to another, each beside the one before.

        Parameters
        ----------
        start, end
            Triangles in which both points lie.
        at, to
            The points, shape (3,) [m].

        Raises
        ------
        NotSolved
            When no way leads from one to the other.
        """
        if start == end:
            return [start]
        if float(np.linalg.norm(to - at)) < STRAIGHT_WALK * self.surface.edge_length:
            walked = self._walk(start, at, end, to)
            if walked is not None:
                return walked
        nodes, _ = self._nodes(start, end, None)
        out = [start]
        for one, two in zip(nodes[:-1].tolist(), nodes[1:].tolist(), strict=True):
            out = self._led_to(out, self._holding(one, two))
        return self._led_to(out, [end])

    @cached_property
    def _members(self) -> tuple[Ints, Ints]:
        """Return triangles in order of the node they touch, and where each node's begin."""
        _, _, _, middle, places = self._graph
        t = self.surface.triangles
        node = np.concatenate([t, middle], axis=1).ravel()
        order = np.argsort(node, kind="stable")
        begin = np.searchsorted(node[order], np.arange(len(places) + 1))
        return order // 6, begin

    def _touching(self, node: int) -> list[int]:
        order, begin = self._members
        return [int(k) for k in order[begin[node] : begin[node + 1]]]

    def _holding(self, one: int, two: int) -> list[int]:
        first = set(self._touching(one))
        return [k for k in self._touching(two) if k in first]

    def _led_to(self, strip: list[int], goals: list[int]) -> list[int]:
        """Return a strip led on to the nearest of some triangles that share a vertex or an edge with its last one."""
        if strip[-1] in goals:
            return strip
        wanted = set(goals)
        shared = set(self.surface.triangles[strip[-1]].tolist())
        seen: dict[int, int] = {strip[-1]: -1}
        front = [strip[-1]]
        while front:  # breadth first among triangles that touch the last one
            nxt: list[int] = []
            for k in front:
                for code in self.across[k].tolist():
                    onto = code // 3
                    if code < 0 or onto in seen or not shared & set(self.surface.triangles[onto].tolist()):
                        continue
                    seen[onto] = k
                    if onto in wanted:
                        tail = [onto]
                        while seen[tail[-1]] >= 0:
                            tail.append(seen[tail[-1]])
                        return strip + tail[::-1][1:]
                    nxt.append(onto)
            front = nxt
        raise NotSolved("no way over the surface leads from one point to the other")

    def _walk(self, start: int, at: Floats, end: int, to: Floats) -> list[int] | None:
        """Return the triangles that a plane through both points and their normals cuts; nothing when it gets lost."""
        surface = self.surface
        along = to - at
        normal = surface.normals[start] + surface.normals[end]
        plane = np.cross(along, normal)
        if float(np.linalg.norm(plane)) < 1e-3 * float(np.linalg.norm(along)):
            return None
        out, came = [start], -1
        limit = 64
        for _ in range(limit):
            k = out[-1]
            if k == end:
                return out
            c = surface.corners[k]
            height = ((c - at) @ plane).tolist()
            run = ((c - at) @ along).tolist()
            best, side = -math.inf, -1
            for s in range(3):
                a, b = s, (s + 1) % 3
                if s == came or (height[a] > 0) == (height[b] > 0):
                    continue
                share = height[a] / (height[a] - height[b])
                ahead = run[a] + share * (run[b] - run[a])
                if ahead > best:
                    best, side = ahead, s
            if side < 0 or self.across[k, side] < 0:
                return None
            onto, came = divmod(int(self.across[k, side]), 3)
            out.append(onto)
        return None

    def straight(self, start: int, at: Floats, end: int, to: Floats) -> Floats:
        """Return the straight line over the surface between two points, shape (k, 3) [m].

        Parameters
        ----------
        start, end
            Triangles in which both points lie.
        at, to
            The points, shape (3,) [m].

        Returns
        -------
        array
            Both points and where the line crosses edges between them.

        Raises
        ------
        NotSolved
            When no way leads from one to the other, or the thread does not come to rest.
        """
        strip = self.strip(start, at, end, to)
        shortest = math.inf
        for _ in range(MOST_PASSES):
            portals, goal = self._unrolled(strip, at, to)
            bends = _taut(portals, goal)
            led = self._round(strip, portals, goal, bends)
            points = [(0.0, 0.0), *(b.at for b in bends), goal]
            long = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
            if led is None or long > shortest * (1 - GAIN):  # as taut as numbers tell
                return self._crossings(strip, portals, goal, bends, at, to)
            strip, shortest = led, min(shortest, long)
        raise NotSolved("the line over the surface did not come to rest between two of its points")

    def _unrolled(self, strip: list[int], at: Floats, to: Floats) -> tuple[list[_Portal], Flat]:
        """Return the edges crossed, laid flat with the start at the origin, and the end there."""
        surface, v = self.surface, self.surface.vertices
        flat: dict[int, Flat] = {}
        first = surface.triangles[strip[0]].tolist()
        x = v[first[1]] - v[first[0]]
        x = x / np.linalg.norm(x)
        y = np.cross(surface.normals[strip[0]], x)
        for k in first:
            away = v[k] - at
            flat[k] = (float(away @ x), float(away @ y))
        portals: list[_Portal] = []
        for here, there in itertools.pairwise(strip):
            row = self.across[here].tolist()
            side = next(s for s in range(3) if row[s] // 3 == there and row[s] >= 0)
            corners = surface.triangles[here].tolist()
            right, left = corners[side], corners[(side + 1) % 3]  # seen by who walks out through it
            portals.append(_Portal(left, right, flat[left], flat[right]))
            apex = next(k for k in surface.triangles[there].tolist() if k not in (left, right))
            (lx, ly), (rx, ry) = flat[left], flat[right]
            ex, ey = lx - rx, ly - ry
            long = math.hypot(ex, ey)
            edge, off = v[left] - v[right], v[apex] - v[right]
            size = float(np.linalg.norm(edge))
            run = float(off @ edge) / size
            rise = float(np.linalg.norm(np.cross(off, edge))) / size
            ex, ey = ex / long, ey / long
            flat = {left: (lx, ly), right: (rx, ry), apex: (rx + run * ex + rise * ey, ry + run * ey - rise * ex)}
        last = surface.triangles[strip[-1]].tolist()
        p, q, r = (flat[k] for k in last)
        e, f, g = v[last[1]] - v[last[0]], v[last[2]] - v[last[0]], to - v[last[0]]
        ee, ef, ff, ge, gf = float(e @ e), float(e @ f), float(f @ f), float(g @ e), float(g @ f)
        scale = ee * ff - ef * ef
        b, c = (ff * ge - ef * gf) / scale, (ee * gf - ef * ge) / scale
        goal = (p[0] + b * (q[0] - p[0]) + c * (r[0] - p[0]), p[1] + b * (q[1] - p[1]) + c * (r[1] - p[1]))
        return portals, goal

    def _round(self, strip: list[int], portals: list[_Portal], goal: Flat, bends: list[_Bend]) -> list[int] | None:
        """Return the strip led round the other side of vertices where that is shorter; nothing when none is."""
        points = [(0.0, 0.0), *(b.at for b in bends), goal]
        led: list[int] | None = None
        taken = len(strip) + 1
        for i in range(len(bends) - 1, -1, -1):
            bend = bends[i]
            (ax, ay), (bx, by), (cx, cy) = points[i], points[i + 1], points[i + 2]
            ux, uy, wx, wy = bx - ax, by - ay, cx - bx, cy - by
            if min(math.hypot(ux, uy), math.hypot(wx, wy)) < AT_END:
                continue
            turned = abs(math.atan2(ux * wy - uy * wx, ux * wx + uy * wy))
            if not self.turn[bend.vertex] - math.pi - turned < math.pi - SLACK:
                continue
            low = high = bend.portal
            while low > 0 and bend.vertex in (portals[low - 1].left, portals[low - 1].right):
                low -= 1
            while high + 1 < len(portals) and bend.vertex in (portals[high + 1].left, portals[high + 1].right):
                high += 1
            if high + 1 >= taken:
                continue
            other = self._fan(strip[low], strip[high + 1], strip[low + 1], bend.vertex)
            led = (led if led is not None else strip)[:low] + other + (led if led is not None else strip)[high + 2 :]
            taken = low
        return None if led is None else _without_returns(led)

    def _fan(self, first: int, last: int, avoid: int, vertex: int) -> list[int]:
        """Return the triangles round a vertex from one to another, the way that does not begin with a given one."""
        out, previous = [first], avoid
        for _ in range(1000):
            if out[-1] == last and len(out) > 1:
                return out
            k = out[-1]
            corners = self.surface.triangles[k].tolist()
            place = corners.index(vertex)
            for s in (place, (place + 2) % 3):
                onto = int(self.across[k, s]) // 3
                if onto != previous:
                    break
            previous = k
            out.append(onto)
            if onto == last:
                return out
        raise NotSolved("the triangles round a vertex do not close")

    def _crossings(
        self, strip: list[int], portals: list[_Portal], goal: Flat, bends: list[_Bend], at: Floats, to: Floats
    ) -> Floats:
        v = self.surface.vertices
        points = [(0.0, 0.0), *(b.at for b in bends), goal]
        ends = [*(b.portal for b in bends), len(portals)]
        out, leg = [at], 0
        for i, portal in enumerate(portals):
            while i > ends[leg]:
                leg += 1
            if leg < len(bends) and portal.has(bends[leg].vertex):
                out.append(v[bends[leg].vertex])
                continue
            if leg > 0 and portal.has(bends[leg - 1].vertex):
                out.append(v[bends[leg - 1].vertex])
                continue
            (ax, ay), (bx, by) = points[leg], points[leg + 1]
            (lx, ly), (rx, ry) = portal.left_at, portal.right_at
            dx, dy = bx - ax, by - ay
            low, high = dx * (ry - ay) - dy * (rx - ax), dx * (ly - ay) - dy * (lx - ax)
            share = min(max(low / (low - high), 0.0), 1.0) if low != high else 0.5
            out.append(v[portal.right] + share * (v[portal.left] - v[portal.right]))
        out.append(to)
        line = np.array(out)
        keep = np.ones(len(line), dtype=np.bool_)
        keep[1:] = np.linalg.norm(np.diff(line, axis=0), axis=1) > 1e-9
        keep[-1] = True
        if len(line) > 1 and keep.sum() > 1 and np.linalg.norm(line[keep][-1] - line[keep][-2]) <= 1e-9:
            keep[np.flatnonzero(keep)[-2]] = False
        found: Floats = line[keep]
        return found if len(found) > 1 else np.array([at, to])


@dataclass(frozen=True, slots=True)
class _Portal:
    """An edge that a strip crosses, with both its ends laid flat."""

    left: int
    right: int
    left_at: Flat
    right_at: Flat

    def has(self, vertex: int) -> bool:
        return vertex in (self.left, self.right)


@dataclass(frozen=True, slots=True)
class _Bend:
    """A vertex round which the taut thread bends, and an edge of the strip that ends there."""

    vertex: int
    portal: int
    at: Flat


def _cross(o: Flat, a: Flat, b: Flat) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def _size(o: Flat, a: Flat, b: Flat) -> float:
    return math.hypot(a[0] - o[0], a[1] - o[1]) * math.hypot(b[0] - o[0], b[1] - o[1])


def _taut(portals: list[_Portal], goal: Flat) -> list[_Bend]:
    """Return where a thread from the origin through all portals to the goal bends when pulled taut."""
    gates = [(p.left_at, p.right_at, p.left, p.right) for p in portals]
    gates.append((goal, goal, -1, -1))
    bends: list[_Bend] = []
    apex: Flat = (0.0, 0.0)
    left: Flat = apex
    right: Flat = apex
    left_at = right_at = -1
    i = 0
    begun = False
    guard = 0
    while i < len(gates):
        guard += 1
        if guard > 50 * (len(gates) + 4) + len(gates) ** 2:
            raise NotSolved("the thread over the surface could not be pulled taut")
        gate_left, gate_right, _, _ = gates[i]
        if not begun:
            if _on_gate(apex, gate_left, gate_right):  # nothing to pass: the gate is where it stands
                i += 1
                continue
            left, right, left_at, right_at, begun = gate_left, gate_right, i, i, True
            i += 1
            continue
        if _cross(apex, right, gate_right) >= 0:  # the right side closes in
            if right == apex or _cross(apex, left, gate_right) <= TIE * _size(apex, left, gate_right):
                right, right_at = gate_right, i
            else:
                bends.append(_Bend(gates[left_at][2], left_at, left))
                apex, i, begun = left, _past(gates, left_at, gates[left_at][2]), False
                continue
        if _cross(apex, left, gate_left) <= 0:
            if left == apex or _cross(apex, right, gate_left) >= -TIE * _size(apex, right, gate_left):
                left, left_at = gate_left, i
            else:
                bends.append(_Bend(gates[right_at][3], right_at, right))
                apex, i, begun = right, _past(gates, right_at, gates[right_at][3]), False
                continue
        i += 1
    return [b for b in bends if b.vertex >= 0]


def _on_gate(apex: Flat, left: Flat, right: Flat) -> bool:
    long = math.hypot(left[0] - right[0], left[1] - right[1])
    if abs(_cross(apex, left, right)) > 1e-9 * long * long:
        return False
    ahead = (left[0] - apex[0]) * (right[0] - apex[0]) + (left[1] - apex[1]) * (right[1] - apex[1])
    return long > 0 and ahead <= 0


def _past(gates: list[tuple[Flat, Flat, int, int]], at: int, vertex: int) -> int:
    """Return the first gate after one that does not end at a vertex."""
    i = at + 1
    while i < len(gates) and vertex in gates[i][2:]:
        i += 1
    return i


def _without_returns(strip: list[int]) -> list[int]:
    """Return the strip without going into a triangle and straight back."""
    out: list[int] = []
    for k in strip:
        if out and out[-1] == k:
            continue
        if len(out) > 1 and out[-2] == k:
            out.pop()
            continue
        out.append(k)
    return out
