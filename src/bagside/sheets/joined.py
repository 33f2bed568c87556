"""Joins as they lie on the mould: from the flat piece's axes back onto the surface, and how far apart they are.

Seams are kept in cloth axes, where they are cut. What a person sees on the mould is the same line carried back through
the drape; it is exact at the corners of triangles and straight between.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from bagside import geometry
from bagside.cutting import PieceSeam
from bagside.geometry import Surface
from bagside.sheets.seam_marks import overlap_band

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

ON_RIM = 0.25  # of the median edge: nearer than this a vertex lies on the join line
STEP = 0.001  # [m] between points of a line when distances are taken


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JoinLine:
    """A join on the mould.

    Parameters
    ----------
    ply
        Its number, 1 on the mould.
    name
        Its letter.
    points
        Shape (k, 3) [m].
    """

    ply: int
    name: str
    points: Floats

    @property
    def length(self) -> float:
        """Along the mould [m]."""
        return float(np.linalg.norm(np.diff(self.points, axis=0), axis=1).sum())


def lifted(surface: Surface, uv: Floats, flat: Floats) -> Floats:
    """Return points of the flat piece as they lie on the mould, shape (k, 3) [m].

    Parameters
    ----------
    surface
        The piece.
    uv
        Cloth coordinates of its vertices, shape (n, 2) [m].
    flat
        Points in cloth axes, shape (k, 2) [m].

    Notes
    -----
    A point beside the piece is taken to the nearest point on its rim.
    """
    points = np.atleast_2d(np.asarray(flat, dtype=np.float64))
    sheet = Surface(np.column_stack([uv, np.zeros(len(uv))]), surface.triangles)
    _, triangle, closest = geometry.nearest(sheet, np.column_stack([points, np.zeros(len(points))]))
    weights = geometry.barycentric(sheet, triangle, closest)
    out: Floats = np.einsum("ki,kij->kj", weights, surface.corners[triangle])
    return out


def overlap_on(surface: Surface, uv: Floats, outline: Floats, seams: Sequence[PieceSeam]) -> tuple[Floats, Flags]:
    """Return where a piece lies on its neighbours, and where its rim lies under them.

    Parameters
    ----------
    surface
        The piece.
    uv
        Cloth coordinates of its vertices, shape (n, 2) [m].
    outline
        Of the flat piece, shape (k, 2) [m].
    seams
        Its sides of joins.

    Returns
    -------
    tuple of arrays
        How far each vertex lies past a join line, negative before it, shape (n,) [m]; whether it lies on the join line
        under a neighbour's overlap, shape (n,).
    """
    past = np.full(len(uv), -np.inf)
    under = np.zeros(len(uv), dtype=np.bool_)
    near = ON_RIM * surface.edge_length
    points = shapely.points(uv)
    shape = shapely.Polygon(outline)
    for seam in seams:
        away = shapely.distance(shapely.LineString(seam.line), points)
        if seam.join == "butt" or seam.width <= 0.0 or seam.dart:
            continue  # the flap of a dart is cut, but it is no part of the surface the piece covers
        if seam.over:
            band = overlap_band(seam, shape).buffer(0.1 * near)
            shapely.prepare(band)
            past = np.maximum(past, np.where(shapely.contains(band, points), away, -away))
        else:
            under |= away < near
    return np.where(np.isfinite(past), past, -1.0), under


def least_apart(one: Sequence[JoinLine], other: Sequence[JoinLine]) -> float:
    """Return the least distance between two plies' joins, in a straight line [m]; infinite when one has none.

    Parameters
    ----------
    one, other
        Joins of two plies.
    """
    if not one or not other:
        return float("inf")
    tree = cKDTree(np.concatenate([_dense(line.points) for line in one]))
    distance, _ = tree.query(np.concatenate([_dense(line.points) for line in other]))
    return float(distance.min())


def _dense(points: Floats) -> Floats:
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    run = np.concatenate([[0.0], np.cumsum(step)])
    at = np.unique(np.concatenate([run, np.arange(0.0, run[-1], STEP)]))
    return np.column_stack([np.interp(at, run, points[:, k]) for k in range(3)])
