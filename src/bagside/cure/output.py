"""What is kept of the steps: output in between them by dense interpolation, and how hot every cell ever was.

Lanes reach their outputs at different steps, several in one step or none. All outputs that a step of all lanes reaches
are interpolated at once, as one list of pairs of lane and time.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure import rodas4
from bagside.cure.air import Air
from bagside.cure.lanes import Lanes
from bagside.cure.peaks import Peaks
from bagside.cure.section import Section

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


class Output:
    """Temperatures, degrees of cure and peaks of all sections, filled as the steps are taken."""

    def __init__(
        self, sections: Sequence[Section], airs: Sequence[Air], lanes: Lanes, y: Floats, interval: float
    ) -> None:
        self.sections = sections
        kinds = {id(a): k for k, a in enumerate({id(a): a for a in airs}.values())}
        self.times = [_output_times(a, interval) for a in {id(a): a for a in airs}.values()]
        self.kind = np.array([kinds[id(a)] for a in airs])
        lengths = np.array([len(t) for t in self.times])
        self.all_times = np.concatenate(self.times)
        self.from_time = (np.cumsum(lengths) - lengths)[self.kind]
        counts = lengths[self.kind]
        sizes = np.bincount(lanes.lane)
        self.base = np.cumsum(counts * sizes) - counts * sizes
        self.values = np.empty(int((counts * sizes).sum()))
        self.next = np.zeros(len(sections), dtype=np.int64)
        self.peaks = Peaks.of(sections, lanes, y[: lanes.cells])
        self.lay_out(lanes, np.ones(len(y), dtype=np.bool_))
        start = self.all_times[self.from_time]
        self._write(np.ones(len(sections), dtype=np.int64), start, np.ones(len(sections)), (y, y, y, y))

    def lay_out(self, lanes: Lanes, entries: Bools) -> None:
        """Go on with the lanes that are still running: some of the entries of the state until now."""
        self.lanes = lanes
        self.peaks = self.peaks.of_entries(lanes, entries)
        self.order = np.argsort(lanes.lane, kind="stable")  # lane by lane: temperatures, then degrees of cure
        self.sizes = np.bincount(lanes.lane)
        self.begins = np.cumsum(self.sizes) - self.sizes

    def take(self, t: Floats, h: Floats, good: Bools, start: Floats, end: Floats, k: Floats) -> None:
        """Take peaks and outputs from a step of every lane.

        Parameters
        ----------
        t, h
            When it began and how long it was, shape (s,) [s].
        good
            Where it counts, shape (s,).
        start, end
            States before and after, shape (n + r,).
        k
            Its stages, shape (6, n + r).
        """
        lanes, n = self.lanes, self.lanes.cells
        p, q = rodas4.DENSE @ k
        middle = 0.5 * (start[:n] + end[:n]) + 0.25 * p[:n] + 0.125 * q[:n]
        self.peaks.take(lanes, good, t, h, middle, end[:n])
        which = lanes.which
        reached = (t + h) + 1e-9 * np.maximum(1.0, t + h)
        count = np.empty(len(which), dtype=np.int64)
        kind = self.kind[which]
        for number in np.unique(kind) if len(self.times) > 1 else (0,):
            mine = kind == number
            count[mine] = self.times[number].searchsorted(reached[mine], side="right")
        count -= self.next[which]
        count[~good] = 0
        if count.any():
            self._write(count, t, h, (start, end, p, q))

    def _write(self, count: Ints, t: Floats, h: Floats, parts: tuple[Floats, Floats, Floats, Floats]) -> None:
        """Write the next outputs of each lane, so many of each."""
        which = self.lanes.which
        lane = np.repeat(np.arange(len(which)), count)
        section = which[lane]
        place = np.arange(len(lane)) - np.repeat(np.cumsum(count) - count - self.next[which], count)
        share = (self.all_times[self.from_time[section] + place] - t[lane]) / h[lane]
        sizes = self.sizes[lane]
        within = np.arange(int(sizes.sum())) - np.repeat(np.cumsum(sizes) - sizes, sizes)
        entry = self.order.take(np.repeat(self.begins[lane], sizes) + within)
        start, end, p, q = (part.take(entry) for part in parts)
        s = np.repeat(share, sizes)
        q *= s
        q += p
        q *= 1.0 - s
        q += end
        q -= start
        q *= s
        q += start
        within += np.repeat(self.base[section] + place * sizes, sizes)
        self.values[within] = q
        self.next[which] += count

    def told(self, number: int) -> dict[str, Any]:
        """Return what a section's history has from here."""
        section, time = self.sections[number], self.times[self.kind[number]]
        n, size = len(section.widths), len(section.widths) + len(section.reacting)
        all_ = self.values[self.base[number] : self.base[number] + len(time) * size].reshape(len(time), size)
        return {
            "time": time,
            "temperature": all_[:, :n],
            "alpha": all_[:, n:],
            **self.peaks.told(number, section, time, all_[:, :n]),
        }


def _output_times(air: Air, interval: float) -> Floats:
    """Return every interval and every break, once."""
    start, end = float(air.breaks[0]), air.end
    grid = start + interval * np.arange(int((end - start) / interval) + 1)
    place = np.searchsorted(air.breaks, grid)
    near = np.minimum(
        np.abs(air.breaks[np.minimum(place, len(air.breaks) - 1)] - grid), np.abs(air.breaks[place - 1] - grid)
    )
    out: Floats = np.sort(np.concatenate([air.breaks, grid[near > 1e-6 * interval]]))
    return out
