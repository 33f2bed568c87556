"""Flat pieces in closed form and as Hypothesis strategies, shared by the tests of cutting and of its drawings."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from bagside.cutting import Cloth, FlatPiece

Floats = NDArray[np.float64]
TWILL = "twill-200"


def rectangle(length: float, width: float, at: tuple[float, float] = (0.0, 0.0)) -> Floats:
    """Return a rectangle with its sides along and across the warp [m]."""
    return np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]]) + np.array(at)


def ell() -> Floats:
    """Return an L of 200 × 150 mm with arms 80 and 50 mm wide [m]; area 0.2·0.05 + 0.08·0.1 = 0.018 m²."""
    return np.array([[0.0, 0.0], [0.2, 0.0], [0.2, 0.05], [0.08, 0.05], [0.08, 0.15], [0.0, 0.15]])


def rosette(radius: float = 0.2, points: int = 400) -> Floats:
    """Return a smooth outline of many points that is neither convex nor symmetrical end for end [m]."""
    angle = np.linspace(0.0, 2.0 * math.pi, points, endpoint=False)
    r = radius * (1.0 + 0.12 * np.cos(3.0 * angle))
    return np.stack([1.4 * r * np.cos(angle), r * np.sin(angle)], axis=1)


def piece(label: str, outline: Floats, **more: object) -> FlatPiece:
    """Return a piece of the ordinary test cloth."""
    return FlatPiece(label=label, material=TWILL, loops=(outline,), **more)  # type: ignore[arg-type]


@st.composite
def outlines(draw: st.DrawFn, largest: float = 0.3) -> Floats:
    """Draw a simple outline: a rectangle in whole millimetres, or a star-shaped polygon that may be hollow."""
    if draw(st.booleans()):
        side = st.integers(20, int(1e3 * largest))
        return rectangle(1e-3 * draw(side), 1e-3 * draw(side))
    corners = draw(st.integers(3, 12))
    radii = draw(st.lists(st.floats(0.25, 1.0), min_size=corners, max_size=corners))
    start = draw(st.floats(0.0, 6.28))
    angle = start + np.linspace(0.0, 2.0 * math.pi, corners, endpoint=False)
    r = 0.5 * largest * np.array(radii)
    return np.stack([r * np.cos(angle), r * np.sin(angle)], axis=1)


@st.composite
def kits(draw: st.DrawFn, most: int = 5) -> tuple[tuple[FlatPiece, ...], Cloth]:
    """Draw a few pieces with copies and a cloth wide enough for each."""
    shapes = draw(st.lists(outlines(), min_size=1, max_size=most))
    turns = st.sampled_from([(0.0, math.pi), (0.0,), (0.0, 0.5 * math.pi), None])
    pieces = tuple(
        piece(f"{i + 1}A", s, quantity=draw(st.integers(1, 4)), turns=draw(turns)) for i, s in enumerate(shapes)
    )
    margin = draw(st.sampled_from([0.0, 0.010]))
    widest = max(p.narrowest()[0] for p in pieces)
    spare = draw(st.sampled_from([0.0, 1e-5, 0.037, 0.6]))
    gap = draw(st.sampled_from([0.0, 0.002, 0.005, 0.020]))
    return pieces, Cloth(material=TWILL, width=widest + 2.0 * margin + spare, margin=margin, gap=gap)
