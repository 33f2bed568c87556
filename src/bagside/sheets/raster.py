"""Triangles to pixels with a depth buffer.

An orthographic rasteriser in arrays: every pixel in the box of every triangle is tried, the nearest wins. It knows
nothing of colours; it returns which triangle is seen in each pixel and how near it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_CHUNK = 3_000_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """What is seen in each pixel.

    Parameters
    ----------
    triangle
        Index of the nearest triangle, −1 where there is none, shape (h, w).
    depth
        Its distance towards the eye, −inf where there is none, shape (h, w).
    weights
        Barycentric weights of the second and third corner at the pixel's middle, shape (h, w, 2).
    """

    triangle: Ints
    depth: Floats
    weights: Floats


def rasterised(corners: Floats, size: tuple[int, int]) -> Seen:
    """Return which triangle is nearest in each pixel.

    Parameters
    ----------
    corners
        Corners of each triangle, shape (m, 3, 3): x to the right and y downwards in pixels, depth towards the eye.
    size
        Height and width in pixels.

    Raises
    ------
    ValueError
        When a corner is not finite or the picture has no pixel.

    Notes
    -----
    A pixel belongs to a triangle when its middle lies inside or on the edge; nothing is blended here.
    """
    high, wide = size
    if high < 1 or wide < 1 or not np.isfinite(corners).all():
        raise ValueError("a picture needs at least one pixel and finite corners")
    depth = np.full(high * wide, -np.inf)
    triangle = np.full(high * wide, -1, dtype=np.int64)
    weights = np.zeros((high * wide, 2))
    xy = corners[:, :, :2]
    first = np.ceil(xy.min(axis=1) - 0.5).astype(np.int64)
    last = np.floor(xy.max(axis=1) - 0.5).astype(np.int64)
    low = np.maximum(first, 0)
    top = np.minimum(last, np.array([wide - 1, high - 1]))
    a = xy[:, 0]
    u, v = xy[:, 1] - a, xy[:, 2] - a
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    spans = np.maximum(top - low + 1, 0)
    count = spans[:, 0] * spans[:, 1]
    used = np.flatnonzero((count > 0) & (np.abs(twice) > 1e-12))
    bounds = np.cumsum(count[used])
    start = 0
    while start < len(used):
        base = bounds[start - 1] if start else 0
        stop = max(int(np.searchsorted(bounds, base + _CHUNK, side="right")), start + 1)
        tri = used[start:stop]
        start = stop
        which = np.repeat(tri, count[tri])
        place = np.arange(len(which)) - np.repeat(np.cumsum(count[tri]) - count[tri], count[tri])
        px = low[which, 0] + place % spans[which, 0]
        py = low[which, 1] + place // spans[which, 0]
        dx, dy = px + 0.5 - a[which, 0], py + 0.5 - a[which, 1]
        s = (dx * v[which, 1] - dy * v[which, 0]) / twice[which]
        t = (u[which, 0] * dy - u[which, 1] * dx) / twice[which]
        z = corners[which, 0, 2] * (1 - s - t) + corners[which, 1, 2] * s + corners[which, 2, 2] * t
        pixel = py * wide + px
        keep = np.flatnonzero((s >= -1e-9) & (t >= -1e-9) & (s + t <= 1 + 1e-9) & (z > depth[pixel]))
        keep = keep[np.argsort(z[keep], kind="stable")]
        pixel = pixel[keep]
        depth[pixel] = z[keep]  # of equal indices the last assignment stays, and that is the nearest
        triangle[pixel] = which[keep]
        weights[pixel] = np.stack([s[keep], t[keep]], axis=1)
    return Seen(
        triangle=triangle.reshape(high, wide),
        depth=depth.reshape(high, wide),
        weights=weights.reshape(high, wide, 2),
    )
