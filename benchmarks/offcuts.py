"""A kit on a shelf of offcuts: what it saves against the roll alone, and how many known pieces find their place.

Three parts, all with fixed seeds, on outlines of our own. The peer is a plain first fit written for this file alone:
largest piece first, at each corner of what lies already, tested with shapely. In the second part pieces were cut out of
the sheets, so it is known that all of them fit; limit: 19 of 20 within 10 s. In the third the limit for 500 pieces on
25 offcuts is a first answer within 5 s.
"""

from __future__ import annotations

import math
import time

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from bagside.cutting import Cloth, FlatPiece
from bagside.cutting.piece import turned
from bagside.cutting.refill import PlaceProgress, place_on
from bagside.cutting.sheet import Sheet
from bagside.cutting.stock import StockProgress
from bagside.cutting.stock_nest import nest_stock
from bagside.cutting.verify import verify
from bagside.cutting.worth import offcut_worth

Floats = NDArray[np.float64]
SECONDS = 20.0
PRICE = 60.0  # [money/m²]
GAP = MARGIN = 0.005
KNOWN = (1, 2, 3, 4, 5)


def blob(random: np.random.Generator, length: float, width: float, corners: int, least: float) -> Floats:
    """Return a star-shaped outline about as long and wide as stated [m]."""
    angle = np.sort(np.linspace(0.0, math.tau, corners, endpoint=False) + random.uniform(-0.25, 0.25, corners))
    r = random.uniform(least, 1.0, corners)
    out: Floats = np.stack([0.5 * length * r * np.cos(angle), 0.5 * width * r * np.sin(angle)], axis=1)
    return out


def kit(seed: int, shapes: int, copies: int) -> tuple[FlatPiece, ...]:
    """Return star-shaped outlines of 80 to 500 mm, some copies of each."""
    random = np.random.default_rng(seed)
    sizes = [(random.uniform(0.08, 0.5), random.uniform(0.06, 0.35)) for _ in range(shapes)]
    return tuple(
        FlatPiece(
            label=str(k + 1),
            material="twill",
            loops=(blob(random, *size, int(random.integers(4, 10)), 0.55),),
            quantity=copies,
        )
        for k, size in enumerate(sizes)
    )


def shelf(seed: int, count: int) -> tuple[Sheet, ...]:
    """Return odd offcuts of 200 to 800 mm, every third with a flaw, worth half the price of the roll or less."""
    random = np.random.default_rng(seed)
    out = []
    for k in range(count):
        outline = blob(random, random.uniform(0.25, 0.8), random.uniform(0.2, 0.55), int(random.integers(5, 10)), 0.7)
        flaws = (0.02 * random.uniform(-1, 1, 2) + blob(random, 0.03, 0.02, 5, 0.7),) if k % 3 == 0 else ()
        worth = offcut_worth(shapely.Polygon(outline), fresh=0.5, life_used=0.0, life=1.0)
        out.append(
            Sheet(
                name=f"K{k + 1}",
                material="twill",
                outline=outline,
                flaws=flaws,
                gap=GAP,
                margin=MARGIN,
                price=PRICE,
                worth=worth,
            )
        )
    return tuple(out)


def known(seed: int, count: int = 20, sheets: int = 6) -> tuple[tuple[Sheet, ...], tuple[FlatPiece, ...], float]:
    """Return flawed sheets, pieces cut out of them at the gap, and the share of the free area that the pieces are."""
    random = np.random.default_rng(seed)
    stock, cells = [], []
    for k in range(sheets):
        outline = blob(random, random.uniform(0.5, 0.8), random.uniform(0.35, 0.55), int(random.integers(6, 10)), 0.72)
        flaw = random.uniform(-0.15, 0.15, 2) + blob(random, 0.03, 0.03, 5, 0.6)
        sheet = Sheet(
            name=f"K{k + 1}", material="twill", outline=outline, flaws=(flaw,), gap=GAP, margin=MARGIN, price=PRICE,
            worth=0.5,
        )  # fmt: skip
        stock.append(sheet)
        own = [p for p in shapely.get_parts(sheet.free) if p.geom_type == "Polygon"]
        for _ in range(4):
            cell = max(own, key=lambda c: float(c.area))
            own.remove(cell)
            corners = np.asarray(shapely.minimum_rotated_rectangle(cell).exterior.coords)
            along = max(np.diff(corners[:3], axis=0), key=lambda s: float(np.hypot(*s)))
            across = turned(along, math.pi / 2 + random.uniform(-0.5, 0.5))
            middle = np.asarray(cell.centroid.coords)[0] + random.uniform(-0.06, 0.06) * along
            cut = shapely.LineString([middle - 3.0 * across, middle + 3.0 * across])
            own.extend(shapely.get_parts(shapely.ops.split(cell, cut)))
        cells.extend(c.buffer(-0.5 * GAP, join_style="mitre") for c in own)
    parts = [p for c in cells for p in shapely.get_parts(c) if p.geom_type == "Polygon" and not p.interiors]
    parts = [_less_a_corner(random, p.simplify(1e-7)) for p in sorted(parts, key=lambda p: -p.area)[:count]]
    pieces = tuple(
        FlatPiece(label=str(k + 1), material="twill", loops=(np.asarray(p.exterior.coords),))
        for k, p in enumerate(parts)
    )
    return tuple(stock), pieces, sum(p.area for p in pieces) / sum(float(s.free.area) for s in stock)


