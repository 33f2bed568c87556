"""Distances over the surface, and straight lines on it.

Distances are exact on the triangles (windows of straight lines are carried across edges) from points anywhere; a curve
is followed by points along it so dense that the answer is right to `curve_error`.
"""

from __future__ import annotations

import igl
import numpy as np
from scipy.spatial import cKDTree

from bagside.geometry.locate import barycentric, nearest
from bagside.geometry.numbering import compact
from bagside.geometry.splitting import halved_rim, inserted
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import boundary_sides, parts

HALVINGS = 3  # a boundary edge is followed by eight points
INSIDE = 1e-7  # [m] a vertex this close to a region lies in it


def distance(
    surface: Surface,
    *,
    points: Floats | None = None,
    vertices: Ints | None = None,
    rim: bool = False,
    region: Surface | None = None,
    reach: float = np.inf,
) -> Floats:
    """Return how far each vertex lies from the nearest of several sources, measured over the surface.

    Parameters
    ----------
    surface
        The surface.
    points
        Points anywhere on its triangles, shape (k, 3) [m].
    vertices
        Vertices, shape (k,).
    rim
        Whether every boundary loop, as a curve, is a source.
    region
        A part of the surface, perhaps cut into other triangles: a source as a whole; distance is zero inside it.
    reach
        Distances beyond this are not needed [m]: what comes back there is beyond it too, but not exact.

    Returns
    -------
    array
        Distance, shape (n,) [m]; infinite in parts of the surface that hold no source.

    Notes
    -----
    Exact on the triangles from points and vertices, save that a point closer to an edge than a thousandth of it moves
    onto it; from curves too long by at most (s/2)²/(2 d) at distance d with s an eighth of a boundary edge: 0.01 mm
    beside a 2.5 mm edge, less further away. Time grows faster than the number of triangles within reach: a second for
    10 000, ten for 60 000; state the reach.
    """
    n = len(surface.vertices)
    mesh = halved_rim(surface, HALVINGS) if rim else surface
    sources: list[Ints] = [np.zeros(0, dtype=np.int64)]
    if vertices is not None:
        sources.append(np.asarray(vertices, dtype=np.int64))
    if rim:
        sources.append(np.unique(boundary_sides(mesh.triangles)))
    wanted = [] if points is None else [np.asarray(points, dtype=np.float64).reshape(-1, 3)]
    if region is not None:
        away, _, _ = nearest(region, surface.vertices)
        sources.append(np.flatnonzero(away < INSIDE))
        fine = halved_rim(region, HALVINGS)
        edge = fine.vertices[np.unique(boundary_sides(fine.triangles))]
        off, _, _ = nearest(surface, edge)
        wanted.append(edge[off < 100 * INSIDE])
    if sum(len(p) for p in wanted):
        split, made = inserted(mesh, np.concatenate(wanted))
        mesh = split.surface
        sources.append(made)
    source = np.unique(np.concatenate(sources))
    if len(source) == 0:
        return np.full(n, np.inf)
    found = _exact(mesh, source, reach, filled=region is not None)[:n]
    if region is not None:
        found[away < INSIDE] = 0.0
    return found


def _exact(mesh: Surface, source: Ints, reach: float, *, filled: bool) -> Floats:
    triangles = mesh.triangles
    if np.isfinite(reach):  # no way over the surface is shorter than the straight one
        straight, _ = cKDTree(mesh.vertices[source]).query(mesh.vertices)
        close = straight <= reach
        triangles = triangles[close[triangles].any(axis=1)]
    if filled:  # no shortest way leads through the inside of a region; through a triangle between points one may
        triangles = triangles[~np.isin(triangles, source).all(axis=1)]
    count, part = parts(triangles, len(mesh.vertices))
    fed = np.zeros(count, dtype=np.bool_)  # the solver says zero where no way leads
    fed[part[np.isin(triangles, source).any(axis=1)]] = True
    triangles = triangles[fed[part]]
    out = np.full(len(mesh.vertices), np.inf)
    used, renumbered = compact(triangles, len(mesh.vertices))
    if len(used):
        held = np.flatnonzero(np.isin(used, source))
        none = np.zeros(0, dtype=np.int64)
        found = igl.exact_geodesic(
            np.ascontiguousarray(mesh.vertices[used]),
            np.ascontiguousarray(renumbered),
            held.astype(np.int64),
            none,
            np.arange(len(used), dtype=np.int64),
            none,
        )
        out[used] = np.asarray(found, dtype=np.float64)
    out[source] = 0.0
    return out


