"""Plies in their order where there is no surface to cut a section through: a bar for each, the first on the mould.

A bar is as wide as the root of the share of the lay-up that its ply covers, and starts at the left; where a ply lies is
said in words, for nobody has stated it in figures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.sheets import colour, marks, paper
from bagside.sheets.typeface import CAPTION, NOTE, width

ROW, GROUND, TOP = 3.6, 3.0, 5.0  # [mm]
NUMBER = 6.0  # [mm] for the numbers at the left


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyInStack:
    """One ply of a stack.

    Parameters
    ----------
    number
        As printed.
    share
        Of what is laid up that it covers; one covers all.
    words
        At its right: cloth, angle, place; empty for none.
    state
        ``laid``, ``in hand`` or ``to come``.
    """

    number: str
    share: float
    words: str
    state: str


def stack_height(plies: int) -> float:
    """Return how tall the picture of a stack is [mm].

    Parameters
    ----------
    plies
        How many.
    """
    return TOP + ROW * plies + GROUND


def stack_view(
    plies: Sequence[PlyInStack],
    *,
    wide: float,
    bars: float,
    caption: str = "plies in order, mould at the bottom",
    title: str = "plies in their order",
) -> str:
    """Return a stack, the last ply on top.

    Parameters
    ----------
    plies
        In laying order; at least one.
    wide
        Of the paper [mm].
    bars
        Longest bar [mm].
    caption, title
        What stands over it, and what it is called for people who do not see it.

    Raises
    ------
    ValueError
        When there is no ply.
    """
    if not plies:
        raise ValueError("a stack needs a ply")
    tall = stack_height(len(plies))
    base = tall - GROUND
    end = NUMBER + bars
    out = [paper.text(0, 3.0, caption, size=CAPTION, ink=colour.SECOND)]
    out.append(marks.hatch("stack-ground"))
    floor = np.array([[NUMBER, base], [end, base], [end, tall], [NUMBER, tall]])
    out.append(paper.line(floor, weight=0, fill=colour.MOULD, closed=True))
    out.append(paper.line(floor, weight=0, fill="url(#stack-ground)", closed=True))
    out.append(paper.line(floor[:2], weight=paper.THIN))
    for k, ply in enumerate(plies):
        y = base - ROW * (k + 0.5)
        right = NUMBER + bars * min(1.0, float(np.sqrt(ply.share)))
        out.append(marks.state_line(np.array([[NUMBER, y], [right, y]]), ply.state))
        number = NUMBER - 1.5 - width(ply.number, NOTE, bold=True)
        out.append(paper.text(number, y + 1.1, ply.number, size=NOTE, bold=ply.state == "in hand"))
        if ply.words:
            out.append(paper.text(end + 4.0, y + 1.1, ply.words, size=CAPTION))
    return paper.sheet(wide, tall, out, title=title)
