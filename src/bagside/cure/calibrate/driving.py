"""The air over each section of a trial: as it was read, or as the oven gives it when asked for the programme."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside.cure.air import Air
from bagside.cure.calibrate.trial import Trial, air_lines, asked
from bagside.cure.judging.corners import few_corners
from bagside.cure.judging.readings import Series
from bagside.cure.log import Sensor
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.section import Section

CLOSE = 0.1
"""How closely air without noise is met by the few corners at which a simulation must stop [K]."""

LEAST_LAG = 30.0
"""Where an oven is stated without lag, what it is looked for around [s]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drive:
    """What drives the sections of a trial.

    Parameters
    ----------
    read
        The air over each section, read; None where the air was not read.
    own
        Whether that is a thermocouple in the air of that section, for each.
    programme, begins
        What the oven was asked for, and when it began [s], when the air was not read.
    end
        Last time that is told [s].
    count
        Thermocouples whose mean that air is.
    """

    read: tuple[Air, ...] | None
    own: tuple[bool, ...]
    programme: Programme | None
    begins: float
    end: float
    count: int = 1

    def airs(self, oven: Oven, lag: float, begins: float) -> tuple[Air, ...]:
        """Return the air over each section.

        Parameters
        ----------
        oven
            As stated.
        lag
            Logarithm of the factor on its lag.
        begins
            By how much later than stated it began [s].
        """
        if self.read is not None:
            return self.read
        if self.programme is None:
            raise ValueError("neither air nor programme")
        air = lagging(oven, lag).air(self.programme)
        return (replace(air, breaks=air.breaks + self.begins + begins),) * len(self.own)


def lagging(oven: Oven, lag: float) -> Oven:
    """Return an oven with a factor on its lag.

    Parameters
    ----------
    oven
        As stated.
    lag
        Logarithm of the factor.
    """
    return replace(oven, lag=max(oven.lag, LEAST_LAG) * math.exp(lag))


def drive_of(trial: Trial, sections: Sequence[Section]) -> Drive:
    """Return what drives the sections of a trial.

    Parameters
    ----------
    trial
        With air, set point or programme.
    sections
        Of the part.
    """
    end = float(trial.log.time[-1])
    lines = air_lines(trial.log, sections)
    if lines is not None:
        drawn = {id(line): _recorded(line, end, not trial.inert) for line in lines}
        at = {c.section for c in trial.log.of(Sensor.AIR)}
        return Drive(
            read=tuple(drawn[id(line)] for line in lines),
            own=tuple(s.name in at for s in sections),
            programme=None,
            begins=0.0,
            end=end,
            count=max(1, sum(1 for c in trial.log.of(Sensor.AIR) if not c.section)),
        )
    told = asked(trial)
    if told is None:
        raise ValueError("a trial that was not checked")
    programme, begins = told
    late = begins or 0.0
    return Drive(
        read=None,
        own=(False,) * len(sections),
        programme=programme,
        begins=late,
        end=min(end, late + programme.duration),
    )


def _recorded(line: Series, end: float, corners: bool) -> Air:
    """Return a line as air from the first to the last time of the log; level where there are no readings."""
    t, y = few_corners(line, CLOSE) if corners else (line.time, line.values)
    if t[0] > 0.0:
        t, y = np.append(0.0, t), np.append(y[0], y)
    if t[-1] < end:
        t, y = np.append(t, end), np.append(y, y[-1])
    return Air.recorded(t, y)
