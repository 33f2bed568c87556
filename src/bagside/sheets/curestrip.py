"""The strip under a cure chart, on its time axis: how thick the resin is, and whether water can boil in it.

Both end where the resin gels: after that nothing flows and no void grows. What the bag gives is a band, because how
much of it the fibres carry is not known; where water needs more than the bag gives, the strip is hatched.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.sheets import colour, paper
from bagside.sheets.placing import Places
from bagside.sheets.typeface import CAPTION, NOTE

Floats = NDArray[np.float64]

TALL = 30.0
"""Height of the strip with its gap [mm]."""
_MBAR = 100.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Water:
    """What keeps water in the resin.

    Parameters
    ----------
    needed
        Pressure below which water boils into voids, shape (n,) [Pa]; not a number once all resin has gelled.
    least, most
        Pressure in the resin when the fibres carry much of the bag's, and when they carry none, shape (n,) [Pa].
    """

    needed: Floats
    least: Floats
    most: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strip:
    """What the strip shows, at the chart's times.

    Parameters
    ----------
    time
        Shape (n,) [s].
    viscosity
        Of the lagging place, shape (n,) [Pa s]; not finite from gel on; None without a law.
    flows
        Viscosity below which resin counts as flowing [Pa s].
    water
        None when pump or room are not stated.
    """

    time: Floats
    viscosity: Floats | None
    flows: float
    water: Water | None

    def __post_init__(self) -> None:
        """Refuse curves of another length than the time."""
        curves = [self.viscosity]
        if self.water is not None:
            curves += [self.water.needed, self.water.least, self.water.most]
        if any(c is not None and c.shape != self.time.shape for c in curves):
            raise ValueError("the strip of a cure chart: one value for each time is wanted")


def strip(shown: Strip, left: float, right: float, top: float, bottom: float, end: float) -> list[str]:
    """Return the marks of the strip.

    Parameters
    ----------
    shown
        What it shows.
    left, right, top, bottom
        Its frame [mm].
    end
        Time at its right end [s].
    """
    places = Places((left, top, right, bottom))
    x: Floats = left + (right - left) * shown.time / end
    out = [paper.line([(left, bottom), (right, bottom)], weight=paper.THIN)]
    out += _water(shown.water, x, (left, right, top, bottom), places)
    out += _viscosity(shown, x, (left, right, top, bottom), places)
    return out


def _runs(there: NDArray[np.bool_]) -> list[slice]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], there, [False]]).astype(int)))
    return [slice(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > 1]


def _water(water: Water | None, x: Floats, frame: tuple[float, float, float, float], places: Places) -> list[str]:
    if water is None:
        return []
    _, right, top, bottom = frame
    there = np.isfinite(water.needed)
    if not there.any():
        return []
    high = 200.0 * np.ceil(max(float(water.most.max()), float(water.needed[there].max())) / _MBAR / 200.0)

    def y(pressure: Floats) -> Floats:
        out: Floats = bottom - (bottom - top) * pressure / _MBAR / high
        return out

    out: list[str] = []
    for p in np.arange(0.0, high + 1.0, 400.0 if high > 600.0 else 200.0):
        at = float(bottom - (bottom - top) * p / high)
        out.append(paper.line([(right, at), (right + 1, at)], weight=paper.THIN, ink=colour.CLOTH))
        out.append(paper.text(right + 1.8, at + 0.9, f"{p:.0f}", size=CAPTION, ink=colour.CLOTH))
    out.append(paper.text(right + 11.0, top - 2.6, "mbar in the resin", size=CAPTION, ink=colour.CLOTH, anchor="end"))
    for run in _runs(there):
        band = np.concatenate(
            [np.column_stack([x[run], y(water.most[run])]), np.column_stack([x[run], y(water.least[run])])[::-1]]
        )
        out.append(paper.line(band, weight=0, fill=colour.CLOTH_WASH, closed=True))
        needed = np.column_stack([x[run], y(water.needed[run])])
        for short in _runs(water.needed[run] > water.least[run]):
            over = np.concatenate([needed[short], np.column_stack([x[run][short], y(water.least[run][short])])[::-1]])
            out.append(paper.line(over, weight=0, fill="url(#keep-out)", closed=True))
        out.append(paper.line(needed, weight=paper.EDGE, ink=colour.CLOTH))
        places.line(needed)
        for edge in (water.most[run], water.least[run]):
            places.line(np.column_stack([x[run], y(edge)]))
        most = np.column_stack([x[run], y(water.most[run])])
        for words, curve, bold in (("the bag gives", most, False), ("water needs", needed, True)):
            spots = [tuple(curve[int(f * (len(curve) - 1))].tolist()) for f in (0.5, 0.6, 0.4, 0.75, 0.25, 0.9, 0.1)]
            lx, ly, _ = places.label(words, NOTE, [(s[0], s[1]) for s in spots], bold=bold)
            out.append(paper.text(lx, ly, words, size=NOTE, ink=colour.CLOTH, bold=bold, halo=True))
    return out


def _viscosity(shown: Strip, x: Floats, frame: tuple[float, float, float, float], places: Places) -> list[str]:
    mu = shown.viscosity
    if mu is None:
        return []
    left, _, top, bottom = frame
    there = np.isfinite(mu) & (mu > 0.0) & (mu < 1e6)
    if there.sum() < 2:
        return []
    low = float(np.floor(np.log10(mu[there].min())))
    high = max(float(np.ceil(np.log10(min(mu[there].max(), 1e5)))), low + 2.0)

    def y(value: Floats) -> Floats:
        out: Floats = bottom - (bottom - top) * (np.log10(value) - low) / (high - low)
        return out

    out: list[str] = []
    step = 1 if high - low <= 4 else 2
    for power in range(int(low), int(high) + 1, step):
        at = float(bottom - (bottom - top) * (power - low) / (high - low))
        out.append(paper.line([(left - 1, at), (left, at)], weight=paper.THIN))
        words = f"{10.0**power:g}" if -3 < power < 4 else f"{10 ** (power - 3)} k"
        out.append(paper.text(left - 1.8, at + 0.9, words, size=CAPTION, anchor="end"))
    out.append(paper.text(left - 9.0, top - 2.6, "Pa s", size=CAPTION))
    if low < np.log10(shown.flows) < high:
        at = float(y(np.array([shown.flows]))[0])
        out.append(paper.line([(left, at), (frame[1], at)], weight=paper.HAIR, ink=colour.HAIR))
    for run in _runs(there):
        curve = np.column_stack([x[run], np.clip(y(mu[run]), top, bottom)])
        out.append(paper.line(curve, weight=paper.EDGE))
        places.line(curve)
        spots = [tuple(curve[int(f * (len(curve) - 1))].tolist()) for f in (0.3, 0.2, 0.45, 0.6, 0.1, 0.8)]
        lx, ly, _ = places.label("viscosity", NOTE, [(s[0], s[1]) for s in spots])
        out.append(paper.text(lx, ly, "viscosity", size=NOTE, halo=True))
    return out
