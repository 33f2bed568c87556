"""The number of a copy on the drawing of the cloth: as large as its place allows, with name, part and warp arrow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from bagside.sheets import marks
from bagside.sheets import paper as draw
from bagside.sheets.cut_steps import CutStep
from bagside.sheets.drawn_piece import room_at
from bagside.sheets.typeface import ASCENT, CAPTION, NOTE, width

Floats = NDArray[np.float64]

STACKED = 6.0
"""Radius of a place that holds number, name and arrow one under the other [mm]."""
FITS = 1.15
"""Radius of a place that holds a number that is still read [mm]; for a smaller one it stands beside."""
BIGGEST, BESIDE = 11.0, 3.4
"""Sizes of numbers [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """What nothing may be written over.

    Parameters
    ----------
    copies
        Outlines on paper [mm].
    words
        Numbers that stand beside their copies, and the lines to them; added to as they are placed.
    """

    copies: shapely.Geometry
    words: list[shapely.Geometry]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """Where a number goes.

    Parameters
    ----------
    free
        What is seen of the copy, on paper [mm].
    x, y
        Middle of its widest place.
    radius
        Of the circle that fits there.
    left, right
        Ends of the level line through that middle.
    """

    free: shapely.Polygon
    x: float
    y: float
    radius: float
    left: float
    right: float

    @staticmethod
    def of(free: shapely.Polygon) -> Spot:
        """Return the widest place of a shape, in the middle of its length where it is a strip."""
        reach = shapely.maximum_inscribed_circle(free, tolerance=0.05)
        radius = float(reach.length)
        x, y = (float(c) for c in reach.coords[0])
        x0, _, x1, _ = free.bounds
        level = shapely.LineString([(x0 - 1.0, y), (x1 + 1.0, y)]).intersection(free)
        longest = max(shapely.get_parts(level), key=lambda g: float(g.length))
        left, _, right, _ = longest.bounds
        if free.boundary.distance(longest.centroid) >= 0.85 * radius:
            x = float(longest.centroid.x)
        return Spot(free=free, x=x, y=y, radius=radius, left=float(left), right=float(right))

    @property
    def strip(self) -> bool:
        """Whether it is so long that all stands in a row."""
        return self.radius >= 0.85 and self.right - self.left >= max(9.0 * self.radius, 16.0)

    @property
    def holds(self) -> bool:
        """Whether a number in it is still read."""
        return self.radius >= FITS or self.strip


def numbered(step: CutStep, spot: Spot, taken: Taken, frame: shapely.Polygon) -> list[str]:
    """Return the number of a copy with what fits beside it.

    Parameters
    ----------
    step
        The copy.
    spot
        Its place.
    taken
        What nothing may be written over; a number that stands beside its copy is added.
    frame
        What is drawn of the cloth [mm].
    """
    if not spot.holds:
        return _beside(step, spot, taken, frame)
    row = spot.radius < STACKED and spot.strip
    middle = shapely.Point(spot.left + 6.0 if row else spot.x, spot.y)
    taken.words.append(middle.buffer(min(0.8 * spot.radius, 6.0)))
    if row:
        return _in_a_row(step, spot)
    if spot.radius < STACKED:
        size = min(1.3 * spot.radius, 6.0)
        named = spot.radius >= 3.6
        base = spot.y + (0.1 if named else 0.5 * ASCENT) * size
        name = under(spot.free, spot.x, base + 1.2 * CAPTION, _short(step.piece), CAPTION) if named else ""
        return [_number(step, spot.x, base, size), *([name] if name else [])]
    return _stacked(step, spot)


def under(free: shapely.Polygon, x: float, y: float, words: str, most: float, least: float = 1.9) -> str:
    """Return a line of text as large as a shape lets it be there; nothing when that is too small to be read.

    Parameters
    ----------
    free
        The shape [mm].
    x, y
        Middle of the base line [mm].
    words
        The line.
    most, least
        Sizes of type [mm].
    """
    size = min(most, room_at(free, np.array([x, y - 0.35 * most])) / width(words, 1.0))
    return draw.text(x, y, words, size=size, anchor="middle", halo=True) if size >= least else ""


def _stacked(step: CutStep, spot: Spot) -> list[str]:
    """Return number, name, part and arrow one under the other, the part left out where they would crowd."""
    arrow = 3.4
    room = 1.75 * spot.radius - arrow
    for part in (CAPTION, 0.0):
        size = min((room - 1.35 * part) / (ASCENT + 0.62), BIGGEST)
        if size >= 4.5:
            break
    label = min(0.5 * size, 4.6)
    whole = ASCENT * size + 1.25 * label + 1.35 * part + arrow
    base = spot.y - 0.5 * whole + ASCENT * size
    out = [_number(step, spot.x, base, size)]
    name = under(spot.free, spot.x, base + 1.25 * label, _short(step.piece), label)
    out.append(name)
    if part:
        below = base + (1.25 * label if name else 0.0) + 1.35 * part
        out.append(under(spot.free, spot.x, below, step.part, part))
    way = _way(step)
    middle = np.array([spot.x, spot.y + 0.5 * whole - 1.0])
    half = min(0.45 * spot.radius, 9.0, max(0.45 * room_at(spot.free, middle), 2.0))
    out.append(marks.warp_arrow(middle - half * way, middle + half * way, weight=0.7, halo=True))
    return [o for o in out if o]


def _in_a_row(step: CutStep, spot: Spot) -> list[str]:
    size = max(min(1.5 * spot.radius, 6.0), 2.2)
    small = max(min(0.95 * spot.radius, NOTE), 1.8)
    x = spot.left + 2.2
    out = [draw.text(x, spot.y + 0.5 * ASCENT * size, str(step.number), size=size, bold=True, halo=True)]
    x += width(str(step.number), size, bold=True) + 2.0
    for words in (f"{step.piece}, {step.part}", step.piece):
        if x + width(words, small) + 12.0 <= spot.right:
            out.append(draw.text(x, spot.y + 0.5 * ASCENT * small, words, size=small, halo=True))
            x += width(words, small) + 3.0
            break
    way, middle = _way(step), np.array([x + 4.0, spot.y])
    if x + 8.0 <= spot.right:
        weight = min(0.6, 0.4 * spot.radius)
        out.append(marks.warp_arrow(middle - 4.0 * way, middle + 4.0 * way, weight=weight, halo=True))
    return out


def _beside(step: CutStep, spot: Spot, taken: Taken, frame: shapely.Polygon) -> list[str]:
    """Return the number of a copy too small for it: in free cloth near it, with a leader."""
    wide, high = width(str(step.number), BESIDE, bold=True), ASCENT * BESIDE
    told, others = shapely.union_all(taken.words), taken.copies.difference(spot.free.buffer(0.05))
    best: tuple[float, float, float, shapely.Polygon, shapely.LineString] | None = None
    for far in np.arange(3.0, 40.0, 1.0):
        for angle in np.radians(np.arange(0.0, 360.0, 20.0)):
            x, y = float(spot.x + far * np.cos(angle)), float(spot.y + far * np.sin(angle))
            box = shapely.box(x - 0.5 * wide - 0.4, y - 0.5 * high - 0.4, x + 0.5 * wide + 0.4, y + 0.5 * high + 0.4)
            if not frame.contains(box) or box.intersects(taken.copies) or box.intersects(told):
                continue
            near = shapely.ops.nearest_points(box.buffer(-0.3), shapely.Point(spot.x, spot.y))[0]
            line = shapely.LineString([(near.x, near.y), (spot.x, spot.y)])
            cost = float(far) + 3.0 * float(line.intersection(others).length)  # rather far than across another copy
            if not line.intersects(told) and (best is None or cost < best[0]):
                best = (cost, x, y, box, line)
        if best is not None and best[0] <= far:
            break
    if best is not None:
        _, x, y, box, line = best
        taken.words.extend([box, line.buffer(0.2)])
        from_, to = np.asarray(line.coords, dtype=np.float64)
        return [marks.leader(from_, to), _number(step, x, y + 0.5 * high, BESIDE)]
    return [_number(step, spot.x, spot.y + 0.5 * ASCENT * 2.4, 2.4)]


def _number(step: CutStep, x: float, base: float, size: float) -> str:
    return draw.text(x, base, str(step.number), size=size, bold=True, anchor="middle", halo=True)


def _short(name: str) -> str:
    """Return a name short enough for a picture; the table has it whole."""
    return name if len(name) <= 22 else name[:20].rstrip(" ,") + " …"


def _way(step: CutStep) -> Floats:
    turn = step.placement.turn
    return np.array([np.cos(turn), -np.sin(turn)])
