"""Coats as drawings: when the next may follow, how thick they stand, and the air against the dew point.

Words stand in braces and are put in by the page, so that one drawing serves every language.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.finishing import CoatPlan
from bagside.sheets import colour, marks, paper
from bagside.sheets.typeface import NOTE

WIDE, NARROW = 172.0, 86.0  # [mm] on a desk, and on a phone
LEFT, RIGHT = 26.0, 18.0  # left of the time, and right of it [mm]
ROW = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One pass of a coating on the time line of its own.

    Parameters
    ----------
    number
        From 1.
    begins, on, opens, closes
        When it is begun, is on, when the next may follow and until when, since the first was begun [s].
    last
        Whether no other follows: it then cures.
    """

    number: int
    begins: float
    on: float
    opens: float
    closes: float
    last: bool


def passes_of(coat: CoatPlan) -> tuple[Pass, ...]:
    """Return the passes of a coating, each as soon as the one before allows.

    Parameters
    ----------
    coat
        Planned. How late the next may follow counts from when the one before was begun, as its plan takes it.
    """
    found = []
    at = 0.0
    for k in range(coat.times):
        on = at + coat.spray
        opens = on + coat.flash
        closes = max(at + coat.recoat_latest, on)
        found.append(Pass(number=k + 1, begins=at, on=on, opens=opens, closes=closes, last=k == coat.times - 1))
        at = opens
    return tuple(found)


def window_picture(coat: CoatPlan, key: str, wide: float = WIDE) -> str:
    """Return when each pass goes on, flashes, may be followed, and may not be followed any more.

    Parameters
    ----------
    coat
        Planned.
    key
        Put before the names of its words, so that several stand on one page.
    wide
        Of the drawing [mm].
    """
    left, right = (12.0, wide - RIGHT)
    passes = passes_of(coat)
    end = _end(coat, passes)
    tall = 8.0 + ROW * len(passes) + 8.0
    bottom = 8.0 + ROW * len(passes)

    def x(seconds: float) -> float:
        return left + (right - left) * seconds / end

    out = [marks.hatch("too-late", ink=colour.KEEP_OUT, weight=0.12)]
    for step in _steps(end, right - left):
        at = x(step)
        out.append(paper.line([(at, 6.0), (at, bottom + 1.0)], weight=paper.HAIR, ink=colour.HAIR))
        out.append(paper.text(at, bottom + 5.0, f"{{t{round(step)}}}", size=NOTE, anchor="middle", ink=colour.SECOND))
    out.append(paper.line([(left, bottom), (right, bottom)], weight=paper.THIN))
    for p in passes:
        top = 8.0 + ROW * (p.number - 1)
        middle = top + 0.5 * ROW - 1.0
        out.append(paper.text(left - 2.0, middle + 1.2, f"{{{key}pass{p.number}}}", size=NOTE, anchor="end"))
        out.append(paper.rect(x(p.begins), middle - 1.6, max(x(p.on) - x(p.begins), 0.6), 3.2, fill=colour.INK))
        if p.last:
            if len(passes) == 1:
                out.append(
                    paper.rect(x(p.on), middle - 1.6, x(p.on + coat.cure_time) - x(p.on), 3.2, weight=paper.THIN)
                )
            else:
                out.append(paper.line([(x(p.on), middle), (right, middle)], weight=paper.EDGE, dashes="1.2 0.8"))
            out.append(paper.text(right + 1.5, middle + 1.2, f"{{{key}hard}}", size=NOTE))
            continue
        if p.opens > p.on:
            out.append(
                paper.rect(x(p.on), middle - 1.6, x(p.opens) - x(p.on), 3.2, weight=paper.THIN, fill=colour.PAPER)
            )
        if p.closes > p.opens:
            room = x(p.closes) - x(p.opens)
            out.append(paper.rect(x(p.opens), middle - 1.6, room, 3.2, weight=paper.THIN, fill=colour.CLOTH_WASH))
            if room > 30.0:
                out.append(
                    paper.text(x(p.opens) + 0.5 * room, middle + 1.1, f"{{{key}window}}", size=NOTE, anchor="middle")
                )
        late = max(p.closes, p.on)
        out.append(paper.rect(x(late), middle - 1.6, right - x(late), 3.2, fill="url(#too-late)"))
        out.append(paper.line([(x(late), middle - 2.4), (x(late), middle + 2.4)], weight=paper.THIN, ink=colour.HEAT))
    return paper.sheet(wide, tall, out, title=f"{{{key}title}}")


def ticks_of(coat: CoatPlan) -> tuple[float, ...]:
    """Return the times that may stand under the picture of a coating [s].

    Parameters
    ----------
    coat
        Planned.
    """
    passes = passes_of(coat)
    end = _end(coat, passes)
    return tuple(sorted({t for wide in (WIDE, NARROW) for t in _steps(end, wide - RIGHT - 12.0)}))


def _end(coat: CoatPlan, passes: Sequence[Pass]) -> float:
    """Return the last time shown [s]: where the last window closes, or when a single pass is hard."""
    if len(passes) == 1:
        return 1.05 * (passes[0].on + coat.cure_time)
    return 1.08 * max([p.closes for p in passes if not p.last] + [passes[-1].opens]) + 60.0


def _steps(end: float, room: float) -> tuple[float, ...]:
    """Return round times that have room for their words, 14 mm each."""
    steps = (60.0, 300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0, 14400.0)
    step = next((s for s in steps if end / s <= room / 14.0), 28800.0)
    return tuple(float(t) for t in np.arange(0.0, end, step))


