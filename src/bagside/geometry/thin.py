"""Fewer triangles where a surface is flat, enough of them in its fillets, and how far the result strays.

One pass of mmgs with an edge length wanted at each vertex. That length comes from how fast the normal turns: a third of
the local radius, no shorter than the smallest stated fillet needs and no longer than the stated size.
"""

from __future__ import annotations

from dataclasses import dataclass

import mmgpy
import numpy as np

from bagside.errors import NotSolved
from bagside.geometry.locate import nearest
from bagside.geometry.remesh import RIDGE
from bagside.geometry.surface import Floats, Surface
from bagside.geometry.topology import consistent, parted, parts

PER_RADIUS = 3.0  # edges along a radius: a fillet's curvature is measured over three edges
TURN = 0.375  # mean of cos⁴ over directions: how much of a cylinder's curvature its edges see, squared
GRADING = 1.5  # neighbouring edges differ by no more than this
SAMPLES = 60_000  # vertices the deviation is measured at


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation:
    """How far a surface strays from the one it was made from.

    Parameters
    ----------
    rms, most_of, largest
        Root mean square, what 99 % of the old surface's vertices stay below, and the largest [m].
    """

    rms: float
    most_of: float
    largest: float


def thinned(surface: Surface, size: float, tolerance: float, fillet: float) -> Surface:
    """Return the surface in few triangles, with fillets down to a radius kept.

    Parameters
    ----------
    surface
        The surface, free of noise.
    size
        Edge length on flat parts [m].
    tolerance
        How far the new triangles may stray from the old ones [m].
    fillet
        Smallest radius that must keep its shape [m]: edges there are a third of it.

    Raises
    ------
    ValueError
        When size, tolerance or fillet is not more than zero.
    NotSolved
        When the remesher fails or gives back something that is not one clean surface.

    Notes
    -----
    Edges sharper than 45° stay edges. Noise left in the surface is taken for curvature and keeps triangles: 0.03 per
    mm of it still allows edges of 10 mm. Of parts that do not hang together the largest comes back. One thread; the
    same input gives the same output.
    """
    if not (size > 0 and tolerance > 0 and fillet > 0):
        raise ValueError(f"size {size}, tolerance {tolerance} and fillet {fillet} must be more than zero")
    if len(surface.triangles) == 0:
        return surface
    scale = 1000.0  # mmgs works in millimetres: its own absolute tolerances suit that
    shortest = min(fillet / PER_RADIUS, size)
    wanted = np.clip(1 / (PER_RADIUS * np.maximum(_bend(surface), 1e-3)), shortest, size)
    try:
        mesh = mmgpy.MmgMeshS(surface.vertices * scale, surface.triangles.astype(np.int32))
        mesh.set_field("metric", np.ascontiguousarray(wanted[:, None] * scale))
        mesh.remesh(
            hausd=max(tolerance, shortest / 8) * scale,
            hmin=0.5 * shortest * scale,
            hmax=size * scale,
            hgrad=GRADING,
            ar=RIDGE,
            verbose=-1,
        )
        vertices = np.asarray(mesh.get_vertices(), dtype=np.float64) / scale
        triangles = np.asarray(mesh.get_triangles(), dtype=np.int64)
    except (RuntimeError, ValueError) as error:
        raise NotSolved(f"the surface cannot be thinned to {1000 * size:.2f} mm: {error}") from error
    if len(triangles) == 0 or not np.isfinite(vertices).all() or not consistent(triangles):
        raise NotSolved(f"the surface cannot be thinned to {1000 * size:.2f} mm: the new triangles do not fit")
    vertices, triangles, _ = parted(vertices, triangles)
    made = Surface(vertices, triangles)
    count, of = parts(triangles, len(vertices))
    if count == 1:
        return made
    return made.selected(of == int(np.bincount(of, weights=made.areas).argmax()))


def _bend(surface: Surface) -> Floats:
    """Return about the largest curvature at each vertex, from how normals turn along its edges [1/m]."""
    a, b = surface.edges[:, 0], surface.edges[:, 1]
    n, v = surface.vertex_normals, surface.vertices
    turn, way = n[a] - n[b], v[a] - v[b]
    length = np.sqrt(np.einsum("ij,ij->i", way, way))
    rate = np.einsum("ij,ij->i", turn, turn) / np.maximum(length, 1e-9)  # (turn / length)², weighted by length
    count = len(v)
    total = np.bincount(a, weights=rate, minlength=count) + np.bincount(b, weights=rate, minlength=count)
    weight = np.bincount(a, weights=length, minlength=count) + np.bincount(b, weights=length, minlength=count)
    out: Floats = np.sqrt(total / np.maximum(weight, 1e-12) / TURN)
    return out


def deviation(before: Surface, after: Surface) -> Deviation:
    """Return how far a surface strays from the one it was made from.

    Parameters
    ----------
    before, after
        The old surface and the new one.

    Raises
    ------
    ValueError
        When either has no triangles.

    Notes
    -----
    Measured at up to 60 000 vertices of the old surface, evenly picked; where the new one ends earlier the way to its
    edge counts.
    """
    if len(before.triangles) == 0:
        raise ValueError("there is no surface to stray from")
    step = max(1, -(-len(before.vertices) // SAMPLES))
    off, _, _ = nearest(after, before.vertices[::step])
    return Deviation(
        rms=float(np.sqrt((off**2).mean())), most_of=float(np.quantile(off, 0.99)), largest=float(off.max())
    )
