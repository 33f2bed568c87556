"""Stated segments as programmes."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.cure import Programme, Segment
from bagside.spec.job import Segment as StatedSegment


def programme_of(start: float, segments: Sequence[StatedSegment]) -> Programme:
    """Return stated segments as a programme.

    Parameters
    ----------
    start
        Temperature at the start [K].
    segments
        One or more.
    """
    return Programme(start=start, segments=tuple(Segment(target=s.to, ramp=s.rate, hold=s.hold) for s in segments))
