"""Tight inside corners of a mould: where plies and bag bridge instead of following.

A corner is a connected patch of the surface that is hollow with a radius smaller than what the stack of plies needs.
Three measures find it: the curvature of a surface fitted to the vertices around, which reads fillets of three edge
lengths and more; the rolling ball, which also sees creases that the mesh does not round at all; and the turn of single
edges, for meshes so coarse that the ball sinks into them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import igl
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from bagside.errors import InputError
from bagside.geometry.surface import Surface
from bagside.mould.ball import rolling_ball_gap
from bagside.mould.crease import crease_radii
from bagside.mould.radius import CornerVerdict, needed_radius, verdict_of
from bagside.mould.skeleton import Skeleton, skeleton_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RINGS = 3  # rings of vertices that curvature is fitted to
LEAST_TURN = float(np.radians(20.0))  # flatter than this the ball's gap is too small to give a radius
WIDEST_TURN = float(np.radians(170.0))  # beyond it the walls are nearly parallel
SAMPLES = 200  # vertices at which the angle of one corner is taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """One tight inside corner.

    Parameters
    ----------
    id
        Its number on the sheets: ``C1`` is the longest.
    points
        Points along it, shape (k, 3) [m].
    links
        Which points follow each other, shape (l, 2); a corner where three walls meet branches.
    length
        Along it [m].
    radius
        Smallest hollow radius, not set by single noisy vertices [m]; zero for a crease.
    included
        Angle between its walls on the laminate's side [rad].
    gap
        Height of the bridge over its deepest line when the needed radius is the tightest bend [m].
    needed
        Radius wanted there [m].
    thickness
        Of the stack laid into it [m].
    branches
        Number of places where more than two walls meet.
    verdict
        What it asks.
    """

    id: str
    points: Floats
    links: Ints
    length: float
    radius: float
    included: float
    gap: float
    needed: float
    thickness: float
    branches: int
    verdict: CornerVerdict

    @property
    def centre(self) -> tuple[float, float, float]:
        """The point of it nearest its middle [m]."""
        at = self.points[np.argmin(np.linalg.norm(self.points - self.points.mean(axis=0), axis=1))]
        return (float(at[0]), float(at[1]), float(at[2]))


def hollow_radii(surface: Surface, rings: int = RINGS) -> tuple[Floats, Floats]:
    """Return the smallest hollow radius at each vertex and the direction in which it bends.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate; every vertex in use.
    rings
        Rings of vertices the curvature is fitted to; 5 for a noisy scan.

    Returns
    -------
    radii : ndarray
        Shape (n,) [m]; infinite where the surface is not hollow.
    directions : ndarray
        Unit vectors, shape (n, 3).

    Notes
    -----
    A fillet narrower than the rings reads too large: of one edge length about twice, of three within a tenth.
    """
    v = np.array(surface.vertices)
    pd1, pd2, k1, k2, _ = igl.principal_curvature(v, np.array(surface.triangles), rings, True)
    k1, k2 = np.asarray(k1).reshape(-1), np.asarray(k2).reshape(-1)
    second = k2 <= k1
    bend = np.where(second, k2, k1)
    directions: Floats = np.where(second[:, None], pd2, pd1)
    radii = np.full(len(v), np.inf)
    hollow = bend < 0
    radii[hollow] = -1.0 / bend[hollow]
    return radii, directions


def corners_of(
    surface: Surface,
    stack_thickness: float | Floats,
    *,
    bag_radius: float = 0.0,
    visible: bool = True,
    structural: bool = True,
    noise: float = 0.0,
    rings: int = RINGS,
) -> tuple[Corner, ...]:
    """Return the tight inside corners of a mould, longest first.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate, with its fillets not faired away.
    stack_thickness
        Of the laminate, one or one for each vertex, shape (n,) [m].
    bag_radius
        Tightest bend that film, breather and plies follow together [m], when larger than the radii of `needed_radius`.
    visible, structural
        As for `needed_radius`.
    noise
        Roughness of the surface [m].
    rings
        As for `hollow_radii`.

    Returns
    -------
    tuple of Corner

    Raises
    ------
    InputError
        When a thickness is not positive, there is not one for each vertex, a vertex belongs to no triangle, or the
        ball of the needed radius fits nowhere.

    Notes
    -----
    Patches of fewer than four vertices are left out as noise. The radius is the
    smaller of the fitted one and the one that the ball's gap implies.
    """
    n = len(surface.vertices)
    thickness = np.broadcast_to(np.asarray(stack_thickness, dtype=np.float64), (n,)).copy()
    if not (np.isfinite(thickness).all() and (thickness > 0).all()):
        raise InputError.one("stack of plies", "a thickness of zero or less", "a thickness above zero is wanted")
    if len(np.unique(surface.triangles)) != n:
        raise InputError.one("mould", "a vertex that belongs to no triangle", "a mended surface is wanted")
    needed = np.maximum(needed_radius(thickness, visible=visible, structural=structural), bag_radius)
    radii, directions = hollow_radii(surface, rings)
    radii = np.minimum(radii, crease_radii(surface))
    gaps = _gaps(surface, needed, noise)
    seen = surface.edge_length**2 / (4.0 * needed) + noise
    tight = (radii < needed) | (gaps > 0.02 * needed + seen)
    found = []
    for patch in _patches(surface, tight):
        skeleton = skeleton_of(surface, patch, float(needed[patch].max()))
        found.append(_corner(surface, patch, skeleton, radii, directions, gaps, needed, thickness))
    found.sort(key=lambda c: c.length, reverse=True)
    return tuple(replace(c, id=f"C{i + 1}") for i, c in enumerate(found))


def _gaps(surface: Surface, needed: Floats, noise: float) -> Floats:
    """Return the gap at each vertex for the ball of its own needed radius, to a tenth of a millimetre up."""
    rounded = np.ceil(needed * 1e4 - 1e-9) / 1e4
    sizes = np.unique(rounded)
    if len(sizes) > 6:
        steps = np.linspace(sizes[0], sizes[-1], 6)
        rounded = steps[np.searchsorted(steps, rounded - 1e-12)]
        sizes = np.unique(rounded)
    out = np.zeros(len(needed))
    for size in sizes:
        mine = rounded == size
        out[mine] = rolling_ball_gap(surface, float(size), noise)[mine]
    return out


def _patches(surface: Surface, chosen: NDArray[np.bool_]) -> list[Ints]:
    e = surface.edges
    both = e[chosen[e[:, 0]] & chosen[e[:, 1]]]
    n = len(surface.vertices)
    graph = coo_matrix((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(n, n))
    _, label = connected_components(graph, directed=False)
    inside = np.flatnonzero(chosen)
    order = inside[np.argsort(label[inside], kind="stable")]
    cut = np.flatnonzero(np.diff(label[order])) + 1
    return [part for part in np.split(order, cut) if len(part) >= 4]


def _corner(
    surface: Surface,
    patch: Ints,
    skeleton: Skeleton,
    radii: Floats,
    directions: Floats,
    gaps: Floats,
    needed: Floats,
    thickness: Floats,
) -> Corner:
    stations = [patch[skeleton.station == k] for k in range(len(skeleton.points))]
    gap = float(np.quantile([gaps[s].max() for s in stations], 0.9))
    bend = float(np.quantile([np.quantile(radii[s], 0.2) for s in stations], 0.1))
    want = float(needed[patch].max())
    at = np.concatenate([_bottom(s, gaps, radii) for s in stations])
    at = at[:: max(1, len(at) // SAMPLES)]
    turns = _turns(surface, at, directions, want)
    radius = min(bend, _radius_by_ball(gaps[at], turns, want))
    thick = float(thickness[patch].max())
    return Corner(
        id="",
        points=skeleton.points,
        links=skeleton.links,
        length=skeleton.length,
        radius=radius,
        included=float(np.pi - np.median(turns)),
        gap=gap,
        needed=want,
        thickness=thick,
        branches=skeleton.branches,
        verdict=verdict_of(radius, thick),
    )


def _bottom(station: Ints, gaps: Floats, radii: Floats) -> Ints:
    """Return the vertices along the deepest line of one station."""
    most = gaps[station].max()
    chosen = gaps[station] >= 0.9 * most if most > 0 else radii[station] <= np.quantile(radii[station], 0.2)
    out: Ints = station[chosen]
    return out


def _radius_by_ball(gaps: Floats, turns: Floats, ball: float) -> float:
    """Return the fillet between two walls that leaves the ball's gap, at the tighter places; infinite when unknown.

    Grooves narrower than the ball leave a larger gap than any two walls could and say nothing about a radius.
    """
    whole = 1.0 / np.cos(np.minimum(turns, WIDEST_TURN) / 2.0) - 1.0
    known = (turns >= LEAST_TURN) & (gaps > 0) & (gaps <= 1.2 * ball * whole)
    if not known.any():
        return np.inf
    found = np.maximum(0.0, ball - gaps[known] / whole[known])
    return float(np.quantile(found, 0.25))


def _turns(surface: Surface, at: Ints, directions: Floats, needed: float) -> Floats:
    """Return the angle between the walls at vertices of a corner, from normals well to both sides of each."""
    v, normal = surface.vertices, surface.vertex_normals
    tree = cKDTree(v)
    reach = 2.5 * needed + 2.0 * surface.edge_length
    turns = np.zeros(len(at))
    for k, i in enumerate(at):
        near = np.array(tree.query_ball_point(v[i], reach), dtype=np.int64)
        across = directions[i] - (directions[i] @ normal[i]) * normal[i]
        axis = np.cross(normal[i], across)
        axis /= max(float(np.linalg.norm(axis)), 1e-12)
        side = (v[near] - v[i]) @ across
        low, high = np.quantile(side, [0.2, 0.8])
        left = normal[near[side <= low]].mean(axis=0)
        right = normal[near[side >= high]].mean(axis=0)
        left, right = left - (left @ axis) * axis, right - (right @ axis) * axis
        turns[k] = np.arctan2(np.linalg.norm(np.cross(left, right)), left @ right)
    return turns
