"""Sensors that should read the same and do not: in the room before the heat is on, and again after it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Channel
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown
from bagside.records.logger.saying import told

Floats = NDArray[np.float64]
REST = 300.0
"""How long sensors are looked at before the heat is on [s]."""
AT_REST = 1.0
"""A sensor that moves by less in that time is at rest [K]."""
REST_AFTER = 900.0
"""How long they are looked at for drift, when a part may still be cooling [s]."""
SETTLED = 0.3
"""A sensor whose readings move by less from the first to the last third of that is in the room's balance [K]."""
NEAR = 10.0
"""Further from the others a sensor is not in the same room: the oven is warm, or the part is cold [K]."""
ALLOWED = 2.0
"""Of a sensor against the others: what a yearly check with ice and boiling water allows [K]."""
COOL = 313.15
"""Above it a part is still cooling [K]."""


def resting(time: Floats, heat: Sequence[Channel], *, end: bool) -> dict[str, float]:
    """Return what sensors at rest read at a log's start or end, those near one another alone.

    Parameters
    ----------
    time
        Of the readings [s].
    heat
        Sensors of temperature, without the set point.
    end
        Whether the end is looked at.

    Returns
    -------
    dict
        By name [K]; empty when there are not two.
    """
    edge = time >= time[-1] - REST_AFTER if end else time <= time[0] + REST
    found: dict[str, float] = {}
    for channel in heat:
        values = channel.values[edge]
        values = values[np.isfinite(values)]
        if len(values) >= 3 and (_settled(values) if end else _at_rest(values)):
            found[channel.name] = float(np.median(values))
    middle = float(np.median(list(found.values()))) if found else 0.0
    near = {name: value for name, value in found.items() if abs(value - middle) <= NEAR and value < COOL}
    return near if len(near) > 1 else {}


def _at_rest(values: Floats) -> bool:
    return float(np.percentile(values, 95) - np.percentile(values, 5)) <= AT_REST


def _settled(values: Floats) -> bool:
    third = len(values) // 3
    return abs(float(np.median(values[:third]) - np.median(values[-third:]))) <= SETTLED


def standing_off(told_by: dict[str, float]) -> list[tuple[str, float, str]]:
    """Return the sensors that stand off the others, the furthest first; each is held against those that do not.

    Parameters
    ----------
    told_by
        What each sensor tells, by name [K].

    Returns
    -------
    list
        Name, by how much [K], and against what; two sensors alone cannot say which of them is wrong.
    """
    found: list[tuple[str, float, str]] = []
    left = dict(told_by)
    while len(left) > 1:
        off = {n: v - float(np.median([w for m, w in left.items() if m != n])) for n, v in left.items()}
        worst = max(off, key=lambda n: abs(off[n]))
        if abs(off[worst]) <= ALLOWED:
            break
        if len(left) == 2:
            first, second = left
            found.append((first, off[first], second))
            break
        found.append((worst, off[worst], "the others"))
        del left[worst]
    return found


def offsets(time: Floats, heat: Sequence[Channel], name: str) -> list[Finding]:
    """Return sensors that stand off the others at the start, and that drifted until the end.

    Parameters
    ----------
    time
        Of the readings [s].
    heat
        Sensors of temperature, without the set point.
    name
        Of the file.
    """
    if time[-1] - time[0] < REST:
        return []
    start = resting(time, heat, end=False)
    found = [
        told(
            Severity.WATCH, f"{name}, {sensor}",
            f"it reads {shown(abs(off), 'K')} {'above' if off > 0 else 'below'} {others} before the heat is on",
            "they should all read the room; an offset moves degree of cure and Tg, most after a short cure",
            "check it in ice and in boiling water, unless its place was warmer or colder", Basis.COMMON,
        )
        for sensor, off, others in standing_off(start)
    ]  # fmt: skip
    finish = resting(time, heat, end=True) if time[-1] - time[0] > 10.0 * REST else {}
    both = [n for n in start if n in finish]
    if len(both) > 1:
        moved = {n: finish[n] - start[n] for n in both}
        found += [
            told(
                Severity.WATCH, f"{name}, {sensor}",
                f"against {others} it has moved by {shown(abs(drift), 'K')} between start and end",
                "a sensor that drifts in the heat reads wrong by an unknown part of it all the way",
                "check it in ice and in boiling water; put a new one in its place", Basis.COMMON,
            )
            for sensor, drift, others in standing_off(moved)
        ]  # fmt: skip
    return found
