"""Small moulds as mesh files: a tray with walls of a stated draft, in the numbers of a stated unit."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from bagside.geometry import Surface


def tray(
    *, draft: float = 10.0, length: float = 0.24, width: float = 0.16, depth: float = 0.03, n: int = 61
) -> Surface:
    """Return an open tray, flange round it: walls lean outward by the draft in degrees [m].

    Parameters
    ----------
    draft
        Of the walls [degrees].
    length, width
        Of its floor [m].
    depth
        From floor to flange [m].
    n
        Points along each side of the grid.
    """
    slope = np.tan(np.radians(90.0 - draft))  # height per length outward
    reach = depth / slope
    half = np.array([0.5 * length + reach + 0.04, 0.5 * width + reach + 0.04])
    floor = np.array([0.5 * length, 0.5 * width])
    x, y = (_with(np.linspace(-h, h, n), [s, s + reach]) for h, s in zip(half, floor, strict=True))
    gx, gy = np.meshgrid(x, y, indexing="ij")
    out = np.maximum(np.abs(gx) - 0.5 * length, np.abs(gy) - 0.5 * width)
    gz = np.clip(out * slope, 0.0, depth) - depth
    i = np.arange(gx.size).reshape(gx.shape)
    a, b, c, d = i[:-1, :-1].ravel(), i[1:, :-1].ravel(), i[1:, 1:].ravel(), i[:-1, 1:].ravel()
    triangles = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    return Surface(np.stack([gx.ravel(), gy.ravel(), gz.ravel()], axis=1), triangles)


def _with(line: np.ndarray, places: list[float]) -> np.ndarray:
    """Return a line of points with stated ones among them, and nothing close beside those."""
    wanted = np.array([*places, *(-p for p in places)])
    far = np.abs(line[:, None] - wanted[None]).min(axis=1) > 0.3 * (line[1] - line[0])
    return np.sort(np.concatenate([line[far], wanted]))


def as_stl(surface: Surface, path: Path, per_metre: float = 1000.0) -> Path:
    """Write a surface as binary STL.

    Parameters
    ----------
    surface
        What is written [m].
    path
        Where.
    per_metre
        Of the file's numbers.
    """
    kinds = [("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")]
    record = np.zeros(len(surface.triangles), dtype=kinds)
    record["corners"] = per_metre * surface.corners
    record["normal"] = surface.normals
    head = b"a tray made for a test".ljust(80) + np.array([len(record)], dtype="<u4").tobytes()
    path.write_bytes(head + record.tobytes())
    return path
