"""Sensors that cannot be right: dead, wired the wrong way round, off their place, or taken one for the other.

Nothing here changes a reading. Each rule says what heat cannot do, so that a sensor that breaks it is worth a look; the
figures are common practice, not limits of a standard.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Channel, Sensor
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown
from bagside.records.logger.saying import Moment, duration, told

Floats = NDArray[np.float64]
WARM = 25.0
"""The others must have risen by this before one can be called dead [K]."""
WARM_TIME = 1800.0
"""And must have stayed there for this long [s]."""
BEFORE = 120.0
"""What a sensor reads so long from the start is where it started [s]."""
STILL = 8.0
"""A sensor that moves by less takes no part [K]."""
PARTED = 25.0
"""By how much the others must move away from one that stands still to the last digit [K]."""
STILL_FOR = 1200.0
"""And for how long it must stand [s]."""


def dead(time: Floats, heat: Sequence[Channel], name: str, when: Moment) -> list[Finding]:
    """Return sensors that stand still, stay at the room, or fall while the others rise.

    Parameters
    ----------
    time
        Of the readings [s].
    heat
        Sensors of temperature, without the set point.
    name
        Of the file.
    when
        Says moments.
    """
    found: list[Finding] = []
    for channel in heat:
        others = [c.values for c in heat if c is not channel and np.isfinite(c.values).any()]
        if not others or np.isfinite(channel.values).sum() < 10:
            continue
        rest = _middle(np.array(others))
        place = f"{name}, {channel.name}"
        stands = _stands(time, channel.values, rest)
        if stands is not None:
            a, b, moved = stands
            found.append(
                told(
                    Severity.DECIDE, f"{place}, {when(time[a])}",
                    f"it stands at {shown(float(channel.values[a]), '°C')} to the last digit for "
                    f"{duration(float(time[b] - time[a]))} while the others move away by {shown(moved, 'K', 0)}",
                    "a sensor at a part or in air is never that still: it is dead, or its channel hangs",
                    f'leave it out, as in --column "{channel.name}=-", or look at it', Basis.COMMON,
                )
            )  # fmt: skip
            continue
        first = (time <= time[0] + BEFORE) & np.isfinite(channel.values) & np.isfinite(rest)
        if not first.any():
            continue
        start = float(np.median(channel.values[first]))
        rise = rest - float(np.median(rest[first]))
        warm = rise > WARM
        if not warm.any() or time[-1] - time[int(np.argmax(warm))] < WARM_TIME:
            continue
        span = np.nanpercentile(channel.values, 98) - np.nanpercentile(channel.values, 2)
        top = float(np.nanmax(rise))
        sunk = start - float(np.nanmin(channel.values[warm])) if np.isfinite(channel.values[warm]).any() else 0.0
        if sunk > max(STILL, 0.3 * top):
            found.append(
                told(
                    Severity.DECIDE, place,
                    f"it falls by {shown(sunk, 'K', 0)} while the others rise by {shown(top, 'K', 0)}",
                    "its two wires are on the wrong clamps",
                    f'leave it out, as in --column "{channel.name}=-", and change its wires over', Basis.COMMON,
                )
            )  # fmt: skip
        elif span < min(STILL, 0.2 * top) and float(np.nanmax(rest[warm] - channel.values[warm])) > PARTED:
            found.append(
                told(
                    Severity.DECIDE, place,
                    f"it stays between {shown(float(np.nanmin(channel.values)), '°C')} and "
                    f"{shown(float(np.nanmax(channel.values)), '°C')} while the others rise by {shown(top, 'K', 0)}",
                    "it hangs in the room, or is shorted outside the oven",
                    f'leave it out, as in --column "{channel.name}=-", or look at it', Basis.COMMON,
                )
            )  # fmt: skip
    return found


def _middle(rows: Floats) -> Floats:
    """Return the median over sensors where any reads."""
    known = np.isfinite(rows)
    if known.all():
        return np.asarray(np.median(rows, axis=0), dtype=np.float64)
    there = known.any(axis=0)
    out = np.full(rows.shape[1], np.nan)
    out[there] = np.nanmedian(rows[:, there], axis=0)
    return out


def _stands(time: Floats, values: Floats, rest: Floats) -> tuple[int, int, float] | None:
    """Return the longest stretch at one value to the last digit while the others move away, and by how much they do.

    Air that is held stands still as well, but there the others come nearer.
    """
    same = np.concatenate([[False], values[1:] == values[:-1], [False]]).astype(np.int8)
    edges = np.diff(same)
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    best: tuple[int, int, float] | None = None
    for a, b in zip(starts.tolist(), ends.tolist(), strict=True):
        if b - a < 20 or time[b] - time[a] < STILL_FOR:
            continue
        away = np.abs(rest[a : b + 1] - values[a])
        away = away[np.isfinite(away)]
        moved = float(away.max() - away[0]) if len(away) else 0.0
        if moved >= PARTED and (best is None or b - a > best[1] - best[0]):
            best = (a, b, moved)
    return best


def fell_off(time: Floats, heat: Sequence[Channel], name: str, when: Moment) -> list[Finding]:
    """Return sensors that jump to the air's course and stay on it.

    Parameters
    ----------
    time
        Of the readings [s].
    heat
        Sensors of temperature, without the set point.
    name
        Of the file.
    when
        Says moments.

    Notes
    -----
    Within a minute the thinnest carbon laminate on its mould closes a fifth of the way to the air; a sensor that closes
    six tenths of it is at the laminate no more. Logs with more than two minutes between readings cannot tell.
    """
    air = [c.values for c in heat if c.sensor is Sensor.AIR and np.isfinite(c.values).any()]
    if not air or len(time) < 10:
        return []
    usual = float(np.median(np.diff(time)))
    if usual > 120.0:
        return []
    step = max(1, round(60.0 / usual))
    course = _middle(np.array(air))
    found: list[Finding] = []
    for channel in heat:
        if channel.sensor not in (Sensor.PART, Sensor.TOOL) or len(time) <= 4 * step:
            continue
        away = course - channel.values
        before, after = away[:-step], away[step:]
        with np.errstate(invalid="ignore"):
            closed = np.abs(before) - np.abs(after)
            jumps = (closed > 6.0) & (closed > 0.6 * np.abs(before)) & (time[step:] - time[:-step] <= 150.0)
            jumps &= np.abs(course[step:] - course[:-step]) < 0.3 * closed
        for k in np.flatnonzero(jumps).tolist():
            later = away[k + step : k + step + max(5, round(600.0 / usual))]
            if len(later) < 5 or not np.isfinite(later).any():
                continue
            if float(np.nanmedian(np.abs(later))) <= 0.35 * abs(float(before[k])):
                found.append(
                    told(
                        Severity.DECIDE, f"{name}, {channel.name}, {when(time[k])}",
                        f"it goes {shown(float(abs(channel.values[k + step] - channel.values[k])), 'K', 0)} to the "
                        f"air's temperature in {duration(float(time[k + step] - time[k]))} and stays there",
                        "no part follows the air that fast: it has come off its place and reads the air",
                        "judge what follows by another sensor", Basis.COMMON,
                    )
                )  # fmt: skip
                break
    return found


def swapped(time: Floats, heat: Sequence[Channel], name: str) -> list[Finding]:
    """Return sensors that run ahead of the air while it heats, and one that may be the air where none is named.

    Parameters
    ----------
    time
        Of the readings [s].
    heat
        Sensors of temperature, without the set point.
    name
        Of the file.
    """
    usual = float(np.median(np.diff(time))) if len(time) > 1 else 0.0
    least = max(60.0, 2.0 * usual)
    air = [c for c in heat if c.sensor is Sensor.AIR]
    found: list[Finding] = []
    for channel in heat:
        if channel.sensor not in (Sensor.PART, Sensor.TOOL):
            continue
        leads = [lead for a in air if (lead := _lead(time, channel.values, a.values)) is not None]
        if leads and min(leads) > least:
            first = air[int(np.argmax(leads))]
            found.append(
                told(
                    Severity.DECIDE, f"{name}, {channel.name} and {first.name}",
                    f"{channel.name}, read as {channel.sensor.value}, runs {duration(min(leads))} ahead of the oven's "
                    "air while it heats",
                    "heat comes from the air: the two are taken one for the other, unless the mould is heated itself",
                    f'say which is which, as in --column "{channel.name}=air" '
                    f'--column "{first.name}={channel.sensor.value}"',
                    Basis.COMMON,
                )
            )  # fmt: skip
    unknown = [c for c in heat if c.sensor is Sensor.UNKNOWN]
    if not air and len(heat) > 1:
        for channel in unknown:
            ahead = [_lead(time, channel.values, c.values) for c in heat if c is not channel]
            if all(lead is not None and lead > least for lead in ahead):
                found.append(
                    told(
                        Severity.SEEN, f"{name}, {channel.name}", "it runs ahead of every other sensor",
                        "the oven's air does so; the file does not say that this is it",
                        f'if it is, say so: --column "{channel.name}=air"', Basis.COMMON,
                    )
                )  # fmt: skip
    return found


def _lead(time: Floats, one: Floats, other: Floats) -> float | None:
    """Return by how long one sensor passes three tenths of the common rise before another [s]; None without a rise."""
    both = np.isfinite(one) & np.isfinite(other)
    if both.sum() < 10:
        return None
    a, b, t = one[both], other[both], time[both]
    start = max(float(np.median(a[:3])), float(np.median(b[:3])))
    top = min(float(a.max()), float(b.max()))
    if top - start < 20.0:
        return None
    level = start + 0.3 * (top - start)
    return float(t[int(np.argmax(b > level))] - t[int(np.argmax(a > level))])
