"""What is left of the cloth pulled and worth keeping.

The keep rule (common practice): every place of it lies in a strip at least 40 mm wide, and it holds a square of
150 × 150 mm with its sides along and across the warp, or 0.03 m² in all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.layout import Nest
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepRule:
    """When an offcut is worth a label.

    Parameters
    ----------
    square
        Side of the square it holds [m].
    area
        Or else its area [m²].
    strip
        Narrower places do not count [m].

    Raises
    ------
    InputError
        When one of them is not positive.
    """

    square: float = 0.150
    area: float = 0.03
    strip: float = 0.040

    def __post_init__(self) -> None:
        """Refuse a rule that keeps everything."""
        problems = [
            Problem(place=f"keep rule, {name}", came=f"{value} {unit}", wanted="a number above zero")
            for name, value, unit in (
                ("square", self.square, "m"),
                ("area", self.area, "m²"),
                ("strip", self.strip, "m"),
            )
            if not value > 0.0
        ]
        if problems:
            raise InputError(problems)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Offcuts:
    """What is left of the cloth pulled.

    Parameters
    ----------
    kept
        Outlines worth keeping, largest first, on the roll's axes [m].
    scrap
        Area of the rest [m²].
    """

    kept: tuple[shapely.Polygon, ...]
    scrap: float

    @property
    def area(self) -> float:
        """Area kept [m²]."""
        return float(sum(p.area for p in self.kept))

    @property
    def count(self) -> int:
        """How many are kept."""
        return len(self.kept)


def offcuts(nest: Nest, pull: float, rule: KeepRule | None = None) -> Offcuts:
    """Return what is left of the cloth pulled.

    Parameters
    ----------
    nest
        The layout.
    pull
        Length pulled off the roll [m].
    rule
        When an offcut is kept; the common one when None.

    Returns
    -------
    Offcuts
        Kept outlines and the area of scrap.

    Raises
    ------
    InputError
        When less is pulled than the nest is long.

    Notes
    -----
    Holes of pieces count as scrap. Corners of the free cloth sharper than 60° are cut off, since no strip reaches into
    them. An outline may have holes where pieces were.
    """
    rule = KeepRule() if rule is None else rule
    if pull < nest.length - 1e-9:
        came = f"{pull:.3f} m pulled for a nest of {nest.length:.3f} m"
        raise InputError.one("offcuts", came, "at least the length of the nest")
    pieces = shapely.union_all([nest.placed_outline(p) for p in nest.placements])
    free = shapely.box(0.0, 0.0, pull, nest.cloth.width).difference(pieces)
    half = 0.5 * rule.strip
    wide = free.buffer(-half, join_style="mitre").buffer(half, join_style="mitre", mitre_limit=2.0).intersection(free)
    parts = [p for p in shapely.get_parts(wide) if isinstance(p, shapely.Polygon)]
    kept = sorted((p for p in parts if _worth(p, rule)), key=lambda p: p.area, reverse=True)
    holes = sum((p.polygon.area - p.outline.area) * p.quantity for p in nest.pieces)
    scrap = float(free.area - holes - sum(p.area for p in kept))
    return Offcuts(kept=tuple(kept), scrap=scrap)


def _worth(part: shapely.Polygon, rule: KeepRule) -> bool:
    x0, y0, x1, y1 = part.bounds
    roomy = min(x1 - x0, y1 - y0) > rule.square
    return bool(part.area >= rule.area) or (roomy and holds_square(part, rule.square))


def holds_square(part: shapely.Polygon, side: float) -> bool:
    """Return whether a square with its sides along the axes fits into an outline.

    Parameters
    ----------
    part
        Outline with holes [m].
    side
        Of the square [m].

    Notes
    -----
    A square's lower left corner may not come where the square would cross an edge: each edge, swept by the square
    mirrored through its corner, is a convex hexagon. What these leave of the outline is where the corner may lie. A
    square that fits with nothing to spare on any side is refused; nobody could cut it.

    Examples
    --------
    >>> holds_square(shapely.box(0.0, 0.0, 0.2, 0.16), 0.15)
    True
    """
    rings = [part.exterior, *part.interiors]
    swept: list[shapely.Geometry] = []
    corners = -side * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    for ring in rings:
        points = np.asarray(ring.coords, dtype=np.float64)
        ends = np.stack([points[:-1], points[1:]], axis=1)
        clouds: Floats = (ends[:, :, None, :] + corners[None, None]).reshape(len(ends), 8, 2)
        swept.extend(shapely.convex_hull(shapely.multipoints(clouds[k])) for k in range(len(clouds)))
    left = part.difference(shapely.union_all(swept))
    return bool(left.area > 0.0)
