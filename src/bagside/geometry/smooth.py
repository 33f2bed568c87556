"""Noise and spikes of a dense scan, at its full number of triangles, in the time of a few dozen passes over it.

`faired` solves one sparse system and is the better answer for up to some hundred thousand triangles; here the same low
pass is applied as a polynomial of the mean over each vertex's neighbours, so that nothing has to be factored.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import boundary_sides, sides

Singles = NDArray[np.float32]
SPIKE = 6.0  # times the stated noise: one vertex in a million of normally distributed noise lies further out
SPIKE_EDGE = 1.5  # and further than so many of the shortest edges around: no crease or corner of a mould does that
SECOND = 1.3591  # rms of what two passes leave of unit noise on a lattice of equal triangles (computed, not measured)
NORMAL = 1.4826  # rms of normally distributed numbers over the median of their sizes
DEGREE = 5.0  # terms of the polynomial for each square root of its range: leaves 0.2 % of the shortest waves
MOST = 300
SAMPLES = 20_000  # vertices that roughness is read from
FOLDED = 0.3  # cosine to the mean normal around below which a rim triangle is folded over
SHORT = 0.5  # squared edges below this share of the usual one count as that


@dataclass(frozen=True, slots=True, kw_only=True)
class Rings:
    """Who is whose neighbour.

    Parameters
    ----------
    mean
        Takes the mean over the neighbours of each vertex; on the rim over those along it.
    edges
        Vertex pairs, shape (e, 2).
    rim
        Whether a vertex lies on the boundary, shape (n,).
    """

    mean: csr_matrix
    edges: Ints
    rim: NDArray[np.bool_]


def rings_of(surface: Surface) -> Rings:
    """Return who is whose neighbour on a surface.

    Parameters
    ----------
    surface
        The surface; every vertex belongs to a triangle.
    """
    _, of, edges = sides(surface.triangles)
    n = len(surface.vertices)
    open_ = np.bincount(of, minlength=len(edges)) == 1
    rim = np.zeros(n, dtype=np.bool_)
    rim[edges[open_].ravel()] = True
    i = np.concatenate([edges[:, 0], edges[:, 1]]).astype(np.int32)
    j = np.concatenate([edges[:, 1], edges[:, 0]]).astype(np.int32)
    counted = ~rim[i] | np.concatenate([open_, open_])
    i, j = i[counted], j[counted]
    count = np.bincount(i, minlength=n)
    ones = csr_matrix((np.ones(len(i), dtype=np.float32), (i, j)), shape=(n, n))
    ones.data *= np.repeat((1.0 / np.maximum(count, 1)).astype(np.float32), np.diff(ones.indptr))
    return Rings(mean=ones, edges=edges, rim=rim)


def roughness(surface: Surface, rings: Rings | None = None) -> float:
    """Return the noise of a scanned surface, root mean square along its normal [m].

    Parameters
    ----------
    surface
        The surface.
    rings
        From `rings_of`, when already known.

    Notes
    -----
    From the median size of the second difference over neighbours, for noise that differs from vertex to vertex; waves
    longer than a few triangles count as shape. On a coarse mesh of a curved surface shape is taken for noise: the
    figure means something when it is small beside the radius and well above edge⁴ / (16 radius³).
    """
    rings = rings_of(surface) if rings is None else rings
    if rings.rim.all():
        return 0.0
    local = surface.vertices - surface.vertices.mean(axis=0)
    first = local - rings.mean @ local
    second = first - rings.mean @ first
    deep = ~rings.rim & (rings.mean @ rings.rim.astype(np.float64) == 0)
    chosen = np.flatnonzero(deep if deep.any() else ~rings.rim)
    chosen = chosen[:: max(1, len(chosen) // SAMPLES)]
    some = np.zeros(len(local), dtype=np.bool_)
    some[chosen] = True
    near = surface.triangles[some[surface.triangles].any(axis=1)]
    normal = Surface(rings.mean @ (rings.mean @ local), near).vertex_normals[chosen]
    size = np.abs(np.einsum("ij,ij->i", second[chosen], normal))
    return float(NORMAL * np.median(size) / SECOND)


def despiked(surface: Surface, noise: float, rings: Rings | None = None) -> tuple[Surface, Ints]:
    """Return the surface with lone vertices that stand far out put back among their neighbours, and which they were.

    Parameters
    ----------
    surface
        The surface.
    noise
        Its noise, root mean square [m]; zero finds nothing.
    rings
        From `rings_of`, when already known.

    Notes
    -----
    A spike stands further than six times the noise and further than one and a half of the shortest edges around from
    the mean of its neighbours. Clusters of three and more displaced vertices are not recognised.
    """
    none = np.zeros(0, dtype=np.int64)
    if not noise > 0 or len(surface.triangles) == 0:
        return surface, none
    rings = rings_of(surface) if rings is None else rings
    at = surface.vertices.copy()
    found = np.zeros(len(at), dtype=np.bool_)
    away = at[rings.edges[:, 0]] - at[rings.edges[:, 1]]
    length = np.sqrt(np.einsum("ij,ij->i", away, away))
    shortest = np.full(len(at), np.inf)
    np.minimum.at(shortest, rings.edges[:, 0], length)
    np.minimum.at(shortest, rings.edges[:, 1], length)
    limit = np.maximum(SPIKE * noise, np.where(rings.rim, 2.0, SPIKE_EDGE) * (rings.mean @ shortest))
    for _ in range(3):
        off = at - rings.mean @ at
        suspect = np.einsum("ij,ij->i", off, off) > limit**2
        if not suspect.any():
            break
        good = (~suspect).astype(np.float64)
        weight = rings.mean @ good
        middle = (rings.mean @ (at * good[:, None])) / np.maximum(weight, 1e-9)[:, None]
        off = at - middle
        spike = suspect & (weight > 0.3) & (np.einsum("ij,ij->i", off, off) > limit**2)
        if not spike.any():
            break
        at[spike] = middle[spike]
        found |= spike
    if not found.any():
        return surface, none
    return Surface(at, surface.triangles), np.flatnonzero(found).astype(np.int64)


def smoothed(surface: Surface, length: float, rings: Rings | None = None) -> Surface:
    """Return a densely scanned surface with waves much shorter than a length taken off.

    Parameters
    ----------
    surface
        The surface.
    length
        Waves of this length over 2π keep half their height [m]; zero returns the surface.
    rings
        From `rings_of`, when already known.

    Raises
    ------
    ValueError
        When the length is negative.

    Notes
    -----
    For triangles shorter than the length; longer ones are hardly touched. Vertices inside drift along the surface
    towards even spacing. Those on the rim move along the surface by no more than an edge: enough to take the teeth off
    a ragged rim, and its corners stay. Fillets of a radius below about twice the length are widened.
    """
    if not length >= 0:
        raise ValueError(f"a smoothing length of {length} m is not one")
    if length == 0 or len(surface.triangles) == 0:
        return surface
    rings = rings_of(surface) if rings is None else rings
    centre = surface.vertices.mean(axis=0)
    local = (surface.vertices - centre).astype(np.float32)  # resolves 1e-7 of the size
    square = _spacing(rings, local)
    strength = 4 * length**2 / square
    whole = 2 * float(strength.max())
    factor = ((2 / whole) * strength[:, None]).astype(np.float32)
    series = _series(whole).astype(np.float32)

    def shifted(x: Singles) -> Singles:
        out: Singles = x - rings.mean @ x
        out *= factor
        out -= x
        return out

    before, now = local, shifted(local)
    out = series[0] * before + series[1] * now
    for c in series[2:]:
        after = shifted(now)
        after *= 2
        after -= before
        before, now = now, after
        out += c * now
    if rings.rim.any():
        band = rings.rim[surface.triangles].any(axis=1)
        normal = Surface(out, surface.triangles[band]).vertex_normals[rings.rim]
        step = (out[rings.rim] - local[rings.rim]).astype(np.float64)
        up = np.einsum("ij,ij->i", step, normal)[:, None] * normal
        along = step - up
        far = np.linalg.norm(along, axis=1) / np.sqrt(square[rings.rim])
        out[rings.rim] = local[rings.rim] + up + along / np.maximum(far, 1.0)[:, None]
    return Surface(out.astype(np.float64) + centre, surface.triangles)


def unfolded(surface: Surface) -> Surface:
    """Return the surface without rim triangles that lie folded over their neighbours.

    Parameters
    ----------
    surface
        The surface, smoothed: the last teeth of a ragged rim fold over when it is drawn straight.

    Notes
    -----
    Only triangles with a vertex on the rim are looked at, three times over; the rim moves in by their height. What is
    left may touch itself at single vertices.
    """
    for _ in range(3):
        rim = np.zeros(len(surface.vertices), dtype=np.bool_)
        rim[boundary_sides(surface.triangles).ravel()] = True
        near = np.flatnonzero(rim[surface.triangles].any(axis=1))
        around = rim.copy()
        around[surface.triangles[near]] = True
        band = np.flatnonzero(around[surface.triangles].any(axis=1))
        strip = Surface(surface.vertices, surface.triangles[band])
        mean = np.zeros_like(surface.vertices)
        for k in range(3):
            np.add.at(mean, strip.triangles[:, k], strip.areas[:, None] * strip.normals)
        total = mean[surface.triangles[near]].sum(axis=1)
        lean = np.einsum("ij,ij->i", total, Surface(surface.vertices, surface.triangles[near]).normals)
        size = np.linalg.norm(total, axis=1)
        gone = near[lean < FOLDED * size]
        if len(gone) == 0:
            break
        keep = np.ones(len(surface.triangles), dtype=np.bool_)
        keep[gone] = False
        surface = surface.selected(keep)
    return surface


def _spacing(rings: Rings, local: Floats | Singles) -> Floats:
    """Return the mean squared edge at each vertex with most of the noise taken off, not far below the usual one."""
    calm = rings.mean @ (rings.mean @ local)
    away = calm[rings.edges[:, 0]] - calm[rings.edges[:, 1]]
    square = np.einsum("ij,ij->i", away, away)
    n = len(local)
    total = sum(np.bincount(rings.edges[:, k], weights=square, minlength=n) for k in (0, 1))
    count = sum(np.bincount(rings.edges[:, k], minlength=n) for k in (0, 1))
    mean = total / np.maximum(count, 1)
    out: Floats = np.maximum(mean, max(SHORT * float(np.median(mean)), 1e-18))
    return out


def _series(whole: float) -> Floats:
    """Return Chebyshev coefficients of 1 / (1 + x²) over 0 … ``whole``, exactly one at zero."""
    terms = min(int(DEGREE * np.sqrt(whole)) + 5, MOST)
    at = np.pi * (np.arange(4 * terms) + 0.5) / (4 * terms)
    value = 1 / (1 + ((np.cos(at) + 1) * whole / 2) ** 2)
    series = np.array([np.sum(value * np.cos(k * at)) for k in range(terms)]) / (2 * terms)
    series[0] /= 2
    series[0] += 1 - float(np.polynomial.chebyshev.chebval(-1.0, series))
    return series
