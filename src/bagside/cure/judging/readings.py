"""Readings of one channel as a line that can be integrated: noise averaged, gaps bridged and bounded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.log import Channel, CureLog, Sensor, without_gaps

Floats = NDArray[np.float64]

BIN = 60.0
"""Readings closer than this are averaged [s]: nothing in a laminate is as fast."""

MOST = 900
"""Most points a line is kept with."""

GAP = 300.0
"""Time without a reading from which it is called a gap [s], when readings usually come faster."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Series:
    """A channel as a line.

    Parameters
    ----------
    name
        Of the channel.
    sensor
        What it measures.
    section
        Where it sits; empty when not stated.
    time, values
        Corners of the line, shape (k,) [s] and [K or Pa].
    gaps
        From the last reading before to the first reading after, each [s].
    count
        Readings that went into it.
    """

    name: str
    sensor: Sensor
    section: str
    time: Floats
    values: Floats
    gaps: tuple[tuple[float, float], ...]
    count: int

    @property
    def end(self) -> float:
        """Time of the last reading [s]."""
        return float(self.time[-1])

    def at(self, time: Floats) -> Floats:
        """Return the line at any times; before the first and after the last reading it stays level.

        Parameters
        ----------
        time
            [s].
        """
        out: Floats = np.interp(time, self.time, self.values)
        return out


def series(log: CureLog, channel: Channel, *, finest: float = BIN) -> Series | None:
    """Return a channel as a line; nothing when it has fewer than two readings.

    Parameters
    ----------
    log
        The log.
    channel
        One of its channels.
    finest
        Readings closer than this are averaged [s].

    Notes
    -----
    Spikes and dead stretches are the reader's to take out. The mean of a bin stands at the mean of its times, which is
    exact for a straight stretch.
    """
    t, y = without_gaps(log, channel)
    if len(t) < 2:
        return None
    usual = float(np.median(np.diff(t)))
    wide = max(GAP, 5.0 * usual)
    holes = np.flatnonzero(np.diff(t) > wide)
    gaps = tuple((float(t[i]), float(t[i + 1])) for i in holes)
    width = max(finest, float(t[-1] - t[0]) / MOST)
    if usual < width:
        t_line, y_line = _averaged(t, y, width)
    else:
        t_line, y_line = t, y
    return Series(
        name=channel.name,
        sensor=channel.sensor,
        section=channel.section,
        time=t_line,
        values=y_line,
        gaps=gaps,
        count=len(t),
    )


def _averaged(t: Floats, y: Floats, width: float) -> tuple[Floats, Floats]:
    bins = np.floor((t - t[0]) / width).astype(np.int64)
    _, number = np.unique(bins, return_inverse=True)
    count = np.bincount(number)
    time, value = np.bincount(number, t) / count, np.bincount(number, y) / count
    if len(time) < 2:
        return t[[0, -1]], y[[0, -1]]
    first, last = _on(time, value, t[0], 0), _on(time, value, t[-1], -2)
    if time[0] > t[0]:
        time, value = np.append(t[0], time), np.append(first, value)
    if time[-1] < t[-1]:
        time, value = np.append(time, t[-1]), np.append(value, last)
    return time, value


def _on(time: Floats, value: Floats, at: float, i: int) -> float:
    """Return the straight line through two neighbouring means, at a time beside them."""
    slope = (value[i + 1] - value[i]) / (time[i + 1] - time[i])
    return float(value[i] + slope * (at - time[i]))


