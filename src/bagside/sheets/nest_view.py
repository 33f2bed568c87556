"""A cloth with its copies as a page shows it: every copy a thing of its own that can be pointed at and moved.

Unlike the drawings that are printed it is not true to a scale: it is drawn in CSS pixels for the room there is, and
each copy carries its place, so that a script can say where it was put. Words are given, in the reader's language.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.sheets import colour, marks, paper
from bagside.sheets.grounds import on_cloth, on_tape
from bagside.sheets.typeface import FAMILY, width

Floats = NDArray[np.float64]
_At = Callable[[Floats], Floats]
"""From places on the cloth [m] to places on the page [px]."""

TITLE, LABEL, SMALL = 16.0, 14.0, 11.0
"""Type sizes [px]."""
HAIR, THIN, EDGE, BOLD = 0.6, 1.0, 1.6, 2.6
KNIFE = "9 4"
TOP, LEFT, BOTTOM, BESIDE = 34.0, 34.0, 30.0, 78.0
"""Room for the pull, the width, the warp and the roll [px]."""
APART = 5.5
"""Between lines of warp [px]."""
LABELLED, NAMED = 7.0, 24.0
"""Radius of the widest place of a copy from which it carries its label, and its part and arrow too [px]."""
PIN = 14.0
"""Side of the handle of a pinned copy [px]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shown:
    """One copy as it is shown.

    Parameters
    ----------
    piece, kit
        Which.
    part
        Its part in words.
    told
        All about it, in a sentence.
    fill
        Which grey.
    turn, x, y, flipped
        Where it lies [rad], [m].
    turns
        It may lie in [rad]; None for any.
    loops
        Its edges [m].
    pinned
        Whether it stays.
    """

    piece: str
    kit: str
    part: str
    told: str
    fill: int
    turn: float
    x: float
    y: float
    flipped: bool
    turns: tuple[float, ...] | None
    loops: tuple[Floats, ...]
    pinned: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bed:
    """The cloth as it is shown.

    Parameters
    ----------
    name
        Of the roll or the offcut.
    title
        What is shown, for readers.
    outline
        Its edge [m].
    inner, margins, selvedges
        Holes and flaws; lines nothing is nested over; inner sides of selvedges [m].
    left
        Words and loops [m] of what is kept.
    roll
        Words on the roll; empty for an offcut.
    long, wide
        Its measures in words; only drawn for a roll.
    warp
        The word.
    """

    name: str
    title: str
    outline: Floats
    inner: Sequence[Floats]
    margins: Sequence[Floats]
    selvedges: Sequence[Floats]
    left: Sequence[tuple[str, Sequence[Floats]]]
    roll: str
    long: str
    wide: str
    warp: str


def nest_view(bed: Bed, copies: Sequence[Shown], room: tuple[float, float]) -> str:
    """Return a cloth with its copies.

    Parameters
    ----------
    bed
        The cloth.
    copies
        On it.
    room
        Width and greatest height [px].
    """
    low, high = bed.outline.min(axis=0), bed.outline.max(axis=0)
    size = np.maximum(high - low, 1e-6)
    roll = bool(bed.roll)
    left, top, beside, bottom = (LEFT, TOP, BESIDE, BOTTOM) if roll else (2.0, 4.0, 2.0, BOTTOM)
    scale = float(min((room[0] - left - beside) / size[0], (room[1] - top - bottom) / size[1]))
    wide, tall = scale * size

    def at(points: Floats) -> Floats:
        p = np.atleast_2d(np.asarray(points, dtype=np.float64)) - low
        out: Floats = np.column_stack([left + scale * p[:, 0], top + tall - scale * p[:, 1]])
        return np.round(out, 2)

    out = _cloth(bed, at, (left, top, wide, tall), roll=roll)
    out += [part for words, loops in bed.left for part in _kept(words, loops, at)]
    places: dict[str, tuple[Floats, float]] = {}
    out += [_copy(c, at, scale, places) for c in copies]
    if roll:
        out += _measures(bed, (left, top, wide, tall))
    arrow = left + wide
    out.append(paper.text(arrow - 62.0, top + tall + 21.0, bed.warp, size=12.0, anchor="end"))
    tail, tip = np.array([arrow - 56.0, top + tall + 17.0]), np.array([arrow, top + tall + 17.0])
    out.append(paper.line(np.array([tail, tip - (8.0, 0.0)]), weight=BOLD))
    out.append(marks.head(tip, np.array([1.0, 0.0]), long=11.0, wide=8.0))
    total = (left + wide + beside, top + tall + bottom)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{paper.n(total[0])}" height="{paper.n(total[1])}" '
        f'viewBox="0 0 {paper.n(total[0])} {paper.n(total[1])}" role="group" font-family="{FAMILY}" '
        f'data-cloth="{escape(bed.name)}" data-scale="{scale:.9g}" '
        f'data-left="{left:g}" data-base="{top + tall:.6g}" data-lowx="{low[0]:.9g}" data-lowy="{low[1]:.9g}">'
        f"<title>{escape(bed.title)}</title>"
        + "\n".join(p for p in out if p)
        + "</svg>"
    )


