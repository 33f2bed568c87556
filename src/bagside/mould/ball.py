"""The ball that cannot roll into a corner: how high plies and bag bridge there.

A bag and the plies under it follow no corner tighter than some radius. Roll a ball of that radius over the surface, on
the laminate's side: where it cannot touch, what it leaves open is the height of the bridge.
"""

from __future__ import annotations

import igl
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from bagside.errors import InputError
from bagside.geometry.surface import Surface
from bagside.mould.even import with_short_edges

Floats = NDArray[np.float64]

DEEPEST_SINK = 0.03  # of the radius: on a coarser mesh a fillet of the ball's radius is creases
HALVINGS = 12  # of an edge between a place where the ball fits and one where it does not


def rolling_ball_gap(surface: Surface, radius: float, noise: float = 0.0) -> Floats:
    """Return the gap that a rolling ball leaves at each vertex.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate, with its fillets not faired away.
    radius
        Of the ball: the tightest bend that bag and plies follow [m].
    noise
        Roughness of the surface that the ball may sink into [m].

    Returns
    -------
    ndarray
        Height of the bridge over each vertex, shape (n,) [m]; zero where the ball touches.

    Raises
    ------
    InputError
        When the radius is not positive, or the ball fits nowhere on the surface.

    Notes
    -----
    Edges longer than the ball's radius and twice the median edge are divided first, without changing the surface.
    The ball may sink into the faceted surface by h²/(4 radius), h the median edge length, at most by 3 % of its radius:
    that is what facets of a fillet of the ball's own radius take from it. Smaller gaps are not seen. In a corner of
    fillet R between walls that turn by t, the gap is (radius − R)(1/cos(t/2) − 1).
    """
    if not (radius > 0 and noise >= 0):
        raise InputError.one("rolling ball", f"radius {radius} m", "a radius above zero is wanted")
    fine = with_short_edges(surface, max(radius, 2.0 * surface.edge_length))
    v, n = fine.vertices, fine.vertex_normals
    tree = igl.AABB()
    tree.init(v, fine.triangles)
    sink = min(surface.edge_length**2 / (4.0 * radius), DEEPEST_SINK * radius) + noise

    def free(at: Floats, along: Floats) -> NDArray[np.bool_]:
        centre = np.ascontiguousarray(at + radius * along)
        squared = np.asarray(tree.squared_distance(v, fine.triangles, centre)[0]).reshape(-1)
        out: NDArray[np.bool_] = squared >= max(0.0, radius - sink) ** 2
        return out

    fits = free(v, n)
    if not fits.any():
        raise InputError.one(
            "rolling ball", f"radius {1e3 * radius:.1f} mm", "a ball that fits somewhere on the surface is wanted"
        )
    centres = [v[fits] + radius * n[fits]]
    e = fine.edges
    mixed = e[fits[e[:, 0]] != fits[e[:, 1]]]
    if len(mixed):
        inside = np.where(fits[mixed[:, 0]], mixed[:, 0], mixed[:, 1])
        outside = np.where(fits[mixed[:, 0]], mixed[:, 1], mixed[:, 0])
        low, high = np.zeros(len(mixed)), np.ones(len(mixed))
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            ok = free(*_between(v, n, inside, outside, middle))
            low, high = np.where(ok, middle, low), np.where(ok, high, middle)
        at, along = _between(v, n, inside, outside, low)
        centres.append(at + radius * along)
    count = len(surface.vertices)
    distance = cKDTree(np.concatenate(centres)).query(v[:count])[0]
    gap: Floats = np.maximum(0.0, distance - radius)
    gap[fits[:count]] = 0.0
    return gap


def _between(
    v: Floats, n: Floats, start: NDArray[np.int64], end: NDArray[np.int64], share: Floats
) -> tuple[Floats, Floats]:
    s = share[:, None]
    at = (1 - s) * v[start] + s * v[end]
    along = (1 - s) * n[start] + s * n[end]
    length = np.linalg.norm(along, axis=1, keepdims=True)
    return at, along / np.where(length > 0, length, 1.0)
