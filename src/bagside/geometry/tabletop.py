"""A table in the scan: a large flat part that the mould stands on or is set in.

A scan does not say what is mould and what is table. A flat part that is large, holds most of the rim and has nothing
below it is called one, with its place; whether it is a table or the mould's own flange is for a person to say.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside.geometry.regions import components, cut
from bagside.geometry.surface import Floats, Surface

LEAST = 0.3  # share of the area that is flat together
BESIDE = 0.02  # share of the area that must not lie in the plane: a flat panel is no table
RIM = 0.6  # share of the rim that lies in the plane
BELOW = 0.02  # share of the area that may lie below it
THICK = 0.0005  # [m] what counts as in the plane, or four times the noise
LEAN = 0.985  # cosine of 10°: normals of a flat part
CLEAR = 0.002  # [m] above the table begins the mould when nothing is stated


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A large flat part under or around the mould.

    Parameters
    ----------
    point, normal
        A point in its plane [m], and its normal, up towards the mould.
    area, share
        Of the surface in that plane [m²], and as a share of the whole.
    """

    point: tuple[float, float, float]
    normal: tuple[float, float, float]
    area: float
    share: float


def table_of(surface: Surface, noise: float = 0.0) -> Table | None:
    """Return the table in a surface, or nothing.

    Parameters
    ----------
    surface
        The surface, wound so that normals point to the laminate.
    noise
        Its noise, root mean square [m].

    Notes
    -----
    The plane with most area is sought among the commonest directions of normals, to about 1 mm. A warped table, one
    seen only in patches of less than a third of the area together, and one with parts of the mould below it are not
    recognised.
    """
    if len(surface.triangles) == 0 or not surface.loops:
        return None
    thick = max(THICK, 4 * noise)
    plane = _largest_plane(surface, thick)
    if plane is None:
        return None
    point, normal = plane
    height = (surface.centroids - point) @ normal
    flat = (np.abs(height) < thick) & (surface.normals @ normal > (LEAN if noise < THICK / 10 else 0.7))
    area = float(surface.areas[flat].sum())
    standing = float(surface.areas[height > max(CLEAR, 2 * thick)].sum())
    under = float(surface.areas[height < -max(CLEAR, 2 * thick)].sum())
    rim = surface.loops[0]
    on_rim = float((np.abs((surface.vertices[rim] - point) @ normal) < 2 * thick).mean())
    whole = surface.area
    if area < LEAST * whole or standing < BESIDE * whole or under > BELOW * whole or on_rim < RIM:
        return None
    x, y, z = (float(c) for c in point)
    a, b, c = (float(n) for n in normal)
    return Table(point=(x, y, z), normal=(a, b, c), area=area, share=area / whole)


def _largest_plane(surface: Surface, thick: float) -> tuple[Floats, Floats] | None:
    weight, normals = surface.areas, surface.normals
    best: tuple[float, Floats, Floats] | None = None
    key = np.round(normals * 4).astype(np.int64) + 4
    code = key @ np.array([81, 9, 1])
    total = np.bincount(code, weights=weight, minlength=729)
    for chosen in np.argsort(-total, kind="stable")[:8]:
        if total[chosen] < 0.02 * surface.area:
            break
        way = (weight[code == chosen, None] * normals[code == chosen]).sum(axis=0)
        for _ in range(3):  # settle on the mean of the normals within 15°
            way = way / max(float(np.linalg.norm(way)), 1e-300)
            near = normals @ way > 0.966
            if not near.any():
                break
            way = (weight[near, None] * normals[near]).sum(axis=0)
        way = way / max(float(np.linalg.norm(way)), 1e-300)
        near = normals @ way > 0.95
        if not near.any():
            continue
        height = surface.centroids[near] @ way
        low = float(height.min())
        step = np.floor((height - low) / (2 * thick)).astype(np.int64)
        kinds, slot = np.unique(step, return_inverse=True)
        heap = np.bincount(slot.reshape(-1), weights=weight[near])
        level = low + (int(kinds[int(heap.argmax())]) + 0.5) * 2 * thick
        point = level * way
        for _ in range(4):  # least squares on what lies close
            close = (np.abs((surface.centroids - point) @ way) < 2 * thick) & (normals @ way > 0.7)
            if int(close.sum()) < 3:
                break
            at, w = surface.centroids[close], weight[close]
            point = (w[:, None] * at).sum(axis=0) / w.sum()
            spread = ((at - point) * w[:, None]).T @ (at - point)
            fresh = np.linalg.eigh(spread)[1][:, 0]
            way = fresh if fresh @ way > 0 else -fresh
        close = (np.abs((surface.centroids - point) @ way) < thick) & (normals @ way > 0.7)
        found = float(weight[close].sum())
        if best is None or found > best[0]:
            best = (found, point, way)
    return None if best is None else (best[1], best[2])


def off_table(surface: Surface, table: Table, above: float = CLEAR) -> Surface:
    """Return the largest part of a surface that stands above a table.

    Parameters
    ----------
    surface
        The surface.
    table
        From `table_of`.
    above
        Height above it where the surface is cut [m].

    Raises
    ------
    ValueError
        When nothing stands so high.
    """
    height = (surface.vertices - np.array(table.point)) @ np.array(table.normal)
    kept = cut(surface, -height, -above)
    if len(kept.triangles) == 0:
        raise ValueError(f"nothing stands more than {1000 * above:.1f} mm above the table")
    return components(kept)[0]
