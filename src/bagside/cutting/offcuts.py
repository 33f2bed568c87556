"""What is left of a cloth that was cut from and worth keeping: of the roll's length pulled, or of a sheet.

The keep rule (common practice): every place of it lies in a strip at least 40 mm wide, and it holds a square of
150 × 150 mm with its sides along and across the warp, or 0.03 m² in all. What falls out of a ring counts too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.layout import Nest
from bagside.cutting.overlay import overlaid, together
from bagside.cutting.sheet import SheetNest
from bagside.cutting.worth import opened
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
    """What is left of a cloth that was cut from.

    Parameters
    ----------
    kept
        Outlines worth keeping, largest first, on the axes of the roll or sheet [m]; flaws in them are part of them.
    scrap
        Area of the rest, flaws included [m²].
    flaws
        For each one kept, the places in it not to be used [m].
    """

    kept: tuple[shapely.Polygon, ...]
    scrap: float
    flaws: tuple[tuple[shapely.Polygon, ...], ...] = ()

    @property
    def usable(self) -> tuple[shapely.Geometry, ...]:
        """Each one kept without its flaws [m]."""
        flaws = self.flaws or ((),) * len(self.kept)
        return tuple(k.difference(shapely.union_all(f)) if f else k for k, f in zip(self.kept, flaws, strict=True))

    @property
    def area(self) -> float:
        """Area kept, without flaws [m²]."""
        return float(sum(u.area for u in self.usable))

    @property
    def count(self) -> int:
        """How many are kept."""
        return len(self.kept)


def offcuts(layout: Nest | SheetNest, pull: float | None = None, rule: KeepRule | None = None) -> Offcuts:
    """Return what is left of the cloth.

    Parameters
    ----------
    layout
        On a roll or on a sheet.
    pull
        Length pulled off the roll [m]; the length of the nest when None. Not used for a sheet.
    rule
        When an offcut is kept; the common one when None.

    Returns
    -------
    Offcuts
        Kept outlines with their flaws, and the area of scrap.

    Raises
    ------
    InputError
        When less is pulled than the nest is long.

    Notes
    -----
    Selvedges are scrap. Corners of the free cloth sharper than 60° are cut off, since no strip reaches into them. An
    outline may have holes where pieces were. A flaw wholly inside one that is kept stays in it and is named; one that
    reaches its edge is cut off with what is too narrow beside it.
    """
    rule = KeepRule() if rule is None else rule
    laid = [layout.placed_loops(p) for p in layout.placements]
    flaws: list[shapely.Polygon] = []
    if isinstance(layout, SheetNest):
        cloth = layout.sheet.polygon
        whole = float(cloth.area)
        flaws = [f for f in shapely.get_parts(layout.sheet.flawed) if isinstance(f, shapely.Polygon)]
    else:
        length = layout.length
        pull = length if pull is None else pull
        if pull < length - 1e-9:
            came = f"{pull:.3f} m pulled for a nest of {length:.3f} m"
            raise InputError.one("offcuts", came, "at least the length of the nest")
        whole = pull * layout.cloth.width
        cloth = shapely.box(0.0, layout.cloth.selvedge, pull, layout.cloth.width - layout.cloth.selvedge)
    pieces = together([shapely.Polygon(loops[0]) for loops in laid])
    free = overlaid(shapely.difference, cloth, pieces)
    discs = [shapely.Polygon(hole) for loops in laid for hole in loops[1:]]
    return _kept([free, *discs], flaws, whole - layout.area_of_pieces, rule)


def _kept(areas: list[shapely.Geometry], flaws: list[shapely.Polygon], left: float, rule: KeepRule) -> Offcuts:
    bad = shapely.union_all(flaws)
    kept: list[tuple[float, shapely.Polygon, tuple[shapely.Polygon, ...]]] = []
    for area in areas:
        for part in kept_parts(overlaid(shapely.difference, area, bad) if flaws else area, rule):
            inside = tuple(f for f in flaws if _encloses(part, area, f))
            # What the strip does not reach beside a flaw stays in the cloth too, and is part of the flaw.
            shells = [h for h in (shapely.Polygon(r) for r in part.interiors) if any(h.covers(f) for f in inside)]
            kept.append((float(part.area), shapely.Polygon(part.exterior, _others(part, shells)), tuple(shells)))
    kept.sort(key=lambda k: -k[0])
    return Offcuts(
        kept=tuple(k for _, k, _ in kept),
        flaws=tuple(f for _, _, f in kept),
        scrap=left - sum(a for a, _, _ in kept),
    )


def kept_parts(area: shapely.Geometry, rule: KeepRule) -> tuple[shapely.Polygon, ...]:
    """Return the parts of an area that a rule keeps [m].

    Parameters
    ----------
    area
        Free cloth, without flaws [m].
    rule
        When a part is kept.
    """
    parts = shapely.get_parts(opened(area, rule.strip))
    return tuple(p for p in parts if isinstance(p, shapely.Polygon) and _worth(p, rule))


def _encloses(part: shapely.Polygon, area: shapely.Geometry, flaw: shapely.Polygon) -> bool:
    """Return whether a flaw lies in one hole of a part, with cloth of the area all over that hole."""
    for ring in part.interiors:
        hole = shapely.Polygon(ring)
        if hole.covers(flaw):
            return bool(hole.difference(area).area <= 1e-12)
    return False


def _others(part: shapely.Polygon, shells: list[shapely.Polygon]) -> list[shapely.Geometry]:
    return [r for r in part.interiors if not any(shapely.Polygon(r).equals(s) for s in shells)]


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
    left = overlaid(shapely.difference, part, together(swept))
    return bool(left.area > 0.0)
