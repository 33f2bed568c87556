"""A dish in closed form with a cloth on it, for the sheets' tests: no draping, only a smooth map with known shear."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.geometry import Surface

Floats = NDArray[np.float64]


def height(x: Floats, y: Floats) -> Floats:
    """Return a rounded-rectangular hollow 45 mm deep with a raised floor, [m]."""
    a, b = np.abs(x) / 0.165, np.abs(y) / 0.105
    r = (a**3.2 + b**3.2) ** (1 / 3.2)
    wall = 1 / (1 + np.exp(-(r - 0.9) / 0.045))
    boss = 1 / (1 + np.exp((np.hypot(x / 0.07, y / 0.045) - 1) / 0.06))
    return -0.045 * (1 - wall) + 0.012 * boss


def dish(nx: int = 120, ny: int = 80, half: tuple[float, float] = (0.21, 0.145)) -> Surface:
    """Return the mould, laminate side up."""
    x, y = np.meshgrid(np.linspace(-half[0], half[0], nx + 1), np.linspace(-half[1], half[1], ny + 1), indexing="ij")
    i, j = (a.ravel() for a in np.meshgrid(np.arange(nx), np.arange(ny), indexing="ij"))
    a, b = i * (ny + 1) + j, (i + 1) * (ny + 1) + j
    triangles = np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)])
    full = Surface(np.stack([x, y, height(x, y)], axis=-1).reshape(-1, 3), triangles)
    c = full.centroids
    return full.selected((np.abs(c[:, 0]) / half[0]) ** 4 + (np.abs(c[:, 1]) / half[1]) ** 4 < 1)


def part_of(mould: Surface, west: float = -1.0, east: float = 1.0) -> Surface:
    """Return the part inside the rim between two x."""
    c = mould.centroids
    inside = (np.abs(c[:, 0]) / 0.178) ** 3.5 + (np.abs(c[:, 1]) / 0.117) ** 3.5 < 1
    return mould.selected(inside & (c[:, 0] > west) & (c[:, 0] < east))


def cloth(piece: Surface, angle: float) -> tuple[Floats, Floats]:
    """Return cloth coordinates (n, 2) [m] and a shear (m,) [rad] that is large where walls meet."""
    x, y, z = piece.vertices.T
    s, t = np.sin(angle), np.cos(angle)
    deep = 0.35 * (z + 0.045)
    uv = np.stack([x * t + y * s + deep * np.sign(x), -x * s + y * t + deep * np.sign(y) * 0.6], axis=1)
    cx, cy = piece.centroids[:, 0] / 0.15, piece.centroids[:, 1] / 0.095
    shear = 0.68 * np.exp(-6 * (np.abs(cx) - 0.9) ** 2 - 6 * (np.abs(cy) - 0.9) ** 2) * np.sign(cx * cy)
    return uv, shear
