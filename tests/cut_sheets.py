"""Stocks of sheets and kits of pieces whose answer is known, since the pieces were cut out of the sheets."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from bagside.cutting import FlatPiece
from bagside.cutting.sheet import Sheet

Floats = NDArray[np.float64]
MATERIAL = "twill-200"


@dataclass(frozen=True)
class Known:
    """Sheets, pieces that are known to fit on them, and the share of the free area that these take."""

    sheets: tuple[Sheet, ...]
    pieces: tuple[FlatPiece, ...]
    share: float


def blob(random: np.random.Generator, length: float, width: float, corners: int) -> Floats:
    """Return a star-shaped outline about as long and wide as stated [m]."""
    angle = np.sort(np.linspace(0.0, math.tau, corners, endpoint=False) + random.uniform(-0.25, 0.25, corners))
    r = random.uniform(0.72, 1.0, corners)
    out: Floats = np.stack([0.5 * length * r * np.cos(angle), 0.5 * width * r * np.sin(angle)], axis=1)
    return out


def odd_sheet(random: np.random.Generator, name: str, *, gap: float, margin: float, flaws: int = 1) -> Sheet:
    """Return an odd sheet of 350 to 800 mm with flaws of 15 to 40 mm in it."""
    outline = blob(random, random.uniform(0.5, 0.8), random.uniform(0.35, 0.55), int(random.integers(6, 10)))
    spots = []
    while len(spots) < flaws:
        at = random.uniform(-0.15, 0.15, 2)
        spots.append(at + blob(random, random.uniform(0.015, 0.04), random.uniform(0.015, 0.04), 5))
    return Sheet(
        name=name, material=MATERIAL, outline=outline, flaws=tuple(spots), gap=gap, margin=margin, price=60.0, worth=0.5
    )


def cells_of(random: np.random.Generator, area: shapely.Geometry, cuts: int) -> list[shapely.Polygon]:
    """Return an area cut up by straight cuts, each through the largest cell, across its longer side."""
    cells = [p for p in shapely.get_parts(area) if p.geom_type == "Polygon"]
    for _ in range(cuts):
        cells.sort(key=lambda c: c.area)
        cell = cells.pop()
        box = shapely.minimum_rotated_rectangle(cell)
        corners = np.asarray(box.exterior.coords)[:4]
        side = corners[1] - corners[0], corners[2] - corners[1]
        along = max(side, key=lambda s: float(np.hypot(*s)))
        along = along / np.hypot(*along)
        turn = random.uniform(-0.5, 0.5)
        across = np.array([-along[1], along[0]]) * math.cos(turn) + along * math.sin(turn)
        middle = np.asarray(cell.centroid.coords)[0] + along * random.uniform(-0.04, 0.04)
        cut = shapely.LineString([middle - 3.0 * across, middle + 3.0 * across])
        cells.extend(p for p in shapely.get_parts(shapely.ops.split(cell, cut)) if p.area > 0.0)
    return cells


def known(seed: int, *, count: int = 20, sheets: int = 6, gap: float = 0.005, margin: float = 0.005) -> Known:
    """Return odd sheets with flaws and pieces that are known to fit on them.

    Each sheet's free area is cut up; each cell is taken in by half the gap and loses a corner or two; the largest of
    all cells are the pieces. What fits at half the gap from each cut fits at the gap from each other.
    """
    random = np.random.default_rng(seed)
    stock = tuple(odd_sheet(random, f"K{k + 1}", gap=gap, margin=margin) for k in range(sheets))
    shapes: list[shapely.Polygon] = []
    for sheet in stock:
        for cell in cells_of(random, sheet.free, math.ceil(1.3 * count / sheets) - 1):
            shape = (cell.buffer(-0.5 * gap, join_style="mitre") if gap else cell).simplify(1e-7)
            for part in shapely.get_parts(shape):
                for _ in range(2):
                    part = trimmed(random, part)
                if part.geom_type == "Polygon" and not part.interiors and part.area > 0.0:
                    shapes.append(part)
    shapes.sort(key=lambda s: -s.area)
    shapes = shapes[:count]
    random.shuffle(shapes)  # type: ignore[arg-type]
    pieces = tuple(
        FlatPiece(label=str(k + 1), material=MATERIAL, loops=(np.asarray(s.exterior.coords),))
        for k, s in enumerate(shapes)
    )
    return Known(stock, pieces, sum(s.area for s in shapes) / sum(s.free.area for s in stock))


def trimmed(random: np.random.Generator, shape: shapely.Geometry) -> shapely.Geometry:
    """Return a shape with one corner cut off, at most a tenth of its area."""
    corners = np.asarray(shape.exterior.coords)[:-1]
    k = int(random.integers(len(corners)))
    a, b, c = corners[k - 1], corners[k], corners[(k + 1) % len(corners)]
    s = random.uniform(0.2, 0.5)
    more = [b + s * (a - b), b + s * (c - b)]
    less = shapely.Polygon([*corners[:k], *more, *corners[k + 1 :]])
    return less if less.is_valid and less.area > 0.9 * shape.area and shape.buffer(1e-9).covers(less) else shape