def _cloth(bed: Bed, at: _At, box: tuple[float, float, float, float], *, roll: bool) -> list[str]:
    left, top, wide, tall = box
    reach = BESIDE - 44.0 if roll else 0.0
    outline = at(bed.outline)
    if roll:  # the cloth goes on to the roll it comes off
        out = [paper.rect(left, top, wide + reach, tall, fill=colour.WASH)]
        for y in np.arange(top + 0.5 * APART, top + tall, APART):
            out.append(paper.line([(left, y), (left + wide + reach, y)], weight=HAIR, ink=colour.HAIR))
    else:
        out = [paper.line(outline, weight=0, fill=colour.WASH, closed=True)]
        out.append(paper.line(outline, weight=THIN, dashes="5 3", closed=True))
    for line in bed.selvedges:
        out.append(paper.line(at(line), weight=HAIR, ink=colour.SECOND))
    for line in bed.margins:
        out.append(paper.line(at(line), weight=HAIR, ink=colour.EDGE, dashes="2 3"))
    for k, loop in enumerate(bed.inner):
        name = f"flaw{k}"
        out.append(marks.hatch(name, ink=colour.INK, pitch=5.0, weight=0.4))
        out.append(paper.line(at(loop), weight=THIN, fill=f"url(#{name})", closed=True))
    return out


def _kept(words: str, loops: Sequence[Floats], at: _At) -> list[str]:
    out = [paper.line(at(loop), weight=THIN, dashes=KNIFE, closed=True) for loop in loops]
    shape = shapely.Polygon(at(loops[0]), [at(hole) for hole in loops[1:]])
    spot, reach = _widest(shape)
    if width(words, SMALL) < 2.2 * reach:
        out.append(paper.text(spot[0], spot[1] + 4.0, words, size=SMALL, anchor="middle", ink=colour.SECOND))
    return out


def _widest(shape: shapely.Polygon) -> tuple[Floats, float]:
    """Return the middle of the widest place of a shape, and its radius."""
    found = shapely.maximum_inscribed_circle(shape if shape.is_valid else shape.buffer(0), tolerance=0.5)
    ends = np.asarray(found.coords)
    return ends[0], float(np.hypot(*(ends[-1] - ends[0])))


def _copy(c: Shown, at: _At, scale: float, places: dict[str, tuple[Floats, float]]) -> str:
    """Return one copy: its edge, label, part and arrow; and, when it is pinned, the tape that says so."""
    way = np.array([np.cos(c.turn), np.sin(c.turn)])
    if c.piece not in places:  # copies of a piece have their widest place alike
        spot, reach = _widest(shapely.Polygon(c.loops[0], list(c.loops[1:])))
        places[c.piece] = (_back(spot, c), reach)
    own, reach = places[c.piece]
    x, y = at(_placed(own, c))[0]
    radius = scale * reach
    data = "".join(paper.path(at(loop), closed=True) for loop in c.loops)
    fill = colour.KITS[c.fill % len(colour.KITS)]
    parts = [
        f'<path class="edge" d="{data}" fill="{fill}" fill-rule="evenodd" stroke="{colour.INK}" '
        f'stroke-width="1.3" stroke-linejoin="round"/>'
    ]
    arrow = np.array([way[0], -way[1]])
    if radius >= NAMED and width(c.part, SMALL) < 2.0 * radius:
        half = min(radius, 26.0)
        parts.append(paper.text(x, y - 5.0, c.piece, size=LABEL, bold=True, anchor="middle"))
        parts.append(paper.text(x, y + 8.0, c.part, size=SMALL, anchor="middle"))
        parts.append(_arrow(np.array([x, y + 17.0]), arrow, half))
    elif radius >= LABELLED:
        small = min(LABEL, max(8.0, 1.9 * radius / max(width(c.piece, 1.0, bold=True), 0.6)))
        parts.append(paper.text(x, y + 1.0, c.piece, size=small, bold=True, anchor="middle"))
        parts.append(_arrow(np.array([x, y + 0.5 * small]), arrow, min(0.8 * radius, 12.0)))
    pin = ""
    if c.pinned:
        px, py = x + min(radius, 34.0) - PIN, y - min(radius, 34.0)
        pin = on_tape([paper.rect(px, py, PIN, PIN, weight=EDGE, fill=colour.TAPE)])
    turns = "" if c.turns is None else " ".join(f"{t:.12g}" for t in c.turns)
    return (
        f'<g class="copy{" pinned" if c.pinned else ""}" tabindex="0" role="button" aria-label="{escape(c.told)}" '
        f'data-piece="{escape(c.piece)}" data-kit="{escape(c.kit)}" data-turn="{c.turn:.12g}" data-x="{c.x:.9f}" '
        f'data-y="{c.y:.9f}" data-flipped="{int(c.flipped)}" data-turns="{turns}" data-pinned="{int(c.pinned)}" '
        f'data-at="{x:.1f} {y:.1f}">{on_cloth(parts)}{pin}</g>'
    )


