"""Nests for the tests of what leaves on paper: invented kayak parts on a roll and on an offcut with flaw and hole."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, Sheet, SheetNest, nest_roll
from pieces import TWILL, ell, rectangle, rosette

Floats = NDArray[np.float64]
LONG = "foredeck bulkhead stiffener, port and starboard"


def disc(diameter: float, points: int = 90) -> Floats:
    angle = np.linspace(0.0, 2.0 * math.pi, points, endpoint=False)
    return 0.5 * diameter * np.column_stack([np.cos(angle), np.sin(angle)])


@cache
def offcut() -> SheetNest:
    """Return two ells, one of them face down, and a disc on a slanted offcut."""
    sheet = Sheet(
        name="O-11",
        material=TWILL,
        batch="1093",
        outline=np.array([[0.02, 0.0], [0.62, 0.03], [0.66, 0.31], [0.31, 0.34], [0.30, 0.42], [0.0, 0.40]]),
        holes=(rectangle(0.05, 0.04, at=(0.52, 0.22)),),
        flaws=(np.array([[0.43, 0.05], [0.50, 0.06], [0.49, 0.11], [0.42, 0.10]]),),
    )
    pieces = (
        FlatPiece(label="3B", material=TWILL, loops=(ell(),), quantity=2, kits=("lid 1", "lid 2"), ply=3, flips=True,
                  marks=(("start", (0.03, 0.03)), ("hole 6", (0.05, 0.12)))),
        FlatPiece(label="5", material=TWILL, loops=(disc(0.06),), kits=("lid 1",), ply=5, turns=None),
    )  # fmt: skip
    placements = (
        Placement(label="3B", copy=1, turn=0.0, x=0.04, y=0.01),
        Placement(label="3B", copy=2, turn=0.0, x=0.03, y=0.38, flipped=True),
        Placement(label="5", copy=1, turn=0.4, x=0.40, y=0.20),
    )
    return SheetNest(sheet=sheet, pieces=pieces, placements=placements)


@cache
def ugly() -> Nest:
    """Return forty copies of pieces from 12 mm to half a metre, some with long names, on 2.4 m of roll."""
    kits = tuple(f"day-hatch lid {k}" for k in range(1, 5))
    rng = np.random.default_rng(7)

    def star(size: float, corners: int) -> Floats:
        angle = np.sort(rng.uniform(0.0, 2.0 * math.pi, corners)) + 0.02 * np.arange(corners)
        r = 0.5 * size * rng.uniform(0.6, 1.0, corners)
        return np.column_stack([r * np.cos(angle), r * np.sin(angle)])

    shapes = (
        ("1", rosette(0.17)), ("2", rosette(0.15)), ("3A", star(0.42, 9)), ("3B", ell()), (LONG, star(0.30, 7)),
        ("4 tab", rectangle(0.030, 0.012)), ("5", disc(0.05)), ("6 whole deck recess", rectangle(0.55, 0.24)),
        ("7", rectangle(0.9, 0.05)), ("8 coaming rim strip, aft", rectangle(0.40, 0.03)),
    )  # fmt: skip
    pieces = tuple(
        FlatPiece(label=label, material=TWILL, loops=(loop,), quantity=4, kits=kits, ply=min(k + 1, 6),
                  marks=(("start", (0.0, 0.0)),) if label in "123A" else ())
        for k, (label, loop) in enumerate(shapes)
    )  # fmt: skip
    cloth = Cloth(material=TWILL, width=1.25, margin=0.010, gap=0.004, selvedge=0.012, batch="1093")
    return nest_roll(pieces, cloth, seconds=0.0)
