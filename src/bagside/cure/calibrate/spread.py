"""How far the air differs between the places at which it was logged."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagside.cure.calibrate.told import SIGMAS, Told, Value
from bagside.cure.judging.readings import lines_of
from bagside.cure.log import CureLog, Sensor

ENOUGH = 4
"""Places from which on the hottest and the coldest are held to be among them."""
NEAR = 5.0  # [K] below the hottest: there the air is compared


def spread_seen(logs: Sequence[CureLog], stated: float, sensor: float) -> Value | None:
    """Return the difference between the hottest and the coldest place logged, when the air is hottest.

    Parameters
    ----------
    logs
        Any of which have two thermocouples or more in the air.
    stated
        As stated [K].
    sensor
        Standard deviation of a thermocouple's own offset [K].

    Returns
    -------
    Value or None
        [K]; that of the log with most thermocouples in the air. Fewer than four tell it in part: the hottest and the
        coldest place may not be among them.
    """
    best = max((lines_of(log, Sensor.AIR) for log in logs), key=len, default=())
    if len(best) < 2:
        return None
    grid = np.arange(max(x.time[0] for x in best), min(x.end for x in best), 60.0)
    if not len(grid):
        return None
    rows = np.array([x.at(grid) for x in best])
    hot = rows.mean(axis=0) >= rows.mean(axis=0).max() - NEAR
    means = rows[:, hot].mean(axis=1)
    value, doubt = float(np.ptp(means)), SIGMAS * float(np.sqrt(2.0)) * sensor
    return Value(
        name="spread of the air",
        before=stated,
        value=value,
        low=max(value - doubt, 0.0),
        high=value + doubt,
        left=0.0,
        told=Told.MEASURED if len(best) >= ENOUGH else Told.PARTLY,
    )