def _less_a_corner(random: np.random.Generator, shape: shapely.Polygon) -> shapely.Polygon:
    corners = np.asarray(shape.exterior.coords)[:-1]
    k = int(random.integers(len(corners)))
    a, b, c = corners[k - 1], corners[k], corners[(k + 1) % len(corners)]
    share = random.uniform(0.2, 0.5)
    less = shapely.Polygon([*corners[:k], b + share * (a - b), b + share * (c - b), *corners[k + 1 :]])
    return less if less.is_valid and 0.9 * shape.area < less.area < shape.area else shape


def first_fit(sheets: tuple[Sheet, ...], pieces: tuple[FlatPiece, ...]) -> int:
    """Return how many copies a plain first fit lays: largest first, a corner of it at a corner of what is free."""
    free = [s.free for s in sheets]
    laid = 0
    for piece in sorted(pieces, key=lambda p: -p.area):
        for _ in range(piece.quantity):
            laid += _fits(free, sheets, piece)
    return laid


def _fits(free: list[shapely.Geometry], sheets: tuple[Sheet, ...], piece: FlatPiece) -> bool:
    for k, area in enumerate(free):
        spots = shapely.get_coordinates(area)
        for turn in piece.turns or (0.0,):
            loop = turned(piece.loops[0], turn)
            at = (spots[:, None] - loop[None]).reshape(-1, 2)
            at = at[np.lexsort((at[:, 1], at[:, 0]))]
            outlines = shapely.polygons(loop[None] + at[:, None])
            shapely.prepare(area)
            good = np.flatnonzero(shapely.covers(area.buffer(1e-9), outlines))
            if len(good):
                free[k] = area.difference(outlines[good[0]].buffer(sheets[k].gap, join_style="mitre"))
                return True
    return False


def saved() -> None:
    """Print what 25 offcuts save of the roll and of money."""
    for seed in (1, 2, 3):
        pieces, sheets = kit(seed, 10, 4), shelf(seed + 100, 25)
        cloth = Cloth(material="twill", width=1.25, margin=0.010, gap=GAP)
        heard: list[StockProgress] = []
        found = nest_stock(
            pieces, sheets, [cloth], prices=[PRICE], cut_cost=0.2, seconds=SECONDS, on_progress=heard.append
        )
        assert found.money_roll_alone is not None
        first = next(h for h in heard if h.on_sheets > 0)
        alone = nest_stock(pieces, (), [cloth], prices=[PRICE], cut_cost=0.2, seconds=0.5 * SECONDS)
        on = sum(len(n.placements) for n in found.sheets)
        less = 100 * (1 - found.length / alone.length), 100 * (1 - found.money / found.money_roll_alone)
        print(
            f"kit {seed}: {on} of 40 on {len(found.sheets)} of 25 offcuts, first in {first.seconds:.2f} s; fresh "
            f"cloth {found.length:.3f} m for {alone.length:.3f} m ({less[0]:.0f} % less), money {found.money:.2f} for "
            f"{found.money_roll_alone:.2f} ({less[1]:.1f} % less) in {found.seconds:.1f} s"
        )


def placed() -> None:
    """Print how many of 20 pieces that are known to fit find their place in time."""
    for seed in KNOWN:
        sheets, pieces, share = known(seed)
        began = time.perf_counter()
        peer = first_fit(sheets, pieces)
        took = time.perf_counter() - began
        heard: list[PlaceProgress] = []
        worked = time.process_time()
        found = place_on(sheets, pieces, fresh=PRICE / 0.75, seconds=10.0, on_progress=heard.append)
        counts = [max(h.placed for h in heard if h.seconds <= limit + 0.1) for limit in (1.0, 3.0, 10.0)]
        print(
            f"set {seed}: pieces are {100 * share:.0f} % of the free area; plain first fit {peer} of {len(pieces)} in "
            f"{took:.2f} s; ours {heard[0].placed} in {heard[0].seconds:.2f} s, after 1, 3 and 10 s "
            f"{counts[0]}, {counts[1]} and {counts[2]} (limit 19) in {time.process_time() - worked:.1f} s of "
            f"processor"
        )
        for nest in found.sheets:
            verify(nest)


def many() -> None:
    """Print how soon 500 pieces on 25 offcuts have an answer."""
    pieces, sheets = kit(9, 50, 10), shelf(109, 25)
    found = place_on(sheets, pieces, fresh=PRICE / 0.75)
    on = sum(len(n.placements) for n in found.sheets)
    cloth = Cloth(material="twill", width=1.25, margin=0.010, gap=GAP)
    began = time.perf_counter()
    stock = nest_stock(pieces, sheets, [cloth], prices=[PRICE], seconds=0.0)
    took = time.perf_counter() - began
    less = 100 * (1 - stock.money / (stock.money_roll_alone or 1.0))
    print(
        f"500 pieces: sheets filled in {found.seconds:.2f} s with {on} copies (limit 5 s); with two nests on the roll, "
        f"alone and of the rest, in {took:.2f} s: {less:.1f} % less money"
    )


def run() -> None:
    """Print all three parts."""
    saved()
    placed()
    many()