def build_picture(coats: Sequence[CoatPlan]) -> str:
    """Return the dry films on the laminate, one over the other, each as thick as it stands against the others.

    Parameters
    ----------
    coats
        In order, the filler first.
    """
    total = sum(c.build for c in coats) or 1.0
    tall, wide, left = 30.0, 60.0, 3.0
    base = 6.0 + tall
    out = [marks.hatch("under", pitch=1.6, weight=0.12)]
    at = base
    for k, coat in enumerate(coats):
        for _ in range(coat.times):
            high = tall * coat.dry / total
            fill = colour.WASH if k % 2 == 0 else colour.CLOTH_WASH
            out.append(paper.rect(left, at - high, wide, high, weight=paper.THIN, fill=fill))
            at -= high
    out.append(paper.rect(left, base, wide, 7.0, weight=paper.THIN, fill="url(#under)"))
    out.append(paper.text(left + 0.5 * wide, base + 4.6, "{laminate}", size=NOTE, anchor="middle", halo=True))
    return paper.sheet(66.0, base + 9.0, out, title="{build_title}")


def air_picture(
    dew_point: float,
    surface: float,
    least: float,
    humidity: float,
    wettest: float,
    *,
    span: tuple[float, float],
    wide: float = WIDE,
) -> str:
    """Return the part's temperature and the air's humidity against what the coats want.

    Parameters
    ----------
    dew_point, surface
        Of the air, and of the part [K].
    least
        Coldest the part may be: over the dew point, and as the coats want it [K].
    humidity, wettest
        Of the air, and most that the coats allow, 0 to 1.
    span
        Coldest and hottest drawn [K].
    wide
        Of the drawing [mm].
    """
    left, right = LEFT if wide > NARROW else 4.0, wide - 6.0
    low, high = span

    def x(kelvin: float) -> float:
        return left + (right - left) * (min(max(kelvin, low), high) - low) / (high - low)

    def h(share: float) -> float:
        return left + (right - left) * min(max(share, 0.0), 1.0)

    out = [marks.hatch("too-cold", ink=colour.KEEP_OUT, weight=0.12)]
    y = 17.0
    out.append(paper.rect(left, y - 2.4, x(least) - left, 4.8, fill="url(#too-cold)"))
    out.append(paper.line([(left, y), (right, y)], weight=paper.THIN))
    step = 5.0 if wide > NARROW else 10.0
    for celsius in np.arange(np.ceil((low - 273.15) / step) * step, high - 273.15 + 1e-9, step):
        at = x(float(celsius) + 273.15)
        out.append(paper.line([(at, y), (at, y + 1.6)], weight=paper.THIN))
        out.append(paper.text(at, y + 5.6, f"{{c{round(celsius)}}}", size=NOTE, anchor="middle", ink=colour.SECOND))
    for at, name, bold in ((x(dew_point), "dew", False), (x(least), "least", False)):
        out.append(
            paper.line([(at, y - 3.4), (at, y + 1.0)], weight=paper.EDGE if bold else paper.THIN, ink=colour.HEAT)
        )
        anchor = "end" if name == "dew" else "start"
        shift = -1.0 if name == "dew" else 1.0
        out.append(paper.text(at + shift, y - 4.2, f"{{{name}}}", size=NOTE, anchor=anchor, ink=colour.HEAT, halo=True))
    out.append(paper.circle(x(surface), y, 1.5, weight=paper.EDGE, fill=colour.PAPER))
    out.append(paper.text(x(surface), y - 9.4, "{part}", size=NOTE, anchor="middle", bold=True, halo=True))
    out.append(paper.line([(x(surface), y - 8.6), (x(surface), y - 1.6)], weight=paper.HAIR))
    if wide > NARROW:
        out.append(paper.text(left - 2.0, y + 1.2, "{part_row}", size=NOTE, anchor="end"))
    y = 37.0
    out.append(paper.rect(h(wettest), y - 2.4, right - h(wettest), 4.8, fill="url(#too-cold)"))
    out.append(paper.line([(left, y), (right, y)], weight=paper.THIN))
    for share in (0.0, 0.2, 0.4, 0.6, 0.8, 1.0) if wide > NARROW else (0.0, 0.5, 1.0):
        out.append(paper.line([(h(share), y), (h(share), y + 1.6)], weight=paper.THIN))
        out.append(
            paper.text(h(share), y + 5.6, f"{100 * share:.0f} %", size=NOTE, anchor=_inside(share), ink=colour.SECOND)
        )
    out.append(paper.line([(h(wettest), y - 3.4), (h(wettest), y + 1.0)], weight=paper.THIN, ink=colour.HEAT))
    out.append(paper.text(h(wettest) + 1.0, y - 4.2, "{wettest}", size=NOTE, ink=colour.HEAT, halo=True))
    out.append(paper.circle(h(humidity), y, 1.5, weight=paper.EDGE, fill=colour.PAPER))
    out.append(paper.text(h(humidity) - 2.5, y - 2.6, "{air}", size=NOTE, anchor="end", bold=True, halo=True))
    if wide > NARROW:
        out.append(paper.text(left - 2.0, y + 1.2, "{air_row}", size=NOTE, anchor="end"))
    return paper.sheet(wide, 46.0, out, title="{air_title}")


def _inside(share: float) -> str:
    """Return how the words of a share are set so that the first and the last stay on the paper."""
    return "start" if share <= 0.0 else "end" if share >= 1.0 else "middle"
