"""The energy of a cloth map, its residuals and their derivatives, put together into one sparse matrix.

Unknown are the cloth coordinates (u, v) at each vertex. In a triangle with grad u = (a, b), grad v = (c, e) and
D = a e − b c the warp is stretched by |grad v| / D, the weft by |grad u| / D, and the tangent of the shear is
−(a c + b e) / D. The residuals of a triangle are the two strains and the weighted tangent, each times the square root
of its share of the area; the warp line adds rows linear in v; a pin at the start takes out the translation. 1 / D is a
barrier: a step that turns a triangle over is never taken, so the map stays free of flips once it is.
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cloth:
    """Everything the energy of one surface needs.

    Parameters
    ----------
    frames
        Axes and hat gradients.
    sparsity
        Where products go.
    line
        The warp line.
    line_weight
        Weight of the line's rows against the whole.
    start_triangle, start_share
        Where the cloth's origin lies: a triangle and its three barycentric coordinates.
    """

    frames: Frames
    sparsity: Sparsity
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
        The warp line.
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
        line=line,
        line_weight=line_weight,
        start_triangle=start_triangle,
        start_share=start_share,
    )


def _line_rows(cloth: Cloth) -> tuple[Floats, Floats]:
    """Return hat gradients along the line, shape (3, k), and the weight of each row, shape (k,)."""
    line, frames = cloth.line, cloth.frames
    t = line.triangle
    x = np.einsum("ij,ij->i", line.along, frames.first[t])
    y = np.einsum("ij,ij->i", line.along, frames.second[t])
    return frames.gx[:, t] * x + frames.gy[:, t] * y, cloth.line_weight**2 * line.length / line.length.sum()


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
    a, b, c, e = gradients(cloth.frames, uv)
    d = a * e - b * c
    if not d.min() > 0:
        return math.inf
    r1 = np.hypot(c, e) / d - 1
    r2 = np.hypot(a, b) / d - 1
    q = -(a * c + b * e) / d
    sheared = law.shear_weight * q * q
    if law.locking_angle is not None:
        sheared = sheared + law.locking_weight * np.maximum(0, np.abs(q) - math.tan(law.locking_angle)) ** 2
    out = float(cloth.frames.share @ (r1 * r1 + r2 * r2 + sheared))
    rows, weight = _line_rows(cloth)
    slope = np.einsum("ik,ik->k", rows, uv[:, 1][cloth.frames.triangles[cloth.line.triangle].T])
    return out + float(weight @ slope**2)


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


def longest_step(cloth: Cloth, uv: Floats, step: Floats) -> float:
    """Return how much of a step can be taken before the first triangle collapses, at most 1 (0.9 of the way there).

    Parameters
    ----------
    cloth
        The surface.
    uv
        The map, shape (n, 2) [m].
    step
        Change of the map, shape (n, 2) [m].
    """
    a, b, c, e = gradients(cloth.frames, uv)
    da, db, dc, de = gradients(cloth.frames, step)
    d0, d1, d2 = a * e - b * c, a * de + e * da - b * dc - c * db, da * de - db * dc
    root = np.sqrt(np.maximum(d1 * d1 - 4 * d0 * d2, 0))
    real = d1 * d1 >= 4 * d0 * d2
    # the smallest positive root of d0 + d1 x + d2 x² with d0 > 0, in the form without cancellation
    below = -d1 + root
    first = np.where(real & (below > 0), 2 * d0 / np.where(below > 0, below, 1), np.inf)
    other = -d1 - root
    second = np.where(real & (other > 0), 2 * d0 / np.where(other > 0, other, 1), np.inf)
    return min(1.0, 0.9 * float(np.minimum(first, second).min()))


def derivatives(cloth: Cloth, law: ClothLaw, uv: Floats) -> tuple[Floats, Floats]:
    """Return half the gradient of the energy and the entries of its Gauss–Newton matrix JᵀJ.

    Parameters
    ----------
    cloth
        The surface.
    law
        The cloth.
    uv
        A map without flips, shape (n, 2) [m].

    Returns
    -------
    tuple
        Jᵀr, shape (2 n,) [1/m], and the entries of the whole matrix in the order of its sparsity [1/m²].
    """
    f, sparsity = cloth.frames, cloth.sparsity
    a, b, c, e = gradients(f, uv)
    d = a * e - b * c
    nu, nv = np.hypot(a, b), np.hypot(c, e)
    q = -(a * c + b * e) / d
    w = np.sqrt(f.share)
    # shear and locking are two residuals along one row dq: their squares add up to slope², their pulls to slope r3
    slope = np.full_like(q, math.sqrt(law.shear_weight))
    r3 = slope * q
    if law.locking_angle is not None:
        past = np.abs(q) - math.tan(law.locking_angle)
        pull3 = law.shear_weight * q + np.copysign(law.locking_weight, q) * np.maximum(0, past)
        slope = np.sqrt(law.shear_weight + np.where(past > 0, law.locking_weight, 0.0))
        r3 = pull3 / slope
    dd = (e, -c, -b, a)
    k1, l1 = -w * nv / d**2, w / (nv * d)
    k2, l2 = -w * nu / d**2, w / (nu * d)
    k3, l3 = -w * slope * q / d, -w * slope / d
    rows = np.empty((3, 6, len(d)))
    pull = np.zeros((6, len(d)))
    for n, (by_gradient, residual) in enumerate(
        (
            ((k1 * dd[0], k1 * dd[1], k1 * dd[2] + l1 * c, k1 * dd[3] + l1 * e), w * (nv / d - 1)),
            ((k2 * dd[0] + l2 * a, k2 * dd[1] + l2 * b, k2 * dd[2], k2 * dd[3]), w * (nu / d - 1)),
            ((k3 * dd[0] + l3 * c, k3 * dd[1] + l3 * e, k3 * dd[2] + l3 * a, k3 * dd[3] + l3 * b), w * r3),
        )
    ):
        for i in range(3):
            rows[n, 2 * i] = by_gradient[0] * f.gx[i] + by_gradient[1] * f.gy[i]
            rows[n, 2 * i + 1] = by_gradient[2] * f.gx[i] + by_gradient[3] * f.gy[i]
        pull += residual * rows[n]
    products = np.empty((len(PAIRS), len(d)))
    for n, (i, j) in enumerate(PAIRS):
        products[n] = rows[0, i] * rows[0, j] + rows[1, i] * rows[1, j] + rows[2, i] * rows[2, j]
    _add_line(cloth, uv, pull, products)
    # the pin holds no force: the energy does not change when the whole map moves
    pin = cloth.start_share * math.sqrt(float(np.mean(products.max(axis=0))))
    for n, (i, j) in enumerate(PAIRS):
        if i % 2 == j % 2:
            products[n, cloth.start_triangle] += pin[i // 2] * pin[j // 2]
    dof = np.stack([2 * f.triangles[:, k // 2] + k % 2 for k in range(6)])
    gradient = np.bincount(dof.ravel(), weights=pull.ravel(), minlength=2 * f.vertices).astype(np.float64)
    data = np.bincount(sparsity.slot, weights=products.ravel(), minlength=sparsity.slots).astype(np.float64)
    return gradient, data[sparsity.mirror]


def _add_line(cloth: Cloth, uv: Floats, pull: Floats, products: Floats) -> None:
    rows, weight = _line_rows(cloth)
    t = cloth.line.triangle
    slope = np.einsum("ik,ik->k", rows, uv[:, 1][cloth.frames.triangles[t].T])
    for i in range(3):
        np.add.at(pull[2 * i + 1], t, weight * slope * rows[i])
    for n, (i, j) in enumerate(PAIRS):
        if i % 2 == 1 and j % 2 == 1:
            np.add.at(products[n], t, weight * rows[i // 2] * rows[j // 2])
