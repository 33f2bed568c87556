"""Many programmes tried at once on the same places: what the search for a cycle runs on.

Every programme that is tried is a row; each row holds all places in all scenarios as lanes, so that one factorisation
serves them all. Rows share their steps, as shares of each row's own stretch of the air; the step of the least
patient lane is taken by all. What is kept of a row is not its course but what the limits ask about it (`Seen`), which
is brought up to date at the end and in the middle of every step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure import rodas4
from bagside.cure.design.seen import Seen, Watch
from bagside.cure.lanes import Lanes
from bagside.cure.oven import Oven
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.stages import Stages
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

TOLERANCE = 0.5
"""Error allowed in one step [K]: a design needs no more, and is checked more closely when it is found."""

LONGEST_STEP = 600.0
"""Longest step [s], so that times below a viscosity are summed finely enough."""

FIRST_STEP = 60.0
"""First step after a break of the air [s]."""

SHORTEST = 1e-4
"""Step below which the search gives up [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """The state of every programme that is tried.

    Parameters
    ----------
    temperature
        Of every cell of all lanes, shape (g, n) [K].
    alpha
        Degree of cure of every reacting cell, shape (g, r).
    reference, air
        What the air runs after and the air itself, before the places' own offsets, shape (g,) [K].
    time
        Shape (g,) [s].
    rise
        Rise of the programme at which a place's offset is there in full, shape (g,) [K].
    seen
        What the limits ask about.
    """

    temperature: Floats
    alpha: Floats
    reference: Floats
    air: Floats
    time: Floats
    rise: Floats
    seen: Seen

    def taken(self, which: Ints | Bools) -> Rows:
        """Return some of the rows, or rows several times."""
        return Rows(
            temperature=self.temperature[which],
            alpha=self.alpha[which],
            reference=self.reference[which],
            air=self.air[which],
            time=self.time[which],
            rise=self.rise[which],
            seen=self.seen.taken(which),
        )


class Rig:
    """All places in all scenarios, ready to have programmes tried on them."""

    def __init__(self, sections: Sequence[Section], resin: CureResin, oven: Oven, start: float, watch: Watch) -> None:
        self.sections, self.resin, self.oven, self.start, self.watch = tuple(sections), resin, oven, start, watch
        self.base = Lanes.of(self.sections, resin.heat)
        self.offsets = np.array([s.air_offset for s in self.sections])
        self.temperature = np.concatenate([s.temperatures_from(start) for s in self.sections])
        self.alpha = np.concatenate([s.cure_from(resin.alpha0) for s in self.sections])
        self._tiled: dict[int, Stages] = {}

    def of_lanes(self, lanes: Ints) -> Rig:
        """Return a rig of some of the lanes, shape (k,)."""
        some = tuple(self.sections[i] for i in lanes)
        watch = Watch(some, self.resin, self.watch.bounds, self.watch.target)
        return Rig(some, self.resin, self.oven, self.start, watch)

    def rows(self, count: int, top: float, alpha: Floats | None = None) -> Rows:
        """Return rows at their start.

        Parameters
        ----------
        count
            How many.
        top
            Hottest that their programmes will ask for [K].
        alpha
            Degree of cure to start from, shape (g, r); the sections' own when None.
        """
        temperature = np.repeat(self.temperature[None, :], count, axis=0)
        cure = np.repeat(self.alpha[None, :], count, axis=0) if alpha is None else alpha
        start, rise = np.full(count, self.start), np.full(count, max(top - self.start, 0.0))
        return Rows(
            temperature=temperature,
            alpha=cure,
            reference=start,
            air=start.copy(),
            time=np.zeros(count),
            rise=rise,
            seen=self.watch.begun(temperature, cure, self._local(start, rise)),
        )

    def rising(self, rows: Rows, rise: Floats) -> Rows:
        """Return rows whose programmes rise so far, shape (g,) [K]."""
        air = self._local(rows.air, rise)
        seen = replace(rows.seen, air=np.where(rows.time[:, None] > 0.0, rows.seen.air, air))
        return replace(rows, rise=rise, seen=seen)

    def _local(self, air: Floats, rise: Floats) -> Floats:
        """Return the air at every lane, shape (g, b) [K]."""
        share = np.divide(air - self.start, rise, out=np.ones_like(air), where=rise > 0.0)
        out: Floats = air[:, None] + self.offsets[None, :] * share[:, None]
        return out

    def _stages(self, count: int) -> Stages:
        """Return the step of that many rows."""
        if count not in self._tiled:
            if len(self._tiled) > 64:
                self._tiled.clear()
            self._tiled[count] = Stages.of(_tiled(self.base, count), self.resin.kinetics)
        return self._tiled[count]

    def stretched(self, rows: Rows, duration: Floats, rate: Floats, longest: float | None = None) -> Rows:
        """Return the rows after one straight stretch of the air's reference each.

        Parameters
        ----------
        rows
            Before.
        duration
            Of each row's stretch, shape (g,) [s].
        rate
            Slope of the reference, shape (g,) [K/s].
        longest
            Longest step of the solver when it is not the usual one [s].

        Raises
        ------
        NotSolved
            When the steps become too short.
        """
        if not len(rows.time) or not (duration > 0.0).any():
            return rows
        with np.errstate(all="ignore"):  # a step that leaves the numbers is rejected and shortened
            return self._stretched(rows, np.maximum(duration, 1e-3), rate, longest or LONGEST_STEP)

    def _stretched(self, rows: Rows, duration: Floats, rate: Floats, longest_step: float) -> Rows:
        count = len(rows.time)
        stages = self._stages(count)
        lanes = stages.lanes
        b = len(self.sections)
        longest = float(duration.max())
        part, done, before = min(1.0, FIRST_STEP / longest), 0.0, 1.0
        lag = self.oven.lag
        excess = rows.air - rows.reference + rate * lag
        gain = 1.0 + np.divide(
            self.offsets[None, :], rows.rise[:, None], out=np.zeros((count, b)), where=rows.rise[:, None] > 0.0
        )
        shift = np.where(rows.rise[:, None] > 0.0, (1.0 - gain) * self.start, np.broadcast_to(self.offsets, (count, b)))

        def mean(since: Floats) -> Floats:
            out: Floats = rows.reference + rate * (since - lag)
            return out + excess * np.exp(-since / lag) if lag > 0.0 else out

        def local(since: Floats) -> Floats:
            out: Floats = (gain * mean(since)[:, None] + shift).ravel()
            return out

        def slope(since: Floats) -> Floats:
            mean_slope = rate - (excess / lag * np.exp(-since / lag) if lag > 0.0 else 0.0)
            out: Floats = (gain * mean_slope[:, None]).ravel()
            return out

        n = lanes.cells
        y = np.concatenate([rows.temperature.ravel(), rows.alpha.ravel()])
        seen = rows.seen
        while done < 1.0:
            left = 1.0 - done
            part = left if part * 1.0001 >= left else (0.5 * left if 2.0 * part > left else part)
            since, h = done * duration, part * duration
            air = np.array([local(since + c * h) for c in rodas4.TIMES])
            new, k, believed = stages.step(y, np.repeat(h, b), air, slope(since))
            error = float(stages.error(k[5]).max()) / TOLERANCE if believed.all() else np.inf
            if not error <= 1.0:
                part *= float(np.clip(0.9 * error**-0.25, 0.2, 0.9)) if np.isfinite(error) else 0.25
                if part * longest < SHORTEST:
                    raise NotSolved(f"the search for a cycle got stuck: its step is {part * longest:.2g} s")
                continue
            p, q = rodas4.DENSE @ k
            middle = 0.5 * (y + new) + 0.25 * p + 0.125 * q
            for state, share, span in ((middle, 0.5, 0.5), (new, 1.0, 0.5)):
                at = since + share * h
                seen = self.watch.updated(
                    seen,
                    state[:n].reshape(count, -1),
                    state[n:].reshape(count, -1),
                    local(at).reshape(count, b),
                    rows.time + at,
                    span * h,
                    state is new,
                )
            y = new
            error = max(error, 1e-8)
            grow = float(np.clip(0.9 * error**-0.25 * (before / error) ** 0.08, 0.2, 6.0))
            before = max(error, 1e-2)
            done = 1.0 if part == left else done + part
            part = min(part * grow, longest_step / longest)
        return Rows(
            temperature=y[:n].reshape(count, -1),
            alpha=y[n:].reshape(count, -1),
            reference=rows.reference + rate * duration,
            air=mean(duration),
            time=rows.time + duration,
            rise=rows.rise,
            seen=seen,
        )


def _tiled(base: Lanes, count: int) -> Lanes:
    """Return lanes of a number of rows, each with the lanes of the base."""
    n, s, r = base.cells, len(base.first), len(base.reacting)
    row = np.arange(count)

    def shifted(index: NDArray[np.int64], by: int) -> NDArray[np.int64]:
        out: NDArray[np.int64] = (index[None, :] + by * row[:, None]).ravel()
        return out

    return replace(
        base,
        which=np.arange(count * s),
        lane=np.concatenate([shifted(base.lane[:n], s), shifted(base.lane[n:], s)]),
        mass=np.concatenate([np.tile(base.mass[:n], count), np.ones(count * r)]),
        up=np.tile(base.up, count),
        out=np.tile(base.out, count),
        first=shifted(base.first, n),
        last=shifted(base.last, n),
        bag=np.tile(base.bag, count),
        tool=np.tile(base.tool, count),
        radiating=None if base.radiating is None else np.tile(base.radiating, (1, 1, count)),
        reacting=shifted(base.reacting, n),
        freed=np.tile(base.freed, count),
        pace=None if base.pace is None else np.tile(base.pace, count),
    )
