"""Peaks over all time steps: a runaway can be over between two outputs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import meeting
from bagside.cure.lanes import Lanes
from bagside.cure.section import Section

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Peaks:
    """How hot each cell of all sections, and the places where laminate and tool meet, ever were.

    Parameters
    ----------
    value, time
        Of every cell of all sections, shape (n,) [K, s].
    surface, surface_time
        Of the meeting of laminate and tool of every section, shape (s,) [K, s].
    first
        First cell of each section, and the number of all, shape (s + 1,).
    above
        Cell above that meeting, counted in the section, shape (s,); minus one where there is none.
    share
        Weight of that cell against the one below, shape (s,).
    origin
        Place of each cell that is still running among all, shape (m,).
    touching
        Lanes still running that have such a meeting, shape (c,).
    """

    value: Floats
    time: Floats
    surface: Floats
    surface_time: Floats
    first: Ints
    above: Ints
    share: Floats
    origin: Ints
    touching: Ints

    @classmethod
    def of(cls, sections: Sequence[Section], lanes: Lanes, start: Floats) -> Peaks:
        """Return the peaks of sections that are only at their start, shape (n,) [K]."""
        above, share = np.full(len(sections), -1, dtype=np.int64), np.ones(len(sections))
        for i, s in enumerate(sections):
            c = s.cut
            if len(c.tool_cells) and len(c.reacting):
                below, g = c.tool_cells[0], c.half_conductances
                above[i], share[i] = below - 1, g[below - 1] / (g[below - 1] + g[below])
        out = cls(
            value=start.copy(),
            time=np.zeros_like(start),
            surface=np.full(len(sections), -np.inf),
            surface_time=np.zeros(len(sections)),
            first=np.append(lanes.first, lanes.cells),
            above=above,
            share=share,
            origin=np.arange(lanes.cells),
            touching=np.flatnonzero(above >= 0),
        )
        zero = np.zeros(len(sections))
        out.take(lanes, np.ones(len(sections), dtype=np.bool_), zero, zero, start, start)
        return out

    def of_entries(self, lanes: Lanes, entries: Bools) -> Peaks:
        """Return the same peaks for the lanes that are still running: some of the entries of the state until now."""
        return replace(
            self,
            origin=self.origin[entries[: len(self.origin)]],
            touching=np.flatnonzero(self.above[lanes.which] >= 0),
        )

    def take(self, lanes: Lanes, good: Bools, t: Floats, h: Floats, middle: Floats, end: Floats) -> None:
        """Look at the middle and the end of a step of every lane that is running.

        Parameters
        ----------
        lanes
            The lanes.
        good
            Which of them count, shape (s,).
        t, h
            When the step began and how long it was, shape (s,) [s].
        middle, end
            Temperature of their cells, shape (m,) [K].
        """
        lane = lanes.lane[: lanes.cells]
        hottest = np.maximum(middle, end)
        hotter = np.flatnonzero((hottest > self.value.take(self.origin)) & good.take(lane))
        place, its = self.origin.take(hotter), lane.take(hotter)
        self.value[place] = hottest[hotter]
        self.time[place] = t[its] + np.where(middle[hotter] > end[hotter], 0.5, 1.0) * h[its]
        which = lanes.which[self.touching]
        cell, share = lanes.first[self.touching] + self.above[which], self.share[which]
        middle, end = (share * x[cell] + (1.0 - share) * x[cell + 1] for x in (middle, end))
        hottest = np.maximum(middle, end)
        up = (hottest > self.surface[which]) & good[self.touching]
        its, place = self.touching[up], which[up]
        self.surface[place] = hottest[up]
        self.surface_time[place] = t[its] + np.where(middle[up] > end[up], 0.5, 1.0) * h[its]

    def told(self, number: int, section: Section, time: Floats, temperature: Floats) -> dict[str, Any]:
        """Return the peaks of one section, outputs included, as its history has them.

        Parameters
        ----------
        number
            Number of the section.
        section
            The section.
        time, temperature
            Its outputs, shape (k,) and (k, n) [s, K].
        """
        cells = slice(self.first[number], self.first[number + 1])
        value, when = self.value[cells], self.time[cells]
        hottest = temperature.max(axis=0)
        up = np.flatnonzero(hottest > value)
        value[up], when[up] = hottest[up], time[temperature[:, up].argmax(axis=0)]
        surface = meeting(section, temperature)
        if surface is None:
            return {"peak": value, "peak_time": when, "surface_peak": None, "surface_peak_time": None}
        top, top_time, i = float(self.surface[number]), float(self.surface_time[number]), int(surface.argmax())
        if surface[i] > top:
            top, top_time = float(surface[i]), float(time[i])
        return {"peak": value, "peak_time": when, "surface_peak": top, "surface_peak_time": top_time}
