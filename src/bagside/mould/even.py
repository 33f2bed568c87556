"""Long triangles cut up without changing the surface, so that measures taken at vertices see the whole of it.

A drawn mould comes with flat faces of a few large triangles; measures at vertices would miss most of it.
"""

from __future__ import annotations

import numpy as np

from bagside.errors import InputError
from bagside.geometry.splitting import split_edges
from bagside.geometry.surface import Surface

MOST = 2_000_000  # triangles, beyond which it is refused


def with_short_edges(surface: Surface, longest: float) -> Surface:
    """Return the same surface with every edge at most so long.

    Parameters
    ----------
    surface
        The surface; its vertices stay the first ones.
    longest
        Length allowed [m].

    Returns
    -------
    Surface
        The very same one when no edge is longer.

    Raises
    ------
    InputError
        When the length is not positive or so short that more than two million triangles would be made.
    """
    if not longest > 0:
        raise InputError.one("length of edges", f"{longest} m", "a length above zero is wanted")
    if surface.area / (0.4330127 * longest**2) > MOST:  # no triangle with such edges is larger
        raise _too_many(surface, longest)
    while True:  # each pass halves the longest edges or is refused
        e = surface.edges
        length = np.linalg.norm(surface.vertices[e[:, 0]] - surface.vertices[e[:, 1]], axis=1)
        long = length > longest
        if not long.any():
            return surface
        if len(surface.triangles) + 2 * int(long.sum()) > MOST:
            raise _too_many(surface, longest)
        surface = split_edges(surface, e[long], np.full(int(long.sum()), 0.5)).surface


def _too_many(surface: Surface, longest: float) -> InputError:
    return InputError.one(
        "mould",
        f"{surface.area:.2f} m² in edges of {1e3 * longest:.2f} mm",
        "a smaller surface or larger corners to look for are wanted",
    )
