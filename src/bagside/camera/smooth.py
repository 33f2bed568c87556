"""From readings along an edge to an outline: corners kept, noise taken off, few points.

Between corners the outline is the curve with the steadiest bend that follows the readings; how far it may smooth is
tried at each place, so that a small rounding stays while a frayed cut becomes even. Then chords of it are chosen and
fitted, half the error to either side, so that the area stays.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, ndimage, sparse
from scipy.sparse.linalg import spsolve

from bagside.camera.corners import Corners, corners_in
from bagside.geometry.polyline import corners_of

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

WAVES = (0.0012, 0.003, 0.006, 0.010, 0.016)  # [m] waves shorter than these go, where the tolerance allows
ANCHOR = 1e4  # weight of a corner against a reading


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A closed outline and how it follows the readings.

    Parameters
    ----------
    points
        Its corners, shape (k, 2) [m].
    dense
        The smooth curve at each reading, shape (n, 2) [m].
    corners
        True corners in it.
    scatter
        Of readings about the smooth curve, robust standard deviation, shape (n,) [m], over some millimetres.
    strays
        Largest distance of the outline from the smooth curve [m].
    """

    points: Floats
    dense: Floats
    corners: Corners
    scatter: Floats
    strays: float


def outline_of(
    points: Floats, kept: Mask, blur: float, tolerance: float, solid: Callable[[Floats, int], Floats], side: float = 0.0
) -> Outline:
    """Return the outline through readings of a closed edge.

    Parameters
    ----------
    points
        Evenly spaced readings, shape (n, 2) [m].
    kept
        Those that count, shape (n,); at least half of them.
    blur
        Standard deviation of the photo's blur on the object [m].
    tolerance
        The outline strays from what was read by at most about this [m].
    solid
        How far places near a reading look like the object, as `bagside.camera.corners.corners_in` asks it.
    side
        How far the object's own side shows beside its top at most [m].
    """
    spacing = float(np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1).mean())
    kept = kept & ~_stray(points, kept, spacing)
    corners = corners_in(points, kept, spacing, blur, solid, side)
    dense = _smoothed(points, kept & ~corners.blind, corners, spacing, tolerance)
    normal = np.roll(dense, -1, axis=0) - np.roll(dense, 1, axis=0)
    normal = (
        np.stack([normal[:, 1], -normal[:, 0]], axis=1) / np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    )
    off = ((points - dense) * normal).sum(axis=1)
    used = kept & ~corners.blind
    window = max(9, round(0.008 / spacing) | 1)
    scatter = _scatter(np.abs(off), used, window)
    thin, strays = _thinned(dense, corners, tolerance / 3.0)
    return Outline(points=thin, dense=dense, corners=corners, scatter=scatter, strays=strays)


def _stray(points: Floats, kept: Mask, spacing: float) -> Mask:
    """Return readings that jump off the line of their neighbours by more than a blurred corner can."""
    filled = np.stack([_bridged(points[:, k], kept) for k in (0, 1)], axis=1)
    size = max(2, round(0.0004 / spacing))
    middle = 0.5 * (np.roll(filled, size, axis=0) + np.roll(filled, -size, axis=0))
    off = np.linalg.norm(filled - middle, axis=1)
    jumps: Mask = off > 1.5 * size * spacing
    return jumps


def _bridged(values: Floats, kept: Mask) -> Floats:
    n = len(values)
    at = np.flatnonzero(kept)
    if len(at) < 2:
        return values
    ring = np.concatenate([at - n, at, at + n])
    out: Floats = np.interp(np.arange(n), ring, np.tile(values[at], 3))
    return out


def _smoothed(points: Floats, used: Mask, corners: Corners, spacing: float, tolerance: float) -> Floats:
    out = np.empty_like(points)
    n = len(points)
    cuts = corners.index
    if not len(cuts):
        pad = min(n, round(6.0 * WAVES[-1] / spacing))
        rows = np.arange(-pad, n + pad) % n
        return _piece(points[rows], used[rows].astype(np.float64), spacing, tolerance)[pad : pad + n]
    for k, start in enumerate(cuts):
        end = cuts[(k + 1) % len(cuts)]
        count = int((end - start - 1) % n) + 2
        rows = (start + np.arange(count)) % n
        piece, weight = points[rows].copy(), used[rows].astype(np.float64)
        piece[0], piece[-1] = corners.place[k], corners.place[(k + 1) % len(cuts)]
        weight[0] = weight[-1] = ANCHOR
        if weight[1:-1].sum() < 4:
            share = np.linspace(0.0, 1.0, count)[:, None]
            out[rows] = (1.0 - share) * piece[0] + share * piece[-1]
            continue
        out[rows] = _piece(piece, weight, spacing, tolerance)
        out[rows[0]], out[rows[-1]] = piece[0], piece[-1]
    return out


