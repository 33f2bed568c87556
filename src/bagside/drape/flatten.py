"""First maps: conformal, then as rigid as possible; the mending of the few triangles a carried-over map turns over."""

from __future__ import annotations

import igl
import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from bagside.errors import NotSolved
from bagside.geometry import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def conformal(surface: Surface) -> Floats:
    """Return the least-squares conformal map of a connected surface with a rim, shape (n, 2) [m].

    Parameters
    ----------
    surface
        The surface.

    Raises
    ------
    NotSolved
        When the surface is closed or the map cannot be found.
    """
    if not surface.loops:
        raise NotSolved("the surface is closed: it has no rim from which it could be laid flat; split it into pieces")
    rim = surface.loops[0]
    p = surface.vertices[rim]
    one = int(np.argmax(np.linalg.norm(p - p.mean(axis=0), axis=1)))
    two = int(np.argmax(np.linalg.norm(p - p[one], axis=1)))
    apart = float(np.linalg.norm(p[two] - p[one]))
    pins = np.array([rim[one], rim[two]], dtype=np.int64)
    try:
        uv, _ = igl.lscm(surface.vertices, surface.triangles, pins, np.array([[0.0, 0.0], [apart, 0.0]]))
    except RuntimeError as error:
        raise NotSolved("no conformal map was found: the surface has collapsed triangles") from error
    if not np.isfinite(uv).all():
        raise NotSolved("no conformal map was found: the surface has collapsed triangles")
    out: Floats = np.ascontiguousarray(uv, dtype=np.float64)
    return _to_scale(surface, out)


def _to_scale(surface: Surface, uv: Floats) -> Floats:
    c = uv[surface.triangles]
    s, t = c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]
    flat = 0.5 * float((s[:, 0] * t[:, 1] - s[:, 1] * t[:, 0]).sum())
    if not flat > 0:
        raise NotSolved("the conformal map covers no area")
    out: Floats = uv * (surface.area / flat) ** 0.5
    return out


def rigid(surface: Surface, uv: Floats, rounds: int) -> Floats:
    """Return the map after some rounds of local rotation and global fit.

    Parameters
    ----------
    surface
        The surface.
    uv
        Where to start, shape (n, 2) [m].
    rounds
        How many.
    """
    data = igl.ARAPData()
    data.max_iter = rounds
    igl.arap_precomputation(surface.vertices, surface.triangles, 2, np.array([0], dtype=np.int32), data)
    out: Floats = np.ascontiguousarray(igl.arap_solve(uv[[0]].copy(), data, np.ascontiguousarray(uv)))
    return out


def relaxed(surface: Surface, uv: Floats, flipped: NDArray[np.bool_], rings: int) -> Floats:
    """Return the map with the neighbourhood of flipped triangles made harmonic, its rim held.

    Parameters
    ----------
    surface
        The surface.
    uv
        The map, shape (n, 2) [m].
    flipped
        Which triangles are turned over, shape (m,).
    rings
        How many rings of triangles round them give way.

    Notes
    -----
    Weights are all one, so that the patch is free of flips when its held rim is convex.
    """
    n = len(surface.vertices)
    free = np.zeros(n, dtype=bool)
    free[surface.triangles[flipped]] = True
    for _ in range(rings - 1):
        free[surface.triangles[free[surface.triangles].any(axis=1)]] = True
    for loop in surface.loops:
        free[loop] = False
    inner = np.flatnonzero(free)
    if len(inner) == 0:
        return uv
    e = surface.edges
    both = np.concatenate([e, e[:, ::-1]])
    link = sp.coo_array((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(n, n)).tocsr()
    degree = np.asarray(link.sum(axis=1)).ravel()
    laplace = (sp.diags_array(degree) - link).tocsr()
    held = uv.copy()
    held[inner] = 0
    solved = igl.min_quad_with_fixed(
        laplace[inner][:, inner].tocsc(), (laplace @ held)[inner], np.zeros(0, np.int64), np.zeros((0, 2))
    )
    out = uv.copy()
    out[inner] = solved
    return out
