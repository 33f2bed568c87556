"""The independent check that every layout passes before it leaves this bench.

It shares nothing with the ways of making a layout: true outlines, shapely's distances, and one stated tolerance.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely

from bagside.cutting.layout import Nest
from bagside.cutting.piece import FlatPiece
from bagside.cutting.sheet import Layout, SheetNest, kit_names
from bagside.cutting.stock import StockNest
from bagside.errors import NotSolved

TOLERANCE = 1e-6
"""How far a gap or margin may fall short, or two outlines press into each other [m]."""
_STRAIGHT = 1e-9  # [rad]; rounding of a turn


def verify(layout: Nest | SheetNest, tolerance: float = TOLERANCE) -> None:
    """Prove that a layout can be cut.

    Every copy is there exactly once, of the cloth's material, turned and faced as its cloth allows, inside the margins,
    clear of holes and flaws, and at least the gap away from every other.

    Parameters
    ----------
    layout
        On a roll or on a sheet.
    tolerance
        How far a distance may fall short [m].

    Raises
    ------
    NotSolved
        Naming the copy or the two copies at fault and by how much.

    Notes
    -----
    Outlines are taken without their holes: a piece inside another's hole counts as an overlap.
    """
    _copies(layout)
    _turns(layout)
    outlines = [layout.placed_outline(p) for p in layout.placements]
    names = [f"{p.label} copy {p.copy}" for p in layout.placements]
    if isinstance(layout, SheetNest):
        _on_the_sheet(layout, outlines, names, tolerance)
        gap = layout.sheet.gap
    else:
        _inside(layout, outlines, names, tolerance)
        gap = layout.cloth.gap
    _apart(gap, outlines, names, tolerance)


def verify_stock(pieces: Sequence[FlatPiece], stock: StockNest, tolerance: float = TOLERANCE) -> None:
    """Prove that the layouts of a kit can be cut and together hold each copy once.

    Parameters
    ----------
    pieces
        What was to be cut, all of one material.
    stock
        Where it lies.
    tolerance
        How far a distance may fall short [m].

    Raises
    ------
    NotSolved
        Naming the layout, the copy, or the part whose visible pieces come from two batches.
    """
    for layout in stock.layouts:
        verify(layout, tolerance)
    used = Counter(n.sheet.name for n in stock.sheets)
    for name, count in used.items():
        if count > 1:
            raise NotSolved(f"sheet {name} is cut from {count} times")
    given = {p.label: p for p in pieces}
    for layout in stock.layouts:
        for piece in layout.pieces:
            if piece.label not in given or not _same(piece, given[piece.label]):
                raise NotSolved(f"piece {piece.label} in the layout is not the one that was to be cut")
    wanted = Counter((p.label, kit) for p in pieces for kit in kit_names(p))
    found = Counter((p.label, layout.kit(p)) for layout in stock.layouts for p in layout.placements)
    for (label, kit), count in sorted((wanted - found).items()):
        raise NotSolved(f"{label} of kit {kit} is missing {count} times in the layouts")
    for (label, kit), count in sorted((found - wanted).items()):
        raise NotSolved(f"{label} of kit {kit} lies there {count} times too often")
    _one_batch(stock)


def _copies(layout: Layout) -> None:
    labels = [p.label for p in layout.pieces]
    if len(set(labels)) != len(labels):
        raise NotSolved("two pieces of the layout have the same label")
    for piece in layout.pieces:
        if piece.material != layout.material:
            raise NotSolved(f"piece {piece.label} is of {piece.material} and lies on {layout.material}")
    wanted = {(p.label, k) for p in layout.pieces for k in range(1, p.quantity + 1)}
    found = Counter((p.label, p.copy) for p in layout.placements)
    missing = sorted(wanted - set(found))
    extra = sorted(set(found) - wanted)
    twice = sorted(f for f, count in found.items() if count > 1)
    for what, these in (("is missing", missing), ("is not wanted", extra), ("lies there more than once", twice)):
        if these:
            label, copy = these[0]
            raise NotSolved(f"{label} copy {copy} {what} in the layout")


def _turns(layout: Layout) -> None:
    over = isinstance(layout, SheetNest) and layout.turned_over
    for p in layout.placements:
        piece = layout.piece(p.label)
        name = f"{p.label} copy {p.copy}"
        if not all(math.isfinite(value) for value in (p.turn, p.x, p.y)):
            raise NotSolved(f"{name} lies at ({p.x}, {p.y}), turned by {p.turn}")
        if piece.turns is not None:
            off = min(abs(math.remainder(p.turn - t, math.tau)) for t in piece.turns)
            if off > piece.tolerance + _STRAIGHT:
                raise NotSolved(f"{name} is turned by {math.degrees(p.turn):.3f}°, which its cloth does not allow")
        if p.flipped != over and not piece.flips:
            raise NotSolved(f"{name} is cut with the wrong face up")


def _inside(nest: Nest, outlines: list[shapely.Polygon], names: list[str], tolerance: float) -> None:
    low, high = nest.cloth.edge, nest.cloth.width - nest.cloth.edge
    for outline, name in zip(outlines, names, strict=True):
        x0, y0, _, y1 = outline.bounds
        short = max(nest.cloth.margin - x0, low - y0, y1 - high)
        if not short <= tolerance:
            raise NotSolved(f"{name} reaches {1e3 * short:.4f} mm out of the cloth or into its margin")


def _on_the_sheet(nest: SheetNest, outlines: list[shapely.Polygon], names: list[str], tolerance: float) -> None:
    sheet = nest.sheet
    usable = sheet.usable
    edges = usable.boundary
    shapely.prepare(usable)
    shapely.prepare(edges)
    for outline, name in zip(outlines, names, strict=True):
        # What only touches an edge comes clear of it when it is taken in by the tolerance.
        if not usable.covers(outline.buffer(-tolerance, join_style="mitre")):
            raise NotSolved(f"{name} reaches out of sheet {sheet.name}, or into a hole or flaw of it")
        distance = float(edges.distance(outline))
        if distance < sheet.margin - tolerance:
            wanted = f"{1e3 * sheet.margin:.4f} mm are wanted"
            raise NotSolved(f"{name} lies {1e3 * distance:.4f} mm from an edge of sheet {sheet.name} where {wanted}")


def _apart(gap: float, outlines: list[shapely.Polygon], names: list[str], tolerance: float) -> None:
    tree = shapely.STRtree(outlines)
    left, right = tree.query(outlines, predicate="dwithin", distance=max(gap - tolerance, 0.0))
    once = left < right
    for a, b in zip(left[once].tolist(), right[once].tolist(), strict=True):
        distance = float(outlines[a].distance(outlines[b]))
        pair = f"{names[a]} and {names[b]}"
        if distance > 0.0 or gap > tolerance:
            if distance < gap - tolerance:
                raise NotSolved(f"{pair} lie {1e3 * distance:.4f} mm apart where {1e3 * gap:.4f} mm are wanted")
        elif _press(outlines[a], outlines[b], tolerance):
            raise NotSolved(f"{pair} overlap by more than {1e3 * tolerance:.4f} mm")


def _press(a: shapely.Polygon, b: shapely.Polygon, tolerance: float) -> bool:
    # Two outlines that only touch come apart when each is taken in by half the tolerance.
    inner = shapely.buffer(np.array([a, b]), -0.5 * tolerance, join_style="mitre")
    return bool(inner[0].intersects(inner[1]))


def _same(piece: FlatPiece, given: FlatPiece) -> bool:
    # Everything but how many copies, and of which kits, lie in one layout.
    if len(piece.loops) != len(given.loops):
        return False
    stated = ("material", "turns", "tolerance", "flips", "job", "visible")
    return all(np.array_equal(a, b) for a, b in zip(piece.loops, given.loops, strict=True)) and all(
        getattr(piece, name) == getattr(given, name) for name in stated
    )


def _one_batch(stock: StockNest) -> None:
    """Refuse a part whose visible pieces come from two batches; cloth of unknown batch is a batch of its own."""
    seen: dict[tuple[str, str], str] = {}
    for layout in stock.layouts:
        if isinstance(layout, SheetNest):
            batch = layout.sheet.batch or f"unknown, of sheet {layout.sheet.name}"
        else:
            same = next(k for k, n in enumerate(stock.rolls, 1) if n.cloth is layout.cloth)
            batch = layout.cloth.batch or f"unknown, of roll {same}"
        for p in layout.placements:
            piece = layout.piece(p.label)
            if not piece.visible:
                continue
            part = (piece.job, layout.kit(p))
            first = seen.setdefault(part, batch)
            if first != batch:
                name = " ".join(n for n in (piece.job, f"kit {part[1]}") if n)
                raise NotSolved(f"pieces that show on {name} come from two batches: {first}, and {batch}")
