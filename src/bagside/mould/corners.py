"""Tight inside corners of a mould: where plies and bag bridge instead of following.

Connected patches of the surface that are hollow with a radius smaller than what the stack of plies needs are taken
apart into single lines, each between the places where more than two walls meet, and each is measured by itself.
Three measures find it: the curvature of a surface fitted to the vertices around, which reads fillets of three edge
lengths and more; the rolling ball, which also sees creases that the mesh does not round at all; and the turn of single
edges, for meshes so coarse that the ball sinks into them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from bagside.errors import InputError
from bagside.geometry.surface import Surface
from bagside.mould.ball import rolling_ball_gap
from bagside.mould.corner import Corner
from bagside.mould.crease import crease_radii
from bagside.mould.even import with_short_edges
from bagside.mould.hollow import RINGS, hollow_radii
from bagside.mould.patch import corners_in
from bagside.mould.radius import needed_radius
from bagside.mould.skeleton import skeleton_of
from bagside.mould.walls import Measured, angle_defects

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FEWEST = 4  # vertices of a patch


def corners_of(
    surface: Surface,
    stack_thickness: float | Floats,
    *,
    bag_radius: float = 0.0,
    visible: bool = True,
    structural: bool = True,
    noise: float = 0.0,
    rings: int = RINGS,
    scanned: Surface | None = None,
    scanned_noise: float = 0.0,
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
    scanned
        The same surface before it was faired: sections are read on it, for fairing widens small fillets.
    scanned_noise
        Its roughness [m].

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
    Left out as noise and marks: patches of fewer than four vertices or shorter than twice the needed radius, and
    grooves less than 1 mm deep whose sides face the same way. Radius and angle come from sections: two straight walls
    and the arc between them, fitted at up to forty places; the radius is the smallest that three places in a row bear
    out. Where walls are not straight within a fiftieth of the needed radius, the radius is the smaller of the fitted
    curvature's and the one that the ball's gap implies; in a groove narrower than the needed radius it is the largest
    of an eighth, a quarter and half of it with which a ball touches the bottom.
    """
    n = len(surface.vertices)
    thickness = np.broadcast_to(np.asarray(stack_thickness, dtype=np.float64), (n,)).copy()
    if not (np.isfinite(thickness).all() and (thickness > 0).all()):
        raise InputError.one("stack of plies", "a thickness of zero or less", "a thickness above zero is wanted")
    if len(np.unique(surface.triangles)) != n:
        raise InputError.one("mould", "a vertex that belongs to no triangle", "a mended surface is wanted")
    needed = np.maximum(needed_radius(thickness, visible=visible, structural=structural), bag_radius)
    found = tight_lines(
        surface,
        needed,
        thickness,
        noise,
        lambda fine: hollow_radii(fine, rings),
        scanned=scanned,
        scanned_noise=scanned_noise,
    )
    return tuple(replace(c, id=f"C{i + 1}") for i, c in enumerate(found))


def tight_lines(
    surface: Surface,
    needed: Floats,
    thickness: Floats,
    noise: float,
    bends: Callable[[Surface], tuple[Floats, Floats]],
    *,
    scanned: Surface | None = None,
    scanned_noise: float = 0.0,
) -> list[Corner]:
    """Return the lines along which a surface is hollow with a smaller radius than wanted, longest first.

    Parameters
    ----------
    surface
        The surface, every vertex in use.
    needed
        Radius wanted at each vertex, shape (n,) [m].
    thickness
        Laid there, shape (n,) [m].
    noise
        Roughness of the surface [m].
    bends
        What measures the smallest hollow radius at each vertex and its direction, as `hollow_radii`.
    scanned, scanned_noise
        As for `corners_of`.
    """
    n = len(surface.vertices)
    creases = crease_radii(surface)  # before triangles are divided: it reads their width
    surface = with_short_edges(surface, max(float(needed.min()), 2.0 * surface.edge_length))
    needed, thickness = _carried(surface, needed, n), _carried(surface, thickness, n)
    radii, directions = bends(surface)
    radii[:n] = np.minimum(radii[:n], creases)
    gaps = _gaps(surface, needed, noise)
    seen = surface.edge_length**2 / (4.0 * needed) + noise
    tight = (radii < needed) | (gaps > 0.02 * needed + seen)
    tree = cKDTree(surface.vertices)
    measured = Measured(
        surface=surface,
        tree=tree,
        radii=radii,
        directions=directions,
        gaps=gaps,
        needed=needed,
        thickness=thickness,
        defects=angle_defects(surface),
        raw=surface if scanned is None else scanned,
        raw_tree=tree if scanned is None else cKDTree(scanned.vertices),
        raw_noise=noise if scanned is None else scanned_noise,
        gaps_of=cache(lambda radius: rolling_ball_gap(surface, radius, noise)),
    )
    found: list[Corner] = []
    for patch, edges in _patches(surface.edges, tight):
        want = float(needed[patch].max())
        skeleton = skeleton_of(surface.vertices[patch], edges, max(want, 2.0 * surface.edge_length))
        found += corners_in(measured, patch, skeleton)
    found.sort(key=lambda c: c.length, reverse=True)
    return found


def _carried(surface: Surface, values: Floats, known: int) -> Floats:
    """Return values of the first vertices at all of them: where edges were divided, of the nearest known vertex."""
    if known == len(surface.vertices):
        return values
    _, at = cKDTree(surface.vertices[:known]).query(surface.vertices)
    out: Floats = values[at]
    return out


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


def _patches(edges: Ints, chosen: NDArray[np.bool_]) -> list[tuple[Ints, Ints]]:
    """Return connected patches of chosen vertices, each with its edges in the patch's own numbers."""
    both = edges[chosen[edges[:, 0]] & chosen[edges[:, 1]]]
    n = len(chosen)
    graph = coo_matrix((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(n, n))
    count, label = connected_components(graph, directed=False)
    inside = np.flatnonzero(chosen)
    inside = inside[np.argsort(label[inside], kind="stable")]
    both = both[np.argsort(label[both[:, 0]], kind="stable")]
    first = np.searchsorted(label[inside], np.arange(count + 1))
    start = np.searchsorted(label[both[:, 0]], np.arange(count + 1))
    number = np.empty(n, dtype=np.int64)
    number[inside] = np.arange(len(inside)) - first[label[inside]]
    found = []
    for k in np.unique(label[inside]):
        patch = inside[first[k] : first[k + 1]]
        if len(patch) >= FEWEST:
            found.append((patch, number[both[start[k] : start[k + 1]]]))
    return found