def trace(surface: Surface, start: Floats, direction: Floats, length: float) -> tuple[Floats, Ints, Floats]:
    """Return the straight line over the surface from a point in a direction.

    Parameters
    ----------
    surface
        The surface.
    start
        A point on or near it, shape (3,) [m].
    direction
        Where it sets out, shape (3,); the part along the surface counts.
    length
        How far it goes [m]; it ends earlier at a boundary.

    Returns
    -------
    tuple
        Points where it enters and leaves triangles, shape (k + 1, 3) [m]; triangles crossed, shape (k,); barycentric
        weights of where it leaves each, shape (k, 3).

    Raises
    ------
    ValueError
        When the direction stands straight up from the surface there.

    Notes
    -----
    Across an edge the line goes on as if the two triangles lay flat. A line that meets a vertex passes beside it, on
    the side of the triangle it leaves.
    """
    _, found, closest = nearest(surface, np.asarray(start, dtype=np.float64)[None, :])
    at, triangle = closest[0], int(found[0])
    heading = np.asarray(direction, dtype=np.float64)
    heading = heading / max(float(np.linalg.norm(heading)), 1e-300)
    heading = heading - (heading @ surface.normals[triangle]) * surface.normals[triangle]
    size = float(np.linalg.norm(heading))
    if size < 1e-6:
        raise ValueError("the direction stands straight up from the surface")
    heading = heading / size
    neighbour = sides_across(surface)
    left, came = float(length), -1
    path, crossed, weights = [at], [], []
    for _ in range(4 * len(surface.triangles) + 16):
        corner = surface.corners[triangle]
        normal = surface.normals[triangle]
        best, side = np.inf, -1
        for k in range(3):
            a, b = corner[k], corner[(k + 1) % 3]
            outward = np.cross(b - a, normal)
            speed = float(heading @ outward)
            if k == came or speed <= 1e-14 * float(np.linalg.norm(outward)):
                continue
            reach = max(float((a - at) @ outward) / speed, 0.0)
            if reach < best:
                best, side = reach, k
        step = min(best, left)
        at = at + step * heading
        path.append(at)
        crossed.append(triangle)
        weights.append(barycentric(surface, np.array([triangle]), at[None, :])[0])
        left -= step
        if left <= 0 or side < 0 or neighbour[triangle, side] < 0:
            break
        a, b = corner[side], corner[(side + 1) % 3]
        edge = (b - a) / np.linalg.norm(b - a)
        along = float(heading @ edge)
        onto, back = divmod(int(neighbour[triangle, side]), 3)
        across = np.cross(surface.normals[onto], edge)  # points away from the triangle it leaves
        if float(across @ (surface.corners[onto].mean(axis=0) - a)) < 0:
            across = -across
        heading = along * edge + np.sqrt(max(1 - along * along, 0.0)) * across
        heading = heading / np.linalg.norm(heading)
        came, triangle = back, onto
        share = min(max(float((at - a) @ edge / np.linalg.norm(b - a)), 1e-9), 1 - 1e-9)
        at = a + share * (b - a)
    return np.array(path), np.array(crossed, dtype=np.int64), np.array(weights)


def sides_across(surface: Surface) -> Ints:
    """Return 3 × triangle + side across each side, −1 at the boundary, shape (m, 3).

    Parameters
    ----------
    surface
        The surface.
    """
    t = surface.triangles
    m, n = len(t), len(surface.vertices)
    half = np.stack([t[:, [k, (k + 1) % 3]] for k in range(3)], axis=1).reshape(-1, 2)
    key, back = half @ np.array([n, 1]), half @ np.array([1, n])
    order = np.argsort(key)
    place = np.minimum(np.searchsorted(key[order], back), len(key) - 1)
    found = order[place]
    out: Ints = np.where(key[found] == back, found, -1).reshape(m, 3)
    return out
