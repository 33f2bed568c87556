"""What is kept of the steps: output in between them by dense interpolation, and how hot every cell ever was.

Accepted steps of all lanes are stored as they come and read out in batches; interpolating lane by lane at every step
would cost more than the steps.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure import rodas4
from bagside.cure.lanes import Lanes
from bagside.cure.peaks import Peaks
from bagside.cure.section import Section

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ROOM = 256
"""Most steps that are stored before output is taken from them."""

NUMBERS = 4_000_000
"""Most numbers that are stored, about 32 MB, reached by hundreds of lanes only."""


class Output:
    """Temperatures, degrees of cure and peaks of all sections, filled as the steps are taken."""

    def __init__(self, sections: Sequence[Section], lanes: Lanes, y: Floats, times: Sequence[Floats]) -> None:
        self.sections, self.times = sections, times
        n = lanes.cells
        cells = np.append(lanes.first, n)
        alphas = n + np.concatenate([[0], np.cumsum([len(s.reacting) for s in sections])])
        self.cells = [slice(a, b) for a, b in pairwise(cells.tolist())]
        self.taken = [1] * len(sections)
        self.temperature = [np.empty((len(t), k)) for t, k in zip(times, np.diff(cells), strict=True)]
        self.alpha = [np.empty((len(t), k)) for t, k in zip(times, np.diff(alphas), strict=True)]
        for i, (t, a) in enumerate(zip(self.temperature, self.alpha, strict=True)):
            t[0], a[0] = y[cells[i] : cells[i + 1]], y[alphas[i] : alphas[i + 1]]
        self.peaks = Peaks.of(sections, lanes, y[:n])
        self.origin = np.arange(len(y))
        self.pool = np.empty(4 * len(y) * int(np.clip(NUMBERS // (4 * len(y)), 4, ROOM)))
        self.lay_out(lanes, np.ones(len(y), dtype=np.bool_))

    def lay_out(self, lanes: Lanes, entries: Bools) -> None:
        """Make room for steps of the lanes that are still running: some of the entries of the state until now."""
        size, s = len(lanes.lane), len(lanes.which)
        self.lanes, self.origin, self.used = lanes, self.origin[entries], 0
        self.room = min(len(self.pool) // (4 * size), ROOM)
        self.time = np.empty((self.room, s))
        self.length = np.empty((self.room, s))
        self.good = np.empty((self.room, s), dtype=np.bool_)
        # start, end and the two sums of dense output of each step
        self.data = self.pool[: self.room * 4 * size].reshape(self.room, 4, size)

    def remember(self, t: Floats, h: Floats, good: Bools, start: Floats, end: Floats, k: Floats) -> None:
        """Store one step of every lane, accepted or not."""
        i = self.used
        self.time[i], self.length[i], self.good[i] = t, h, good
        self.data[i, 0], self.data[i, 1] = start, end
        np.matmul(rodas4.DENSE, k, out=self.data[i, 2:])
        self.used += 1
        if self.used == self.room:
            self.read_out()

    def read_out(self) -> None:
        """Take peaks and output from the steps that are stored."""
        used, self.used = self.used, 0
        if not used:
            return
        self._take_peaks(used)
        lanes, n = self.lanes, self.lanes.cells
        begin = np.append(lanes.first, n)
        alpha = np.searchsorted(lanes.lane[n:], np.arange(len(lanes.which) + 1)) + n
        for i, section in enumerate(lanes.which.tolist()):
            good = np.flatnonzero(self.good[:used, i])
            if not len(good):
                continue
            starts, lengths = self.time[good, i], self.length[good, i]
            times, a = self.times[section], self.taken[section]
            reached = starts[-1] + lengths[-1]
            b = int(times.searchsorted(reached + 1e-9 * max(1.0, reached), side="right"))
            if a == b:
                continue
            j = np.maximum(starts.searchsorted(times[a:b], side="left") - 1, 0)
            s = ((times[a:b] - starts[j]) / lengths[j])[:, None]
            step = good[j]
            self.temperature[section][a:b] = self._between(slice(begin[i], begin[i + 1]), step, s)
            self.alpha[section][a:b] = self._between(slice(alpha[i], alpha[i + 1]), step, s)
            self.taken[section] = b

    def _between(self, entries: slice, step: NDArray[np.int64], s: Floats) -> Floats:
        kept = self.data[:, :, entries][step]
        start, end, p, q = kept[:, 0], kept[:, 1], kept[:, 2], kept[:, 3]
        q *= s
        q += p
        q *= 1.0 - s
        q += end
        q -= start
        q *= s
        q += start
        return q

    def _take_peaks(self, used: int) -> None:
        lanes, n = self.lanes, self.lanes.cells
        start, end, p, q = (self.data[:used, part, :n] for part in range(4))
        middle = 0.5 * (start + end) + 0.25 * p + 0.125 * q
        bad = ~self.good[:used]
        if bad.any():
            nowhere = bad[:, lanes.lane[:n]]
            end = np.where(nowhere, -np.inf, end)
            middle[nowhere] = -np.inf
        time, length = self.time[:used], self.length[:used]
        self.peaks.take(lanes, self.origin, middle, time + 0.5 * length)
        self.peaks.take(lanes, self.origin, end, time + length)

    def told(self, number: int) -> dict[str, Any]:
        """Return what a section's history has from here."""
        t, time = self.temperature[number], self.times[number]
        return {
            "time": time,
            "temperature": t,
            "alpha": self.alpha[number],
            **self.peaks.told(number, self.cells[number], self.sections[number], time, t),
        }
