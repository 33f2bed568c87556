"""Time and money as drawings: a timetable of days with a line for each worker and tool, and bars of cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bagside.sheets import colour, paper
from bagside.sheets.typeface import CAPTION, NOTE, width


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """One stretch of work on one line of the timetable.

    Parameters
    ----------
    line
        Who or what is busy: ``hands``, ``oven``.
    words
        What is done.
    start, end
        When.
    attended
        Whether hands are on it; what runs alone is hollow.
    """

    line: str
    words: str
    start: datetime
    end: datetime
    attended: bool = True


def timetable(spells: Sequence[Spell], *, width_mm: float = 184.0) -> str:
    """Return a timetable: days across, a line for each worker and tool, short names where they fit.

    Parameters
    ----------
    spells
        At least one; lines come in the order they are first named.
    width_mm
        [mm].

    Raises
    ------
    ValueError
        When there is no spell, or one ends before it starts.
    """
    if not spells or any(s.end <= s.start for s in spells):
        raise ValueError("a timetable needs spells that end after they start")
    lines = list(dict.fromkeys(s.line for s in spells))
    first = min(s.start for s in spells).replace(hour=0, minute=0, second=0, microsecond=0)
    last = max(s.end for s in spells)
    days = max((last - first).days + 1, 1)
    per_row = min(days, 4)
    rows = -(-days // per_row)
    margin = max(width(name, NOTE) for name in lines) + 3
    day = (width_mm - margin) / per_row
    pitch, head, between = 6.4, 8.0, 3.0
    row_height = head + pitch * len(lines) + between
    out: list[str] = []
    for row in range(rows):
        top = row * row_height
        for k, name in enumerate(lines):
            y = top + head + pitch * (k + 0.5)
            out.append(paper.text(0, y + 1.0, name, size=NOTE))
            out.append(paper.line([(margin, y), (width_mm, y)], weight=paper.HAIR, ink=colour.HAIR))
        for d in range(per_row):
            date = first + timedelta(days=row * per_row + d)
            x = margin + d * day
            out.append(
                paper.line([(x, top + 1), (x, top + head + pitch * len(lines))], weight=paper.HAIR, ink=colour.EDGE)
            )
            if date <= last:
                out.append(paper.text(x + 1, top + 3.4, f"{date:%a} {date.day} {date:%b}", size=CAPTION, bold=True))
                for hour in (6, 12, 18):
                    out.append(
                        paper.text(
                            x + day * hour / 24, top + 6.8, f"{hour}", size=2.1, anchor="middle", ink=colour.SECOND
                        )
                    )
    for s in spells:
        k = lines.index(s.line)
        at = s.start
        longest = (0.0, 0.0, 0.0)
        while at < s.end:
            row, d = divmod((at - first).days, per_row)
            midnight = first + timedelta(days=(at - first).days + 1)
            end = min(s.end, midnight)
            a = margin + day * (d + (at - (midnight - timedelta(days=1))).total_seconds() / 86400)
            b = margin + day * (d + (end - (midnight - timedelta(days=1))).total_seconds() / 86400)
            y = row * row_height + head + pitch * (k + 0.5)
            fill = colour.INK if s.attended else colour.PAPER
            out.append(paper.rect(a, y - 1.9, max(b - a, 0.5), 3.8, weight=paper.HAIR, fill=fill))
            if b - a > longest[1] - longest[0]:
                longest = (a, b, y)
            at = end
        a, b, y = longest
        if width(s.words, 2.1) < b - a - 0.8:
            ink = colour.PAPER if s.attended else colour.INK
            out.append(paper.text(0.5 * (a + b), y + 0.8, s.words, size=2.1, anchor="middle", ink=ink))
    return paper.sheet(width_mm, rows * row_height, out, title="timetable")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar of cost.

    Parameters
    ----------
    words
        What it is.
    value
        In the workshop's currency.
    shown
        As it is written at its end.
    """

    words: str
    value: float
    shown: str


def bars(items: Sequence[Bar], *, width_mm: float = 184.0) -> str:
    """Return bars from one zero line, the amount at the end of each.

    Parameters
    ----------
    items
        At least one; none negative.
    width_mm
        [mm].

    Raises
    ------
    ValueError
        When there is none or one is negative.
    """
    if not items or any(not b.value >= 0 for b in items):
        raise ValueError("bars need amounts that are not negative")
    left = max(width(b.words, NOTE) for b in items) + 3
    right = max(width(b.shown, NOTE) for b in items) + 3
    most = max(b.value for b in items)
    unit = (width_mm - left - right) / most if most > 0 else 0.0
    pitch = 5.4
    out = []
    for k, b in enumerate(items):
        y = pitch * (k + 0.5)
        out.append(paper.text(left - 2, y + 1.0, b.words, size=NOTE, anchor="end"))
        out.append(paper.rect(left, y - 1.5, b.value * unit, 3.0, fill=colour.INK))
        out.append(paper.text(left + b.value * unit + 1.4, y + 1.0, b.shown, size=NOTE))
    out.append(paper.line([(left, 0), (left, pitch * len(items))], weight=paper.THIN))
    return paper.sheet(width_mm, pitch * len(items), out, title="cost")
