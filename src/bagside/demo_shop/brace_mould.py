"""The mould of the demo's right thigh brace: a hooked shell under the deck of a kayak, by its formula.

    python demo/make_brace_mould.py OUT.stl

The brace is invented. Millimetres; the mould lies open upwards (laminate side +z); x runs along the boat, y across it.
It is of one hand: the hook lies fore and outboard, so that the left brace is its mirror image in the plane y = 0.

    height          z = x²/900 + y²/320 + x·y/2600 + 11·exp(−((x − 48)² + (y − 22)²) / (2·34²))
    part            the polygon that the job states, inside ±100 by ±60
    mould           310 by 230 about the origin, edge to edge
"""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HALF_LENGTH, HALF_WIDTH, SPACING = 155.0, 115.0, 4.0
HOOK_HEIGHT, HOOK_X, HOOK_Y, HOOK_WIDTH = 11.0, 48.0, 22.0, 34.0


def height(x: Floats, y: Floats) -> Floats:
    """Return the height of the mould's face [mm]."""
    hook = np.exp(-((x - HOOK_X) ** 2 + (y - HOOK_Y) ** 2) / (2 * HOOK_WIDTH**2))
    out: Floats = x**2 / 900 + y**2 / 320 + x * y / 2600 + HOOK_HEIGHT * hook
    return out


def slopes(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return how steep the face is along x and y."""
    hook = HOOK_HEIGHT * np.exp(-((x - HOOK_X) ** 2 + (y - HOOK_Y) ** 2) / (2 * HOOK_WIDTH**2)) / HOOK_WIDTH**2
    return x / 450 + y / 2600 - hook * (x - HOOK_X), y / 160 + x / 2600 - hook * (y - HOOK_Y)


def facets() -> Floats:
    """Return the triangles of the face, upwards, shape (m, 3, 3) [mm]."""
    x = np.linspace(-HALF_LENGTH, HALF_LENGTH, round(2 * HALF_LENGTH / SPACING) + 1)
    y = np.linspace(-HALF_WIDTH, HALF_WIDTH, round(2 * HALF_WIDTH / SPACING) + 1)
    gx, gy = np.meshgrid(x, y, indexing="ij")
    p = np.stack([gx, gy, height(gx, gy)], axis=-1)
    a, b, c, d = p[:-1, :-1], p[1:, :-1], p[1:, 1:], p[:-1, 1:]
    pairs = [np.stack([a, b, c], axis=-2), np.stack([a, c, d], axis=-2)]
    return np.concatenate([f.reshape(-1, 3, 3) for f in pairs])


def written(path: Path) -> None:
    """Write the mould as binary STL."""
    found = facets()
    normal = np.cross(found[:, 1] - found[:, 0], found[:, 2] - found[:, 0])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    record = np.zeros(len(found), dtype=[("numbers", "<f4", (4, 3)), ("spare", "<u2")])
    record["numbers"][:, 0] = normal
    record["numbers"][:, 1:] = found
    path.write_bytes(b"thigh brace, invented".ljust(80, b" ") + struct.pack("<I", len(found)) + record.tobytes())
