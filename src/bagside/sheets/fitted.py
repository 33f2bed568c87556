"""Text that fits: lines that wrap and shrink until they stand in the room they have, never cut off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.errors import InputError
from bagside.sheets.typeface import width, wrapped

LEADING = 1.26
"""From base line to base line, over the size."""
HARD = "\u00a0"
STEP = 0.97
"""By which type shrinks from one try to the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Words that stand together.

    Parameters
    ----------
    words
        They may wrap; a no-break space keeps words together as long as they fit on one line.
    bold
        Whether they are bold.
    grow
        Their size over that of the others.
    """

    words: str
    bold: bool = False
    grow: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Set:
    """One line as it stands.

    Parameters
    ----------
    words
        The line.
    size
        Of its type, the unit of the room.
    base
        Its base line, from the top of the room downwards.
    run
        Which run it belongs to.
    """

    words: str
    size: float
    base: float
    run: int


def fitted(
    runs: Sequence[Run], room: float, height: float, *, largest: float, least: float, place: str
) -> tuple[Set, ...]:
    """Return lines in the largest type in which all runs fit.

    Parameters
    ----------
    runs
        From the top down.
    room, height
        What there is, both in one unit.
    largest, least
        Sizes of type to be tried.
    place
        What is being set, for the message.

    Raises
    ------
    InputError
        When the words do not fit in the smallest type.

    Notes
    -----
    Words are broken only when they are longer than a line at twice the smallest size.
    """
    sizes = largest * STEP ** np.arange(int(np.ceil(np.log(least / largest) / np.log(STEP))) + 1)
    for size in np.maximum(sizes, least):
        breaks = bool(size < min(2.0 * least, 0.75 * largest))
        lines = [(line, k) for k, run in enumerate(runs) for line in _lines(run, float(size), room, breaks)]
        fits = all(width(line, float(size) * runs[k].grow, bold=runs[k].bold) <= room * (1 + 1e-9) for line, k in lines)
        if not fits or sum(LEADING * size * runs[k].grow for _, k in lines) > height * (1 + 1e-9):
            continue
        out, y = [], 0.0
        for line, k in lines:
            own = float(size) * runs[k].grow
            out.append(Set(words=line, size=own, base=y + own, run=k))
            y += LEADING * own
        return tuple(out)
    words = " ".join(r.words for r in runs)
    raise InputError.one(place, f'"{words}"', f"shorter words are wanted: it has room for {room:.0f} × {height:.0f} mm")


def _lines(run: Run, size: float, room: float, breaks: bool) -> tuple[str, ...]:
    own = size * run.grow

    def long(line: str) -> bool:
        return width(line, own, bold=run.bold) > room

    out: list[str] = []
    for phrases in wrapped(
        "".join(c if c.isprintable() or c == HARD else " " for c in run.words), own, room, bold=run.bold
    ):
        whole = phrases.replace(HARD, " ")
        for line in (whole,) if not long(whole) else wrapped(whole, own, room, bold=run.bold):
            rest = line.strip(" ·") if len(line.strip(" ·")) > 0 else line
            while breaks and long(rest) and len(rest) > 1:
                count = next((k for k in range(len(rest) - 1, 0, -1) if not long(rest[:k])), 1)
                out.append(rest[:count])
                rest = rest[count:]
            out.append(rest)
    return tuple(out)
