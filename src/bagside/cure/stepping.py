"""The time stepping: every lane with its own time, step and stretch of the programme."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure import rodas4
from bagside.cure.air import Air
from bagside.cure.air_table import AirTable
from bagside.cure.history import SectionHistory
from bagside.cure.lanes import Lanes
from bagside.cure.output import Output
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.stages import Stages
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

AFTER_BREAK = 30.0
"""Longest first step after a break of the programme [s]; output inside it is least exact."""

FORESIGHT = (0.7, 1.5)
"""Least a step that was accepted leaves of itself to the next, as at a jump of the rate a trend means little; and most
that a falling error adds to what the error itself allows."""

SHORTEST = 1e-6
"""Step below which the solver gives up [s]."""

FEW = 0.75
"""Share of lanes still running at which the finished ones are taken out; until then they idle."""


def _scaled(section: Section, start: float, rise: float) -> tuple[float, float]:
    """Return gain and shift that put the place's own offset on an air that starts and rises so."""
    if section.air_offset == 0.0:
        return 1.0, 0.0
    if rise <= 0.0:
        return 1.0, section.air_offset
    share = section.air_offset / rise
    return 1.0 + share, -share * start


class Run:
    """One run of the time stepping; with its output the only place in this room that changes arrays in place."""

    def __init__(
        self,
        sections: Sequence[Section],
        resin: CureResin,
        airs: list[Air],
        output_interval: float,
        tolerance: float,
        max_steps: int,
    ) -> None:
        self.sections, self.airs = sections, airs
        self.heat = resin.heat
        self.tolerance, self.max_steps = tolerance, max_steps
        kinds = {id(a): a for a in airs}
        starts = {key: (float(a.programme[0]), float(a.programme.max() - a.programme[0])) for key, a in kinds.items()}
        scale = np.array([_scaled(s, *starts[id(a)]) for s, a in zip(sections, airs, strict=True)])
        self.gain, self.shift = scale[:, 0], scale[:, 1]
        self.table = AirTable.of(airs, self.gain, self.shift)
        lanes = Lanes.of(sections, resin.heat)
        self.stages = Stages.of(lanes, resin.kinetics)
        self.y = np.concatenate(
            [
                *(s.temperatures_from(starts[id(a)][0]) for s, a in zip(sections, airs, strict=True)),
                *(s.cure_from(resin.alpha0) for s in sections),
            ]
        )
        self.row = self.table.first.copy()
        self.t = self.table.start[self.row]
        self.h = np.full(len(sections), 10.0)
        self.before = np.full(len(sections), 1.0)
        self.taken = np.full(len(sections), np.nan)
        self.steps = np.zeros(len(sections), dtype=np.int64)
        self.output = Output(sections, airs, lanes, self.y, output_interval)

    def to_the_end(self) -> None:
        """Step until every lane has reached its end."""
        tried = 0
        while True:
            going = self.row <= self.table.last[self.stages.lanes.which]
            running = int(np.count_nonzero(going))
            if running == 0:
                return
            stuck = going & ~(self.h > SHORTEST)
            if tried >= self.max_steps or stuck.any():
                self._give_up(tried, stuck)
            if running <= FEW * len(going):
                self._take_out(going)
                going = going[going]
            self._step(going)
            tried += 1

    def _give_up(self, tried: int, stuck: Bools) -> None:
        i = int(np.argmax(stuck)) if stuck.any() else int(np.argmin(self.t))
        raise NotSolved(
            f"{self.sections[self.stages.lanes.which[i]].name}: after {tried} steps the cure is computed up to "
            f"{self.t[i]:.0f} s only; the step is {self.h[i]:.2g} s for a tolerance of {self.tolerance:g} K"
        )

    def _take_out(self, going: Bools) -> None:
        lanes, entries = self.stages.lanes.kept(going)
        self.stages = Stages.of(lanes, self.stages.kinetics)
        self.y = self.y[entries]
        for name in ("row", "t", "h", "before", "taken"):
            setattr(self, name, getattr(self, name)[going])
        self.output.lay_out(lanes, entries)

    def _step(self, going: Bools) -> None:
        """Try one step in every lane; those that are not going on stay where they are."""
        table, lanes = self.table, self.stages.lanes
        row = np.minimum(self.row, table.last[lanes.which])
        rest = np.where(going, table.end[row] - self.t, self.h)
        h = np.where(self.h * 1.0001 >= rest, rest, np.where(self.h * 2.0 > rest, 0.5 * rest, self.h))
        air = table.at(row, self.t + rodas4.TIMES[:, None] * h)
        y, k, good = self.stages.step(self.y, h, air, table.rise(row, self.t))
        error = self.stages.error(k[5]) / self.tolerance
        good = good & going & (error <= 1.0)
        self.output.take(self.t, h, good, self.y, y, k)
        self.y = y if good.all() else np.where(good[lanes.lane], y, self.y)
        self._advance(h, error, good, good & (h == rest), going)

    def _advance(self, h: Floats, error: Floats, good: Bools, arrived: Bools, going: Bools) -> None:
        error = np.maximum(error, 1e-8)
        grow = 0.9 * error**-0.25
        # an error that grew over the last two steps goes on growing, one that fell goes on falling: foreseen, a runaway
        # costs few failed steps and what dies away after a break few steps at all
        trend = (h / self.taken) * (self.before / error) ** 0.25
        steady = grow * (self.before / error) ** 0.08
        slower = np.fmin(steady, np.maximum(grow * trend, FORESIGHT[0]))
        faster = np.fmax(steady, grow * np.minimum(trend, FORESIGHT[1]))
        grow = np.where(good, np.where(trend < 1.0, slower, faster), grow)
        grow = np.minimum(np.maximum(grow, 0.2), np.where(good, 6.0, 0.9))
        proposed = h * grow
        # a step cut short to land on a break says little about the step that comes after
        proposed = np.where(good & (h < self.h), np.maximum(proposed, self.h), proposed)
        self.before = np.where(good, np.maximum(error, 1e-2), self.before)
        self.taken = np.where(arrived, np.nan, np.where(good, h, self.taken))
        self.t = np.where(good, self.t + h, self.t)
        self.t[arrived] = self.table.end[self.row[arrived]]
        self.h = np.where(going, np.where(arrived, np.minimum(proposed, AFTER_BREAK), proposed), self.h)
        self.steps[self.stages.lanes.which] += good
        self.row = self.row + arrived

    def histories(self) -> tuple[SectionHistory, ...]:
        """Return what was computed."""
        seen: dict[int, tuple[Floats, Floats]] = {}
        out = []
        for i, (section, air) in enumerate(zip(self.sections, self.airs, strict=True)):
            told = self.output.told(i)
            if id(air) not in seen:
                seen[id(air)] = air.asked(told["time"]), air.at(told["time"])
            programme, plain = seen[id(air)]
            out.append(
                SectionHistory(
                    section=section,
                    programme=programme,
                    air=self.gain[i] * plain + self.shift[i],
                    heat=self.heat,
                    steps=int(self.steps[i]),
                    **told,
                )
            )
        return tuple(out)
