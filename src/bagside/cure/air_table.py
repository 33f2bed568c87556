"""The air of all lanes between breaks, as one table that is read without a loop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.air import Air

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class AirTable:
    """The air of every lane between breaks, one row for each stretch.

    Parameters
    ----------
    start, end
        Time at which the stretch starts and ends, shape (p,) [s].
    reference, slope, excess
        Reference at the start [K], its slope [K/s] and the amplitude of the exponential [K], shape (p,).
    decay
        One over the lag; zero when there is none, shape (p,) [1/s].
    first, last
        First and last row of each lane, shape (s,).
    """

    start: Floats
    end: Floats
    reference: Floats
    slope: Floats
    excess: Floats
    decay: Floats
    first: Ints
    last: Ints

    @classmethod
    def of(cls, airs: Sequence[Air], gains: Floats, shifts: Floats) -> AirTable:
        """Return the table for one air per lane, each scaled by gain and shift."""
        counts = np.array([len(a.breaks) - 1 for a in airs], dtype=np.int64)
        last = np.cumsum(counts) - 1
        gain, shift = np.repeat(gains, counts), np.repeat(shifts, counts)
        lag = np.repeat([a.lag for a in airs], counts)
        slope = gain * np.concatenate([a.slopes for a in airs])
        reference = gain * np.concatenate([a.reference[:-1] for a in airs]) + shift
        return cls(
            start=np.concatenate([a.breaks[:-1] for a in airs]),
            end=np.concatenate([a.breaks[1:] for a in airs]),
            reference=reference - slope * lag,
            slope=slope,
            excess=np.where(lag > 0.0, gain * np.concatenate([a.excess for a in airs]), 0.0),
            decay=np.divide(1.0, lag, out=np.zeros_like(lag), where=lag > 0.0),
            first=last - counts + 1,
            last=last,
        )

    def at(self, row: Ints, time: Floats) -> Floats:
        """Return the air at a time within each row's stretch [K]."""
        since = time - self.start[row]
        out: Floats = self.reference[row] + self.slope[row] * since
        return out + self.excess[row] * np.exp(-self.decay[row] * since)

    def rise(self, row: Ints, time: Floats) -> Floats:
        """Return the slope of the air [K/s]."""
        decay = self.decay[row]
        out: Floats = self.slope[row] - decay * self.excess[row] * np.exp(-decay * (time - self.start[row]))
        return out
