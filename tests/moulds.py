"""Moulds whose corners, folds and strings are known; lengths in metres, normals towards the laminate."""

import numpy as np

from bagside.geometry.surface import Surface
from shapes import disc, grid


def bend(turn: float, radius: float, wall: float = 0.03, length: float = 0.1, edge: float = 0.001) -> Surface:
    """Return two flat walls joined by a hollow fillet of a radius, turning by an angle, along x."""
    arc = radius * turn
    n_arc, n_wall = max(1, round(arc / edge)) if radius > 0 else 0, round(wall / edge)
    s = np.concatenate(
        [
            np.linspace(-wall, 0, n_wall + 1),
            np.linspace(0, arc, n_arc + 1)[1:],
            arc + np.linspace(0, wall, n_wall + 1)[1:],
        ]
    )
    angle = np.clip(s, 0, arc) / radius if radius > 0 else np.where(s > 0, turn, 0.0)
    if radius > 0:
        y = radius * np.sin(angle) + np.where(s < 0, s, 0) + np.where(s > arc, (s - arc) * np.cos(turn), 0)
        z = radius * (1 - np.cos(angle)) + np.where(s > arc, (s - arc) * np.sin(turn), 0)
    else:
        y = np.where(s < 0, s, s * np.cos(turn))
        z = np.where(s < 0, 0.0, s * np.sin(turn))
    nx = round(length / edge)
    p, t = grid(nx, len(s) - 1)
    row = np.round(p[:, 1] * (len(s) - 1)).astype(int)
    return Surface(np.column_stack([p[:, 0] * length, y[row], z[row]]), t)


def tray(
    length: float = 0.4,
    width: float = 0.3,
    depth: float = 0.06,
    wall: float = 0.02,
    flange: float = 0.1,
    edge: float = 0.005,
) -> Surface:
    """Return a hollow tray: a flat flange around a mitred wall of a plan width, down to a flat floor.

    ``length`` and ``width`` are the opening's. The mesh follows every fold when all sizes are multiples of ``edge``.
    """
    half = np.array([length, width]) / 2 + flange
    n = np.round(2 * half / edge).astype(int)
    p, t = grid(int(n[0]), int(n[1]))
    xy = (p - 0.5) * 2 * half
    inside = np.minimum(length / 2 - np.abs(xy[:, 0]), width / 2 - np.abs(xy[:, 1]))
    z = -depth * np.clip(inside / wall, 0, 1)
    return Surface(np.column_stack([xy, z]), t)


def opening(mould: Surface, length: float, width: float) -> Surface:
    """Return what lies inside the opening of a tray: the part."""
    c = np.abs(mould.centroids)
    return mould.selected((c[:, 0] < length / 2) & (c[:, 1] < width / 2))


def dish(radius: float = 0.15, half_angle: float = np.radians(40), flange: float = 0.1, rings: int = 40) -> Surface:
    """Return a hollow cap of a sphere with a flat flange around it; one ring of points lies on its rim."""
    p, t = disc(rings)
    r = np.linalg.norm(p, axis=1)
    rim = radius * np.sin(half_angle)
    ring = round(rings * rim / (rim + flange)) / rings
    out = np.interp(r, [0.0, ring, 1.0], [0.0, rim, rim + flange])
    ray = np.divide(p, r[:, None], out=np.zeros_like(p), where=r[:, None] > 0)
    z = np.where(out < rim * (1 - 1e-9), -np.sqrt(np.maximum(radius**2 - out**2, 0)) + radius * np.cos(half_angle), 0.0)
    return Surface(np.column_stack([ray * out[:, None], z]), t)
