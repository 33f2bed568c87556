"""What the programme asks of the oven, and the air that the oven really gives.

Everything is piecewise in closed form: the programme is straight lines; a limit on the oven's own ramps makes other
straight lines; a first-order lag of the air adds one exponential to each. The programme runs by the clock: an oven that
cannot follow a ramp is late, and its dwell is shorter by as much.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """Ramp to a target and hold it.

    Parameters
    ----------
    target
        [K].
    ramp
        Rate of change on the way, without sign [K/s].
    hold
        Time at the target [s].
    """

    target: float
    ramp: float
    hold: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """Temperature of the air over time, in closed form between breaks.

    Parameters
    ----------
    breaks
        Times at which the slope of the reference changes, first and last included, shape (b,) [s].
    reference
        What the air runs after, at the breaks, shape (b,) [K].
    values
        The air at the breaks, shape (b,) [K].
    lag
        Time constant by which the air runs after the reference [s]; zero when it is the reference.
    programme
        What was asked for, at the breaks, shape (b,) [K].
    """

    breaks: Floats
    reference: Floats
    values: Floats
    lag: float
    programme: Floats

    @classmethod
    def recorded(cls, time: ArrayLike, temperature: ArrayLike) -> Air:
        """Return air as a logger saw it, straight between readings.

        Parameters
        ----------
        time
            Rising, shape (b,) [s].
        temperature
            Shape (b,) [K].

        Raises
        ------
        InputError
            When times do not rise or a value is not finite.
        """
        t, y = np.array(time, dtype=np.float64), np.array(temperature, dtype=np.float64)
        if t.ndim != 1 or t.shape != y.shape or len(t) < 2:
            raise InputError.one("log of the air", f"{t.shape} and {y.shape}", "two readings or more are wanted")
        if not (np.isfinite(t).all() and np.isfinite(y).all() and (np.diff(t) > 0).all() and (y > 0).all()):
            raise InputError.one("log of the air", "", "rising times and finite temperatures above 0 K are wanted")
        return cls(breaks=t, reference=y, values=y, lag=0.0, programme=y)

    @property
    def end(self) -> float:
        """Time at which it ends [s]."""
        return float(self.breaks[-1])

    @property
    def slopes(self) -> Floats:
        """Slope of the reference between breaks, shape (b − 1,) [K/s]."""
        out: Floats = np.diff(self.reference) / np.diff(self.breaks)
        return out

    @property
    def excess(self) -> Floats:
        """Amplitude of the exponential that dies away after each break, shape (b − 1,) [K]."""
        out: Floats = self.values[:-1] - self.reference[:-1] + self.slopes * self.lag
        return out

    def at(self, time: ArrayLike) -> Floats:
        """Return the air.

        Parameters
        ----------
        time
            Any shape; within the breaks [s].

        Returns
        -------
        Floats
            Same shape [K].

        Raises
        ------
        ValueError
            When a time lies before the first or after the last break.
        """
        t = self._inside(time)
        i = np.clip(np.searchsorted(self.breaks, t, side="right") - 1, 0, len(self.breaks) - 2)
        since, slope = t - self.breaks[i], self.slopes[i]
        out: Floats = self.reference[i] + slope * (since - self.lag)
        if self.lag > 0.0:
            out = out + self.excess[i] * np.exp(-since / self.lag)
        return out

    def asked(self, time: ArrayLike) -> Floats:
        """Return what the programme asked for [K].

        Parameters
        ----------
        time
            Any shape; within the breaks [s].

        Raises
        ------
        ValueError
            When a time lies before the first or after the last break.
        """
        out: Floats = np.interp(self._inside(time), self.breaks, self.programme)
        return out

    def _inside(self, time: ArrayLike) -> Floats:
        t = np.asarray(time, dtype=np.float64)
        slack = 1e-9 * max(1.0, self.end)
        if t.size and (t.min() < self.breaks[0] - slack or t.max() > self.end + slack):
            raise ValueError(f"the air is known from {self.breaks[0]} s to {self.end} s")
        return t


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """What the oven is asked to do.

    Parameters
    ----------
    start
        Temperature of air and part at the start [K].
    segments
        One or more.

    Raises
    ------
    InputError
        When there is no segment, or one makes no sense.
    """

    start: float
    segments: tuple[Segment, ...]

    def __post_init__(self) -> None:
        """Refuse what cannot be run."""
        wrong = []
        if not self.segments:
            wrong.append(Problem(place="programme", came="", wanted="one segment or more is wanted"))
        if not 0.0 < self.start < math.inf:
            wrong.append(Problem(place="programme, start", came=repr(self.start), wanted="above 0 K is wanted"))
        for i, s in enumerate(self.segments):
            place = f"programme, segment {i + 1}"
            if not 0.0 < s.target < math.inf:
                wrong.append(Problem(place=f"{place}, target", came=repr(s.target), wanted="above 0 K is wanted"))
            if not 0.0 < s.ramp < math.inf:
                wrong.append(Problem(place=f"{place}, ramp", came=repr(s.ramp), wanted="above zero is wanted"))
            if not 0.0 <= s.hold < math.inf:
                wrong.append(Problem(place=f"{place}, hold", came=repr(s.hold), wanted="zero or more is wanted"))
        if wrong:
            raise InputError(wrong)
        if self.duration == 0.0:
            raise InputError.one("programme", "0 s", "a programme that lasts is wanted")

    def _corners(self) -> tuple[Floats, Floats]:
        t, y = [0.0], [self.start]
        for s in self.segments:
            run = abs(s.target - y[-1]) / s.ramp
            for step in (run, s.hold):
                if step > 0.0:
                    t.append(t[-1] + step)
                    y.append(s.target)
        return np.array(t), np.array(y)

    @property
    def breaks(self) -> Floats:
        """Times at which the slope changes, first and last included [s]."""
        return self._corners()[0]

    @property
    def duration(self) -> float:
        """Time it takes [s]."""
        return float(self._corners()[0][-1])

    @property
    def hottest(self) -> float:
        """Hottest it asks for [K]."""
        return max(self.start, *(s.target for s in self.segments))

    @property
    def as_air(self) -> Air:
        """The air of an oven that follows exactly."""
        t, y = self._corners()
        return Air(breaks=t, reference=y, values=y, lag=0.0, programme=y)

    def air(self, time: ArrayLike) -> Floats:
        """Return the temperature asked for; after the end, the last one.

        Parameters
        ----------
        time
            Any shape [s].

        Returns
        -------
        Floats
            Same shape [K].
        """
        t, y = self._corners()
        out: Floats = np.interp(np.asarray(time, dtype=np.float64), t, y)
        return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """What the oven can do.

    Parameters
    ----------
    hottest
        Air temperature it can hold [K].
    heating, cooling
        Fastest its air can change [K/s].
    lag
        Time constant of the air behind the limited programme [s].
    offsets
        Air at the coldest and at the hottest place against the mean [K]; (−3, 3) for ±3 K.

    Raises
    ------
    InputError
        When a value makes no sense.
    """

    hottest: float
    heating: float
    cooling: float
    lag: float = 0.0
    offsets: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = [
            Problem(place=f"oven, {name}", came=repr(getattr(self, name)), wanted="above zero is wanted")
            for name in ("hottest", "heating", "cooling")
            if not float(getattr(self, name)) > 0.0
        ]
        if not 0.0 <= self.lag < math.inf:
            wrong.append(Problem(place="oven, lag", came=repr(self.lag), wanted="zero or more is wanted"))
        if not -math.inf < self.offsets[0] <= self.offsets[1] < math.inf:
            wrong.append(Problem(place="oven, offsets", came=repr(self.offsets), wanted="coldest first, then hottest"))
        if wrong:
            raise InputError(wrong)

    def air(self, programme: Programme) -> Air:
        """Return the air this oven gives when asked for a programme.

        Parameters
        ----------
        programme
            What it is asked to do.

        Returns
        -------
        Air
            Limited in ramp and in height, then lagged.
        """
        t, y = programme.as_air.breaks, programme.as_air.programme
        times, reference = self._followed(t, y)
        values = np.empty_like(reference)
        values[0] = reference[0]
        for i, (dt, slope) in enumerate(zip(np.diff(times), np.diff(reference) / np.diff(times), strict=True)):
            if self.lag == 0.0:
                values[i + 1] = reference[i + 1]
                continue
            left = (values[i] - reference[i] + slope * self.lag) * math.exp(-dt / self.lag)
            values[i + 1] = reference[i + 1] - slope * self.lag + left
        return Air(breaks=times, reference=reference, values=values, lag=self.lag, programme=np.interp(times, t, y))

    def _followed(self, t: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return the corners of what the oven can follow of a line through corners."""
        times, reach = [float(t[0])], [float(y[0])]
        for t0, t1, y0, y1 in zip(t[:-1], t[1:], y[:-1], y[1:], strict=True):
            now, slope = float(t0), float((y1 - y0) / (t1 - t0))
            bounds = [float(t1)]
            if slope and t0 < (crossing := t0 + (self.hottest - y0) / slope) < t1:
                bounds.insert(0, float(crossing))
            for bound in bounds:
                wanted = min(float(y0) + slope * (now - float(t0)), self.hottest)
                above = float(y0) + slope * (0.5 * (now + bound) - float(t0)) >= self.hottest
                want = 0.0 if above else slope
                now = self._run(times, reach, now, bound, wanted, want)
        return np.array(times), np.array(reach)

    def _run(
        self, times: list[float], reach: list[float], now: float, end: float, wanted: float, slope: float
    ) -> float:
        """Follow one straight line from now to its end, catching up on the way; add the corners passed."""
        gap = wanted - reach[-1]
        behind = 0.0 if abs(gap) < 1e-9 else math.copysign(1.0, gap)
        limit = min(max(slope, -self.cooling), self.heating)
        rate = {1.0: self.heating, -1.0: -self.cooling, 0.0: limit}[behind]
        if behind and (rate - slope) * behind > 0.0:
            meet = now + gap / (rate - slope)
            if meet < end - 1e-9:
                times.append(meet)
                reach.append(wanted + slope * (meet - now))
                now, rate = meet, limit
        if end - now > 1e-9:
            times.append(end)
            reach.append(reach[-1] + rate * (end - now))
        return end