def _piece(points: Floats, weight: Floats, spacing: float, tolerance: float) -> Floats:
    """Return one piece smoothed as far as the tolerance allows at each place."""
    weight = _trusted(points, weight, WAVES[0] / spacing)
    out = _even(points, weight, WAVES[0] / spacing)
    base = out
    noise = 1.4826 * float(np.median(np.linalg.norm(points - base, axis=1)[weight > 0.0]))
    for wave in WAVES[1:]:
        even = _even(points, weight, wave / spacing)
        size = max(3, round(wave / spacing) | 1)
        apart = np.where(weight > 0.0, np.linalg.norm(even - base, axis=1), 0.0)  # a gap takes the steadiest bridge
        off = ndimage.maximum_filter1d(apart, size, mode="nearest")
        fits = ndimage.minimum_filter1d((off <= 0.5 * tolerance + 2.0 * noise).astype(np.float64), size, mode="nearest")
        share = np.minimum(fits, ndimage.gaussian_filter1d(fits, 0.3 * size, mode="nearest"))[:, None]
        out = share * even + (1.0 - share) * out
    return out


def _trusted(points: Floats, weight: Floats, wave: float) -> Floats:
    """Return weights with readings off their neighbours taken out, by three turns of biweights."""
    new = weight
    for _ in range(3):
        off = np.linalg.norm(points - _even(points, new, wave), axis=1)
        spread = max(2.0 * float(np.median(off[weight > 0.0])), 1e-6)
        new = weight * np.maximum(1.0 - (off / (3.0 * spread)) ** 2, 0.0) ** 2
        new[weight >= ANCHOR] = ANCHOR
        new = np.maximum(new, 1e-6 * (weight > 0.0))
    return new


def _even(points: Floats, weight: Floats, wave: float) -> Floats:
    """Return the curve of least change of bend through weighted points; waves of this many points lose half."""
    n = len(points)
    if n < 5:
        return points.copy()
    force = (wave / (2.0 * np.pi)) ** 6
    d = np.array([-1.0, 3.0, -3.0, 1.0])
    band = np.zeros((4, n))
    for j in range(4):  # band j holds the entries j places over the diagonal, as the solver wants them
        for a in range(4 - j):
            band[3 - j, a + j : a + j + n - 3] += force * d[a] * d[a + j]
    band[3] += weight + 1e-9
    out: Floats = linalg.solveh_banded(band, weight[:, None] * points + 1e-9 * points)
    return out


def _scatter(off: Floats, used: Mask, window: int) -> Floats:
    """Return the robust scatter of readings around each place."""
    if not used.any():
        return np.full(len(off), 1e-3)
    filled = _bridged(off, used)
    mean = ndimage.uniform_filter1d(filled**2, window, mode="wrap")
    out: Floats = np.sqrt(np.maximum(mean, 0.0))  # a running sum may end a rounding error below zero
    return out


def _thinned(dense: Floats, corners: Corners, tolerance: float) -> tuple[Floats, float]:
    """Return chords of a closed curve fitted to it, true corners kept, and how far they stray."""
    n = len(dense)
    first = int(corners.index[0]) if len(corners.index) else 0
    rows = (first + np.arange(n + 1)) % n
    line = dense[rows]
    fixed = np.unique(np.concatenate([(corners.index - first) % n, [0, n]]))
    keep = np.unique(np.concatenate([a + corners_of(line[a : b + 1], tolerance) for a, b in pairwise(fixed.tolist())]))
    held = np.isin(keep, fixed) if len(corners.index) else np.zeros(len(keep), dtype=np.bool_)
    points = _chords(line, keep, held)
    closed = np.concatenate([points, points[:1]])
    along = np.searchsorted(keep, np.arange(n), side="right") - 1
    a, b = closed[along], closed[along + 1]
    chord, away = b - a, line[:n] - a
    square = np.maximum((chord * chord).sum(axis=1), 1e-18)
    share = np.clip((away * chord).sum(axis=1) / square, 0.0, 1.0)[:, None]
    return points, float(np.linalg.norm(away - share * chord, axis=1).max())


def _chords(line: Floats, keep: NDArray[np.int64], held: Mask) -> Floats:
    """Return corners of the chain of chords that follows a closed line best; held ones stay where they are."""
    n, k = len(line) - 1, len(keep) - 1
    at = np.searchsorted(keep, np.arange(n), side="right") - 1
    share = (np.arange(n) - keep[at]) / (keep[at + 1] - keep[at])
    rows = np.arange(n)
    hats = sparse.csr_matrix(
        (np.concatenate([1.0 - share, share]), (np.tile(rows, 2), np.concatenate([at, (at + 1) % k]))), shape=(n, k)
    )
    start = line[keep[:-1]]
    free = np.flatnonzero(~held[:-1])
    if not len(free):
        return start.copy()
    some = hats[:, free]
    left = some.T @ some + 1e-6 * sparse.identity(len(free))
    out = start.copy()
    out[free] += np.asarray(spsolve(left.tocsc(), some.T @ (line[:n] - hats @ start))).reshape(-1, 2)
    return out
