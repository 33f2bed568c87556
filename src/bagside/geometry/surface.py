"""The one clean surface everything else is worked out on.

A `Surface` is triangles that share vertices, wound so that normals point away from the mould, towards the bag.
Reading, mending and orienting happen before one is made (`readers`, `mend`); a `Surface` only refuses what would make
every later number wrong: indices out of range and coordinates that are not finite.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Surface:
    """A triangle surface in the mould's own axes.

    Parameters
    ----------
    vertices
        Positions, shape (n, 3) [m].
    triangles
        Vertex indices, shape (m, 3); counter-clockwise seen from the laminate side.

    Raises
    ------
    ValueError
        When shapes are wrong, an index is out of range or a coordinate is not finite.
    """

    vertices: Floats
    triangles: Ints

    def __post_init__(self) -> None:
        """Make the arrays contiguous, of one type and read-only."""
        v = np.array(self.vertices, dtype=np.float64, order="C")
        t = np.array(self.triangles, dtype=np.int64, order="C")
        if v.ndim != 2 or v.shape[1] != 3 or t.ndim != 2 or t.shape[1] != 3:
            raise ValueError(f"vertices {v.shape} and triangles {t.shape} are wanted as (n, 3) and (m, 3)")
        if len(t) and (t.min() < 0 or t.max() >= len(v)):
            raise ValueError("a triangle names a vertex that does not exist")
        if not np.isfinite(v).all():
            raise ValueError("a vertex is not a finite number")
        v.setflags(write=False)
        t.setflags(write=False)
        object.__setattr__(self, "vertices", v)
        object.__setattr__(self, "triangles", t)

    def __getstate__(self) -> dict[str, object]:
        """Return only what was given, so that equal surfaces hash equally in a cache."""
        return {"vertices": self.vertices, "triangles": self.triangles}

    def __reduce_content__(self) -> tuple[Floats, Ints]:
        """Return what a surface counts by when results are kept by content."""
        return (self.vertices, self.triangles)

    def __setstate__(self, state: dict[str, object]) -> None:
        """Restore from what was given."""
        self.__dict__.update(state)

    @cached_property
    def corners(self) -> Floats:
        """Positions of each triangle's corners, shape (m, 3, 3) [m]."""
        out: Floats = self.vertices[self.triangles]
        return out

    @cached_property
    def _cross(self) -> Floats:
        c = self.corners
        u, v = c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]
        out: Floats = np.empty_like(u)
        for k in range(3):
            a, b = (k + 1) % 3, (k + 2) % 3
            out[:, k] = u[:, a] * v[:, b] - u[:, b] * v[:, a]
        return out

    @cached_property
    def areas(self) -> Floats:
        """Area of each triangle, shape (m,) [m²]."""
        out: Floats = 0.5 * np.linalg.norm(self._cross, axis=1)
        return out

    @cached_property
    def area(self) -> float:
        """Total area [m²]."""
        return float(self.areas.sum())

    @cached_property
    def normals(self) -> Floats:
        """Unit normal of each triangle, shape (m, 3)."""
        length = np.linalg.norm(self._cross, axis=1, keepdims=True)
        out: Floats = self._cross / np.where(length > 0, length, 1.0)
        return out

    @cached_property
    def vertex_normals(self) -> Floats:
        """Unit normal at each vertex, weighted by the angles that meet there, shape (n, 3)."""
        c = self.corners
        edge = [c[:, 1] - c[:, 0], c[:, 2] - c[:, 1], c[:, 0] - c[:, 2]]
        sine = 2 * self.areas
        out = np.zeros_like(self.vertices)
        for k in range(3):
            angle = np.arctan2(sine, -np.einsum("ij,ij->i", edge[k], edge[k - 1]))
            for x in range(3):
                out[:, x] += np.bincount(self.triangles[:, k], angle * self.normals[:, x], len(out))
        length = np.linalg.norm(out, axis=1, keepdims=True)
        result: Floats = out / np.where(length > 0, length, 1.0)
        return result

    @cached_property
    def centroids(self) -> Floats:
        """Centroid of each triangle, shape (m, 3) [m]."""
        out: Floats = self.corners.mean(axis=1)
        return out

    @cached_property
    def edges(self) -> Ints:
        """Each edge once as a pair of vertex indices, smaller first, shape (e, 2)."""
        t = self.triangles
        first, second = t.T.ravel(), t[:, [1, 2, 0]].T.ravel()
        key = np.sort(np.minimum(first, second) * len(self.vertices) + np.maximum(first, second))
        key = key[np.concatenate([[True], key[1:] != key[:-1]])] if len(key) else key
        out: Ints = np.stack([key // len(self.vertices), key % len(self.vertices)], axis=1)
        return out

    @cached_property
    def edge_length(self) -> float:
        """Median edge length [m]."""
        e = self.edges
        return float(np.median(np.linalg.norm(self.vertices[e[:, 0]] - self.vertices[e[:, 1]], axis=1)))

    @cached_property
    def loops(self) -> tuple[Ints, ...]:
        """Boundary loops as vertex indices, surface on the left seen from the laminate side; longest first.

        Raises
        ------
        ValueError
            When the boundary touches itself at a vertex, or triangles there are not wound alike, so that loops are not
            defined.
        """
        t = self.triangles
        first, second = t.T.ravel(), t[:, [1, 2, 0]].T.ravel()
        key = np.minimum(first, second) * len(self.vertices) + np.maximum(first, second)
        ordered = np.sort(key)
        same = ordered[1:] == ordered[:-1]
        alone = ordered[~(np.concatenate([[False], same]) | np.concatenate([same, [False]]))] if len(key) else key
        place = np.minimum(np.searchsorted(alone, key), max(len(alone) - 1, 0))
        on = np.flatnonzero(alone[place] == key) if len(alone) else np.zeros(0, dtype=np.int64)
        on = on[np.argsort(key[on], kind="stable")]
        rim = np.stack([first[on], second[on]], axis=1)
        if len(np.unique(rim[:, 0])) != len(rim):
            raise ValueError("the boundary touches itself at a vertex")
        if not np.array_equal(np.sort(rim[:, 0]), np.sort(rim[:, 1])):
            raise ValueError("triangles at the boundary are not wound alike")
        follow = dict(zip(rim[:, 0].tolist(), rim[:, 1].tolist(), strict=True))
        found: list[Ints] = []
        while follow:
            start, at = follow.popitem()
            loop = [start]
            while at != start:
                loop.append(at)
                at = follow.pop(at)
            found.append(np.array(loop, dtype=np.int64))
        return tuple(sorted(found, key=self._loop_length, reverse=True))

    def _loop_length(self, loop: Ints) -> float:
        p = self.vertices[loop]
        return float(np.linalg.norm(p - np.roll(p, 1, axis=0), axis=1).sum())

    @cached_property
    def size(self) -> Floats:
        """Size of the bounding box along x, y, z, shape (3,) [m]."""
        chosen = np.zeros(len(self.vertices), dtype=np.bool_)
        chosen[self.triangles] = True
        used = self.vertices[chosen]
        out: Floats = used.max(axis=0) - used.min(axis=0)
        return out

    def selected(self, keep: NDArray[np.bool_]) -> Surface:
        """Return the surface of the chosen triangles, without unused vertices.

        Parameters
        ----------
        keep
            Which triangles stay, shape (m,).
        """
        chosen = self.triangles[keep]
        used = np.zeros(len(self.vertices), dtype=np.bool_)
        used[chosen] = True
        place = np.cumsum(used) - 1
        return Surface(self.vertices[used], place[chosen])

    def flipped(self) -> Surface:
        """Return the surface wound the other way round."""
        return Surface(self.vertices, self.triangles[:, ::-1])
