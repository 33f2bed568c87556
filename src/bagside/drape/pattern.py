"""The flat piece: the outline that is cut, in the cloth's own axes, and where marks on the surface fall in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import get_parts, make_valid
from shapely.geometry import Polygon
from shapely.validation import explain_validity

from bagside.drape.coarse import nearest
from bagside.drape.laid import Drape
from bagside.errors import InputError, NotSolved

Floats = NDArray[np.float64]

KNOT = 0.001  # share of a piece that loops in a ragged outline may hold


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pattern:
    """A flat piece of cloth.

    Parameters
    ----------
    loops
        Corners of the outline in cloth axes, u along the warp: the outer one first, counter-clockwise, then holes,
        clockwise, each of shape (k, 2) [m].
    area
        Of the flat piece [m²].
    surface_area
        Of the surface it covers [m²].
    start
        The start point in cloth axes [m]: the origin.
    """

    loops: tuple[Floats, ...]
    area: float
    surface_area: float
    start: tuple[float, float] = (0.0, 0.0)


def _signed(loop: Floats) -> float:
    after = np.roll(loop, -1, axis=0)
    return 0.5 * float((loop[:, 0] * after[:, 1] - loop[:, 1] * after[:, 0]).sum())


def pattern_of(drape: Drape) -> Pattern:
    """Return the flat piece of a draped cloth.

    Parameters
    ----------
    drape
        How the cloth lies.

    Returns
    -------
    Pattern
        Outline [m] and areas [m²].

    Raises
    ------
    NotSolved
        When the flat outline crosses itself: the piece would overlap itself when flat and cannot be cut from one layer.

    Notes
    -----
    Corners are the surface's own rim vertices; nothing is added for trimming. Loops that a ragged rim ties in the
    outline are cut off while they hold less than a thousandth of the piece.
    """
    loops = [drape.uv[loop] for loop in drape.surface.loops]
    outer = [loop for loop in loops if _signed(loop) > 0]
    holes = [loop for loop in loops if not _signed(loop) > 0]
    advice = "the piece would overlap itself when flat; split it into two or more pieces"
    if len(outer) != 1:
        raise NotSolved(f"the flat outline winds round itself: {advice}")
    shape = Polygon(outer[0], holes)
    if not shape.is_valid:
        place = _where(explain_validity(shape))
        untied = _untied(shape, _cloth_area(drape))
        if untied is None:
            raise NotSolved(f"the flat outline crosses itself ({place}): {advice}")
        shape = untied
        outer = [np.array(shape.exterior.coords)[:-1]]
        holes = [np.array(ring.coords)[:-1] for ring in shape.interiors]
        outer = [loop if _signed(loop) > 0 else loop[::-1] for loop in outer]
        holes = [loop if _signed(loop) < 0 else loop[::-1] for loop in holes]
    return Pattern(
        loops=(outer[0], *holes),
        area=float(shape.area),
        surface_area=drape.surface.area,
    )


def _untied(shape: Polygon, area: float) -> Polygon | None:
    """Return the outline without the small loops that a ragged rim ties in it; nothing when cloth really overlaps.

    Parameters
    ----------
    shape
        Crossing itself.
    area
        Of the cloth in it, every triangle counted [m²]: where it overlaps itself the outline holds less.
    """
    parts = [p for p in get_parts(make_valid(shape)) if isinstance(p, Polygon)]
    if not parts:
        return None
    largest = max(parts, key=lambda p: float(p.area))
    return largest if abs(area - float(largest.area)) < KNOT * area else None


def _cloth_area(drape: Drape) -> float:
    a, b, c = (drape.uv[drape.surface.triangles[:, k]] for k in range(3))
    twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return float(0.5 * np.abs(twice).sum())


def _where(explained: str) -> str:
    """Return the place of a crossing in millimetres from text that ends in ``[x y]``."""
    inside = explained[explained.find("[") + 1 : explained.find("]")].split()
    u, v = (f"{1000 * float(x):.0f}".replace("-", "−") for x in inside)
    return f"at u {u} mm, v {v} mm from the start"


def locate(drape: Drape, points: Floats) -> Floats:
    """Return where points on the surface fall in the flat piece.

    Parameters
    ----------
    drape
        How the cloth lies.
    points
        Positions on the surface or near it, shape (k, 3) [m].

    Returns
    -------
    NDArray
        Cloth coordinates, shape (k, 2) [m].

    Raises
    ------
    InputError
        When the points are not finite or not of shape (k, 3).

    Notes
    -----
    Each point is taken at the closest place on the piece; one beyond the rim lands on the rim.
    """
    points = np.asarray(points, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 3 or not np.isfinite(points).all():
        raise InputError.one("points to locate", f"shape {points.shape}", "finite positions of shape (k, 3) are wanted")
    if len(points) == 0:
        return np.zeros((0, 2))
    _, triangle, share = nearest(drape.surface, points)
    out: Floats = np.einsum("ki,kij->kj", share, drape.uv[drape.surface.triangles[triangle]])
    return out
