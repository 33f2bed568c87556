"""The time stepping: every lane with its own time, step and stretch of the programme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure import rodas4
from bagside.cure.air import Air
from bagside.cure.air_table import AirTable
from bagside.cure.history import SectionHistory
from bagside.cure.lanes import Lanes
from bagside.cure.peaks import Peaks
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

AFTER_BREAK = 30.0
"""Longest first step after a break of the programme [s]; output inside it is least exact."""

ALPHA_WEIGHT = 200.0
"""A degree of cure wrong by 1/200 counts as much as a temperature wrong by one kelvin [K]."""

SHORTEST = 1e-6
"""Step below which the solver gives up [s]."""

STORE = 12_000_000
"""Numbers kept before output is interpolated from them: about 100 MB, reached by a thousand lanes only."""


def _scaled(section: Section, air: Air) -> tuple[float, float]:
    """Return gain and shift that put the place's own offset on the air."""
    start = float(air.programme[0])
    rise = float(air.programme.max()) - start
    if section.air_offset == 0.0:
        return 1.0, 0.0
    if rise <= 0.0:
        return 1.0, section.air_offset
    share = section.air_offset / rise
    return 1.0 + share, -share * start


@dataclass(slots=True)
class _Store:
    """Accepted steps that output has not been taken from yet."""

    room: int
    used: int
    time: Floats
    length: Floats
    good: Bools
    data: Floats  # start, end and the two sums of dense output of each step, shape (room, 4, n + r)

    @classmethod
    def of(cls, lanes: Lanes) -> _Store:
        size = len(lanes.lane)
        room = int(np.clip(STORE // (4 * size), 4, 256))
        s = len(lanes.which)
        return cls(
            room=room,
            used=0,
            time=np.empty((room, s)),
            length=np.empty((room, s)),
            good=np.empty((room, s), dtype=np.bool_),
            data=np.empty((room, 4, size)),
        )


class Run:
    """One run of the time stepping; the only place in this room that changes arrays in place."""

    def __init__(
        self,
        sections: Sequence[Section],
        resin: CureResin,
        airs: list[Air],
        output_interval: float,
        tolerance: float,
        max_steps: int,
    ) -> None:
        self.sections, self.kinetics, self.airs = sections, resin.kinetics, airs
        self.heat = resin.heat
        self.tolerance, self.max_steps = tolerance, max_steps
        scale = np.array([_scaled(s, a) for s, a in zip(sections, airs, strict=True)])
        self.gain, self.shift = scale[:, 0], scale[:, 1]
        self.table = AirTable.of(airs, self.gain, self.shift)
        self.lanes = Lanes.of(sections, resin.heat)
        temperature = [s.temperatures_from(float(a.programme[0])) for s, a in zip(sections, airs, strict=True)]
        alpha = [s.cure_from(resin.alpha0) for s in sections]
        self.y = np.concatenate([*temperature, *alpha])
        self.row = self.table.first.copy()
        self.t = self.table.start[self.row]
        self.h = np.full(len(sections), 10.0)
        self.before = np.full(len(sections), 1.0)
        self.steps = np.zeros(len(sections), dtype=np.int64)
        self.times = [_output_times(a, output_interval) for a in airs]
        self.taken = [1] * len(sections)
        self.temperature = [np.empty((len(x), len(t))) for x, t in zip(self.times, temperature, strict=True)]
        self.alpha = [np.empty((len(x), len(a))) for x, a in zip(self.times, alpha, strict=True)]
        for i, (t, a) in enumerate(zip(temperature, alpha, strict=True)):
            self.temperature[i][0], self.alpha[i][0] = t, a
        self.peaks = [Peaks.of(s, t) for s, t in zip(sections, temperature, strict=True)]
        self.store = _Store.of(self.lanes)

    def to_the_end(self) -> None:
        """Step until every lane has reached its end."""
        tried = 0
        while len(self.lanes.which):
            self._step()
            tried += 1
            stuck = ~(self.h > SHORTEST)
            if tried >= self.max_steps or stuck.any():
                i = int(np.argmax(stuck)) if stuck.any() else int(np.argmin(self.t))
                raise NotSolved(
                    f"{self.sections[self.lanes.which[i]].name}: after {tried} steps the cure is computed up to "
                    f"{self.t[i]:.0f} s only; the step is {self.h[i]:.2g} s for a tolerance of {self.tolerance:g} K"
                )
            going = self.row <= self.table.last[self.lanes.which]
            if not going.all():
                self._emit()
                self.lanes, entries = self.lanes.kept(going)
                self.y = self.y[entries]
                for name in ("row", "t", "h", "before"):
                    setattr(self, name, getattr(self, name)[going])
                if len(self.lanes.which):
                    self.store = _Store.of(self.lanes)
            elif self.store.used == self.store.room:
                self._emit()

    def _step(self) -> None:
        """Try one step in every lane."""
        lanes, table, n = self.lanes, self.table, self.lanes.cells
        rest = table.end[self.row] - self.t
        h = np.where(self.h * 1.0001 >= rest, rest, np.where(self.h * 2.0 > rest, 0.5 * rest, self.h))
        lands = h == rest
        over = 1.0 / h[lanes.lane]
        mass = lanes.mass * over
        rate, f_alpha, f_t = lanes.rate_and_slopes(self.y, self.kinetics)
        over *= 1.0 / rodas4.GAMMA
        blocked = np.bincount(lanes.lane[n:], weights=~(f_alpha < over[n:]), minlength=len(h)) > 0
        by_air_bag, by_air_tool, by_bag, by_tool = lanes.faces(self.y, table.at(self.row, self.t))
        factor = lanes.factorised(over, f_alpha, f_t, by_bag, by_tool)
        rise = h * table.rise(self.row, self.t)
        k = np.empty((6, len(self.y)))
        y = self.y
        for i in range(6):
            if i:
                y = self.y + rodas4.A[i] @ k[:i]
                rate = lanes.rate(y, self.kinetics)
            f = lanes.balance(y, rate, table.at(self.row, self.t + rodas4.TIMES[i] * h))
            if i:
                f += mass * (rodas4.C[i] @ k[:i])
            if rodas4.SLOPES[i]:
                f[lanes.first] += by_air_bag * (rodas4.SLOPES[i] * rise)
                f[lanes.last] += by_air_tool * (rodas4.SLOPES[i] * rise)
            k[i] = factor.solve(f)
        y = y + k[5]
        error = self._error(k[5])
        good = (error <= 1.0) & ~blocked & factor.usable
        self._remember(y, k, h, good)
        self.y = np.where(good[lanes.lane], y, self.y)
        self._advance(h, error, good, lands)

    def _error(self, k: Floats) -> Floats:
        lanes, n = self.lanes, self.lanes.cells
        s = len(lanes.which)
        heat = np.bincount(lanes.lane[:n], weights=k[:n] ** 2, minlength=s) / (lanes.last - lanes.first + 1)
        cure = np.bincount(lanes.lane[n:], weights=k[n:] ** 2, minlength=s)
        count = np.bincount(lanes.lane[n:], minlength=s)
        out: Floats = np.sqrt(np.maximum(heat, ALPHA_WEIGHT**2 * cure / np.maximum(count, 1))) / self.tolerance
        out[~np.isfinite(out)] = np.inf
        return out

    def _remember(self, y: Floats, k: Floats, h: Floats, good: Bools) -> None:
        store = self.store
        i = store.used
        store.time[i], store.length[i], store.good[i] = self.t, h, good
        store.data[i, 0], store.data[i, 1] = self.y, y
        np.matmul(rodas4.DENSE, k, out=store.data[i, 2:])
        store.used += 1

    def _advance(self, h: Floats, error: Floats, good: Bools, lands: Bools) -> None:
        error = np.maximum(error, 1e-8)
        grow = 0.9 * error**-0.25 * np.where(good, (self.before / error) ** 0.08, 1.0)
        grow = np.where(good, np.clip(grow, 0.2, 6.0), np.clip(grow, 0.2, 0.9))
        proposed = h * grow
        # a step cut short to land on a break says little about the step that comes after
        self.h = np.where(good & (h < self.h), np.maximum(proposed, self.h), proposed)
        self.before = np.where(good, np.maximum(error, 1e-2), self.before)
        arrived = good & lands
        self.t = np.where(arrived, self.table.end[self.row], np.where(good, self.t + h, self.t))
        self.h = np.where(arrived, np.minimum(self.h, AFTER_BREAK), self.h)
        self.steps[self.lanes.which] += good
        self.row = self.row + arrived

    def _emit(self) -> None:
        """Interpolate output from the steps kept so far."""
        store, lanes, n = self.store, self.lanes, self.lanes.cells
        used, store.used = store.used, 0
        ends = np.searchsorted(lanes.lane[n:], np.arange(len(lanes.which) + 1)) + n
        for i, section in enumerate(lanes.which):
            good = np.flatnonzero(store.good[:used, i])
            if not len(good):
                continue
            starts, lengths = store.time[good, i], store.length[good, i]
            cells = slice(lanes.first[i], lanes.last[i] + 1)
            y0, y1, p, q = (store.data[:, part, cells][good] for part in range(4))
            self.peaks[section].take(starts + 0.5 * lengths, 0.5 * (y0 + y1) + 0.25 * p + 0.125 * q)
            self.peaks[section].take(starts + lengths, y1)
            times = self.times[section]
            reached = starts[-1] + lengths[-1]
            end = reached + 1e-9 * max(1.0, reached)
            a, b = self.taken[section], int(np.searchsorted(times, end, side="right"))
            if a == b:
                continue
            j = np.maximum(np.searchsorted(starts, times[a:b], side="left") - 1, 0)
            s = ((times[a:b] - starts[j]) / lengths[j])[:, None]
            step = good[j]
            for target, piece in (
                (self.temperature[section], cells),
                (self.alpha[section], slice(ends[i], ends[i + 1])),
            ):
                y0, y1, p, q = (store.data[:, part, piece][step] for part in range(4))
                target[a:b] = (1.0 - s) * y0 + s * (y1 + (1.0 - s) * (p + s * q))
            self.taken[section] = b

    def histories(self) -> tuple[SectionHistory, ...]:
        """Return what was computed."""
        return tuple(
            SectionHistory(
                section=s,
                time=self.times[i],
                programme=self.airs[i].asked(self.times[i]),
                air=self.gain[i] * self.airs[i].at(self.times[i]) + self.shift[i],
                temperature=self.temperature[i],
                alpha=self.alpha[i],
                **self.peaks[i].told(self.times[i], self.temperature[i]),
                heat=self.heat,
                steps=int(self.steps[i]),
            )
            for i, s in enumerate(self.sections)
        )


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
