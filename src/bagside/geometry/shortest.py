"""The shortest way over triangles between two vertices, from a first way that crosses given edges.

The triangles crossed are unrolled into the plane, the shortest line through them is drawn with a funnel, and wherever
it bends around a vertex the way on that vertex's other side is tried. When no bend can be taken out, the line is
straight over the surface.

References
----------
Lee & Preparata 1984, "Euclidean shortest paths in the presence of rectilinear barriers", for the funnel (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from bagside.geometry.surface import Floats, Ints, Surface

Flat = tuple[float, float]
Edge = tuple[int, int]
ROUNDS = 400  # in each the way changes sides at every bend it can


class _Fans:
    """The triangles around each vertex, looked up as they are needed."""

    def __init__(self, surface: Surface) -> None:
        t = surface.triangles
        self.triangles = t
        self.order = np.argsort(t.ravel(), kind="stable") // 3
        self.first = np.searchsorted(np.sort(t.ravel()), np.arange(len(surface.vertices) + 1))

    def around(self, vertex: int) -> list[tuple[int, int]]:
        """Return the triangles at a vertex as the two other corners of each, in winding order."""
        out = []
        for t in self.order[self.first[vertex] : self.first[vertex + 1]]:
            a, b, c = (int(x) for x in self.triangles[t])
            out.append((b, c) if a == vertex else (c, a) if b == vertex else (a, b))
        return out

    def other_side(self, vertex: int, spokes: Sequence[int], entry: int, leave: int) -> list[int] | None:
        """Return the far ends of the spokes on the other side of a vertex, from one triangle to another.

        ``spokes`` are those crossed now, in order; ``entry`` and ``leave`` the third corners of the triangles before
        the first and after the last of them. Nothing when the fan is open there.
        """
        fan = self.around(vertex)
        follow = dict(fan)
        back = {b: a for a, b in fan}
        turn = back if follow.get(entry) == spokes[0] else follow
        found, at = [entry], entry
        while at != leave:
            ahead = turn.get(at)
            if ahead is None or len(found) > len(follow) + 1:
                return None
            at = ahead
            found.append(at)
        return found


def shortest_across(surface: Surface, start: int, end: int, edges: Ints) -> tuple[Ints, Floats]:
    """Return the edges that a shortest way between two vertices crosses, and where.

    Parameters
    ----------
    surface
        The surface.
    start, end
        Vertices.
    edges
        Edges that a first way between them crosses, in order, shape (k, 2); empty when they share one.

    Returns
    -------
    tuple
        Edges crossed as vertex pairs, shape (k, 2), and the place on each from its first vertex (0) to its second (1),
        shape (k,).

    Notes
    -----
    The shortest among the ways that can be reached by changing sides around single vertices: a local shortest way, as
    a thread finds it that is pulled tight.
    """
    v = surface.vertices
    way: list[Edge] = [(int(a), int(b)) for a, b in edges]
    if not way:
        return np.zeros((0, 2), dtype=np.int64), np.zeros(0)
    fans = _Fans(surface)
    length, bends, places = _pulled(v, start, end, way)
    for _ in range(ROUNDS):
        for some in (bends, *([b] for b in bends)):
            other = _all_changed(fans, way, start, end, some)
            found = _pulled(v, start, end, other) if other is not None else (length, bends, places)
            if other is not None and found[0] < length - 1e-12:
                way, (length, bends, places) = other, found
                break
        else:
            break
    return np.array(way, dtype=np.int64).reshape(-1, 2), np.array(places)


def _all_changed(fans: _Fans, way: list[Edge], start: int, end: int, bends: list[int]) -> list[Edge] | None:
    """Return the way on the other side of as many of its bends as do not meddle with each other."""
    free, changed = len(way), False
    for vertex in reversed(bends):
        first, last = _run(way, vertex)
        if last >= free:
            continue
        other = _changed(fans, way, start, end, vertex, (first, last))
        if other is not None:
            way, free, changed = other, first, True
    return way if changed else None


def _run(way: list[Edge], vertex: int) -> tuple[int, int]:
    """Return the longest stretch of edges that meet at a vertex, from … to (not included)."""
    on = [vertex in edge for edge in way]
    first = on.index(True)
    last = first
    while last < len(way) and on[last]:
        last += 1
    return first, last


def _changed(
    fans: _Fans, way: list[Edge], start: int, end: int, vertex: int, run: tuple[int, int]
) -> list[Edge] | None:
    first, last = run
    spokes = [b if a == vertex else a for a, b in way[first:last]]
    before, after = (way[first - 1] if first else (start,)), (way[last] if last < len(way) else (end,))
    entry = next((x for x in before if x != spokes[0]), None)
    leave = next((x for x in after if x != spokes[-1]), None)
    if entry is None or leave is None or vertex in before or vertex in after:
        return None
    others = fans.other_side(vertex, spokes, entry, leave)
    if others is None:
        return None
    fresh = [(vertex, x) for x in others]
    if first == 0:
        fresh = [e for e in fresh if start not in e]
    if last == len(way):
        fresh = [e for e in fresh if end not in e]
    made = way[:first] + fresh + way[last:]
    if not made or len({frozenset(e) for e in made}) < len(made):
        return None
    return made if all(_share(a, b) for a, b in pairwise(made)) else None


def _share(a: Edge, b: Edge) -> bool:
    return len(set(a) & set(b)) == 1


def _pulled(v: Floats, start: int, end: int, way: list[Edge]) -> tuple[float, list[int], list[float]]:
    """Return the length of the shortest way across edges, the vertices it bends at, and its place on each edge."""
    left, right = [way[0][0]], [way[0][1]]
    for a, b in way[1:]:
        if left[-1] in (a, b):
            left.append(left[-1])
            right.append(b if a == left[-1] else a)
        else:
            right.append(right[-1])
            left.append(b if a == right[-1] else a)
    flat = _unrolled(v, start, end, left, right)
    line = _funnel(flat, left, right)
    bends = [vertex for _, vertex in line[1:-1]]
    places: list[float] = []
    length = sum(_apart(p, q) for (p, _), (q, _) in pairwise(line))
    piece = 0
    for (a, _), (p, q), to_left in zip(way, flat[1:-1], left, strict=True):
        share = 0.5
        for k in range(piece, len(line) - 1):
            cut = _crossing(line[k][0], line[k + 1][0], p, q)
            if cut is not None:
                share, piece = cut, k
                break
        places.append(share if a == to_left else 1 - share)
    return length, list(dict.fromkeys(bends)), places


def _unrolled(v: Floats, start: int, end: int, left: list[int], right: list[int]) -> list[tuple[Flat, Flat]]:
    """Return each edge's ends laid out in the plane, left first; the first and last entries are start and end."""

    def size(a: int, b: int) -> float:
        return float(np.sqrt(((v[a] - v[b]) ** 2).sum()))

    def beyond(p: Flat, q: Flat, dp: float, dq: float, away: float) -> Flat:
        """The point so far from p and q, on the side ``away`` of the line from p to q."""
        base = max(_apart(p, q), 1e-300)
        along = (dp * dp - dq * dq + base * base) / (2 * base)
        up = max(dp * dp - along * along, 0.0) ** 0.5 * away
        ux, uy = (q[0] - p[0]) / base, (q[1] - p[1]) / base
        return (p[0] + along * ux - up * uy, p[1] + along * uy + up * ux)

    p: Flat = (0.0, 0.0)
    q: Flat = (size(left[0], right[0]), 0.0)
    s = beyond(p, q, size(left[0], start), size(right[0], start), -1.0)
    out = [(s, s), (p, q)]
    for k in range(1, len(left)):
        l0, r0 = left[k - 1], right[k - 1]
        if left[k] == l0:
            q = beyond(p, q, size(l0, right[k]), size(r0, right[k]), 1.0)
        else:
            p = beyond(p, q, size(l0, left[k]), size(r0, left[k]), 1.0)
        out.append((p, q))
    e = beyond(p, q, size(left[-1], end), size(right[-1], end), 1.0)
    return [*out, (e, e)]


