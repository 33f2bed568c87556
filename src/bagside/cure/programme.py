"""What the oven is asked to do: ramps and holds."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.cure.air import Air
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

SAME = 1e-6
"""Difference of temperature below which there is nothing to ramp [K]."""

INSTANT = 1e-6
"""Shortest ramp and shortest hold [s]: no clock resolves less, and a slope needs a time."""


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
            change = abs(s.target - y[-1])
            if change > SAME:
                t.append(t[-1] + max(change / s.ramp, INSTANT))
                y.append(s.target)
            if s.hold > INSTANT:
                t.append(t[-1] + s.hold)
                y.append(y[-1])
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
