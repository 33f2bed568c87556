"""Derivatives and curvature on a triangle surface, as arrays over all triangles or vertices at once."""

from __future__ import annotations

from dataclasses import dataclass

import igl
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csr_matrix

from bagside.geometry.numbering import compact
from bagside.geometry.surface import Floats, Surface


@dataclass(frozen=True, slots=True, kw_only=True)
class Curvature:
    """Principal curvatures at each vertex.

    Parameters
    ----------
    least
        Smaller curvature, shape (n,) [1/m]; negative in hollows as the laminate sees them.
    most
        Larger curvature, shape (n,) [1/m]; positive where the surface bulges towards the laminate.
    least_direction
        Unit direction of the smaller one along the surface, shape (n, 3); its sign has no meaning.
    most_direction
        Unit direction of the larger one along the surface, shape (n, 3); its sign has no meaning.
    """

    least: Floats
    most: Floats
    least_direction: Floats
    most_direction: Floats


def frames(surface: Surface) -> Floats:
    """Return two axes in the plane of each triangle, the first along its first side, shape (m, 2, 3).

    Parameters
    ----------
    surface
        The surface; its triangles must have area.
    """
    c = surface.corners
    first = c[:, 1] - c[:, 0]
    first = first / np.linalg.norm(first, axis=1, keepdims=True)
    out: Floats = np.stack([first, np.cross(surface.normals, first)], axis=1)
    return out


def gradients(surface: Surface, axes: Floats | None = None) -> Floats:
    """Return the gradient of each corner's hat function in the plane of its triangle, shape (m, 3, 2) [1/m].

    Parameters
    ----------
    surface
        The surface; its triangles must have area.
    axes
        Axes of each triangle's plane, shape (m, 2, 3); those of `frames` when not given.

    Notes
    -----
    The gradient of a function with values f at the corners is the sum of f times these.
    """
    c = surface.corners
    plane = frames(surface) if axes is None else axes
    opposite = c[:, [2, 0, 1]] - c[:, [1, 2, 0]]
    turned = np.cross(surface.normals[:, None, :], opposite) / (2 * surface.areas[:, None, None])
    out: Floats = np.einsum("mkj,maj->mka", turned, plane)
    return out


def masses(surface: Surface) -> Floats:
    """Return the area that belongs to each vertex, a third of each triangle there, shape (n,) [m²].

    Parameters
    ----------
    surface
        The surface.
    """
    third = np.repeat(surface.areas / 3, 3)
    found = np.bincount(surface.triangles.ravel(), weights=third, minlength=len(surface.vertices))
    return np.asarray(found, dtype=np.float64)


def laplacian(surface: Surface) -> csr_matrix:
    """Return the cotangent Laplacian, positive semidefinite, shape (n, n).

    Parameters
    ----------
    surface
        The surface; its triangles must have area.

    Notes
    -----
    For values f it gives the slopes' energy, f · L f = ∫ |grad f|² over the surface.
    """
    g, t, n = gradients(surface), surface.triangles, len(surface.vertices)
    local = np.einsum("mia,mja->mij", g, g) * surface.areas[:, None, None]
    rows, columns = np.repeat(t, 3, axis=1).ravel(), np.tile(t, (1, 3)).ravel()
    return coo_matrix((local.ravel(), (rows, columns)), shape=(n, n)).tocsr()


def curvature(surface: Surface, reach: int = 4) -> Curvature:
    """Return principal curvatures by fitting a quadric around each vertex.

    Parameters
    ----------
    surface
        The surface, faired: noise is taken for curvature.
    reach
        Radius of the fit in edge lengths; at least 2.

    Raises
    ------
    ValueError
        When the reach is less than 2.

    Notes
    -----
    A fillet is measured well when its radius is at least three edges; a smaller one comes out wider.
    A bend of radius R within reach r [m] comes out too strong by about (r / R)² / 5. Values at the
    boundary rest on one side only.
    """
    if reach < 2:
        raise ValueError(f"a quadric cannot be fitted within {reach} edge lengths")
    used, renumbered = compact(surface.triangles, len(surface.vertices))
    one, two, first, second, _ = igl.principal_curvature(
        np.ascontiguousarray(surface.vertices[used]),
        np.ascontiguousarray(renumbered),
        reach,
    )
    n = len(surface.vertices)

    def spread(values: NDArray[np.float64]) -> Floats:
        out = np.zeros((n, *np.shape(values)[1:]))
        out[used] = values
        return out

    k1, k2 = spread(np.asarray(first, dtype=np.float64)), spread(np.asarray(second, dtype=np.float64))
    d1, d2 = spread(np.asarray(one, dtype=np.float64)), spread(np.asarray(two, dtype=np.float64))
    swap = k1 > k2
    return Curvature(
        least=np.where(swap, k2, k1),
        most=np.where(swap, k1, k2),
        least_direction=np.where(swap[:, None], d2, d1),
        most_direction=np.where(swap[:, None], d1, d2),
    )