def _apart(p: Flat, q: Flat) -> float:
    return float(((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2) ** 0.5)


def _turn(a: Flat, b: Flat, c: Flat) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _funnel(flat: list[tuple[Flat, Flat]], left: list[int], right: list[int]) -> list[tuple[Flat, int]]:
    """Return the corners of the shortest line through doors in the plane, with the vertex of each; −1 at its ends."""
    lefts, rights = [-1, *left, -1], [-1, *right, -1]
    apex, line = 0, [(flat[0][0], -1)]
    at = flat[0][0]
    li = ri = 0
    pl, pr = flat[0]
    k = 1
    while k < len(flat):
        nl, nr = flat[k]
        if _turn(at, pr, nr) >= 0:  # the right side closes in
            if at == pr or _turn(at, pl, nr) < 0:
                pr, ri = nr, k
            elif lefts[li] < 0:
                break
            else:
                line.append((pl, lefts[li]))
                at, apex = pl, li
                pr, ri, k = at, apex, apex + 1
                pl, li = at, apex
                continue
        if _turn(at, pl, nl) <= 0:
            if at == pl or _turn(at, pr, nl) > 0:
                pl, li = nl, k
            elif rights[ri] < 0:
                break
            else:
                line.append((pr, rights[ri]))
                at, apex = pr, ri
                pl, li, k = at, apex, apex + 1
                pr, ri = at, apex
                continue
        k += 1
    line.append((flat[-1][0], -1))
    return line


def _crossing(a: Flat, b: Flat, p: Flat, q: Flat) -> float | None:
    """Return where the piece a–b meets the door p–q, from p (0) to q (1), or nothing."""
    dx, dy, ex, ey = b[0] - a[0], b[1] - a[1], q[0] - p[0], q[1] - p[1]
    det = dx * ey - dy * ex
    size = max(_apart(a, b) * _apart(p, q), 1e-300)
    if abs(det) < 1e-12 * size:
        return None
    s = ((p[0] - a[0]) * ey - (p[1] - a[1]) * ex) / det
    r = ((p[0] - a[0]) * dy - (p[1] - a[1]) * dx) / det
    if -1e-7 <= s <= 1 + 1e-7 and -1e-7 <= r <= 1 + 1e-7:
        return min(max(r, 0.0), 1.0)
    return None
