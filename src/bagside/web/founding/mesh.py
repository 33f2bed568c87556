"""What a mesh file holds, before anybody has said in what unit its numbers are."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bagside.geometry import Surface
from bagside.geometry.cad import OWN_UNIT
from bagside.geometry.readers import read_mesh
from bagside.web.scene import MeshData, packed

UNITS = ("mm", "cm", "m", "in", "ft")
METRES = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048}
SMALLEST, LARGEST = 0.02, 8.0
"""Longest side of what is likely to be a mould for hand lay-up [m] (common practice, no source)."""
MOST_SHOWN = 400_000
"""Triangles; more are not sent to a browser."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshSeen:
    """A mesh file that was looked into.

    Parameters
    ----------
    size
        Along its axes, in the numbers of the file.
    triangles
        Counted.
    up
        The axis its face looks along on the whole, as a unit vector.
    middle
        A point of the surface near its middle, in the numbers of the file.
    own_unit
        Unit that the file itself says, as STEP and IGES do; empty when it does not.
    picture
        For the browser, a number of the file taken for a millimetre; empty when there are too many triangles.
    """

    size: tuple[float, float, float]
    triangles: int
    up: tuple[float, float, float]
    middle: tuple[float, float, float]
    own_unit: str
    picture: bytes


def mesh_seen(path: Path) -> MeshSeen:
    """Return what a mesh file holds.

    Parameters
    ----------
    path
        Of the file.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    raw = read_mesh(path, "m")  # a number of the file stays that number
    own = raw.unit if raw.unit == OWN_UNIT else ""
    v = raw.vertices
    a, b, c = (v[raw.triangles[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a).sum(axis=0)
    axis = int(np.argmax(np.abs(normal)))
    up = np.zeros(3)
    up[axis] = 1.0 if normal[axis] >= 0 else -1.0
    middle = 0.5 * (v.min(axis=0) + v.max(axis=0))
    across = np.delete(np.arange(3), axis)
    nearest = v[np.argmin(((v[:, across] - middle[across]) ** 2).sum(axis=1))]
    size = np.ptp(v, axis=0)
    shown = len(raw.triangles) <= MOST_SHOWN
    return MeshSeen(
        size=(float(size[0]), float(size[1]), float(size[2])),
        triangles=len(raw.triangles),
        up=(float(up[0]), float(up[1]), float(up[2])),
        middle=(float(nearest[0]), float(nearest[1]), float(nearest[2])),
        own_unit="m" if own else "",
        picture=packed(MeshData.of(Surface(v / 1e3, raw.triangles))) if shown else b"",
    )


def likely(size: tuple[float, float, float], unit: str) -> bool:
    """Return whether a mould may be so large; a person still has to say the unit.

    Parameters
    ----------
    size
        In the numbers of the file.
    unit
        One of `UNITS`.
    """
    return SMALLEST <= max(size) * METRES[unit] <= LARGEST
