"""Cutting a surface along an outline seen along a sight, corner by corner.

Every corner of the outline becomes a vertex of each layer of surface it is seen on, and every edge is divided where the
outline crosses it; then each triangle lies on one side. Seen along the sight a triangle is flat, so this is exact: an
outline may be narrower than the triangles, re-entrant, or run over an upright wall.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.errors import InputError, NotSolved
from bagside.geometry.outline import axes, outline_polygon
from bagside.geometry.splitting import SNAP, Split, inserted, split_edges
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import sides
from bagside.spec.region import Outline

SIMPLE = 5e-6  # [m] corners that bend an outline less than this are left out
UPRIGHT = 1e-8  # [m] an edge seen shorter than this stands along the sight: it is not crossed
PASSES = 60


def in_prism(surface: Surface, outline: Outline, place: str) -> tuple[Split, NDArray[np.bool_]]:
    """Return the surface cut along an outline seen along its sight, and which triangles lie inside, shape (m,).

    Parameters
    ----------
    surface
        The surface.
    outline
        The outline.
    place
        Where it is stated, for messages.

    Raises
    ------
    InputError
        When the outline lacks what its shape needs, crosses itself or has no area.
    NotSolved
        When edges are still crossed after many rounds of dividing.
    """
    try:
        ring = shapely.LinearRing(outline_polygon(outline))
    except ValueError as error:
        raise InputError.one(place, outline.shape.value, str(error)) from None
    area = shapely.Polygon(ring)
    if not area.is_valid or area.area <= 0:
        raise InputError.one(place, outline.shape.value, "the outline crosses itself or has no area")
    corners = shapely.get_coordinates(ring.simplify(SIMPLE))[:-1]
    frame = axes(outline)
    flat = surface.vertices @ frame[:2].T
    split, _ = inserted(surface, _below_corners(surface, flat, corners))
    segments = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    tree = shapely.STRtree(shapely.linestrings(segments))
    suspect = np.ones(len(split.surface.triangles), dtype=np.bool_)
    for _ in range(PASSES):
        now = split.surface
        edges, share = _crossings(now.vertices @ frame[:2].T, now.triangles[suspect], segments, tree)
        if len(edges) == 0:
            break
        step = split_edges(now, edges, share)
        suspect = (np.bincount(step.parent, minlength=len(now.triangles)) > 1)[step.parent]
        split = split.then(step)
    else:
        raise NotSolved(f"{place}: the outline cannot be followed over the surface")
    middle = split.surface.centroids @ frame[:2].T
    shapely.prepare(area)
    return split, np.asarray(shapely.contains_xy(area, middle[:, 0], middle[:, 1]), dtype=np.bool_)


def _below_corners(surface: Surface, flat: Floats, corners: Floats) -> Floats:
    """Return every point of the surface that is seen at a corner of the outline, shape (k, 3) [m]."""
    seen = flat[surface.triangles]
    low, high = seen.min(axis=1), seen.max(axis=1)
    tree = shapely.STRtree(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    which, triangle = tree.query(shapely.points(corners))
    u, v = seen[triangle, 1] - seen[triangle, 0], seen[triangle, 2] - seen[triangle, 0]
    double = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    flat_enough = np.abs(double) > 1e-6 * 2 * surface.areas[triangle]
    which, triangle, u, v, double = (a[flat_enough] for a in (which, triangle, u, v, double))
    w = corners[which] - seen[triangle, 0]
    b = (w[:, 0] * v[:, 1] - w[:, 1] * v[:, 0]) / double
    c = (u[:, 0] * w[:, 1] - u[:, 1] * w[:, 0]) / double
    weight = np.stack([1 - b - c, b, c], axis=1)
    inside = (weight >= -1e-9).all(axis=1)
    points = (weight[inside][:, :, None] * surface.corners[triangle[inside]]).sum(axis=1)
    if len(points) == 0:
        return np.zeros((0, 3))
    _, first = np.unique(np.round(points, 9), axis=0, return_index=True)
    out: Floats = points[np.sort(first)]
    return out


def _crossings(flat: Floats, triangles: Ints, segments: Floats, tree: shapely.STRtree) -> tuple[Ints, Floats]:
    """Return edges that the outline crosses away from their ends, and where; one place for each."""
    _, _, edges = sides(triangles)
    ends = flat[edges]
    low, high = ends.min(axis=1), ends.max(axis=1)
    corner = segments[:, 0]
    close = ((low <= corner.max(axis=0)) & (high >= corner.min(axis=0))).all(axis=1)
    edges, ends, low, high = edges[close], ends[close], low[close], high[close]
    which, segment = tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    p, q = ends[which, 0], ends[which, 1] - ends[which, 0]
    a, d = segments[segment, 0], segments[segment, 1] - segments[segment, 0]
    det = q[:, 0] * d[:, 1] - q[:, 1] * d[:, 0]
    seen = np.linalg.norm(q, axis=1)
    long = seen * np.linalg.norm(d, axis=1)
    w = a - p
    with np.errstate(divide="ignore", invalid="ignore"):
        s = (w[:, 0] * d[:, 1] - w[:, 1] * d[:, 0]) / det
        r = (w[:, 0] * q[:, 1] - w[:, 1] * q[:, 0]) / det
    hit = (np.abs(det) > 1e-9 * long) & (seen > UPRIGHT) & (s > SNAP) & (s < 1 - SNAP) & (r > -1e-9) & (r < 1 + 1e-9)
    _, first = np.unique(which[hit], return_index=True)
    chosen = np.flatnonzero(hit)[first]
    return edges[which[chosen]], s[chosen]
