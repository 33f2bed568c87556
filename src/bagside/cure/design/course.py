"""Programmes as rows of numbers: many variations of one shape, always ones that the oven can follow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.bounds import Power
from bagside.cure.design.controller import ZERO_C, Controller, Kind
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme, Segment

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

FLAT = 1.0
"""A line that rises or falls by less counts as a hold [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How fast the air may change, by oven, heater and controller.

    Parameters
    ----------
    heating, cooling
        Fastest, both above zero [K/s].
    slowest
        Smallest rate that can be told [K/s].
    hottest
        [K].
    power
        What the heater gives; None when it is no limit.
    falls
        Whether a programme may fall before the cooling at its end.
    """

    heating: float
    cooling: float
    slowest: float
    hottest: float
    power: Power | None
    falls: bool = False

    @classmethod
    def of(cls, oven: Oven, controller: Controller, power: Power | None) -> Pace:
        """Return how fast the air may change."""
        hottest = oven.hottest
        if power is not None and power.loss > 0.0:
            hottest = min(hottest, power.room + power.heater / power.loss)
        return cls(
            heating=min(oven.heating, controller.fastest),
            cooling=min(oven.cooling, controller.fastest),
            slowest=controller.slowest,
            hottest=hottest,
            power=power,
            falls=controller.falls,
        )

    def limit(self, before: Floats | NDArray[Any], after: Floats | NDArray[Any]) -> Floats:
        """Return the fastest change between temperatures, any shape [K/s]."""
        up = np.full(np.shape(after), self.heating)
        if self.power is not None and self.power.heated > 0.0:
            spare = self.power.heater - self.power.loss * np.maximum(after - self.power.room, 0.0)
            up = np.minimum(up, np.maximum(spare / self.power.heated, 1e-6))
        out: Floats = np.where(after >= before, up, self.cooling)
        return out

    def fastest(self, before: float, after: float) -> float:
        """Return the fastest change between two temperatures [K/s]."""
        return float(self.limit(np.array([before]), np.array([after]))[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Ramps and holds in their order; numbers say how far and how long.

    Parameters
    ----------
    start
        [K].
    ramps
        Which lines are ramps, the others being holds, shape (m,).
    pace
        How fast the air may change.

    Notes
    -----
    A ramp has two numbers, its target [K] and by how much it takes longer than it must [s]; a hold has its time [s]. So
    every row of numbers is a programme that the oven can follow. Where programmes may not fall, a target below the one
    before counts as that.
    """

    start: float
    ramps: tuple[bool, ...]
    pace: Pace

    @property
    def is_temperature(self) -> Bools:
        """Which numbers are temperatures, shape (p,)."""
        return np.array([flag for ramp in self.ramps for flag in ((True, False) if ramp else (False,))])

    @property
    def lower(self) -> Floats:
        """Least that each number may be, shape (p,)."""
        return np.where(self.is_temperature, min(self.start, 293.15), 0.0)

    @property
    def upper(self) -> Floats:
        """Most that each number may be, shape (p,)."""
        return np.where(self.is_temperature, self.pace.hottest, 48 * 3600.0)

    def lines(self, numbers: Floats) -> tuple[Floats, Floats]:
        """Return time and end temperature of every line, shape (g, m) each [s, K].

        Parameters
        ----------
        numbers
            Shape (g, p).
        """
        count = len(numbers)
        time, end = np.empty((count, len(self.ramps))), np.empty((count, len(self.ramps)))
        at, k = np.full(count, self.start), 0
        for i, ramp in enumerate(self.ramps):
            if ramp:
                to = numbers[:, k] if self.pace.falls else np.maximum(numbers[:, k], at)
                time[:, i] = np.abs(to - at) / self.pace.limit(at, to) + np.maximum(numbers[:, k + 1], 0.0)
                at, k = to, k + 2
            else:
                time[:, i] = np.maximum(numbers[:, k], 0.0)
                k += 1
            end[:, i] = at
        return time, end

    @classmethod
    def fitted(cls, start: float, time: Floats, air: Floats, kind: Kind, pace: Pace) -> tuple[Shape, Floats]:
        """Return the shape of a course of straight lines, and its numbers, shape (p,).

        Parameters
        ----------
        start
            Temperature at the start [K].
        time, air
            Corners, shape (k,) [s, K].
        kind
            With segments of a rate and a hold, every ramp gets a hold after it, of no time at first.
        pace
            How fast the air may change.
        """
        ramps: list[bool] = []
        numbers: list[float] = []
        at = start
        for span, end in zip(np.diff(time), air[1:], strict=True):
            flat = abs(end - at) < FLAT
            if kind is Kind.RATE and flat:
                if ramps and not ramps[-1]:
                    numbers[-1] += float(span)
                    continue
                ramps.append(False)
                numbers.append(float(span))
                continue
            if kind is Kind.RATE and ramps and ramps[-1]:
                ramps.append(False)
                numbers.append(0.0)
            ramps.append(True)
            least = abs(end - at) / pace.fastest(at, float(end))
            numbers += [float(end), max(float(span) - least, 0.0)]
            at = float(end)
        if kind is Kind.RATE and ramps[-1]:
            ramps.append(False)
            numbers.append(0.0)
        return cls(start=start, ramps=tuple(ramps), pace=pace), np.array(numbers)


def segments_needed(time: Floats, air: Floats, kind: Kind) -> int:
    """Return how many segments of a controller straight lines take, shape (k,) each."""
    steep = np.abs(np.diff(air)) >= FLAT
    if kind is Kind.TIME:
        return len(steep)
    return int(steep.sum()) + int(not steep[0])


def k_lines(ramps: tuple[bool, ...], numbers: int) -> int:
    """Return how many lines a count of numbers makes up."""
    used = 0
    for i, ramp in enumerate(ramps):
        used += 2 if ramp else 1
        if used >= numbers:
            return i + 1
    return len(ramps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """A programme as it is set on a controller: whole steps of temperature, rate and time.

    Parameters
    ----------
    shape
        Ramps and holds in their order.
    steps
        Whole numbers: target and rate, or target and time, of a ramp; time of a hold; shape (p,).
    controller
        What it is set on.
    """

    shape: Shape
    steps: tuple[int, ...]
    controller: Controller

    @classmethod
    def rounded(cls, shape: Shape, numbers: Floats, controller: Controller) -> Settings:
        """Return the nearest settings, every corner as near to its time as it goes, shape (p,)."""
        time, end = (x[0] for x in shape.lines(numbers[None, :]))
        at, now, over = shape.start, 0.0, np.cumsum(time)
        made = cls(shape=shape, steps=(0,) * len(numbers), controller=controller)
        steps = list(made.steps)
        k = 0
        for ramp, when, to in zip(shape.ramps, over, end, strict=True):
            span = max(float(when) - now, 0.0)
            if ramp:
                steps[k] = round((to - ZERO_C) / controller.temperature_step)
                if controller.kind is Kind.RATE:
                    steps[k + 1] = round(abs(to - at) / max(span, 1e-9) / controller.rate_step)
                else:
                    steps[k + 1] = round(span / controller.time_step)
                k += 2
            else:
                steps[k] = round(span / controller.time_step)
                k += 1
            made = made.mended(np.array([steps]))[0]
            steps = list(made.steps)
            times, ends = made.lines
            done = k_lines(shape.ramps, k)
            at, now = float(ends[done - 1]), float(times[:done].sum())
        return made

    def mended(self, steps: NDArray[np.int64]) -> list[Settings]:
        """Return settings with each row of steps brought to what oven and controller can do, shape (g, p)."""
        out = np.array(steps, dtype=np.int64)
        c, pace = self.controller, self.shape.pace
        top = int(np.floor((pace.hottest - ZERO_C) / c.temperature_step + 1e-9))
        at, k = np.full(len(out), self.shape.start), 0
        for ramp in self.shape.ramps:
            if not ramp:
                out[:, k] = np.maximum(out[:, k], 0)
                k += 1
                continue
            if not pace.falls:
                out[:, k] = np.maximum(out[:, k], np.ceil((at - ZERO_C) / c.temperature_step - 1e-6))
            out[:, k] = np.minimum(out[:, k], top)
            to = out[:, k] * c.temperature_step + ZERO_C
            limit = pace.limit(at, to)
            if c.kind is Kind.RATE:
                most = np.floor(limit / c.rate_step + 1e-6)
                least = np.maximum(np.ceil(c.slowest / c.rate_step - 1e-6), 1.0)
                out[:, k + 1] = np.clip(out[:, k + 1], least, np.maximum(most, least))
            else:
                change = np.abs(to - at)
                least = np.ceil(change / limit / c.time_step - 1e-6)
                most = np.where(change > 1e-6, np.floor(change / c.slowest / c.time_step + 1e-6), np.inf)
                out[:, k + 1] = np.clip(out[:, k + 1], least, np.maximum(most, least))
            at, k = to, k + 2
        return [Settings(shape=self.shape, steps=tuple(int(x) for x in row), controller=c) for row in out]

    @property
    def lines(self) -> tuple[Floats, Floats]:
        """Time and end temperature of every line, shape (m,) each [s, K]."""
        c, at, k = self.controller, self.shape.start, 0
        time, end = [], []
        for ramp in self.shape.ramps:
            if ramp:
                to = self.steps[k] * c.temperature_step + ZERO_C
                if c.kind is Kind.RATE:
                    time.append(abs(to - at) / (self.steps[k + 1] * c.rate_step))
                else:
                    time.append(self.steps[k + 1] * c.time_step)
                at, k = to, k + 2
            else:
                time.append(self.steps[k] * c.time_step)
                k += 1
            end.append(at)
        return np.array(time), np.array(end)

    @property
    def numbers(self) -> Floats:
        """The same as numbers of the shape, shape (p,)."""
        at, out = self.shape.start, []
        for ramp, span, to in zip(self.shape.ramps, *self.lines, strict=True):
            if ramp:
                least = abs(float(to) - at) / self.shape.pace.fastest(at, float(to))
                out += [float(to), max(float(span) - least, 0.0)]
            else:
                out.append(float(span))
            at = float(to)
        return np.array(out)

    @property
    def programme(self) -> Programme:
        """The programme, without lines that last no time."""
        time, end = self.lines
        segments: list[Segment] = []
        at = self.shape.start
        for span, to in zip(time, end, strict=True):
            change = abs(to - at)
            if change > 1e-6:
                segments.append(Segment(target=float(to), ramp=float(change / max(span, 1e-6))))
            elif span > 0.0:
                if segments:
                    last = segments[-1]
                    segments[-1] = Segment(target=last.target, ramp=last.ramp, hold=last.hold + float(span))
                else:
                    segments.append(Segment(target=at, ramp=self.controller.slowest, hold=float(span)))
            at = float(to)
        if not segments:  # nothing is left to do
            segments.append(Segment(target=at, ramp=self.controller.slowest, hold=self.controller.time_step))
        return Programme(start=self.shape.start, segments=tuple(segments))
