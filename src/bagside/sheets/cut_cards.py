"""The cards on the table: each piece small, with its warp arrow and the two corners it is laid by."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import FlatPiece
from bagside.sheets import colour, marks
from bagside.sheets import paper as draw
from bagside.sheets.cut_steps import CutStep, corners_of
from bagside.sheets.typeface import BODY, CAPTION, width, wrapped

Floats = NDArray[np.float64]
MM = 1e3
CELL, HIGH = 44.0, 27.0
"""Width of a card's place, and height of its picture [mm]."""


def card_rows(pieces: Sequence[FlatPiece], steps: Sequence[CutStep], room: float) -> tuple[str, ...]:
    """Return rows of cards as SVG documents, each piece once.

    Parameters
    ----------
    pieces
        Of the nest.
    steps
        In the order of cutting: they tell a card's name and the numbers cut with it.
    room
        Width of the page [mm].
    """
    count = max(1, int(room // CELL))
    shown = [p for p in pieces if any(s.piece == p.label for s in steps)]
    shown = sorted(shown, key=lambda p: float(p.size[1] / p.size[0]))  # slim ones share a row that is not high
    rows = [shown[k : k + count] for k in range(0, len(shown), count)]
    return tuple(_row(row, steps, room / count, room) for row in rows)


def _row(row: Sequence[FlatPiece], steps: Sequence[CutStep], cell: float, room: float) -> str:
    said = [_words(p, [s for s in steps if s.piece == p.label], cell - 4.0) for p in row]
    scales = [min((cell - 12.0) / p.size[0], (HIGH - 4.0) / p.size[1]) for p in row]
    tall = max(9.0, 4.0 + max(float(s * p.size[1]) for s, p in zip(scales, row, strict=True)))
    high = tall + 3.0 + max(sum(1.25 * size for _, size, _ in lines) for lines in said)
    out: list[str] = []
    for k, (piece, lines) in enumerate(zip(row, said, strict=True)):
        x, y = k * cell, tall + 2.0
        out += _picture(piece, x + 4.5, scales[k], tall)
        for words, size, bold in lines:
            y += 1.25 * size
            out.append(draw.text(x, y, words, size=size, bold=bold, ink=colour.INK if bold else colour.SECOND))
    return draw.sheet(room, high, out, title="cards: " + ", ".join(p.label for p in row))


def _words(piece: FlatPiece, steps: Sequence[CutStep], room: float) -> list[tuple[str, float, bool]]:
    along, across = piece.size
    name = steps[0].template
    lines = [(line, BODY, True) for line in wrapped(f"card {name}", BODY, room, bold=True)]
    size = f"{MM * along:.0f} × {MM * across:.0f} mm"
    numbers = f"no. {numbers_words([s.number for s in steps])}"
    ends = "" if corners_of(piece).sharp else "a, b: ends of its warp line"
    for words in (size, numbers, ends):
        lines += [(line, CAPTION, False) for line in wrapped(words, CAPTION, room) if line]
    small = [(words, size * min(1.0, room / width(words, size, bold=bold)), bold) for words, size, bold in lines]
    return small


def numbers_words(numbers: Sequence[int]) -> str:
    """Return numbers in short: runs of three or more by their ends.

    Parameters
    ----------
    numbers
        Rising.

    Examples
    --------
    >>> numbers_words([1, 2, 3, 4, 7, 9, 10])
    '1–4, 7, 9, 10'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{r[0]}–{r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs)


def _picture(piece: FlatPiece, x: float, scale: float, tall: float) -> list[str]:
    low, high = piece.loops[0].min(axis=0), piece.loops[0].max(axis=0)
    size = high - low
    top = 0.5 * (tall - scale * float(size[1]))

    def at(points: Floats) -> Floats:
        p = np.atleast_2d(np.asarray(points, dtype=np.float64))
        out: Floats = np.column_stack([x + scale * (p[:, 0] - low[0]), top + scale * (high[1] - p[:, 1])])
        return out

    loops = [at(loop) for loop in piece.loops]
    out = [draw.stroked("".join(draw.path(loop, closed=True) for loop in loops), weight=draw.EDGE, fill=colour.PAPER)]
    shape = shapely.Polygon(loops[0], loops[1:])
    reach = shapely.maximum_inscribed_circle(shape, tolerance=0.05)
    cx, cy = (float(c) for c in reach.coords[0])
    half = max(2.5, min(0.7 * float(reach.length), 7.0))
    if reach.length < 1.8:
        cy = float(loops[0][:, 1].max()) + 2.6
    out.append(marks.warp_arrow(np.array([cx - half, cy]), np.array([cx + half, cy]), weight=0.7, halo=True))
    own = corners_of(piece)
    middle = np.array([0.5 * (loops[0][:, 0].min() + loops[0][:, 0].max()), float(np.mean(loops[0][:, 1]))])
    for name, place, fill in (("a", own.a, colour.PAPER), ("b", own.b, colour.INK)):
        (there,) = at(np.array([place]))
        px, py = float(there[0]), float(there[1])
        out.append(draw.rect(px - 0.9, py - 0.9, 1.8, 1.8, weight=draw.THIN, fill=fill))
        away = there - middle
        tx, ty = there + 2.6 * away / max(float(np.hypot(*away)), 1e-9)
        ty = min(max(float(ty) + 0.9, 2.2), tall + 0.6)
        out.append(draw.text(float(tx), ty, name, size=CAPTION, bold=True, anchor="middle", halo=True))
    return out
