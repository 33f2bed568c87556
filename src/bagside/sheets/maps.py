"""Which map a ply is coloured by: the shear of the cloth, the stretch of its yarns, or both side by side.

A woven cloth takes a curve up by shearing, and its shear says where it will wrinkle; cloth whose yarns cannot shear
past each other takes it up by yarns that come out too long or too short. What a person must see is the larger trouble,
so the choice looks at the result and not at the name of the cloth alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from bagside.drape import Drape, summary_of
from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.colour import Bands
from bagside.spec.material import ClothKind

Floats = NDArray[np.float64]

SHEARED = float(np.radians(5.0))  # from here the shear map has more than one band
STRETCHED = 0.0125  # two bands past the middle: more than waves and gaps that a roller takes out; common practice
SHEARING = frozenset({ClothKind.WOVEN, ClothKind.NON_CRIMP})


class Map(Enum):
    """What is coloured."""

    SHEAR = "shear"
    STRETCH = "stretch"

    @property
    def bands(self) -> Bands:
        """Its colours."""
        return colour.SHEAR if self is Map.SHEAR else colour.STRETCH

    def of(self, drape: Drape) -> Floats:
        """Return its values, one a triangle, SI, shape (m,).

        Parameters
        ----------
        drape
            How the cloth lies.
        """
        return drape.shear if self is Map.SHEAR else yarn_strain(drape)


@dataclass(frozen=True, slots=True, kw_only=True)
class Maps:
    """The maps of a ply.

    Parameters
    ----------
    first
        On the ply's picture and its flat pieces.
    second
        Beside it; None when the first says it all.
    """

    first: Map
    second: Map | None = None


def yarn_strain(drape: Drape) -> Floats:
    """Return the strain of the yarn that is strained most in each triangle, with its sign, shape (m,).

    Parameters
    ----------
    drape
        How the cloth lies.
    """
    warp, weft = drape.stretch_warp, drape.stretch_weft
    out: Floats = np.where(np.abs(warp) >= np.abs(weft), warp, weft)
    return out


def maps_of(drapes: Sequence[Drape], kind: ClothKind) -> Maps:
    """Return what the pieces of a ply are coloured by.

    Parameters
    ----------
    drapes
        The pieces; at least one.
    kind
        Of the cloth.

    Notes
    -----
    A map is shown when 1 % of the area of a piece lies past its threshold: 5° of shear, 1.25 % of strain. A cloth that
    shears shows its shear first, any other its stretch.
    """
    found = [summary_of(d, d.law) for d in drapes]
    first, second = (Map.SHEAR, Map.STRETCH) if kind in SHEARING else (Map.STRETCH, Map.SHEAR)
    tells = {
        Map.SHEAR: max(s.shear_99 for s in found) >= SHEARED,
        Map.STRETCH: max(s.strain_99 for s in found) >= STRETCHED,
    }
    if not tells[second]:
        return Maps(first=first)
    return Maps(first=first, second=second) if tells[first] else Maps(first=second)


def at_vertices(surface: Surface, values: Floats) -> Floats:
    """Return one value a triangle averaged by area at each vertex, shape (n,).

    Parameters
    ----------
    surface
        The surface.
    values
        One a triangle, shape (m,).
    """
    n, corner = len(surface.vertices), surface.triangles.ravel()
    weight = np.repeat(surface.areas, 3)
    total = np.bincount(corner, weights=weight * np.repeat(values, 3), minlength=n)
    out: Floats = total / np.maximum(np.bincount(corner, weights=weight, minlength=n), 1e-300)
    return out
