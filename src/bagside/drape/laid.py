"""A cloth as it lies: what draping returns and every later stage reads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.law import ClothLaw
from bagside.geometry import Surface

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drape:
    """A cloth laid on a surface.

    Parameters
    ----------
    surface
        The surface it lies on.
    uv
        Cloth coordinates of each vertex, u along the warp, start point at (0, 0), shape (n, 2) [m].
    warp, weft
        Unit direction of the threads in each triangle, shape (m, 3).
    shear
        Change of the right angle between warp and weft, positive where they close, shape (m,) [rad].
    stretch_warp, stretch_weft
        Strain left in the threads, shape (m,).
    start
        Start point on the surface, shape (3,) [m].
    line
        The line that was laid first and held, the warp's own where none was drawn, shape (k, 3) [m].
    law
        How the cloth resisted.
    steps
        Gauss–Newton steps on the fine level.
    scheme
        Which way led to the result, in words.
    energy
        Mean square of the strains plus the weighted shear.
    """

    surface: Surface
    uv: Floats
    warp: Floats
    weft: Floats
    shear: Floats
    stretch_warp: Floats
    stretch_weft: Floats
    start: Floats
    line: Floats
    law: ClothLaw
    steps: int
    scheme: str
    energy: float
