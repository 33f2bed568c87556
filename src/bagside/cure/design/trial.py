"""Programmes tried, and what they came to."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.limits import LimitSet
from bagside.cure.design.rig import Rig, Rows

Floats = NDArray[np.float64]

COOLING_STRETCH, COOLING_MOST = 1800.0, 8 * 3600.0
"""Cooling at the end is looked at in such stretches, and given up after so long [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooling:
    """How a cycle ends when the part is to be cool.

    Parameters
    ----------
    demould
        Temperature below which all of laminate and tool has to be [K].
    to
        What the air cools to [K].
    rate
        How fast, above zero [K/s].
    """

    demould: float
    to: float
    rate: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What programmes came to.

    Parameters
    ----------
    duration
        Until the end, or until the part may be taken out, shape (g,) [s].
    measured
        What each limit asks about, shape (m, g, b).
    broken
        By how much each limit is broken, in units of its scale, shape (m, g, b).
    parts
        The same line by line, as two peaks are two things to a change of the programme, shape (c, g).
    rows
        The state at the end.
    """

    duration: Floats
    measured: Floats
    broken: Floats
    parts: Floats
    rows: Rows

    def taken(self, which: NDArray[np.int64]) -> Trial:
        """Return some of the rows, or rows several times."""
        return Trial(
            duration=self.duration[which],
            measured=self.measured[:, which],
            broken=self.broken[:, which],
            parts=self.parts[:, which],
            rows=self.rows.taken(which),
        )


def tried(
    rig: Rig, limits: LimitSet, time: Floats, end: Floats, *, begin: Rows | None = None, cooling: Cooling | None = None
) -> Trial:
    """Return what programmes of straight lines come to.

    Parameters
    ----------
    rig
        Places and scenarios.
    limits
        What has to be kept.
    time, end
        Of every line, shape (g, m) [s, K].
    begin
        State of each row at the start; the rig's own when None.
    cooling
        When given, the oven cools after the last line until all of laminate and tool is cool enough.
    """
    rows = rig.rows(len(time), rig.start) if begin is None else begin
    rise = np.maximum(np.maximum(end.max(axis=1), rig.start) - rig.start, 0.0)
    rows = rig.rising(rows, rise)
    kept, by_line = rows.seen, []
    for i in range(time.shape[1]):
        span = time[:, i]
        rate = np.where(span > 0.0, (end[:, i] - rows.reference) / np.maximum(span, 1e-3), 0.0)
        rows = rig.stretched(replace(rows, seen=rows.seen.afresh()), span, rate)
        by_line.append(rows.seen)
        kept = rows.seen.joined(kept)
    duration = rows.time
    if cooling is not None:
        rows = cooled(rig, replace(rows, seen=rows.seen.afresh()), cooling)
        by_line.append(rows.seen)
        kept = rows.seen.joined(kept)
        duration = np.maximum(rows.seen.warm.max(axis=1), duration)
    measured = limits.measured(kept, rig.watch)
    broken = limits.broken(measured)
    lines = [limits.path(limits.broken(limits.measured(seen, rig.watch))) for seen in by_line]
    parts = np.concatenate([*lines, limits.ends(broken)])
    return Trial(
        duration=duration,
        measured=measured,
        broken=broken,
        parts=parts.transpose(0, 2, 1).reshape(-1, len(time)),
        rows=replace(rows, seen=kept),
    )


def cooled(rig: Rig, rows: Rows, cooling: Cooling) -> Rows:
    """Return rows after cooling until all of laminate and tool is cool enough.

    Parameters
    ----------
    rig
        Places and scenarios.
    rows
        Before.
    cooling
        How.
    """
    began = rows.time
    fall = np.maximum((rows.reference - cooling.to) / cooling.rate, 1.0)
    rows = rig.stretched(rows, fall, np.where(rows.reference > cooling.to, -cooling.rate, 0.0))
    while (rows.seen.hot > cooling.demould).any() and float((rows.time - began).max()) < COOLING_MOST:
        rows = rig.stretched(rows, np.full(len(fall), COOLING_STRETCH), np.zeros(len(fall)))
    return rows
