"""Overlaps: a piece grown past its join lines by a distance measured over the surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.geometry import Surface
from bagside.geometry.splitting import split_level
from bagside.geometry.surface import Floats, Ints
from bagside.geometry.topology import parted, parts


@dataclass(frozen=True, slots=True, eq=False)
class Rim:
    """A ply before and after it is cut open, and which piece each triangle belongs to.

    Parameters
    ----------
    mesh
        The ply with the cuts as edges.
    opened
        The same triangles, cut open.
    origin
        Vertex of ``mesh`` of each vertex of ``opened``, shape (n,).
    of
        Piece of each triangle, −1 for crumbs, shape (m,).
    """

    mesh: Surface
    opened: Surface
    origin: Ints
    of: Ints

    def triangles_beside(self, way: Ints) -> tuple[Ints, Ints]:
        """Return the triangles left and right of each edge of a way, −1 beyond the rim, each shape (k − 1,).

        Parameters
        ----------
        way
            Vertices of ``mesh``, neighbours joined by edges, shape (k,).
        """
        t, n = self.mesh.triangles, len(self.mesh.vertices)
        m = len(t)
        key = np.concatenate([t[:, 0] * n + t[:, 1], t[:, 1] * n + t[:, 2], t[:, 2] * n + t[:, 0]])
        order = np.argsort(key)

        def found(wanted: Ints) -> Ints:
            at = np.minimum(np.searchsorted(key[order], wanted), len(key) - 1)
            out: Ints = np.where(key[order][at] == wanted, order[at] % m, -1)
            return out

        return found(way[:-1] * n + way[1:]), found(way[1:] * n + way[:-1])

    def beside(self, way: Ints) -> tuple[Ints, Ints]:
        """Return the pieces left and right of each edge of a way, −1 where there is none, each shape (k − 1,).

        Parameters
        ----------
        way
            Vertices of ``mesh``, neighbours joined by edges, shape (k,).
        """
        left, right = self.triangles_beside(way)
        return np.where(left >= 0, self.of[left], -1), np.where(right >= 0, self.of[right], -1)

    def part(self, piece: int) -> Surface:
        """Return one piece alone.

        Parameters
        ----------
        piece
            Its number.
        """
        return self.opened.selected(self.of == piece)

    def lip(self, way: Ints, piece: int) -> dict[int, int]:
        """Return the vertex of ``opened`` that a piece has at each vertex of a way along it.

        Parameters
        ----------
        way
            Vertices of ``mesh``, neighbours joined by edges, shape (k,).
        piece
            The piece on one of its sides.
        """
        out: dict[int, int] = {}
        for triangles in self.triangles_beside(way):
            for i, t in enumerate(triangles.tolist()):
                if t >= 0 and self.of[t] == piece:
                    for vertex in self.opened.triangles[t].tolist():
                        old = int(self.origin[vertex])
                        if old in (way[i], way[i + 1]):
                            out.setdefault(old, vertex)
        return out


def overlapped(rim: Rim, piece: int, stretches: Sequence[tuple[Ints, int, float]]) -> Surface:
    """Return a piece grown over its neighbours.

    Parameters
    ----------
    rim
        The ply cut open.
    piece
        Which piece grows.
    stretches
        Of its join lines: vertices of ``rim.mesh`` along it, the piece on the other side, the width [m].

    Notes
    -----
    Distances are measured over the neighbour's own surface, from points of the join line.
    """
    opened = rim.opened
    vertices: list[Floats] = [opened.vertices]
    triangles: list[Ints] = [opened.triangles[rim.of == piece]]
    total = len(opened.vertices)
    for other in sorted({o for _, o, _ in stretches}):
        chosen = rim.of == other
        used = np.unique(opened.triangles[chosen])
        place = np.full(len(opened.vertices), -1, dtype=np.int64)
        place[used] = np.arange(len(used))
        sheet = Surface(opened.vertices[used], place[opened.triangles[chosen]])
        field = np.full(len(used), np.inf)
        glue: dict[int, int] = {}
        for way, onto, width in stretches:
            if onto != other:
                continue
            theirs, mine = rim.lip(way, other), rim.lip(way, piece)
            source = place[np.array(sorted(theirs.values()), dtype=np.int64)]
            far = geometry.distance(sheet, vertices=source, reach=1.5 * width + 2 * sheet.edge_length)
            field = np.minimum(field, np.where(np.isfinite(far), far, 1e3) - width)
            glue |= {int(place[theirs[k]]): mine[k] for k in theirs if k in mine}
        split, value = split_level(sheet, field, 0.0)
        corner = value[split.surface.triangles]
        near: NDArray[np.bool_] = corner.max(axis=1) <= 1e-12
        number = total + np.arange(len(split.surface.vertices))
        for theirs_at, mine_at in glue.items():
            number[theirs_at] = mine_at
        vertices.append(split.surface.vertices)
        triangles.append(number[split.surface.triangles[near]])
        total += len(split.surface.vertices)
    joined = np.concatenate(triangles)
    whole = Surface(np.concatenate(vertices), joined).selected(np.ones(len(joined), dtype=np.bool_))
    v, t, _ = parted(whole.vertices, whole.triangles)
    whole = Surface(v, t)
    count, of = parts(t, len(v))
    if count > 1:
        whole = whole.selected(of == np.bincount(of, weights=whole.areas).argmax())
    return whole
