"""Corners whose radius, angle and length are known; lengths in metres, normals towards the laminate."""

import numpy as np
from shapes import grid

from bagside.geometry.surface import Surface


def bend(turn: float, radius: float, wall: float = 0.03, length: float = 0.1, edge: float = 0.001) -> Surface:
    """Return two flat walls joined by a hollow fillet of a radius, turning by an angle, along x."""
    arc = radius * turn
    n_arc, n_wall = max(1, round(arc / edge)) if radius > 0 else 0, round(wall / edge)
    s = np.concatenate(
        [np.linspace(-wall, 0, n_wall + 1), np.linspace(0, arc, n_arc + 1)[1:], arc + np.linspace(0, wall, n_wall + 1)[1:]]
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
