"""Through the thickness at the worst moment: where in laminate and mould the heat sits.

On the left the section as it is heated: bag side at the top, laminate, mould hatched. Over the same depth, temperature
at the worst moment, half an hour before and after; and in bands, how far every depth is from the air around that time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure import SectionHistory
from bagside.quantity import shown
from bagside.sheets import colour, marks, paper
from bagside.sheets.grounds import on_cloth
from bagside.sheets.placing import Places
from bagside.sheets.typeface import CAPTION, NOTE, width

Floats = NDArray[np.float64]

_ZERO = 273.15
_AROUND = 1800.0  # [s] before and after the worst moment
_SPAN = 2.0 * 3600.0  # [s] shown around it
_COLDER = ("#dce8f1", "#bdd5e6", "#7daad1", "#3a72a9", "#113d70")
_HOTTER = ("#f7ede6", "#f0dccd", "#e6c3ab", "#d9a384", "#c8805c", "#b05f3a", "#8f3a0d")
_LAMINATE_SHARE = 0.55  # of the height, at least, when the mould is thicker


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstMoment:
    """When and where a section was hottest against what it may be.

    Parameters
    ----------
    time
        [s].
    index
        Of the output nearest to it.
    depth
        Below the bag face [m].
    temperature
        [K].
    """

    time: float
    index: int
    depth: float
    temperature: float


def worst_moment(history: SectionHistory) -> WorstMoment:
    """Return when the laminate was furthest above the air; when it was hottest if it never was above it.

    Parameters
    ----------
    history
        Of one section.
    """
    t = history.laminate_temperature
    over = t.max(axis=1) - history.air
    heating = np.append(False, history.air[:-1] <= history.air[1:] + 1e-6)
    above = np.where(heating, over, -np.inf)
    k = int(np.argmax(above)) if above.max() > 1.0 else int(np.argmax(t.max(axis=1)))
    cell = int(np.argmax(t[k]))
    return WorstMoment(
        time=float(history.time[k]),
        index=k,
        depth=float(history.x[history.reacting[cell]]),
        temperature=float(t[k, cell]),
    )


def depth_map(history: SectionHistory, *, size_mm: tuple[float, float] = (184.0, 76.0)) -> str:
    """Return the picture of one section at its worst moment.

    Parameters
    ----------
    history
        Of one section.
    size_mm
        [mm].
    """
    return _Depth(history, size_mm).drawn()


class _Depth:
    def __init__(self, history: SectionHistory, size: tuple[float, float]) -> None:
        self.h = history
        self.size = size
        self.worst = worst_moment(history)
        self.top, self.bottom = 7.0, size[1] - 9.0
        s = history.section
        self.total = sum(layer.thickness for layer in s.layers)
        last = max(k for k, layer in enumerate(s.layers) if layer.resin > 0)
        laminate = sum(layer.thickness for layer in s.layers[: last + 1])
        on_mould = last + 1 < len(s.layers)
        share = max(laminate / self.total, _LAMINATE_SHARE) if on_mould else 1.0
        self.depths = np.array([0.0, laminate, self.total]) if on_mould else np.array([0.0, self.total])
        tall = self.bottom - self.top
        self.heights = np.array([0.0, share * tall, tall]) if on_mould else np.array([0.0, tall])
        self.section = (2.0, 24.0)
        self.profile = (36.0, 0.42 * size[0])
        self.bands = (0.46 * size[0] + 12.0, size[0] - 3.0)

    def y(self, depth: Floats | float) -> Floats:
        """Return where a depth stands; laminate and mould have their own scales."""
        out: Floats = self.top + np.interp(np.asarray(depth, dtype=np.float64), self.depths, self.heights)
        return out

    def drawn(self) -> str:
        out = [marks.hatch("mould", pitch=1.6, weight=0.12)]
        out += self._section() + self._profile() + self._bands()
        return paper.sheet(*self.size, out, title="through the thickness at the worst moment")

    def _section(self) -> list[str]:
        a, b = self.section
        out = []
        at = 0.0
        for k, layer in enumerate(self.h.section.layers):
            y0, y1 = float(self.y(at)), float(self.y(at + layer.thickness))
            fill = "url(#mould)" if layer.name == "tool" else colour.CLOTH_WASH if layer.resin > 0 else colour.WASH
            out.append(paper.rect(a, y0, b - a, y1 - y0, weight=paper.THIN, fill=fill))
            name = "mould" if layer.name == "tool" else layer.name
            middle = 0.5 * (y0 + y1)
            out.append(paper.text(0.5 * (a + b), middle, name, size=NOTE, anchor="middle", halo=True))
            words = shown(layer.thickness, "mm", 1)
            out.append(paper.text(0.5 * (a + b), middle + 3.6, words, size=CAPTION, anchor="middle", halo=True))
            if k:
                out.append(paper.line([(a, y0), (self.bands[1], y0)], weight=paper.HAIR, ink=colour.EDGE))
            at += layer.thickness
        out.append(paper.text(a, self.top - 2.2, "bag side", size=CAPTION))
        out.append(paper.text(self.profile[0], self.top - 2.2, self.h.name, size=CAPTION, ink=colour.SECOND))
        return out

    def _profile(self) -> list[str]:
        left, right = self.profile
        w, h = self.worst, self.h
        moments = [(w.time - _AROUND, "30 min before"), (w.time + _AROUND, "30 min after")]
        kept = [
            (float(np.clip(t, h.time[0], h.time[-1])), words) for t, words in moments if h.time[0] <= t <= h.time[-1]
        ]
        profiles = [(self._at(t), words, False) for t, words in kept]
        profiles.append((h.temperature[w.index], f"worst, after {shown(w.time, 'h', 1)}", True))
        low = 10.0 * np.floor((min(float(p.min()) for p, _, _ in profiles) - _ZERO) / 10.0)
        high = 10.0 * np.ceil((max(float(p.max()) for p, _, _ in profiles) - _ZERO) / 10.0)
        places = Places((left, self.top, self.bands[0] - 2.0, self.bottom))

        def x(kelvin: Floats | float) -> Floats:
            out: Floats = left + (right - left) * (np.asarray(kelvin) - _ZERO - low) / (high - low)
            return out

        out = [paper.line([(left, self.bottom), (right, self.bottom)], weight=paper.THIN)]
        step = next(s for s in (5.0, 10.0, 20.0, 50.0) if (high - low) / s <= 5)
        for t in np.arange(low, high + 1e-9, step):
            at = float(x(t + _ZERO))
            out.append(paper.line([(at, self.top), (at, self.bottom)], weight=paper.HAIR, ink=colour.HAIR))
            words = f"{t:.0f}" + (" °C" if t + step > high else "")
            out.append(paper.text(at, self.bottom + 4.2, words, size=CAPTION, anchor="middle"))
        lines = [np.column_stack([x(p), self.y(h.x)]) for p, _, _ in profiles]
        for line in lines:
            places.line(line)
        for line, (_, _, bold) in zip(lines, profiles, strict=True):
            weight, dashes = (0.55, "") if bold else (paper.THIN, "")
            out.append(paper.line(line, weight=weight, ink=colour.HEAT, dashes=dashes))
        spot = (float(x(w.temperature)), float(self.y(w.depth)))
        out.append(paper.circle(*spot, 0.9, weight=paper.THIN, ink=colour.HEAT, fill=colour.PAPER))
        said = f"{shown(w.temperature, '°C', 0)}, {shown(w.depth, 'mm', 1)} deep"
        lx, ly, _ = places.label(said, NOTE, [spot], bold=True)
        out.append(paper.text(lx, ly, said, size=NOTE, ink=colour.HEAT, bold=True, halo=True))
        for line, (_, words, bold) in zip(lines, profiles, strict=True):
            spots = [tuple(line[int(f * (len(line) - 1))].tolist()) for f in (0.9, 0.7, 0.1, 0.5, 0.3)]
            lx, ly, _ = places.label(words, CAPTION, [(s[0], s[1]) for s in spots], bold=bold)
            out.append(paper.text(lx, ly, words, size=CAPTION, ink=colour.HEAT, bold=bold, halo=True))
        return out

    def _at(self, time: float) -> Floats:
        h = self.h
        return np.array([np.interp(time, h.time, h.temperature[:, k]) for k in range(h.temperature.shape[1])])

    def _bands(self) -> list[str]:
        left, right = self.bands
        h, w = self.h, self.worst
        begin, end = max(float(h.time[0]), w.time - _SPAN), min(float(h.time[-1]), w.time + _SPAN)
        times = np.linspace(begin, end, 97)
        field = np.array([self._at(t) - np.interp(t, h.time, h.air) for t in times])
        up, down = max(float(field.max()), 0.0), max(-float(field.min()), 0.0)
        steps = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
        step = next(s for s in steps if up / s <= len(_HOTTER) and down / s <= len(_COLDER))
        edges = np.cumsum(h.section.widths) - h.section.widths
        y0, y1 = self.y(edges), self.y(edges + h.section.widths)
        xs = np.linspace(left, right, len(times) + 1)
        level = np.clip(np.floor(field / step).astype(int), -len(_COLDER), len(_HOTTER) - 1)
        filled = []
        for cell in range(field.shape[1]):
            starts = np.flatnonzero(np.diff(np.concatenate([[-99], level[:, cell]])))
            for a, b in zip(starts, np.append(starts[1:], len(times)), strict=True):
                filled.append(
                    paper.rect(
                        xs[a],
                        float(y0[cell]),
                        xs[b] - xs[a],
                        float(y1[cell] - y0[cell]),
                        fill=_colour(int(level[a, cell])),
                    )
                )
        at = left + (right - left) * (w.time - begin) / (end - begin)
        filled.append(paper.line([(at, self.top), (at, self.bottom)], weight=paper.THIN, dashes="1.2 0.8"))
        out = [on_cloth(filled)]
        out.append(paper.rect(left, self.top, right - left, self.bottom - self.top, weight=paper.THIN))
        out.append(paper.circle(at, float(self.y(w.depth)), 0.9, weight=paper.THIN, fill=colour.PAPER))
        hour = next(s for s in (0.25, 0.5, 1.0, 2.0) if (end - begin) / 3600.0 / s <= 6)
        for t in np.arange(np.ceil(begin / 3600.0 / hour) * hour, end / 3600.0 + 1e-9, hour):
            x = left + (right - left) * (t * 3600.0 - begin) / (end - begin)
            out.append(paper.line([(x, self.bottom), (x, self.bottom + 1)], weight=paper.THIN))
            out.append(paper.text(x, self.bottom + 4.2, f"{t:g} h", size=CAPTION, anchor="middle"))
        return out + self._scale(left, range(int(level.min()), int(level.max()) + 1), step)

    def _scale(self, left: float, levels: range, step: float) -> list[str]:
        out = []
        words_wide = width("K against the air", CAPTION) + 2.0
        wide = min((self.bands[1] - left - words_wide) / len(levels), 8.0)
        for k, level in enumerate(levels):
            x = left + k * wide
            box = paper.rect(x, self.top - 5.2, wide, 2.0, weight=paper.HAIR, ink=colour.EDGE, fill=_colour(level))
            out.append(on_cloth([box]))
            words = f"{level * step:+g}".replace("-", "−") if level else "0"
            out.append(paper.text(x, self.top - 0.9, words, size=CAPTION, anchor="start" if k == 0 else "middle"))
        x = left + len(levels) * wide
        out.append(paper.text(x + 1.2, self.top - 0.9, "K against the air", size=CAPTION))
        return out


def _colour(level: int) -> str:
    return _HOTTER[level] if level >= 0 else _COLDER[-1 - level]
