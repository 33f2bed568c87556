"""The independent check that every layout passes before it leaves this bench.

It shares nothing with the two ways of making a layout: true outlines, shapely's distances, and one stated tolerance.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from bagside.cutting.layout import Nest
from bagside.errors import NotSolved

TOLERANCE = 1e-6
"""How far a gap or margin may fall short, or two outlines press into each other [m]."""


def verify(nest: Nest, tolerance: float = TOLERANCE) -> None:
    """Prove that a layout can be cut.

    Every copy is there exactly once, turned as its cloth allows, inside the margins, and at least the gap away from
    every other.

    Parameters
    ----------
    nest
        The layout.
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
    _copies(nest)
    _turns(nest)
    outlines = [nest.placed_outline(p) for p in nest.placements]
    names = [f"{p.label} copy {p.copy}" for p in nest.placements]
    _inside(nest, outlines, names, tolerance)
    _apart(nest.cloth.gap, outlines, names, tolerance)


def _copies(nest: Nest) -> None:
    labels = [p.label for p in nest.pieces]
    if len(set(labels)) != len(labels):
        raise NotSolved("two pieces of the layout have the same label")
    wanted = {(p.label, k) for p in nest.pieces for k in range(1, p.quantity + 1)}
    found = [(p.label, p.copy) for p in nest.placements]
    missing = sorted(wanted - set(found))
    extra = sorted(set(found) - wanted)
    twice = sorted({f for f in found if found.count(f) > 1})
    for what, these in (("is missing", missing), ("is not wanted", extra), ("lies there more than once", twice)):
        if these:
            label, copy = these[0]
            raise NotSolved(f"{label} copy {copy} {what} in the layout")


def _turns(nest: Nest) -> None:
    for p in nest.placements:
        allowed = nest.piece(p.label).turns
        if not all(math.isfinite(value) for value in (p.turn, p.x, p.y)):
            raise NotSolved(f"{p.label} copy {p.copy} lies at ({p.x}, {p.y}), turned by {p.turn}")
        if allowed is not None and min(abs(math.remainder(p.turn - t, math.tau)) for t in allowed) > 1e-9:
            raise NotSolved(
                f"{p.label} copy {p.copy} is turned by {math.degrees(p.turn):.3f}°, which its cloth does not allow"
            )


def _inside(nest: Nest, outlines: list[shapely.Polygon], names: list[str], tolerance: float) -> None:
    low, high = nest.cloth.margin, nest.cloth.width - nest.cloth.margin
    for outline, name in zip(outlines, names, strict=True):
        x0, y0, _, y1 = outline.bounds
        short = max(low - x0, low - y0, y1 - high)
        if not short <= tolerance:
            raise NotSolved(f"{name} reaches {1e3 * short:.4f} mm out of the cloth or into its margin")


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
