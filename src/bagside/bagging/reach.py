"""How far the mould reaches beyond the net edge, measured over its surface: where the bag's tape can run."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.errors import InputError
from bagside.geometry import Surface

Floats = NDArray[np.float64]

INSIDE = 1e-7  # [m] a vertex this close to the part lies in it
SAME = 1e-5  # [m] a part this close to the mould was cut from its very triangles


def distance_around(mould: Surface, part: Surface, reach: float = np.inf) -> Floats:
    """Return how far each vertex of a mould lies from the part, over the mould's surface.

    Parameters
    ----------
    mould
        The whole surface with its flange.
    part
        The part of it that is laid up, cut from its triangles.
    reach
        Distances beyond this are not needed exactly [m].

    Returns
    -------
    ndarray
        Distance, shape (n,) [m]; zero on the part; infinite well beyond the reach and where the mould does not hang
        together with the part.

    Raises
    ------
    InputError
        When the part was not cut from this surface.

    Notes
    -----
    On the demo's mould, 60 000 triangles of 3 mm, within 0.4 mm of the exact distance and 0.03 mm on the average; a
    line of tape is laid to a few millimetres.
    """
    off, _, _ = geometry.nearest(mould, part.vertices)
    if float(off.max()) > SAME:
        raise InputError.one(
            "bag",
            f"the part lies up to {1e3 * float(off.max()):.2f} mm off the mould",
            "a part that was cut from the mould's own surface is wanted",
        )
    away, _, _ = geometry.nearest(part, mould.vertices)
    rim = part.vertices[np.unique(np.concatenate(part.loops))] if part.loops else np.zeros((0, 3))
    inside = np.flatnonzero(away < INSIDE)
    out = geometry.spread(mould, points=rim, vertices=inside, reach=reach + 3 * mould.edge_length)
    out[inside] = 0.0
    return out
