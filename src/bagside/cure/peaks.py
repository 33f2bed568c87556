"""Peaks over all time steps: a runaway can be over between two outputs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import meeting
from bagside.cure.lanes import Lanes
from bagside.cure.section import Section

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Peaks:
    """How hot each cell of all sections, and the places where laminate and tool meet, ever were.

    Parameters
    ----------
    value, time
        Of every cell, then of every section's meeting of laminate and tool, shape (n + s,) [K, s].
    above
        Cell above that meeting, in all sections, shape (s,); minus one where there is none.
    share
        Weight of that cell against the one below, shape (s,).
    """

    value: Floats
    time: Floats
    above: Ints
    share: Floats

    @classmethod
    def of(cls, sections: Sequence[Section], lanes: Lanes, start: Floats) -> Peaks:
        """Return the peaks of sections that are only at their start, shape (n,) [K]."""
        above, share = np.full(len(sections), -1, dtype=np.int64), np.ones(len(sections))
        for i, s in enumerate(sections):
            tool = s.tool_cells
            if len(tool) and len(s.reacting):
                g = s.half_conductances
                above[i] = lanes.first[i] + tool[0] - 1
                share[i] = g[tool[0] - 1] / (g[tool[0] - 1] + g[tool[0]])
        value = np.append(start, np.full(len(sections), -np.inf))
        out = cls(value=value, time=np.zeros_like(value), above=above, share=share)
        out.take(lanes, np.arange(len(start)), start[None, :], np.zeros((1, len(sections))))
        return out

    def take(self, lanes: Lanes, origin: Ints, values: Floats, when: Floats) -> None:
        """Look at some states of the lanes that are running.

        Parameters
        ----------
        lanes
            The lanes.
        origin
            Place of each of their cells among those of all sections, shape (n,) or longer.
        values
            Temperatures, shape (k, n); minus infinity where there is nothing to look at [K].
        when
            Their times, shape (k, s) [s].
        """
        n = lanes.cells
        self._raise(origin[:n], lanes.lane[:n], values, when)
        touching = np.flatnonzero(self.above[lanes.which] >= 0)
        which = lanes.which[touching]
        shift = lanes.first[touching] - origin[lanes.first[touching]]
        cell, share = self.above[which] + shift, self.share[which]
        surface = share * values[:, cell] + (1.0 - share) * values[:, cell + 1]
        self._raise(len(self.value) - len(self.above) + which, touching, surface, when)

    def _raise(self, place: Ints, lane: Ints, values: Floats, when: Floats) -> None:
        hottest = values.max(axis=0)
        up = np.flatnonzero(hottest > self.value[place])
        self.value[place[up]] = hottest[up]
        self.time[place[up]] = when[values[:, up].argmax(axis=0), lane[up]]

    def told(self, number: int, cells: slice, section: Section, time: Floats, temperature: Floats) -> dict[str, Any]:
        """Return the peaks of one section, outputs included, as its history has them.

        Parameters
        ----------
        number
            Number of the section.
        cells
            Its cells among all.
        section
            The section.
        time, temperature
            Its outputs, shape (k,) and (k, n) [s, K].
        """
        value, when = self.value[cells], self.time[cells]
        hottest = temperature.max(axis=0)
        up = np.flatnonzero(hottest > value)
        value[up], when[up] = hottest[up], time[temperature[:, up].argmax(axis=0)]
        surface = meeting(section, temperature)
        if surface is None:
            return {"peak": value, "peak_time": when, "surface_peak": None, "surface_peak_time": None}
        last = len(self.value) - len(self.above) + number
        top, top_time, i = float(self.value[last]), float(self.time[last]), int(surface.argmax())
        if surface[i] > top:
            top, top_time = float(surface[i]), float(time[i])
        return {"peak": value, "peak_time": when, "surface_peak": top, "surface_peak_time": top_time}