def _placed(own: Floats, c: Shown) -> Floats:
    p = own * (1.0, -1.0) if c.flipped else own
    cos, sin = np.cos(c.turn), np.sin(c.turn)
    out: Floats = np.array([cos * p[0] - sin * p[1] + c.x, sin * p[0] + cos * p[1] + c.y])
    return out


def _back(spot: Floats, c: Shown) -> Floats:
    """Return a place on the cloth in the piece's own axes."""
    cos, sin = np.cos(c.turn), np.sin(c.turn)
    x, y = spot - (c.x, c.y)
    own = np.array([cos * x + sin * y, -sin * x + cos * y])
    out: Floats = own * (1.0, -1.0) if c.flipped else own
    return out


def _arrow(middle: Floats, way: Floats, half: float) -> str:
    tip, tail = middle + half * way, middle - half * way
    return paper.line(np.array([tail, tip - 5.0 * way]), weight=EDGE) + marks.head(tip, way, long=7.5, wide=5.5)


def _measures(bed: Bed, box: tuple[float, float, float, float]) -> list[str]:
    """Return pull and width, the knife's line, and the roll."""
    left, top, wide, tall = box
    right, low = left + wide, top + tall
    out = _span(np.array([left, top - 16.0]), np.array([right, top - 16.0]), bed.long)
    out += _span(np.array([left - 16.0, low]), np.array([left - 16.0, top]), bed.wide)
    out.append(paper.line([(right, top - 26.0), (right, low + 26.0)], weight=EDGE, dashes=KNIFE))
    x = right + BESIDE - 44.0
    out.append(paper.rect(x, top - 6.0, 24.0, tall + 12.0, weight=EDGE, fill=colour.PAPER))
    for k in (4.5, 9.5, 15.0, 18.0, 20.5):
        out.append(paper.line([(x + k, top - 6.0), (x + k, low + 6.0)], weight=HAIR))
    for y in (top - 15.0, low + 6.0):
        out.append(paper.rect(x + 7.0, y, 10.0, 9.0, fill=colour.INK))
    at = (x + 36.0, 0.5 * (top + low))
    out.append(paper.text(at[0], at[1], bed.roll, size=12.0, anchor="middle", turn=90.0))
    return out


def _span(a: Floats, b: Floats, words: str) -> list[str]:
    """Return a dimension with its figure on the line."""
    way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
    middle, room = 0.5 * (a + b), 0.5 * width(words, LABEL, bold=True) + 8.0
    turn = -90.0 if abs(way[0]) < 0.5 else 0.0
    base = middle + (np.array([5.0, 0.0]) if turn else np.array([0.0, 5.0]))
    return [
        paper.line(np.array([a, middle - room * way]), weight=THIN),
        paper.line(np.array([middle + room * way, b]), weight=THIN),
        marks.head(a, -way, long=9, wide=4),
        marks.head(b, way, long=9, wide=4),
        paper.text(base[0], base[1], words, size=LABEL, bold=not turn, anchor="middle", turn=turn),
    ]

