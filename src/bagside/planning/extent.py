"""How large something is, whether a surface or a tape measure says so."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside.geometry import Surface


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """Area and edge of a part.

    Parameters
    ----------
    area
        Of one face [m²].
    edge
        Length of all its edges [m].
    """

    area: float
    edge: float


def extent_of(surface: Surface) -> Extent:
    """Return how large a surface is.

    Parameters
    ----------
    surface
        Open surface.
    """
    rims = (surface.vertices[np.append(loop, loop[0])] for loop in surface.loops)
    edge = sum(float(np.linalg.norm(np.diff(rim, axis=0), axis=1).sum()) for rim in rims)
    return Extent(area=surface.area, edge=edge)
