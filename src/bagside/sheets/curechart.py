"""The chart of a cure: what is set, what the part goes through, where it may not go, and what a logger saw.

Line is computed, ring is measured, dashes are a forecast, ink with yellow squares is set by hand, hatch may not be
entered. Leading and lagging are one filled band; degree of cure is a quiet hill on the right axis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.sheets import colour, marks, paper
from bagside.sheets.curestrip import TALL, Strip, strip
from bagside.sheets.placing import Places
from bagside.sheets.typeface import ASCENT, CAPTION, NOTE, width

Floats = NDArray[np.float64]

_ZERO = 273.15
_STEPS_H = (0.25, 0.5, 1.0, 2.0, 4.0, 6.0, 12.0, 24.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """One segment of the programme, as it is named under the chart.

    Parameters
    ----------
    begin, end
        [s].
    words
        As ``hold 80 °C``, ``rise``.
    under
        A second line, as ``90 min``; may be empty.
    """

    begin: float
    end: float
    words: str
    under: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Logged:
    """What one sensor wrote.

    Parameters
    ----------
    name
        As the log heads it.
    time
        Shape (q,) [s].
    temperature
        Shape (q,) [K]; not a number where there is no reading.
    """

    name: str
    time: Floats
    temperature: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CureCurves:
    """What a cure chart shows; every curve on the one time axis.

    Parameters
    ----------
    programme
        Corners of the set temperature: time [s], temperature [K], shape (k, 2).
    time
        Shape (n,) [s].
    leading, lagging
        Temperature of the section that is first and last, shape (n,) [K].
    names
        What the leading and lagging section are called.
    cure
        Degree of cure of the lagging section, shape (n,).
    tg
        Glass transition of the lagging section, shape (n,) [K]; None leaves it out.
    air
        Oven air, shape (n,) [K]; None leaves it out.
    measured
        Logged temperatures: time [s], temperature [K], shape (q, 2); None before the cure.
    logged
        What each sensor wrote, as dashed lines with their names.
    strip
        What is shown under the chart on the same time; None for nothing.
    gel
        When the lagging section gels [s]; None when it does not.
    limit
        What the tool may take [K]; None when it is not known.
    limit_words
        Said at the limit.
    segments
        Named under the axis.
    """

    programme: Floats
    time: Floats
    leading: Floats
    lagging: Floats
    names: tuple[str, str]
    cure: Floats
    tg: Floats | None = None
    air: Floats | None = None
    measured: Floats | None = None
    gel: float | None = None
    limit: float | None = None
    limit_words: str = ""
    segments: tuple[Segment, ...] = ()
    logged: tuple[Logged, ...] = ()
    strip: Strip | None = None


def cure_chart(curves: CureCurves, *, size_mm: tuple[float, float] = (184.0, 92.0)) -> str:
    """Return the chart of a cure.

    Parameters
    ----------
    curves
        What is shown.
    size_mm
        [mm].

    Raises
    ------
    ValueError
        When a curve has another length than the time, time does not rise, or a value is not finite.
    """
    _checked(curves)
    return _Chart(curves, size_mm).drawn()


def _checked(c: CureCurves) -> None:
    if len(c.time) < 2 or (np.diff(c.time) <= 0).any():
        raise ValueError("the time of a cure chart rises from point to point")
    for one in c.logged:
        if one.time.shape != one.temperature.shape or len(one.time) < 2:
            raise ValueError(f"{one.name} of a cure chart: one temperature for each of two times or more is wanted")
    for name in ("leading", "lagging", "cure", "tg", "air"):
        values = getattr(c, name)
        if values is not None and (values.shape != c.time.shape or not np.isfinite(values).all()):
            raise ValueError(f"{name} of a cure chart: one finite value for each time is wanted")
    if c.programme.ndim != 2 or c.programme.shape[1] != 2 or len(c.programme) < 2:
        raise ValueError("the programme of a cure chart is at least two corners of time and temperature")


class _Chart:
    def __init__(self, c: CureCurves, size: tuple[float, float]) -> None:
        self.c = c
        self.size = size
        self.left, self.right, self.top = 12.0, size[0] - 12.0, 3.0
        self.foot = size[1] - (15.0 if c.segments else 7.0)
        self.bottom = self.foot if c.strip is None else self.foot - TALL
        self.end = float(max(c.time[-1], c.programme[-1, 0], *(one.time[-1] for one in c.logged)))
        shown = [c.programme[:, 1], c.leading, c.lagging]
        shown += [v for v in (c.tg, c.air) if v is not None and v is not c.tg]
        shown += [one.temperature[np.isfinite(one.temperature)] for one in c.logged]
        highest = max(float(v.max()) for v in shown if len(v)) - _ZERO
        highest = max(highest, float(c.tg.max()) - _ZERO if c.tg is not None else highest)
        highest = max(highest, (c.limit - _ZERO) + 8 if c.limit is not None else highest)
        self.high = 20.0 * np.ceil((highest + 6) / 20.0)
        self.low = 0.0
        self.places = Places((self.left, self.top, self.right, self.bottom))

    def x(self, time: Floats | float) -> Floats:
        """Return where a time stands."""
        out: Floats = self.left + (self.right - self.left) * np.asarray(time, dtype=np.float64) / self.end
        return out

    def y(self, temperature: Floats | float) -> Floats:
        """Return where a temperature stands."""
        t = np.asarray(temperature, dtype=np.float64) - _ZERO
        out: Floats = self.bottom - (self.bottom - self.top) * (t - self.low) / (self.high - self.low)
        return out

    def hill(self, cure: Floats | float) -> Floats:
        """Return where a degree of cure stands; the hill keeps to the lower three fifths."""
        out: Floats = self.bottom - 0.62 * (self.bottom - self.top) * np.asarray(cure, dtype=np.float64)
        return out

    def drawn(self) -> str:
        c = self.c
        out = [marks.hatch("keep-out", ink=colour.KEEP_OUT, weight=0.1), *self._axes()]
        hill = np.column_stack([self.x(c.time), self.hill(c.cure)])
        foot = np.array([[hill[-1, 0], self.bottom], [hill[0, 0], self.bottom]])
        out.append(paper.line(np.concatenate([hill, foot]), weight=0, fill=colour.HILL, closed=True))
        out += self._horizontals()
        if c.limit is not None:
            y = float(self.y(c.limit))
            out.append(paper.rect(self.left, self.top, self.right - self.left, y - self.top, fill="url(#keep-out)"))
            out.append(paper.line([(self.left, y), (self.right, y)], weight=paper.THIN, ink=colour.HEAT))
            self.places.line(np.array([[self.left, y], [self.right, y]]))
        band = np.concatenate(
            [
                np.column_stack([self.x(c.time), self.y(c.leading)]),
                np.column_stack([self.x(c.time), self.y(c.lagging)])[::-1],
            ]
        )
        out.append(paper.line(band, weight=0, fill=colour.HEAT_WASH, closed=True))
        out.append(paper.line(hill, weight=paper.THIN, ink=colour.CLOTH))
        lead = np.column_stack([self.x(c.time), self.y(c.leading)])
        lag = np.column_stack([self.x(c.time), self.y(c.lagging)])
        programme = np.column_stack([self.x(c.programme[:, 0]), self.y(c.programme[:, 1])])
        air = None if c.air is None else np.column_stack([self.x(c.time), self.y(c.air)])
        tg = None if c.tg is None else self._tg_line()
        for one in (hill, lead, lag, programme, air, tg):
            if one is not None and len(one) > 1:
                self.places.line(one)
        if air is not None:
            out.append(paper.line(air, weight=paper.HAIR, dashes="0.4 0.6", ink=colour.SECOND))
        if tg is not None and len(tg) > 1:
            out.append(paper.line(tg, weight=paper.EDGE, ink=colour.CLOTH))
        out.append(paper.line(lead, weight=paper.THIN, ink=colour.HEAT))
        out.append(paper.line(lag, weight=0.55, ink=colour.HEAT))
        out.append(paper.line(programme, weight=paper.EDGE))
        for px, py in programme[1:-1]:
            out.append(paper.rect(px - 1.2, py - 1.2, 2.4, 2.4, weight=paper.THIN, fill=colour.TAPE))
            self.places.boxes.append((px - 1.4, py - 1.4, px + 1.4, py + 1.4))
        if c.measured is not None:
            for t, k in c.measured:
                out.append(paper.circle(float(self.x(t)), float(self.y(k)), 0.5, weight=paper.HAIR, fill=colour.PAPER))
        logged = [self._logged(one) for one in c.logged]
        for curve in logged:
            for run in curve:
                out.append(paper.line(run, weight=paper.EDGE, ink=colour.INK, dashes="1.2 0.8"))
                self.places.line(run)
        out += self._labels(lead, lag, programme, air, tg, hill)
        out += self._logged_names(logged)
        out += self._segments()
        if c.strip is not None:
            out += strip(c.strip, self.left, self.right, self.bottom + 8.0, self.foot, self.end)
        return paper.sheet(*self.size, out, title="cure")

    def _logged(self, one: Logged) -> list[Floats]:
        """Return a sensor's line in pieces, between its gaps."""
        there = np.isfinite(one.temperature)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], there, [False]]).astype(int)))
        pieces = [slice(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > 1]
        return [np.column_stack([self.x(one.time[p]), self.y(one.temperature[p])]) for p in pieces]

    def _logged_names(self, logged: list[list[Floats]]) -> list[str]:
        out = []
        for one, pieces in zip(self.c.logged, logged, strict=True):
            if not pieces:
                continue
            line = max(pieces, key=len)
            spots = [tuple(line[int(f * (len(line) - 1))].tolist()) for f in np.linspace(0.15, 0.95, 17)]
            x, y, _ = self.places.label(one.name, NOTE, [(s[0], s[1]) for s in spots])
            out.append(paper.text(x, y, one.name, size=NOTE, halo=True))
        return out

    def _tg_line(self) -> Floats:
        c = self.c
        if c.tg is None:
            return np.empty((0, 2))
        inside = c.tg - _ZERO >= self.low
        return np.column_stack([self.x(c.time[inside]), self.y(c.tg[inside])])

    def _axes(self) -> list[str]:
        out = []
        step = next((s for s in _STEPS_H if self.end / 3600 / s <= 10), 24.0)
        for hour in np.arange(0.0, self.end / 3600 + 1e-9, step):
            x = float(self.x(hour * 3600))
            for foot in {self.bottom, self.foot}:
                out.append(paper.line([(x, foot), (x, foot + 1)], weight=paper.THIN))
            words = f"{hour:g}" + (" h" if hour == 0 else "")
            out.append(paper.text(x, self.foot + 4.2, words, size=CAPTION, anchor="middle"))
        return out

    def _horizontals(self) -> list[str]:
        out = []
        for t in np.arange(self.low, self.high + 1e-9, 20.0):
            y = float(self.y(t + _ZERO))
            ink, weight = (colour.INK, paper.THIN) if t == self.low else (colour.HAIR, paper.HAIR)
            out.append(paper.line([(self.left, y), (self.right, y)], weight=weight, ink=ink))
            words = f"{t:.0f}" + (" °C" if t + 20 > self.high else "")
            out.append(paper.text(self.left - 1.2, y + 0.9, words, size=CAPTION, anchor="end"))
        for a in (0.2, 0.4, 0.6, 0.8, 1.0):
            y = float(self.hill(a))
            out.append(paper.line([(self.right, y), (self.right + 1, y)], weight=paper.THIN, ink=colour.CLOTH))
            out.append(paper.text(self.right + 1.8, y + 0.9, f"{a:.1f}", size=CAPTION, ink=colour.CLOTH))
        y = float(self.hill(1.0)) - 3.6
        out.append(paper.text(self.right + 1.0, y, "cured", size=CAPTION, ink=colour.CLOTH))
        return out

    def _labels(
        self, lead: Floats, lag: Floats, programme: Floats, air: Floats | None, tg: Floats | None, hill: Floats
    ) -> list[str]:
        c = self.c
        out: list[str] = []

        def put(words: str, at: Floats, ink: str, bold: bool, prefer: tuple[float, ...]) -> None:
            spots = [tuple(at[min(int(f * len(at)), len(at) - 1)].tolist()) for f in prefer]
            x, y, _ = self.places.label(words, NOTE, [(s[0], s[1]) for s in spots], bold=bold)
            out.append(paper.text(x, y, words, size=NOTE, ink=ink, bold=bold, halo=True))

        if c.limit is not None and c.limit_words:
            y = float(self.y(c.limit)) - 1.2
            wide = width(c.limit_words, NOTE)
            out.append(paper.rect(self.left + 1.2, y - 3.0, wide + 1.6, 4.0, fill=colour.PAPER))
            out.append(paper.text(self.left + 2.0, y, c.limit_words, size=NOTE))
            self.places.boxes.append((self.left, y - 3, self.left + wide + 3, y + 1))
        spread = tuple(np.linspace(0.06, 0.94, 23))
        middle = tuple(sorted(spread, key=lambda f: abs(f - 0.5)))
        late = tuple(sorted(spread, key=lambda f: abs(f - 0.85)))
        if c.gel is not None:
            x = float(self.x(c.gel))
            y = float(np.interp(c.gel, c.time, hill[:, 1]))
            out.append(paper.line([(x, y), (x, self.bottom)], weight=paper.THIN, ink=colour.CLOTH))
            out.append(paper.circle(x, y, 0.9, weight=paper.THIN, ink=colour.CLOTH, fill=colour.PAPER))
            self.places.line(np.array([[x, y], [x, self.bottom]]))
            words = f"gel, {_clock(c.gel)}"
            gx, gy, _ = self.places.label(words, NOTE, [(x, y), (x, 0.5 * (y + self.bottom)), (x, self.bottom - 3)])
            out.append(paper.text(gx, gy, words, size=NOTE, ink=colour.CLOTH, halo=True))
        if tg is not None and len(tg) > 1:
            put("Tg, lagging", tg, colour.CLOTH, True, late)
        out += self._pair(lead, lag)
        dense = np.column_stack(
            [np.interp(np.linspace(0, 1, 60), np.linspace(0, 1, len(programme)), q) for q in programme.T]
        )
        put("programme", dense, colour.INK, False, middle)
        if air is not None:
            put("oven air", air, colour.SECOND, False, late)
        put(f"degree of cure {c.cure[-1]:.2f}", hill, colour.CLOTH, False, late)
        return out

    def _pair(self, lead: Floats, lag: Floats) -> list[str]:
        """Return the names of the two curves, each beside its own: leading above, lagging below, leaders short."""
        out = []
        for curve, name, bold, side in ((lag, self.c.names[1], True, 1.0), (lead, self.c.names[0], False, -1.0)):
            at, left, base = self._beside(curve, name, bold, side)
            wide, middle = width(name, NOTE, bold=bold), base - 0.5 * ASCENT * NOTE
            self.places.boxes.append((left - 0.6, base - ASCENT * NOTE - 0.6, left + wide + 0.6, base + 0.8))
            foot = np.array([np.clip(at[0], left, left + wide), base - ASCENT * NOTE - 0.5 if side > 0 else base + 0.7])
            if not left <= at[0] <= left + wide:
                foot = np.array([left - 0.7 if at[0] < left else left + wide + 0.7, middle])
            if float(np.linalg.norm(foot - at)) > 1.6:
                out.append(paper.line(np.array([at, foot]), weight=paper.HAIR, ink=colour.HEAT))
            out.append(paper.text(left, base, name, size=NOTE, ink=colour.HEAT, bold=bold, halo=True))
        return out

    def _beside(self, curve: Floats, name: str, bold: bool, side: float) -> tuple[Floats, float, float]:
        """Return where on its curve a name belongs and where its baseline begins; what it covers and reach cost."""
        wide, tall = width(name, NOTE, bold=bold), ASCENT * NOTE
        best: tuple[float, Floats, float, float] | None = None
        for k in np.unique(np.linspace(0.04 * len(curve), 0.96 * len(curve), 36).astype(int)):
            at = curve[min(int(k), len(curve) - 1)]
            for off in (1.2, 2.4, 4.0, 6.0, 8.5):
                base = float(at[1]) + (off + tall if side > 0 else -off)
                for left in (float(at[0]) - 0.5 * wide, float(at[0]) + 0.6 * off, float(at[0]) - wide - 0.6 * off):
                    box = (left - 0.5, base - tall - 0.5, left + wide + 0.5, base + 0.6)
                    cost = self.places.cost(box) + 0.5 * off
                    if best is None or cost < best[0] - 1e-9:
                        best = (cost, at, left, base)
        if best is None:
            raise ValueError(f"the curve {name!r} has no point")
        return best[1], best[2], best[3]

    def _segments(self) -> list[str]:
        out: list[str] = []
        top = self.foot + 6.4
        last = -1e9
        for s in self.c.segments:
            a, b = float(self.x(s.begin)), float(self.x(min(s.end, self.end)))
            for x in (a, b):
                if abs(x - last) > 0.05:
                    out.append(paper.line([(x, top), (x, top + 7)], weight=paper.HAIR, ink=colour.EDGE))
                    last = x
            room = b - a - 1.0
            both = (s.words, s.under)
            if max(width(w, CAPTION) for w in both) <= room:
                for k, w in enumerate(both):
                    y = top + 2.6 + k * 3.4 if s.under else top + 4.4
                    if w:
                        out.append(
                            paper.text(
                                0.5 * (a + b), y, w, size=CAPTION, anchor="middle", ink=(colour.INK, colour.SECOND)[k]
                            )
                        )
            elif room > 4 + ASCENT:
                size = CAPTION * max(room / max(width(w, CAPTION) for w in both), 0.72)
                if max(width(w, size) for w in both) <= room:
                    for k, w in enumerate(both):
                        if w:
                            out.append(paper.text(0.5 * (a + b), top + 2.6 + k * 3.4, w, size=size, anchor="middle"))
        return out


def _clock(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes} min"
