"""Areas laid over each other where their edges nearly meet, as pieces that touch always do.

The library's exact overlay gives up now and then on edges that cross many times within a nanometre. Then both areas are
laid on a grid first, a fine one and, should that fail too, one as coarse as the check of a layout allows.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

GRIDS = (1e-9, 1e-8, 1e-7, 1e-6)
"""Tried one after the other [m]."""


def overlaid(how: Callable[..., shapely.Geometry], one: shapely.Geometry, other: shapely.Geometry) -> shapely.Geometry:
    """Return two areas overlaid: a valid area, whatever the corners of theirs that nearly meet.

    Parameters
    ----------
    how
        `shapely.intersection` or `shapely.difference`.
    one, other
        Areas [m].

    Raises
    ------
    GEOSException
        When even the coarsest grid does not help.
    """
    try:
        return areas(how(one, other))
    except shapely.GEOSException:
        for grid in GRIDS[:-1]:
            try:
                return _on_grid(how, one, other, grid)
            except shapely.GEOSException:
                continue
        return _on_grid(how, one, other, GRIDS[-1])


def together(outlines: Sequence[shapely.Geometry]) -> shapely.Geometry:
    """Return the area that any of some outlines covers.

    Parameters
    ----------
    outlines
        Areas [m].
    """
    try:
        return shapely.union_all(outlines)
    except shapely.GEOSException:
        return shapely.union_all([areas(o) for o in outlines], grid_size=GRIDS[2])


def areas(geometry: shapely.Geometry) -> shapely.Geometry:
    """Return a geometry made valid, with nothing in it but polygons.

    Parameters
    ----------
    geometry
        Of any kind.
    """
    if geometry.geom_type in ("Polygon", "MultiPolygon") and geometry.is_valid:
        return geometry
    valid = geometry if geometry.is_valid else shapely.make_valid(geometry)
    flat = [p for part in shapely.get_parts(valid) for p in shapely.get_parts(part) if p.geom_type == "Polygon"]
    several = flat[0] if len(flat) == 1 else shapely.MultiPolygon(flat)
    return several if several.is_valid else several.buffer(0.0)


def _on_grid(
    how: Callable[..., shapely.Geometry], one: shapely.Geometry, other: shapely.Geometry, grid: float
) -> shapely.Geometry:
    laid = [areas(shapely.transform(g, lambda p: grid * np.round(p / grid))) for g in (one, other)]
    return areas(how(*laid, grid_size=grid))
