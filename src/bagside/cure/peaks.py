"""Peaks over all time steps: a runaway can be over between two outputs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import meeting
from bagside.cure.section import Section

Floats = NDArray[np.float64]


@dataclass(slots=True)
class Peaks:
    """How hot each cell, and the place where laminate and tool meet, ever was."""

    section: Section
    value: Floats
    time: Floats

    @classmethod
    def of(cls, section: Section, start: Floats) -> Peaks:
        """Return the peaks of a section that is only at its start, shape (n,) [K]."""
        value = _with_meeting(section, start[None, :])[0]
        return cls(section=section, value=value, time=np.zeros_like(value))

    def take(self, time: Floats, temperature: Floats) -> None:
        """Look at some states, shape (k,) and (k, n)."""
        seen = _with_meeting(self.section, temperature)
        when = seen.argmax(axis=0)
        value = seen[when, np.arange(len(self.value))]
        hotter = value > self.value
        self.value = np.where(hotter, value, self.value)
        self.time = np.where(hotter, time[when], self.time)

    def told(self, time: Floats, temperature: Floats) -> dict[str, Any]:
        """Return the peaks, outputs included, as the history has them."""
        self.take(time, temperature)
        n = temperature.shape[1]
        tool = len(self.value) > n
        return {
            "peak": self.value[:n],
            "peak_time": self.time[:n],
            "surface_peak": float(self.value[n]) if tool else None,
            "surface_peak_time": float(self.time[n]) if tool else None,
        }


def _with_meeting(section: Section, temperature: Floats) -> Floats:
    surface = meeting(section, temperature)
    return temperature if surface is None else np.column_stack([temperature, surface])