def mean_of(lines: tuple[Series, ...], name: str) -> Series:
    """Return the mean of several lines, on the times of all; where one has ended, the others go on.

    Parameters
    ----------
    lines
        One or more.
    name
        Of the mean.
    """
    if len(lines) == 1:
        return lines[0]
    time = np.unique(np.concatenate([s.time for s in lines]))
    if len(time) > MOST:
        time = np.linspace(time[0], time[-1], MOST)
    rows = np.array([np.where((time >= s.time[0]) & (time <= s.end), s.at(time), np.nan) for s in lines])
    there = np.isfinite(rows).any(axis=0)
    return Series(
        name=name,
        sensor=lines[0].sensor,
        section="",
        time=time[there],
        values=np.nanmean(rows[:, there], axis=0),
        gaps=_shared(lines),
        count=sum(s.count for s in lines),
    )


def _shared(lines: tuple[Series, ...]) -> tuple[tuple[float, float], ...]:
    """Return the gaps that all lines have."""
    common = list(lines[0].gaps)
    for line in lines[1:]:
        common = [(max(a, c), min(b, d)) for a, b in common for c, d in line.gaps if min(b, d) - max(a, c) > GAP]
    return tuple(common)


def bounds_in_gaps(line: Series, others: tuple[Series, ...]) -> tuple[Floats, Floats]:
    """Return how much colder and hotter a line may have been inside its gaps than the straight line across them.

    Parameters
    ----------
    line
        The line.
    others
        Lines of the same oven: where one of them was read all through a gap, the part was no farther off the straight
        line than that one was, and one kelvin.

    Returns
    -------
    tuple of Floats
        Both at the times of `with_middles`, zero outside gaps [K].
    """
    time, straight = with_middles(line)
    low, high = np.zeros_like(straight), np.zeros_like(straight)
    fastest = _fastest(line)
    for a, b in line.gaps:
        inside = (time > a) & (time < b)
        witnesses = [o for o in others if not any(x < b and y > a for x, y in o.gaps) and o.time[0] <= a and o.end >= b]
        if witnesses:
            seen = [_bow(o, a, b) for o in witnesses]
            low[inside], high[inside] = 1.0 + min(s[0] for s in seen), 1.0 + min(s[1] for s in seen)
            continue
        start, end = float(line.at(np.array([a]))[0]), float(line.at(np.array([b]))[0])
        reach = np.minimum(start + fastest * (time - a), end + fastest * (b - time))
        depth = np.maximum(start - fastest * (time - a), end - fastest * (b - time))
        high[inside] = np.minimum(np.maximum(reach - straight, 0.0), max(line.values.max() - start, 5.0))[inside]
        low[inside] = np.maximum(straight - depth, 0.0)[inside]
    return low, high


def with_middles(line: Series) -> tuple[Floats, Floats]:
    """Return a line's corners with three inside each gap.

    Parameters
    ----------
    line
        The line.
    """
    extra = [a + share * (b - a) for a, b in line.gaps for share in (0.05, 0.5, 0.95)]
    time = np.unique(np.concatenate([line.time, extra]))
    return time, line.at(time)


def _fastest(line: Series) -> float:
    """Return the fastest that a line really moved, over a quarter of an hour at least [K/s]."""
    grid = np.arange(line.time[0], line.end + 1.0, 900.0)
    if len(grid) < 2:
        return 1.0 / 60.0
    return max(float(np.max(np.abs(np.diff(line.at(grid))))) / 900.0, 0.5 / 60.0)


def _bow(line: Series, a: float, b: float) -> tuple[float, float]:
    """Return by how much a line dips below and bulges above the straight line between two times [K]."""
    t = np.append(line.time[(line.time > a) & (line.time < b)], [a, b])
    y0, y1 = line.at(np.array([a, b]))
    off = line.at(t) - (y0 + (y1 - y0) * (t - a) / (b - a))
    return float(max(-off.min(), 0.0)), float(max(off.max(), 0.0))


def lines_of(log: CureLog, *sensors: Sensor) -> tuple[Series, ...]:
    """Return the lines of all channels that measure any of these and have readings.

    Parameters
    ----------
    log
        The log.
    sensors
        One or more.
    """
    found = (series(log, c) for c in log.of(*sensors))
    return tuple(s for s in found if s is not None)
