"""Overlapping passes of a scanner: sheets that lie on the kept one within a few tenths of a millimetre.

A sheet that lies on another nearly everywhere says nothing new and is left out. One that lies on it in part and reaches
beyond cannot be joined here: the two do not share a single point; merging passes belongs to the scanner's program.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from bagside.geometry.surface import Floats, Ints

APART = 0.0005  # [m] sheets no further apart are passes over the same surface; four times the noise when that is more
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
    Compared at the vertices of each sheet, up to 20 000 in all: the height over the plane at the nearest vertex of the
    chosen one. Sheets of fewer than four triangles are too small to tell.
    """
    size = np.bincount(of, minlength=len(areas))
    others = np.flatnonzero((size >= 4) & (np.arange(len(areas)) != chosen))
    if len(others) == 0:
        return Passes(within=(), beyond=(), area=0.0)
    reach = min(max(APART, 4 * noise), MOST_APART)
    own = triangles[of == chosen]
    mask = np.zeros(len(vertices), dtype=np.bool_)
    mask[own] = True
    used = np.flatnonzero(mask)
    corner = vertices[own[:: max(1, len(own) // SAMPLES)]]
    across = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    edge = float(np.sqrt(np.median(np.linalg.norm(across, axis=1))))
    near = np.isin(of, others)
    sheet = of[near]
    at = vertices[triangles[near, 0]]
    step = max(1, len(at) // SAMPLES)
    at, sheet = at[::step], sheet[::step]
    around = reach + 1.5 * edge
    tree = cKDTree(vertices[used], balanced_tree=False, compact_nodes=False)
    _, hits = tree.query(at, k=min(8, len(used)), distance_upper_bound=around)
    hits = hits.reshape(len(at), -1)
    found = hits < len(used)
    mask[:] = False
    mask[used[hits[found]]] = True
    normal = _normals(vertices, own[mask[own].any(axis=1)])
    place = np.where(found, used[np.minimum(hits, len(used) - 1)], 0)
    # the plane through the mean of the nearest vertices: noise of a single one would hide the distance
    weight = found.astype(np.float64)
    count = weight.sum(axis=1)
    middle = (vertices[place] * weight[:, :, None]).sum(axis=1) / np.maximum(count, 1)[:, None]
    lean = np.einsum("ikj,ij->ik", normal[place], normal[place[:, 0]])  # a patch may be wound the other way
    up = (normal[place] * (weight * np.where(lean < 0, -1.0, 1.0))[:, :, None]).sum(axis=1)
    up /= np.maximum(np.linalg.norm(up, axis=1, keepdims=True), 1e-300)
    on = (count > 0) & (np.abs(np.einsum("ij,ij->i", at - middle, up)) < reach)
    total = np.bincount(sheet, minlength=len(areas))
    share = np.bincount(sheet, weights=on, minlength=len(areas)) / np.maximum(total, 1)
    within = [int(k) for k in others if total[k] and share[k] >= COVERED]
    beyond = [int(k) for k in others if total[k] and TOUCHED <= share[k] < COVERED]
    return Passes(within=tuple(within), beyond=tuple(beyond), area=float(areas[within].sum()) if within else 0.0)


def _normals(vertices: Floats, triangles: Ints) -> Floats:
    """Return area-weighted unit normals at the vertices of some triangles, as they are wound."""
    c = vertices[triangles]
    across = np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0])
    out = np.zeros_like(vertices)
    for k in range(3):
        for x in range(3):
            out[:, x] += np.bincount(triangles[:, k], weights=across[:, x], minlength=len(vertices))
    result: Floats = out / np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-300)
    return result
