"""A log as a trial of films and oven: what it was run with, and its sensors each at its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.cure.calibrate.place import Where, usual
from bagside.cure.judging.readings import Series, lines_of, mean_of
from bagside.cure.log import Channel, CureLog, Sensor, without_gaps
from bagside.cure.programme import Programme, Segment
from bagside.cure.section import Section

Floats = NDArray[np.float64]

FINEST = 300.0
"""Readings on part and mould closer than this are averaged [s]: what wanders in them does so over longer."""

FINEST_AIR = 120.0
"""The same for the air [s], which an oven moves faster."""

MOST = 200
"""Most readings that are kept of a sensor."""

STEADY = 180.0
"""Time at the start over which a first reading is averaged [s]."""

NEAR = 4.0
"""Difference between the first set point and the first readings that thermocouples may be off by [K]."""

SAME = 0.05
"""Change of the set point below which it holds [K]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """A logged run from which films and oven are to be learnt.

    Parameters
    ----------
    log
        As read.
    inert
        Whether nothing reacted: a panel cured before, or a mould alone with a cured panel on it.
    where
        Where in its section a sensor sits, by the name of its channel; in the laminate when not stated, on the back
        of the mould for a sensor that measures the tool.
    programme
        What the oven was asked for; the log's set point, when it has one, goes before it.
    heat_on
        When that began, from the first reading [s]; found from the air, or taken as the first reading, when None.
    """

    log: CureLog
    inert: bool = False
    where: Mapping[str, Where] = field(default_factory=dict)
    programme: Programme | None = None
    heat_on: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """A sensor on part or mould, thinned.

    Parameters
    ----------
    trial
        Number of its trial.
    name
        Of its channel.
    section
        Number of its section.
    where
        In it.
    time, values
        Means over `FINEST`, shape (k,) [s, K].
    """

    trial: int
    name: str
    section: int
    where: Where
    time: Floats
    values: Floats


def thinned(log: CureLog, channel: Channel, *, until: float = np.inf, finest: float = FINEST) -> tuple[Floats, Floats]:
    """Return a channel averaged over short times, gaps left out.

    Parameters
    ----------
    log
        The log.
    channel
        One of its channels.
    until
        Later readings are left out [s].
    finest
        Time over which is averaged [s].

    Returns
    -------
    tuple of Floats
        Time [s] and values [K].
    """
    t, y = without_gaps(log, channel)
    t, y = t[t <= until], y[t <= until]
    if len(t) < 2:
        return t, y
    width = max(finest, float(t[-1] - t[0]) / MOST)
    _, number = np.unique(np.floor((t - t[0]) / width).astype(np.int64), return_inverse=True)
    count = np.bincount(number)
    return np.bincount(number, t) / count, np.bincount(number, y) / count


def places_in(trial: Trial, number: int, sections: Sequence[Section], until: float) -> list[Reading]:
    """Return the sensors on part and mould, each at its section.

    Parameters
    ----------
    trial
        The trial.
    number
        Of it.
    sections
        The part's; a sensor of which no section is stated sits at the only one.
    until
        Later readings are left out [s].
    """
    names = [s.name for s in sections]
    out = []
    for c in trial.log.of(Sensor.PART, Sensor.TOOL):
        t, y = thinned(trial.log, c, until=until)
        if len(t) < 2:
            continue
        out.append(
            Reading(
                trial=number,
                name=c.name,
                section=names.index(c.section) if c.section else 0,
                where=trial.where.get(c.name, usual(c.sensor)),
                time=t,
                values=y,
            )
        )
    return out


def air_lines(log: CureLog, sections: Sequence[Section]) -> tuple[Series, ...] | None:
    """Return the air over each section: its own thermocouple in the air, else the mean of all; None without any.

    Parameters
    ----------
    log
        The log.
    sections
        The part's.
    """
    air = lines_of(log, Sensor.AIR)
    if not air:
        return None
    mean = mean_of(tuple(s for s in air if not s.section) or air, "air")
    own = {s.name: tuple(x for x in air if x.section == s.name) for s in sections}
    return tuple(mean_of(own[s.name], "air") if own[s.name] else mean for s in sections)


def first_of(log: CureLog, *sensors: Sensor) -> float | None:
    """Return the mean of the first readings of all sensors of a kind [K]; None without any.

    Parameters
    ----------
    log
        The log.
    sensors
        Kinds.
    """
    found = []
    for c in log.of(*sensors):
        t, y = without_gaps(log, c)
        if len(t):
            found.append(float(y[t <= t[0] + STEADY].mean()))
    return float(np.mean(found)) if found else None


def asked(trial: Trial) -> tuple[Programme, float | None] | None:
    """Return what the oven was asked for, and when it began [s]; None where nothing tells it.

    Parameters
    ----------
    trial
        The trial.

    Returns
    -------
    tuple or None
        The programme, and when it began; None for a time that is not known.
    """
    lines = lines_of(trial.log, Sensor.SET)
    if not lines:
        return None if trial.programme is None else (trial.programme, trial.heat_on)
    line = mean_of(lines, "set point")
    t, y = _corners(line.time, line.values)
    start = first_of(trial.log, Sensor.AIR, Sensor.PART, Sensor.TOOL)
    start = float(y[0]) if start is None or abs(start - y[0]) < NEAR else start
    segments = [Segment(target=float(y[0]), ramp=1e3)] if start != y[0] else []
    for dt, a, b in zip(np.diff(t), y[:-1], y[1:], strict=True):
        if abs(b - a) < SAME:
            segments.append(Segment(target=segments[-1].target if segments else start, ramp=1.0, hold=float(dt)))
        else:
            segments.append(Segment(target=float(b), ramp=float(abs(b - a) / dt)))
    return Programme(start=start, segments=tuple(segments)), float(t[0])


def _corners(t: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return a line without the readings that lie straight between their neighbours: a set point has no noise."""
    straight = y[:-2] + (y[2:] - y[:-2]) * (t[1:-1] - t[:-2]) / (t[2:] - t[:-2])
    keep = np.concatenate([[True], np.abs(y[1:-1] - straight) > SAME, [True]])
    return t[keep], y[keep]
