"""Air over time, piecewise in closed form: a straight reference, and an exponential that dies away after each break."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.errors import InputError

Floats = NDArray[np.float64]


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
