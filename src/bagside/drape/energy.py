"""The energy of a cloth map, its residuals and their derivatives, put together into one sparse matrix.

Unknown are the cloth coordinates (u, v) at each vertex. In a triangle with grad u = (a, b), grad v = (c, e) and
D = a e − b c the warp is stretched by |grad v| / D, the weft by |grad u| / D, and the tangent of the shear is
q = −(a c + b e) / D. The residuals of a triangle are the two weighted strains and what the law makes of q, each times
the square root of its share of the area; the line laid first adds rows linear in u and v; a pin at the start takes out
the translation. 1 / D is a barrier: a step that turns a triangle over is never taken, so the map stays free of flips
once it is.

Everything but the pin is a function of the four slopes (a, b, c, e), which are linear in the map: along a step they
need not be taken anew.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.frames import Frames, gradients
from bagside.drape.law import ClothLaw
from bagside.drape.line import Line
from bagside.drape.sparsity import PAIRS, Sparsity, sparsity_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CHUNK = 4096  # triangles worked on at a time, so that the intermediate rows stay in the cache
TAUT = 4.0  # weight of the length along a drawn line against its straightness: shear there is what it keeps out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cloth:
    """Everything the energy of one surface needs.

    Parameters
    ----------
    frames
        Axes and hat gradients.
    sparsity
        Where products go.
    unknown
        Unknowns of each triangle, u and v of its three corners in turn, shape (6, m).
    line
        The line laid first.
    line_weight
        Weight of the line's rows against the whole.
    start_triangle, start_share
        Where the cloth's origin lies: a triangle and its three barycentric coordinates.
    """

    frames: Frames
    sparsity: Sparsity
    unknown: Ints
    line: Line
    line_weight: float
    start_triangle: int
    start_share: Floats


def cloth_on(frames: Frames, line: Line, line_weight: float, start_triangle: int, start_share: Floats) -> Cloth:
    """Return what the energy needs.

    Parameters
    ----------
    frames
        Axes and hat gradients.
    line
        The line laid first.
    line_weight
        Weight of the line's rows against the whole.
    start_triangle
        Triangle in which the cloth's origin lies.
    start_share
        Its barycentric coordinates there, shape (3,).
    """
    return Cloth(
        frames=frames,
        sparsity=sparsity_of(frames),
        unknown=np.stack([2 * frames.triangles[:, k // 2] + k % 2 for k in range(6)]),
        line=line,
        line_weight=line_weight,
        start_triangle=start_triangle,
        start_share=start_share,
    )


def centred(cloth: Cloth, uv: Floats) -> Floats:
    """Return the map moved so that the start point is the cloth's origin.

    Parameters
    ----------
    cloth
        The surface.
    uv
        The map, shape (n, 2) [m].
    """
    out: Floats = uv - cloth.start_share @ uv[cloth.frames.triangles[cloth.start_triangle]]
    return out


def slopes_of(cloth: Cloth, uv: Floats) -> Floats:
    """Return the slopes (a, b, c, e) of a map in each triangle, shape (4, m).

    Parameters
    ----------
    cloth
        The surface.
    uv
        The map, shape (n, 2) [m].
    """
    return np.stack(gradients(cloth.frames, uv))


def costs(law: ClothLaw, slopes: Floats) -> Floats:
    """Return what each triangle costs for its area; infinite where one is turned over, shape (m,).

    Parameters
    ----------
    law
        The cloth.
    slopes
        Of a map, shape (4, m).
    """
    a, b, c, e = slopes
    d = a * e - b * c
    if not d.min() > 0:
        over = ~(d > 0)
        out = np.zeros(len(d))
        out[over] = math.inf
        return out
    r1 = np.sqrt(c * c + e * e) / d - 1
    r2 = np.sqrt(a * a + b * b) / d - 1
    cost: Floats = law.warp_weight * r1 * r1 + law.weft_weight * r2 * r2 + law.shear_cost(-(a * c + b * e) / d)
    return cost


def energy_at(cloth: Cloth, law: ClothLaw, slopes: Floats) -> float:
    """Return the energy of a map by its slopes; infinite when a triangle is turned over.

    Parameters
    ----------
    cloth
        The surface.
    law
        The cloth.
    slopes
        Shape (4, m).
    """
    out = float(np.einsum("i,i->", cloth.frames.share, costs(law, slopes)))
    for weight, missing, _ in _line_rows(cloth, slopes):
        out += float(np.einsum("k,k,k->", weight, missing, missing))
    return out


def energy(cloth: Cloth, law: ClothLaw, uv: Floats) -> float:
    """Return the energy of a map; infinite when a triangle is turned over.

    Parameters
    ----------
    cloth
        The surface.
    law
        The cloth.
    uv
        The map, shape (n, 2) [m].
    """
    return energy_at(cloth, law, slopes_of(cloth, uv))


def smallest(cloth: Cloth, uv: Floats) -> float:
    """Return the smallest D, the cloth area over the surface area of a triangle; positive when nothing is flipped.

    Parameters
    ----------
    cloth
        The surface.
    uv
        The map, shape (n, 2) [m].
    """
    a, b, c, e = gradients(cloth.frames, uv)
    return float((a * e - b * c).min())


def flipped(cloth: Cloth, uv: Floats) -> NDArray[np.bool_]:
    """Return which triangles a map turns over or collapses, shape (m,).

    Parameters
    ----------
    cloth
        The surface.
    uv
        The map, shape (n, 2) [m].
    """
    a, b, c, e = gradients(cloth.frames, uv)
    out: NDArray[np.bool_] = ~(a * e - b * c > 0)
    return out


def longest_step(slopes: Floats, change: Floats) -> float:
    """Return how much of a step can be taken before the first triangle collapses, at most 1 (0.9 of the way there).

    Parameters
    ----------
    slopes
        Of a map without flips, shape (4, m).
    change
        Of the slopes by the whole step, shape (4, m).
    """
    a, b, c, e = slopes
    da, db, dc, de = change
    d0, d1, d2 = a * e - b * c, a * de + e * da - b * dc - c * db, da * de - db * dc
    # where the whole step leaves more than a third and D is no valley on the way, nothing is near
    near = np.flatnonzero((d0 + d1 + d2 < d0 / 3) | (d2 * d2 > d0 * d0 / 9))
    d0, d1, d2 = d0[near], d1[near], d2[near]
    square = d1 * d1 - 4 * d0 * d2
    root = np.sqrt(np.maximum(square, 0))
    # the smallest positive root of d0 + d1 x + d2 x² with d0 > 0, in the form without cancellation
    below = -d1 + root
    first = np.where((square >= 0) & (below > 0), 2 * d0 / np.where(below > 0, below, 1), np.inf)
    other = -d1 - root
    second = np.where((square >= 0) & (other > 0), 2 * d0 / np.where(other > 0, other, 1), np.inf)
    return min(1.0, 0.9 * float(np.minimum(first, second).min(initial=np.inf)))


def derivatives(cloth: Cloth, law: ClothLaw, slopes: Floats) -> tuple[Floats, Floats]:
    """Return half the gradient of the energy and the entries of its Gauss–Newton matrix JᵀJ.

    Parameters
    ----------
    cloth
        The surface.
    law
        The cloth.
    slopes
        Of a map without flips, shape (4, m).

    Returns
    -------
    tuple
        Jᵀr, shape (2 n,) [1/m], and the entries of the whole matrix in the order of its sparsity [1/m²].
    """
    f, sparsity = cloth.frames, cloth.sparsity
    m = slopes.shape[1]
    pull, products = np.empty((6, m)), np.empty((len(PAIRS), m))
    for begin in range(0, m, CHUNK):
        part = slice(begin, begin + CHUNK)
        _products(law, slopes[:, part], f.gx[:, part], f.gy[:, part], f.share[part], pull[:, part], products[:, part])
    for weight, missing, rows in _line_rows(cloth, slopes):
        for i in range(6):
            np.add.at(pull[i], cloth.line.triangle, weight * missing * rows[i])
        for n, (i, j) in enumerate(PAIRS):
            np.add.at(products[n], cloth.line.triangle, weight * rows[i] * rows[j])
    # the pin holds no force: the energy does not change when the whole map moves
    pin = cloth.start_share * math.sqrt(float(np.mean(products.max(axis=0))))
    for n, (i, j) in enumerate(PAIRS):
        if i % 2 == j % 2:
            products[n, cloth.start_triangle] += pin[i // 2] * pin[j // 2]
    gradient = np.bincount(cloth.unknown.ravel(), weights=pull.ravel(), minlength=2 * f.vertices).astype(np.float64)
    data = np.bincount(sparsity.slot, weights=products.ravel(), minlength=sparsity.slots).astype(np.float64)
    return gradient, data[sparsity.mirror]


def _products(
    law: ClothLaw, slopes: Floats, gx: Floats, gy: Floats, share: Floats, pull: Floats, products: Floats
) -> None:
    """Fill in what some triangles pull at their unknowns and the 21 products of their rows."""
    a, b, c, e = slopes
    d = a * e - b * c
    nu, nv = np.sqrt(a * a + b * b), np.sqrt(c * c + e * e)
    q = -(a * c + b * e) / d
    w = np.sqrt(share)
    w1, w2 = math.sqrt(law.warp_weight) * w, math.sqrt(law.weft_weight) * w
    slope, r3 = law.shear_row(q)
    w3 = w * slope
    k1, l1 = -w1 * nv / (d * d), w1 / (nv * d)
    k2, l2 = -w2 * nu / (d * d), w2 / (nu * d)
    k3, l3 = -w3 * q / d, -w3 / d
    rows = np.empty((3, 6, len(d)))
    for n, (ga, gb, gc, ge) in enumerate(
        (
            (k1 * e, -k1 * c, l1 * c - k1 * b, l1 * e + k1 * a),
            (k2 * e + l2 * a, l2 * b - k2 * c, -k2 * b, k2 * a),
            (k3 * e + l3 * c, l3 * e - k3 * c, l3 * a - k3 * b, k3 * a + l3 * b),
        )
    ):
        for i in range(3):
            rows[n, 2 * i] = ga * gx[i] + gb * gy[i]
            rows[n, 2 * i + 1] = gc * gx[i] + ge * gy[i]
    pull[:] = rows[0] * (w1 * (nv / d - 1)) + rows[1] * (w2 * (nu / d - 1)) + rows[2] * (w * r3)
    for n, (i, j) in enumerate(PAIRS):
        products[n] = rows[0, i] * rows[0, j] + rows[1, i] * rows[1, j] + rows[2, i] * rows[2, j]


def _line_rows(cloth: Cloth, slopes: Floats) -> list[tuple[Floats, Floats, Floats]]:
    """Return for each kind of row along the line its weights (k,), what is missing (k,) and its six entries (6, k)."""
    line, frames = cloth.line, cloth.frames
    if len(line.triangle) == 0:
        return []
    t = line.triangle
    x = np.einsum("ij,ij->i", line.along, frames.first[t])
    y = np.einsum("ij,ij->i", line.along, frames.second[t])
    hats = frames.gx[:, t] * x + frames.gy[:, t] * y
    a, b, c, e = slopes[:, t]
    du, dv = a * x + b * y, c * x + e * y
    cosine, sine = np.cos(line.heading), np.sin(line.heading)
    weight = cloth.line_weight**2 * line.length / line.length.sum()
    across = np.stack([-sine * hats, cosine * hats], axis=1).reshape(6, -1)
    out = [(weight, cosine * dv - sine * du, across)]
    if line.taut:
        along = np.stack([cosine * hats, sine * hats], axis=1).reshape(6, -1)
        out.append((TAUT**2 * weight, cosine * du + sine * dv - 1, along))
    return out
