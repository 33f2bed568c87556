"""How sharply a surface bends, at a stated scale: a length, not a number of mesh edges.

Curvature has no meaning on a scan until it is said over which length: too short a length reads the noise, too long a
one blurs fillets. Here a quadric is fitted by area to everything within that length of each vertex, and what noise
makes of the answer is given beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.spatial import cKDTree

from bagside.errors import InputError
from bagside.geometry.operators import masses
from bagside.geometry.surface import Surface
from bagside.mould.even import with_short_edges

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FEWEST = 9  # vertices of a fit with six unknowns
CHUNK = 4096  # vertices fitted at once, for memory
FINENESS = 0.75  # of the scale: edges longer than this are divided first


@dataclass(frozen=True, slots=True, kw_only=True)
class Bending:
    """Principal curvatures at each vertex, at one scale.

    Parameters
    ----------
    scale
        Radius of the fit [m].
    least
        Smaller curvature, shape (n,) [1/m]; negative in hollows as the laminate sees them; not a number where fewer
        than nine vertices lie within the scale.
    most
        Larger curvature, shape (n,) [1/m]; positive where the surface bulges towards the laminate.
    least_direction, most_direction
        Unit directions of either along the surface, shape (n, 3); their signs have no meaning.
    error
        Standard deviation of either that comes from the scatter about the fit, shape (n,) [1/m].
    scatter
        Of the surface about the fit, root mean square, shape (n,) [m]: the noise, where the surface bends evenly.
    """

    scale: float
    least: Floats
    most: Floats
    least_direction: Floats
    most_direction: Floats
    error: Floats
    scatter: Floats


def bending(surface: Surface, scale: float) -> Bending:
    """Return principal curvatures from quadrics fitted to all within a stated length of each vertex.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.
    scale
        Radius of the fit [m].

    Returns
    -------
    Bending

    Raises
    ------
    InputError
        When the scale is not positive, or so small that dividing edges to less makes two million triangles.

    Notes
    -----
    On a round bar of radius R the answer is too strong by 3/16 (scale/R)², on a ball by 1/4 (scale/R)²: of second order
    in the scale. A fillet is read truly where the scale fits into its arc, about scale ≤ R · turn / 3.
    Noise σ from vertex to vertex, N vertices within the scale: a standard deviation of about 8.5 σ / (scale² √N) in
    curvature, R² times that in a radius; noise that was faired is alike at neighbours and does more harm than that
    says. At the boundary fits rest on one side and err more.

    References
    ----------
    Least squares over a disc, derived here: Var(x²/2) = 1/64 scale⁴, Cov(x², y²) = −1/48 scale⁴.
    """
    if not (np.isfinite(scale) and scale > 0):
        raise InputError.one("scale of curvature", f"{scale} m", "a length above zero is wanted")
    count = len(surface.vertices)
    fine = with_short_edges(surface, FINENESS * scale)
    used = np.zeros(len(fine.vertices), dtype=np.bool_)
    used[fine.triangles] = True
    held = np.flatnonzero(used)
    points, normals, weights = fine.vertices[held], fine.vertex_normals[held], masses(fine)[held]
    tree = cKDTree(points)
    out = np.full((count, 4), np.nan)
    axes = np.zeros((count, 2, 3))
    asked = np.flatnonzero(used[:count])
    for first in range(0, len(asked), CHUNK):
        some = asked[first : first + CHUNK]
        lists = tree.query_ball_point(fine.vertices[some], scale, return_sorted=True)
        size = np.array([len(found) for found in lists])
        of = np.repeat(np.arange(len(some)), size)
        near = np.concatenate([np.asarray(found, dtype=np.int64) for found in lists])
        same = np.einsum("ij,ij->i", normals[near], fine.vertex_normals[some][of]) > 0  # else a thin wall's far side
        near, of = near[same], of[same]
        out[some], axes[some] = _fitted(fine.vertices[some], points[near], normals[near], weights[near], of, scale)
    return Bending(
        scale=scale,
        least=out[:, 0],
        most=out[:, 1],
        least_direction=axes[:, 0],
        most_direction=axes[:, 1],
        error=out[:, 2],
        scatter=out[:, 3],
    )


def _fitted(at: Floats, p: Floats, n: Floats, w: Floats, of: Ints, scale: float) -> tuple[Floats, Floats]:
    """Return least and most curvature, error and scatter, shape (k, 4), and both directions, shape (k, 2, 3)."""
    k = len(at)
    number = np.bincount(of, minlength=k)
    begin = np.concatenate([[0], np.cumsum(number)])
    gather = csr_matrix((np.ones(len(of)), np.arange(len(of)), begin), shape=(k, len(of)))
    high, wide = np.triu_indices(6)

    def summed(values: Floats) -> Floats:
        return np.asarray(gather @ values, dtype=np.float64)

    def squared(values: Floats) -> Floats:
        out = np.empty((k, 6, 6))
        out[:, high, wide] = out[:, wide, high] = summed(products * values[:, None])
        return out

    up = summed(n * w[:, None])
    up /= np.maximum(np.linalg.norm(up, axis=1, keepdims=True), 1e-300)
    helper = np.eye(3)[np.argmin(np.abs(up), axis=1)]
    one = np.cross(up, helper)
    one /= np.maximum(np.linalg.norm(one, axis=1, keepdims=True), 1e-300)
    two = np.cross(up, one)
    d = (p - at[of]) / scale
    x, y = np.einsum("ij,ij->i", d, one[of]), np.einsum("ij,ij->i", d, two[of])
    h = np.einsum("ij,ij->i", d, up[of])
    basis = np.stack([np.ones_like(x), x, y, 0.5 * x * x, x * y, 0.5 * y * y], axis=1)
    products = basis[:, high] * basis[:, wide]
    share = w / np.maximum(summed(w), 1e-300)[of]
    matrix, spread = squared(share), squared(share**2)
    right = summed(basis * (share * h)[:, None])
    sound = (number >= FEWEST) & (np.linalg.cond(matrix) < 1e7)
    matrix[~sound] = np.eye(6)
    inverse = np.linalg.inv(matrix)
    c = np.einsum("kij,kj->ki", inverse, right)
    left = summed(share * (h - np.einsum("ij,ij->i", basis, c[of])) ** 2)
    scatter = np.sqrt(left * number / np.maximum(number - 6.0, 1.0))
    covariance = np.einsum("kij,kjl,klm->kim", inverse, spread, inverse)
    error = scatter * np.sqrt(np.maximum(covariance[:, 3, 3], covariance[:, 5, 5]))
    slope_x, slope_y = c[:, 1], c[:, 2]
    root = np.sqrt(1.0 + slope_x**2 + slope_y**2)
    first = np.stack([1 + slope_x**2, slope_x * slope_y, slope_x * slope_y, 1 + slope_y**2], 1).reshape(-1, 2, 2)
    second = np.stack([c[:, 3], c[:, 4], c[:, 4], c[:, 5]], 1).reshape(-1, 2, 2) / root[:, None, None]
    lower = np.linalg.inv(np.linalg.cholesky(first))
    values, vectors = np.linalg.eigh(lower @ -second @ np.swapaxes(lower, 1, 2))
    plane = np.swapaxes(lower, 1, 2) @ vectors  # directions in x and y, as columns, least curvature first
    along = one + slope_x[:, None] * up, two + slope_y[:, None] * up
    axes = plane[:, 0, :, None] * along[0][:, None, :] + plane[:, 1, :, None] * along[1][:, None, :]
    axes /= np.maximum(np.linalg.norm(axes, axis=2, keepdims=True), 1e-300)
    out = np.stack([values[:, 0] / scale, values[:, 1] / scale, error / scale, scatter * scale], axis=1)
    out[~sound] = np.nan
    return out, axes
