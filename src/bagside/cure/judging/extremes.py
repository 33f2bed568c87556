"""What of a cure was outermost: where and when it lagged, led, was hottest, passed the air, and is least cured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.judging.corners import smoothed
from bagside.cure.judging.driven import Drive, DrivenBy
from bagside.cure.judging.places import PlaceState
from bagside.cure.judging.readings import Series
from bagside.cure.judging.sensed import SensorState
from bagside.cure.judging.trust import Range
from bagside.cure.log import Sensor

Floats = NDArray[np.float64]


def extremes(parts: tuple[Series, ...], places: tuple[PlaceState, ...], end: float) -> tuple[Series, Series]:
    """Return the lines that lag and lead, moment by moment: of sensors on the part that lasted, else of the model.

    Parameters
    ----------
    parts
        Lines of sensors on part and tool.
    places
        Every section.
    end
        Of the log [s].
    """
    on = [x for x in parts if x.sensor is Sensor.PART and end - x.end < 600.0]
    if not on:
        model = [
            (p.history.laminate_temperature.min(axis=1), p.history.laminate_temperature.max(axis=1)) for p in places
        ]
        moments = places[0].history.time
        low, high = np.min([r[0] for r in model], axis=0), np.max([r[1] for r in model], axis=0)
        return _line("model, lagging", moments, low), _line("model, leading", moments, high)
    time = np.unique(np.concatenate([x.time for x in on]))
    rows = np.array([replace(x, values=smoothed(x)).at(time) for x in on])
    return _outer(on, time, rows, -1.0), _outer(on, time, rows, 1.0)


def _outer(on: list[Series], time: Floats, rows: Floats, sign: float) -> Series:
    """Return the lowest or the highest of some lines at every time, named after those it mostly is."""
    which = np.argmax(sign * rows, axis=0)
    share = np.bincount(which, minlength=len(on)) / len(which)
    name = " or ".join(x.name for x, part in zip(on, share, strict=True) if part > 0.1)
    return _line(name, time, rows[which, np.arange(len(time))])


def _line(name: str, time: Floats, values: Floats) -> Series:
    return Series(name=name, sensor=Sensor.PART, section="", time=time, values=values, gaps=(), count=len(time))


def least_cured(sensors: tuple[SensorState, ...], places: tuple[PlaceState, ...]) -> tuple[Range, Range, str]:
    """Return cure and glass transition [K] where the part is least cured, and what that is called.

    Parameters
    ----------
    sensors
        Those whose place is not stated count; the others have corrected the model.
    places
        Every section.
    """
    found = [(p.cure, p.tg, p.name) for p in places]
    found += [(s.cure, s.tg, s.name) for s in sensors if s.sensor is Sensor.PART and not s.section and not s.lost]
    return min(found, key=lambda x: x[0].value)


def exotherm_of(parts: tuple[Series, ...], places: tuple[PlaceState, ...], drive: Drive) -> tuple[float, float]:
    """Return the most by which the part passed an air that did not fall [K], and when [s].

    Parameters
    ----------
    parts
        Lines of sensors on part and tool.
    places
        Every section: they tell it where no sensor does.
    drive
        The air.
    """
    air = replace(drive.mean, values=smoothed(drive.mean))
    on = [x for x in parts if x.sensor is Sensor.PART]
    if not on or drive.by is DrivenBy.PART:
        over = max(places, key=lambda p: p.outcome.overshoot).outcome
        return over.overshoot, over.hottest_time
    best, when = -np.inf, 0.0
    for x in on:
        wide = 600.0
        rising = air.at(x.time + wide) - air.at(x.time - wide) > -1.0
        if not rising.any():
            continue
        off = np.where(rising, smoothed(x) - air.at(x.time), -np.inf)
        k = int(np.argmax(off))
        if off[k] > best:
            best, when = float(off[k]), float(x.time[k])
    return best, when


def hottest_of(sensors: tuple[SensorState, ...], places: tuple[PlaceState, ...]) -> tuple[float, str, float]:
    """Return the hottest the laminate was [K], where, and when [s].

    Parameters
    ----------
    sensors, places
        Both count.
    """
    found = [(p.outcome.hottest, p.name, p.outcome.hottest_time) for p in places]
    found += [(s.hottest, s.name, s.hottest_time) for s in sensors if s.sensor is Sensor.PART]
    return max(found)


def tool_hottest_of(sensors: tuple[SensorState, ...], places: tuple[PlaceState, ...]) -> float | None:
    """Return the hottest the tool was [K]; none without a tool.

    Parameters
    ----------
    sensors, places
        Both count.
    """
    found = [p.outcome.tool_hottest for p in places if p.outcome.tool_hottest is not None]
    found += [s.hottest for s in sensors if s.sensor is Sensor.TOOL]
    return max(found) if found else None
