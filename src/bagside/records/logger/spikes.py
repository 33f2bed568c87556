"""Single readings that no heat can make: taken out, and said."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from bagside.cure import Sensor

Floats = NDArray[np.float64]
QUICKEST = {Sensor.PART: 20 / 60, Sensor.TOOL: 20 / 60, Sensor.AIR: 1.0, Sensor.UNKNOWN: 1.0}
"""Faster than this a sensor at such a place cannot change: a part in exotherm, air at an opened door [K/s]."""
SLACK = 4.0
"""What a reading may stand off without being a spike, whatever its noise [K]."""
LONGEST = 7200.0
"""A stretch between two jumps that lasts longer is not taken for one [s]."""
NOISES = 8.0
"""How many times its usual noise a spike stands off."""


def noise_of(values: Floats) -> float:
    """Return how much a sensor's readings scatter from one to the next, whatever its course.

    Parameters
    ----------
    values
        Readings without gaps, shape (k,) [K].

    Returns
    -------
    float
        Standard deviation [K], from the median of second differences.
    """
    if len(values) < 5:
        return 0.0
    second = values[2:] - 2.0 * values[1:-1] + values[:-2]
    return float(1.4826 * np.median(np.abs(second)) / np.sqrt(6.0))


def spikes(time: Floats, values: Floats, sensor: Sensor) -> NDArray[np.intp]:
    """Return the readings that stand off those around them further than heat can carry.

    One or two readings in a row are found; what lasts longer is no spike.

    Parameters
    ----------
    time
        Of the readings [s].
    values
        Of one sensor; not a number where there is none [K].
    sensor
        What it measures.

    Returns
    -------
    numpy.ndarray
        Their indices.

    Examples
    --------
    >>> values = np.arange(300.0, 320.0)
    >>> values[7] = 390.0
    >>> spikes(60.0 * np.arange(20.0), values, Sensor.PART).tolist()
    [7]
    """
    quickest = QUICKEST.get(sensor)
    there = np.flatnonzero(np.isfinite(values))
    if quickest is None or len(there) < 5:
        return np.empty(0, np.intp)
    v, t = values[there], time[there]
    middle = np.median(sliding_window_view(v, 5), axis=1)
    around = (t[4:] - t[:-4]) / 4.0
    limit = quickest * around + SLACK + NOISES * noise_of(v)
    off = np.abs(v[2:-2] - middle) > limit
    return there[2:-2][off]


def excursions(time: Floats, values: Floats, sensor: Sensor) -> list[tuple[int, int]]:
    """Return stretches that a part or a tool cannot have seen: left by one jump and ended by the jump back.

    Parameters
    ----------
    time
        Of the readings [s].
    values
        Of one sensor, without spikes; not a number where there is none [K].
    sensor
        What it measures; of air nothing is said, for a door may be opened.

    Returns
    -------
    list
        First and last reading of each.

    Examples
    --------
    >>> values = np.arange(300.0, 340.0)
    >>> values[10:20] = 273.15
    >>> excursions(60.0 * np.arange(40.0), values, Sensor.PART)
    [(10, 19)]
    """
    there = np.flatnonzero(np.isfinite(values))
    if sensor not in (Sensor.PART, Sensor.TOOL) or len(there) < 5:
        return []
    v, t = values[there], time[there]
    steps, lengths = np.diff(v), np.diff(t)
    limit = QUICKEST[sensor] * lengths + SLACK + NOISES * noise_of(v)
    jumps = np.flatnonzero(np.abs(steps) > limit).tolist()
    found: list[tuple[int, int]] = []
    k = 0
    while k + 1 < len(jumps):
        a, b = jumps[k], jumps[k + 1]
        back = steps[a] * steps[b] < 0.0 and t[b] - t[a] <= LONGEST
        if back and abs(v[b + 1] - v[a]) < 0.5 * min(abs(steps[a]), abs(steps[b])):
            found.append((int(there[a + 1]), int(there[b])))
            k += 1
        k += 1
    return found
