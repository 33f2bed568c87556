"""The parts of one design on one page: a small chart for each figure, every part a mark, with plan, mean and limits."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from bagside.ledger.design.over_time import DesignOverTime
from bagside.ledger.design.series import Series
from bagside.sheets import colour, paper
from bagside.sheets.design_words import all_standing, learned_words, scatter_words, summary, toml_of, trend_words
from bagside.sheets.placing import Places
from bagside.sheets.press import SIZES, pressed
from bagside.sheets.typeface import BODY, CAPTION, NOTE, width, wrapped
from bagside.spec.workshop import Paper

MARGIN, GAP, HEAD = 13.0, 8.0, 24.0  # [mm]
TALLEST, LOWEST = 40.0, 31.0
"""Of a small chart [mm]."""
LINE = 4.0
ROOMY = 8
"""Figures up to which two charts stand beside each other; of more, three."""
CROWDED = 40
"""Parts from which their marks are smaller."""
MOST_LINES = 24
"""Of words under the charts."""
AXIS = 12.0
KEY = (
    "ring: a part · dot: stands out · cross: scrapped · dashes: planned, or the most allowed · "
    "grey: limits of scatter, with the mean",
    "limits: mean ± 3 · mean moving range / 1.128 (NIST/SEMATECH 6.3.2.2)",
    "by luck alone one figure in twenty shows a trend, and one or two a part that stands out",
)


def design_pdf(design: DesignOverTime, on: Paper) -> bytes:
    """Return the page as PDF.

    Parameters
    ----------
    design
        Its parts.
    on
        What it is printed on.
    """
    wide, tall = SIZES[on]
    page = design_page(design, on)
    return pressed("tiles.typ", {"title": f"{design.job} over time", "width": wide, "height": tall, "pages": [page]})


def design_page(design: DesignOverTime, on: Paper) -> str:
    """Return the page as one drawing.

    Parameters
    ----------
    design
        Its parts.
    on
        What it is printed on.
    """
    wide, tall = SIZES[on]
    moving = [s for s in design.series if _moves(s)]
    still = [s for s in design.series if not _moves(s)]
    lines = _lines(design, still, wide - 2.0 * MARGIN)
    foot = tall - 10.0 - 3.6 * (len(KEY) - 1)
    below = LINE * len(lines) + 4.0
    columns = 2 if len(moving) <= ROOMY else 3
    rows = max(-(-len(moving) // columns), 1)
    high = min(TALLEST, (foot - HEAD - MARGIN - below) / rows)
    most = len(moving)
    if high < LOWEST:
        high = LOWEST
        most = columns * int((foot - HEAD - MARGIN - below) / high)
    out = _head(design, wide)
    room = (wide - 2.0 * MARGIN - (columns - 1) * GAP) / columns
    top = MARGIN + HEAD - 6.0
    for k, s in enumerate(moving[:most]):
        x, y = MARGIN + (k % columns) * (room + GAP), top + (k // columns) * high
        out += _panel(design, s, (x, y, x + room, y + high - 5.0))
    y = top + -(-min(len(moving), most) // columns) * high + 3.0
    left_out = len(moving) - min(len(moving), most)
    if left_out:
        lines = [(f"{left_out} figures more have no room here: bagside build compare prints them all.", False), *lines]
    for words, bold in lines:
        out.append(paper.text(MARGIN, y, words, size=NOTE, bold=bold))
        y += LINE
    for k, words in enumerate(KEY):
        out.append(paper.text(MARGIN, foot + 3.6 * k, words, size=CAPTION, ink=colour.SECOND))
    return paper.sheet(wide, tall, out, title=f"{design.job}: its parts over time")


def _moves(s: Series) -> bool:
    """Return whether a figure is worth a chart: it scatters, or is not as planned."""
    known = [v for v in s.values if v is not None]
    planned = [p for v, p in zip(s.values, s.planned, strict=True) if v is not None and p is not None]
    flat = max(known) - min(known) <= 1e-9 * max(abs(v) for v in [*known, 1e-12])
    return not flat or any(abs(p - known[0]) > 1e-9 * max(abs(p), 1e-12) for p in planned)


def _head(design: DesignOverTime, wide: float) -> list[str]:
    part = design.job
    size = 8.0 if width(part, 8.0, bold=True) <= wide - 2.0 * MARGIN else 5.0
    while width(part, size, bold=True) > wide - 2.0 * MARGIN:
        part = part[:-2].rstrip() + "…" if not part.endswith("…") else part[:-3].rstrip() + "…"
    words = " · ".join(summary(design).values())
    return [
        paper.text(MARGIN, MARGIN + 5.0, part, size=size, bold=True),
        paper.text(MARGIN, MARGIN + 10.5, f"over time · {words}", size=BODY, ink=colour.SECOND),
        paper.line([(MARGIN, MARGIN + 13.5), (wide - MARGIN, MARGIN + 13.5)], weight=paper.EDGE, ink=colour.EDGE),
    ]


def _panel(design: DesignOverTime, s: Series, box: tuple[float, float, float, float]) -> list[str]:
    left, top, right, bottom = box
    out = [
        paper.text(left, top + 2.6, _cut(s.name, right - left, bold=True), size=NOTE, bold=True),
        paper.text(left, top + 6.0, _cut(scatter_words(s), right - left), size=CAPTION, ink=colour.SECOND),
        paper.text(left, top + 9.2, _cut(trend_words(s), right - left), size=CAPTION, ink=colour.SECOND),
    ]
    frame = (left + AXIS, top + 11.5, right - 1.0, bottom - 3.4)
    return out + _plot(design, s, frame)


def _plot(design: DesignOverTime, s: Series, frame: tuple[float, float, float, float]) -> list[str]:
    left, top, right, bottom = frame
    scale = _Scale(s, most=max(1, int((bottom - top) / 3.6)))
    count = len(s.values)

    def x(k: float) -> float:
        return left + (right - left) * (k + 0.5) / count

    def y(value: float) -> float:
        return bottom - (bottom - top) * (value * scale.per - scale.low) / (scale.high - scale.low)

    out = []
    places = Places((left, top - 3.0, right + 1.0, bottom + 1.0))
    if s.limits is not None:
        floor = bottom if s.limits.low is None else y(s.limits.low)
        ceiling = y(s.limits.high)
        out.append(paper.rect(left, ceiling, right - left, floor - ceiling, fill=colour.WASH))
        ends = [(left, y(s.limits.mean)), (right, y(s.limits.mean))]
        out.append(paper.line(ends, weight=paper.THIN, ink=colour.EDGE))
    for t in scale.ticks:
        at = y(t / scale.per)
        out.append(paper.line([(left, at), (right, at)], weight=paper.HAIR, ink=colour.HAIR))
        out.append(paper.text(left - 1.2, at + 0.9, scale.words(t), size=CAPTION, anchor="end"))
    out.append(paper.line([(left, bottom), (right, bottom)], weight=paper.THIN))
    for first, last, value in _runs(s.planned):
        ends = [(x(first - 0.5), y(value)), (x(last + 0.5), y(value))]
        out.append(paper.line(ends, weight=paper.EDGE, ink=colour.CLOTH, dashes="1.6 0.9"))
    out += _marks(design, s, x, y, places)
    names = design.names
    out.append(paper.text(x(0) - 1.0, bottom + 3.2, _short(names[0]), size=CAPTION, ink=colour.SECOND))
    if count > 1:
        end = _short(names[-1])
        out.append(paper.text(right, bottom + 3.2, end, size=CAPTION, ink=colour.SECOND, anchor="end"))
    return out


def _runs(planned: tuple[float | None, ...]) -> list[tuple[int, int, float]]:
    """Return first, last and value of each run of parts that were planned alike."""
    out: list[tuple[int, int, float]] = []
    for k, value in enumerate(planned):
        if value is None:
            continue
        if out and out[-1][1] == k - 1 and abs(out[-1][2] - value) <= 1e-9 * abs(value):
            out[-1] = (out[-1][0], k, out[-1][2])
        else:
            out.append((k, k, value))
    return out


def _marks(
    design: DesignOverTime, s: Series, x: Callable[[float], float], y: Callable[[float], float], places: Places
) -> list[str]:
    out = []
    radius = 0.8 if len(s.values) <= CROWDED else 0.5
    at: dict[int, tuple[float, float]] = {}
    for k, value in enumerate(s.values):
        if value is None:
            continue
        px, py = x(k), y(value)
        at[k] = (px, py)
        places.boxes.append((px - 0.9, py - 0.9, px + 0.9, py + 0.9))
        closed = design.parts[k].build.closed
        if closed is not None and closed.what.verdict == "scrap":
            out.append(paper.line([(px - 1.0, py - 1.0), (px + 1.0, py + 1.0)], weight=paper.EDGE))
            out.append(paper.line([(px - 1.0, py + 1.0), (px + 1.0, py - 1.0)], weight=paper.EDGE))
            continue
        fill = colour.INK if k in s.standing else colour.PAPER
        out.append(paper.circle(px, py, radius, weight=paper.THIN, fill=fill))
    for k in s.standing:
        words = _short(design.names[k])
        lx, ly, free = places.label(words, CAPTION, [at[k]])
        if free:
            out.append(paper.text(lx, ly, words, size=CAPTION, halo=True))
    return out


class _Scale:
    """Ticks of a figure in the unit it is shown in."""

    def __init__(self, s: Series, most: int = 4) -> None:
        self.per = _PER.get(s.unit, 1.0)
        self.shift = _SHIFT.get(s.unit, 0.0)
        values = [v for v in (*s.values, *s.planned) if v is not None]
        if s.limits is not None:
            values += [v for v in (s.limits.low, s.limits.high) if v is not None]
        low, high = min(values) * self.per, max(values) * self.per
        pad = 0.08 * (high - low) or 0.05 * abs(high) or 1.0
        low, high = low - pad, high + pad
        if min(values) >= 0.0 and low - self.shift < 0.0 and not self.shift:
            low = 0.0
        self.low, self.high = low, high
        step = 10.0 ** np.floor(np.log10((high - low) / 2.0))
        step *= next(f for f in (1.0, 2.0, 5.0, 10.0, 20.0) if (high - low) / (f * step) <= min(most, 4))
        first = np.ceil((low - self.shift) / step) * step + self.shift
        self.ticks = [float(t) for t in np.arange(first, high + 1e-9, step)]
        self.digits = max(0, -int(np.floor(np.log10(step) + 1e-9)))
        self.unit = s.unit

    def words(self, tick: float) -> str:
        """Return a tick with its unit on the topmost."""
        text = f"{tick - self.shift:.{self.digits}f}".replace("-", "−")
        return f"{text} {self.unit}" if self.unit and tick == self.ticks[-1] else text


_PER = {"g": 1e3, "mm": 1e3, "%": 100.0, "min": 1 / 60, "mbar": 1e-2, "°C": 1.0}
_SHIFT = {"°C": 273.15}


def _lines(design: DesignOverTime, still: list[Series], room: float) -> list[tuple[str, bool]]:
    """Return the words under the charts, wrapped: what stands out, what may be learned."""
    out: list[tuple[str, bool]] = []
    if design.standing:
        out.append(("What stands out", True))
        for words in all_standing(design):
            out += [(w, False) for w in wrapped(words, NOTE, room)]
    if still:
        names = ", ".join(s.name for s in still)
        out += [(w, False) for w in wrapped(f"As planned and the same in every part: {names}.", NOTE, room)]
    told = [x for x in design.learned if x.told]
    if told:
        out.append(("What the shop may take over; nothing is changed by itself", True))
        out += [(w, False) for w in wrapped("; ".join(learned_words(x) for x in told) + ".", NOTE, room)]
        toml = toml_of(design.learned)
        if toml:
            lines = " · ".join(toml)
            out += [(w, False) for w in wrapped(f"For workshop.toml: {lines}", NOTE, room)]
    if len(out) > MOST_LINES:
        out = [*out[: MOST_LINES - 1], ("… and more: bagside build compare prints all of it", False)]
    return out


def _short(name: str, most: int = 14) -> str:
    return name if len(name) <= most else "…" + name[-(most - 1) :]


def _cut(words: str, room: float, *, bold: bool = False) -> str:
    size = NOTE if bold else CAPTION
    if width(words, size, bold=bold) <= room:
        return words
    while words and width(words + "…", size, bold=bold) > room:
        words = words[:-1]
    return words.rstrip() + "…"
