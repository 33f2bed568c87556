"""Patches of a mould that lean over the part and lock it in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Point = tuple[float, float, float]

LEANS_OVER = float(np.radians(-0.1))  # a wall along the pull is not called an undercut for its rounding
FEWEST = 3  # triangles of a patch that leans over; fewer are a nick or noise


@dataclass(frozen=True, slots=True, kw_only=True)
class Undercut:
    """One connected patch that leans over the part.

    Parameters
    ----------
    area
        Of the patch [m²].
    lean
        Furthest lean in it, as a draft below zero [rad].
    height
        Along the pull [m].
    hook
        How far it reaches over the part: its height times the mean slope of its lean [m].
    point
        Where it leans most [m].
    """

    area: float
    lean: float
    height: float
    hook: float
    point: Point


def undercuts_of(surface: Surface, chosen: Ints, angles: Floats, off: Floats) -> tuple[Undercut, ...]:
    """Return the connected patches that lean over, the one that hooks furthest first.

    Parameters
    ----------
    surface
        The mould's surface.
    chosen
        Triangles of the piece, shape (k,).
    angles
        Their draft, shape (k,) [rad].
    off
        Unit direction in which the piece is pulled off the part, shape (3,).
    """
    over = angles < LEANS_OVER
    which, lean = chosen[over], -angles[over]
    t = surface.triangles[which]
    sides = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    key = sides[:, 0] * len(surface.vertices) + sides[:, 1]
    owner = np.tile(np.arange(len(t)), 3)[np.argsort(key, kind="stable")]
    twin = np.flatnonzero(np.diff(np.sort(key)) == 0)
    graph = coo_matrix((np.ones(len(twin)), (owner[twin], owner[twin + 1])), shape=(len(t), len(t)))
    count, label = connected_components(graph, directed=False)
    found: list[Undercut] = []
    for k in range(count) if len(t) else ():
        mine = np.flatnonzero(label == k)
        if len(mine) < FEWEST:
            continue
        height = float(np.ptp(surface.corners[which[mine]].reshape(-1, 3) @ off))
        centre = surface.centroids[which[mine[np.argmax(lean[mine])]]]
        found.append(
            Undercut(
                area=float(surface.areas[which[mine]].sum()),
                lean=-float(lean[mine].max()),
                height=height,
                hook=height * float(np.average(np.tan(lean[mine]), weights=surface.areas[which[mine]])),
                point=(float(centre[0]), float(centre[1]), float(centre[2])),
            )
        )
    return tuple(sorted(found, key=lambda u: -u.hook))
