"""The chart of a cure's log by itself, for when the plan of that day cannot be drawn again.

Every sensor is a thin line with marks of its own: rings on the part, dots on the mould, ticks in the air. Under it, on
the same time, stands the pressure in the bag.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Channel, CureLog, Sensor
from bagside.sheets import colour, marks, paper
from bagside.sheets.placing import Places
from bagside.sheets.typeface import CAPTION, NOTE, width

Floats = NDArray[np.float64]

WIDE, HIGH, STRIP = 184.0, 84.0, 24.0  # [mm]
ZERO = 273.15
MARKS = 22
"""Marks along each line."""
HOURS = (0.25, 0.5, 1.0, 2.0, 4.0, 6.0, 12.0, 24.0)
INKS = {Sensor.PART: colour.HEAT, Sensor.TOOL: colour.INK, Sensor.AIR: colour.SECOND, Sensor.SET: colour.EDGE}


def log_chart(log: CureLog, *, limit: float | None = None, limit_words: str = "") -> str:
    """Return the chart of a log.

    Parameters
    ----------
    log
        Of one cure.
    limit
        Hottest the mould may see [K]; None draws none.
    limit_words
        Said at the limit.

    Raises
    ------
    ValueError
        When no channel of temperature has two readings.
    """
    heat = [c for c in log.channels if c.sensor in INKS and np.isfinite(c.values).sum() > 1]
    if not heat:
        raise ValueError(f"{log.name}: a chart needs a channel of temperature with two readings")
    bag = [c for c in log.channels if c.sensor is Sensor.BAG and np.isfinite(c.values).sum() > 1]
    return _Chart(log, heat, bag, limit, limit_words).drawn()


class _Chart:
    def __init__(
        self, log: CureLog, heat: list[Channel], bag: list[Channel], limit: float | None, words: str
    ) -> None:
        self.log, self.heat, self.bag, self.limit, self.words = log, heat, bag, limit, words
        self.time: Floats = log.time - log.time[0]
        self.end = float(self.time[-1])
        self.left, self.right, self.top, self.bottom = 12.0, WIDE - 4.0, 4.0, HIGH - 8.0
        top = max(float(np.nanmax(c.values)) for c in heat)
        top = max(top, limit + 6.0) if limit is not None else top
        self.high = 20.0 * np.ceil((top - ZERO + 4.0) / 20.0)
        self.places = Places((self.left, self.top, self.right, self.bottom))

    def x(self, t: Floats | float) -> Floats:
        out: Floats = self.left + (self.right - self.left) * np.asarray(t, dtype=np.float64) / self.end
        return out

    def y(self, kelvin: Floats | float) -> Floats:
        share = (np.asarray(kelvin, dtype=np.float64) - ZERO) / self.high
        out: Floats = self.bottom - (self.bottom - self.top) * share
        return out

    def drawn(self) -> str:
        out = [marks.hatch("keep-out", ink=colour.KEEP_OUT, weight=0.1), *self._axes(), *self._limit()]
        for k, c in enumerate(self.heat):
            out += self._line(c, (k + 0.5) / len(self.heat))
        out += self._names()
        tall = HIGH
        if self.bag:
            tall += STRIP
            out += self._pressure()
        return paper.sheet(WIDE, tall, out, title=f"log of the cure, {self.log.name}")

    def _axes(self) -> list[str]:
        out = []
        step = next((s for s in HOURS if self.end / 3600.0 / s <= 12.0), HOURS[-1])
        for t in np.arange(0.0, self.high + 1e-9, 20.0):
            y = float(self.y(t + ZERO))
            ink, weight = (colour.INK, paper.THIN) if t == 0.0 else (colour.HAIR, paper.HAIR)
            out.append(paper.line([(self.left, y), (self.right, y)], weight=weight, ink=ink))
            words = f"{t:.0f}" + (" °C" if t + 20.0 > self.high else "")
            out.append(paper.text(self.left - 1.2, y + 0.9, words, size=CAPTION, anchor="end"))
        for hour in np.arange(0.0, self.end / 3600.0 + 1e-9, step):
            x = float(self.x(hour * 3600.0))
            out.append(paper.line([(x, self.bottom), (x, self.bottom + 1.0)], weight=paper.THIN))
            words = f"{hour:g}" + (" h" if hour == 0.0 else "")
            out.append(paper.text(x, self.bottom + 4.2, words, size=CAPTION, anchor="middle"))
        return out

    def _limit(self) -> list[str]:
        if self.limit is None:
            return []
        y = float(self.y(self.limit))
        out = [
            paper.rect(self.left, self.top, self.right - self.left, y - self.top, fill="url(#keep-out)"),
            paper.line([(self.left, y), (self.right, y)], weight=paper.THIN, ink=colour.HEAT),
        ]
        if self.words:
            wide = width(self.words, NOTE)
            out.append(paper.rect(self.left + 1.2, y - 4.2, wide + 1.6, 4.0, fill=colour.PAPER))
            out.append(paper.text(self.left + 2.0, y - 1.2, self.words, size=NOTE))
            self.places.boxes.append((self.left, y - 4.4, self.left + wide + 3.0, y))
        return out

    def _runs(self, c: Channel) -> list[Floats]:
        there = np.isfinite(c.values)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], there, [False]]).astype(int)))
        runs = [slice(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > 1]
        return [np.column_stack([self.x(self.time[r]), self.y(c.values[r])]) for r in runs]

    def _line(self, c: Channel, shift: float) -> list[str]:
        ink = INKS[c.sensor]
        out = []
        for run in self._runs(c):
            dashes = "0.8 0.8" if c.sensor is Sensor.SET else ""
            out.append(paper.line(_thinned(run), weight=paper.THIN, ink=ink, dashes=dashes))
            self.places.line(run)
        spots = self.end * (np.arange(MARKS) + shift) / MARKS  # each sensor's stand between the others'
        there = np.isfinite(c.values)
        for t in spots:
            k = int(np.argmin(np.abs(self.time - t)))
            if not there[k]:
                continue
            x, y = float(self.x(self.time[k])), float(self.y(c.values[k]))
            if c.sensor is Sensor.AIR:
                out.append(paper.line([(x - 0.9, y), (x + 0.9, y)], weight=paper.EDGE, ink=ink))
            elif c.sensor is not Sensor.SET:
                fill = ink if c.sensor is Sensor.TOOL else colour.PAPER
                out.append(paper.circle(x, y, 0.65, weight=paper.THIN, ink=ink, fill=fill))
        return out

    def _names(self) -> list[str]:
        out = []
        for c in self.heat:
            runs = self._runs(c)
            if not runs:
                continue
            line = max(runs, key=len)
            spots = [tuple(line[int(f * (len(line) - 1))].tolist()) for f in np.linspace(0.12, 0.95, 21)]
            words = c.name if not c.section or c.section in c.name else f"{c.name}, {c.section}"
            x, y, _ = self.places.label(words, NOTE, [(s[0], s[1]) for s in spots])
            out.append(paper.text(x, y, words, size=NOTE, ink=INKS[c.sensor], halo=True))
        return out

    def _pressure(self) -> list[str]:
        top, bottom = HIGH + 4.0, HIGH + STRIP - 2.0
        worst = max(float(np.nanmax(c.values)) for c in self.bag) / 100.0
        high = next((h for h in (20.0, 50.0, 100.0, 200.0, 500.0, 1200.0) if worst <= h), 20.0 * np.ceil(worst / 20.0))
        out = [paper.text(self.left, top - 1.4, "pressure in the bag, mbar", size=CAPTION, ink=colour.CLOTH)]
        for p in (0.0, 0.5 * high, high):
            at = bottom - (bottom - top) * p / high
            weight = paper.THIN if p == 0.0 else paper.HAIR
            ink = colour.INK if p == 0.0 else colour.HAIR
            out.append(paper.line([(self.left, at), (self.right, at)], weight=weight, ink=ink))
            out.append(paper.text(self.left - 1.2, at + 0.9, f"{p:.0f}", size=CAPTION, anchor="end"))
        for c in self.bag:
            there = np.isfinite(c.values)
            edges = np.flatnonzero(np.diff(np.concatenate([[False], there, [False]]).astype(int)))
            for a, b in zip(edges[::2], edges[1::2], strict=True):
                if b - a < 2:
                    continue
                y = bottom - (bottom - top) * c.values[a:b] / 100.0 / high
                run = np.column_stack([self.x(self.time[a:b]), y])
                out.append(paper.line(_thinned(run), weight=paper.EDGE, ink=colour.CLOTH))
        return out


def _thinned(run: Floats, most: int = 900) -> Floats:
    """Return a line with no more points than paper shows: the first, the last, and in each stretch its extremes."""
    if len(run) <= most:
        return run
    keep = {0, len(run) - 1}
    for part in np.array_split(np.arange(len(run)), most // 2):
        keep |= {int(part[np.argmin(run[part, 1])]), int(part[np.argmax(run[part, 1])])}
    return run[sorted(keep)]
