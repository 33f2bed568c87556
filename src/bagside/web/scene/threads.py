"""Yarns of a draped piece as lines that can be thinned out on the screen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.geometry import Surface
from bagside.sheets.yarns import isolines
from bagside.web.scene.buffers import MM, MeshLine
from bagside.web.scene.looks import Look

Floats = NDArray[np.float64]


def threads(surface: Surface, uv: Floats, spacing: float) -> tuple[MeshLine, ...]:
    """Return warp and weft yarns of a piece.

    Parameters
    ----------
    surface
        The piece [m].
    uv
        Cloth coordinates at each vertex, along warp and weft, shape (n, 2) [m].
    spacing
        Between the yarns that are sent [m]; where they would stand too dense on the screen, every second is left out,
        and of these every second again.
    """
    out = []
    for axis, look in ((1, Look.WARP), (0, Look.WEFT)):
        for level, shift, step in ((0, 0.0, 4.0), (2, 2.0, 4.0), (1, 1.0, 2.0)):
            found = isolines(surface, uv[:, axis] - shift * spacing, step * spacing)
            out += [MeshLine(MM * line, look, level=level, spacing=MM * spacing) for line in found]
    return tuple(out)
