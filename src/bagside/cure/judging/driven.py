"""The air that drove each section of a logged cure, from whatever the logger saw of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from bagside.cure.air import Air
from bagside.cure.judging.corners import few_corners
from bagside.cure.judging.readings import Series, bounds_in_gaps, lines_of, mean_of, with_middles
from bagside.cure.log import CureLog, Sensor
from bagside.cure.section import Section
from bagside.errors import InputError


class DrivenBy(StrEnum):
    """What the model's air was taken from."""

    AIR = "air"
    SET = "set point"
    PART = "thermocouples on the part"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drive:
    """The air over each section, and from what.

    Parameters
    ----------
    by
        From what.
    airs
        One for each section.
    sections
        The sections as they are driven: with their faces held at the reading when only the part was read.
    mean
        Its mean line, for comparison with the programme.
    channels
        Names of the channels used.
    bounds
        The coldest and the hottest the air may have been in its gaps, one for each section; empty without gaps.
    """

    by: DrivenBy
    airs: tuple[Air, ...]
    sections: tuple[Section, ...]
    mean: Series
    channels: tuple[str, ...]
    bounds: tuple[tuple[Air, ...], ...]


def driven(log: CureLog, sections: tuple[Section, ...], *, lag: float = 0.0) -> Drive:
    """Return the air over each section.

    Thermocouples in the air come first, the ones at a section before the others; then the set point, run after by the
    oven's lag; then the thermocouples on the part, at which both faces of every section are then held.

    Parameters
    ----------
    log
        The log.
    sections
        At the oven's mean air.
    lag
        Of the air behind the set point [s].

    Raises
    ------
    InputError
        When no channel of temperature has readings.
    """
    air = lines_of(log, Sensor.AIR)
    if air:
        common = tuple(s for s in air if not s.section) or air
        mean = mean_of(common, "air")
        own = {s.name: tuple(x for x in air if x.section == s.name) for s in sections}
        lines = [mean_of(own[s.name], "air") if own[s.name] else mean for s in sections]
        return _drive(DrivenBy.AIR, lines, sections, mean, air, log)
    asked = lines_of(log, Sensor.SET)
    if asked:
        mean = _lagged(mean_of(asked, "set point"), lag)
        return _drive(DrivenBy.SET, [mean] * len(sections), sections, mean, asked, log)
    part = lines_of(log, Sensor.PART, Sensor.TOOL)
    if not part:
        raise InputError.one(
            log.name,
            ", ".join(c.name for c in log.channels),
            "a channel of temperature with two readings or more is wanted",
            "name them, as in TC1=air or TC2=part",
        )
    mean = mean_of(part, "part")
    held = tuple(replace(s, film_bag=np.inf, film_tool=np.inf) for s in sections)
    own = {s.name: tuple(x for x in part if x.section == s.name) for s in sections}
    lines = [mean_of(own[s.name], "part") if own[s.name] else mean for s in sections]
    return _drive(DrivenBy.PART, lines, held, mean, part, log)


def _drive(
    by: DrivenBy,
    lines: list[Series],
    sections: tuple[Section, ...],
    mean: Series,
    used: tuple[Series, ...],
    log: CureLog,
) -> Drive:
    end = float(log.time[-1])
    return Drive(
        by=by,
        airs=tuple(_air(line, end) for line in lines),
        sections=sections,
        mean=mean,
        channels=tuple(s.name for s in used),
        bounds=tuple(tuple(_air(_bowed(x, k), end) for x in lines) for k in (0, 1)) if mean.gaps else (),
    )


def _bowed(line: Series, which: int) -> Series:
    """Return a line as cold (0) or as hot (1) in its gaps as it may have been."""
    time, straight = with_middles(line)
    off = bounds_in_gaps(line, ())[which]
    return replace(line, time=time, values=straight + (off if which else -off))


def _air(line: Series, end: float) -> Air:
    """Return a line as air from the first to the last time of the log; level where there are no readings."""
    t, y = few_corners(line)
    if t[0] > 0.0:
        t, y = np.append(0.0, t), np.append(y[0], y)
    if t[-1] < end:
        t, y = np.append(t, end), np.append(y, y[-1])
    return Air.recorded(t, y)


def _lagged(line: Series, lag: float) -> Series:
    """Return a line run after with a first-order lag, exact for straight stretches."""
    if lag <= 0.0:
        return line
    out = np.empty_like(line.values)
    out[0] = line.values[0]
    slopes = np.diff(line.values) / np.diff(line.time)
    for i, (dt, slope) in enumerate(zip(np.diff(line.time), slopes, strict=True)):
        rest = (out[i] - line.values[i] + slope * lag) * np.exp(-dt / lag)
        out[i + 1] = line.values[i + 1] - slope * lag + rest
    return replace(line, values=out)
