"""Overlapping passes of a scanner: sheets that lie on the kept one within a few tenths of a millimetre.

A sheet that lies on another nearly everywhere says nothing new and is left out. One that lies on it in part and reaches
beyond cannot be joined here: the two do not share a single point; merging passes belongs to the scanner's program.
"""

from __future__ import annotations

from dataclasses import dataclass

import igl
import numpy as np
from scipy.spatial import cKDTree

from bagside.geometry.surface import Floats, Ints

APART = 0.0005  # [m] sheets no further apart are passes over the same surface; three times the noise comes on top
MOST_APART = 0.0015  # [m] a sheet of metal is thicker
COVERED = 0.9  # share of a sheet that must lie on the other
TOUCHED = 0.1  # below this share two sheets only meet at their edges
SAMPLES = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Passes:
    """Sheets that lie on a chosen one.

    Parameters
    ----------
    within
        Numbers of the sheets that lie on it nearly everywhere.
    beyond
        Numbers of the sheets that lie on it in part and reach beyond.
    area
        Of the sheets within [m²].
    """

    within: tuple[int, ...]
    beyond: tuple[int, ...]
    area: float


def passes_over(vertices: Floats, triangles: Ints, of: Ints, areas: Floats, chosen: int, noise: float) -> Passes:
    """Return which sheets of a mesh are further passes over one of them.

    Parameters
    ----------
    vertices, triangles
        The mesh, shapes (n, 3) [m] and (m, 3).
    of
        The sheet each triangle belongs to, shape (m,).
    areas
        Area of each sheet [m²].
    chosen
        The sheet to compare with.
    noise
        Of the scan, root mean square [m].

    Notes
    -----
    Compared at corners of the triangles of each sheet, about 20 000 in all: how far they lie from the chosen one.
    Sheets of fewer than four triangles are too small to tell.
    """
    size = np.bincount(of, minlength=len(areas))
    others = np.flatnonzero((size >= 4) & (np.arange(len(areas)) != chosen))
    if len(others) == 0:
        return Passes(within=(), beyond=(), area=0.0)
    reach = min(APART + 3 * noise, MOST_APART)
    own = triangles[of == chosen]
    used = np.zeros(len(vertices), dtype=np.bool_)
    used[own] = True
    points = np.flatnonzero(used)
    corner = vertices[own[:: max(1, len(own) // SAMPLES)]]
    longest = float(np.sqrt(((corner - np.roll(corner, 1, axis=1)) ** 2).sum(axis=2).max(initial=0.0)))
    near = np.isin(of, others)
    sheet = of[near]
    at = vertices[triangles[near, 0]]
    step = max(1, len(at) // SAMPLES)
    at, sheet = at[::step], sheet[::step]
    tree = cKDTree(at)
    away, _ = tree.query(vertices[points], distance_upper_bound=reach + longest)
    used[:] = False
    used[points[np.isfinite(away)]] = True
    close = own[used[own].any(axis=1)]
    off = np.full(len(at), np.inf)
    if len(close):
        squared, _, _ = igl.point_mesh_squared_distance(
            np.ascontiguousarray(at), np.ascontiguousarray(vertices), np.ascontiguousarray(close)
        )
        off = np.sqrt(np.atleast_1d(np.asarray(squared, dtype=np.float64)))
    on = off < reach
    total = np.bincount(sheet, minlength=len(areas))
    share = np.bincount(sheet, weights=on, minlength=len(areas)) / np.maximum(total, 1)
    within = [int(k) for k in others if total[k] and share[k] >= COVERED]
    beyond = [int(k) for k in others if total[k] and TOUCHED <= share[k] < COVERED]
    return Passes(within=tuple(within), beyond=tuple(beyond), area=float(areas[within].sum()) if within else 0.0)
