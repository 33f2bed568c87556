"""The two walls of a corner: the angle between them, from normals to both sides, and the section across them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from bagside.geometry.surface import Surface
from bagside.mould.profile import Profile, fitted_profile

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEAR, FAR = 1.0, 2.5  # reach over the needed radius at which the walls on both sides are looked at
OUTER = 0.6  # of the reach to each side, from where on a wall's normals count
REACHES = (2.0, 1.3, 0.9)  # over the needed radius: sections tried, widest first, for noise shows least in them
CLOSE, LOOSE = 0.005, 0.02  # of the needed radius that a section may miss wall, arc, wall by: at once, at all
ACROSS = 0.5  # slope of a normal along the corner beyond which a vertex lies on a third wall


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was measured at each vertex of a mould.

    Parameters
    ----------
    surface
        The mould, its long edges divided.
    tree
        Of its vertices.
    radii
        Smallest hollow radius, shape (n,) [m].
    directions
        In which it bends, shape (n, 3).
    gaps
        That the ball of the needed radius leaves, shape (n,) [m].
    needed
        Radius wanted, shape (n,) [m].
    thickness
        Of the laminate, shape (n,) [m].
    defects
        Curvature gathered at each vertex, 2 π less the angles that meet there, shape (n,) [rad]; zero at the boundary.
    raw, raw_tree
        The surface that sections are read on, before it was faired, and the tree of its vertices; the same surface when
        it was not.
    raw_noise
        Its roughness [m].
    gaps_of
        Gaps that a ball of another radius leaves, shape (n,) [m].
    """

    surface: Surface
    tree: cKDTree
    radii: Floats
    directions: Floats
    gaps: Floats
    needed: Floats
    thickness: Floats
    defects: Floats
    raw: Surface
    raw_tree: cKDTree
    raw_noise: float
    gaps_of: Callable[[float], Floats]


def angle_defects(surface: Surface) -> Floats:
    """Return the curvature gathered at each vertex: 2 π less the angles of the triangles that meet there.

    Parameters
    ----------
    surface
        The surface.

    Returns
    -------
    ndarray
        Shape (n,) [rad]; zero at the boundary. Its sum over a patch is the integral of Gauss curvature there.
    """
    c, t = surface.corners, surface.triangles
    sums = np.zeros(len(surface.vertices))
    for k in range(3):
        a, b = c[:, (k + 1) % 3] - c[:, k], c[:, (k + 2) % 3] - c[:, k]
        angle = np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b))
        np.add.at(sums, t[:, k], angle)
    half = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    pairs, count = np.unique(half, axis=0, return_counts=True)
    out: Floats = 2.0 * np.pi - sums
    out[np.unique(pairs[count != 2])] = 0.0
    return out


def bottom_of(m: Measured, station: Ints) -> Ints:
    """Return the vertices along the deepest line of one place in a corner.

    Parameters
    ----------
    m
        What was measured.
    station
        Vertices of the place, shape (k,).
    """
    most = m.gaps[station].max()
    chosen = m.gaps[station] >= 0.9 * most if most > 0 else m.radii[station] <= np.quantile(m.radii[station], 0.2)
    out: Ints = station[chosen]
    return out


def turns_at(m: Measured, at: Ints, needed: float) -> Floats:
    """Return the angle between the walls at vertices of a corner, from normals well to both sides of each.

    Parameters
    ----------
    m
        What was measured.
    at
        Vertices, shape (k,).
    needed
        Radius wanted there [m].

    Returns
    -------
    ndarray
        Shape (k,) [rad].

    Notes
    -----
    Taken near and far, and the larger counts: far, because a soft corner turns slowly; near, because beyond a low step
    the surface faces the same way again.
    """
    out: Floats = np.maximum(_turns_within(m, at, NEAR * needed), _turns_within(m, at, FAR * needed))
    return out


def _turns_within(m: Measured, at: Ints, reach: float) -> Floats:
    v, normal = m.surface.vertices, m.surface.vertex_normals
    found = m.tree.query_ball_point(v[at], reach + 2.0 * m.surface.edge_length)
    turns = np.zeros(len(at))
    for k, i in enumerate(at):
        near = np.array(found[k], dtype=np.int64)
        across = m.directions[i] - (m.directions[i] @ normal[i]) * normal[i]
        axis = np.cross(normal[i], across)
        axis /= max(float(np.linalg.norm(axis)), 1e-12)
        side = (v[near] - v[i]) @ across
        low, high = OUTER * side.min(), OUTER * side.max()
        left = normal[near[side <= low]].mean(axis=0)
        right = normal[near[side >= high]].mean(axis=0)
        left, right = left - (left @ axis) * axis, right - (right @ axis) * axis
        turns[k] = np.arctan2(np.linalg.norm(np.cross(left, right)), left @ right)
    return turns


def section_at(m: Measured, bottom: Ints, along: Floats, want: float) -> Profile | None:
    """Return wall, arc and wall of the section across a corner at one place.

    Parameters
    ----------
    m
        What was measured.
    bottom
        Vertices of the corner's deepest line there, shape (k,).
    along
        Direction of that line, shape (3,).
    want
        Radius wanted there [m].

    Returns
    -------
    Profile or None
        Nothing when no section is straight, round and straight within a fiftieth of the needed radius.
    """
    origin = m.surface.vertices[bottom].mean(axis=0)
    tangent = along / max(float(np.linalg.norm(along)), 1e-12)
    up = m.surface.vertex_normals[bottom].mean(axis=0)
    up = up - (up @ tangent) * tangent
    size = float(np.linalg.norm(up))
    if size < 0.1:
        return None
    up = up / size
    across = np.cross(tangent, up)
    slab = (2.0 if m.raw_noise > 0 else 1.25) * m.raw.edge_length
    reach = float(np.hypot(1.5 * max(REACHES) * want, slab))
    near = np.array(m.raw_tree.query_ball_point(origin, reach), dtype=np.int64)
    d, n = m.raw.vertices[near] - origin, m.raw.vertex_normals[near]
    chosen = (np.abs(d @ tangent) <= slab) & (np.abs(n @ tangent) < ACROSS) & (n @ up > 0.0)
    flat = np.column_stack([d @ across, d @ up])[chosen]
    best: Profile | None = None
    for reach in REACHES:
        found = fitted_profile(flat[np.linalg.norm(flat, axis=1) <= reach * want])
        if found is None or found.covered < 1.0:
            continue
        if found.rms <= CLOSE * want + m.raw_noise:
            return found
        if found.rms <= LOOSE * want + 1.5 * m.raw_noise and (best is None or found.rms < best.rms):
            best = found
    return best
