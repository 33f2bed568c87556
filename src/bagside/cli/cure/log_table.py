"""What was understood of a logger's file, as a table and as data."""

from __future__ import annotations

from typing import Any

import numpy as np

from bagside.cure import CureLog, Sensor
from bagside.cure.log import HEAT
from bagside.quantity import shown
from bagside.records.logger import Understood
from bagside.records.logger.saying import duration


def interval(log: CureLog) -> float:
    """Return the usual time between two readings [s]."""
    steps = sorted(log.time[1:] - log.time[:-1])
    return float(steps[len(steps) // 2])


def title(log: CureLog) -> str:
    """Return how much was read, over what time."""
    since = f", from {log.started:%Y-%m-%d %H:%M:%S} on" if log.started is not None else ""
    return (
        f"{log.name}: {len(log.time)} readings in {duration(float(log.time[-1]))}, "
        f"{duration(interval(log))} apart{since}"
    )


def rows(found: Understood) -> list[list[str]]:
    """Return one row of the table for each channel."""
    rows = []
    for plan, channel in zip(found.channels, found.log.channels, strict=True):
        unit, digits = ("°C", 1) if channel.sensor in HEAT or channel.sensor is Sensor.UNKNOWN else ("mbar", 0)
        there = channel.values[np.isfinite(channel.values)]
        ends = [there[0], there[-1], there.min(), there.max()] if len(there) else []
        against = f", {plan.reference.value}" if plan.reference is not None else ""
        rows.append(
            [
                f"{channel.name} ({plan.unit.text}{against})",
                channel.sensor.value,
                channel.section,
                *([shown(float(v), unit, digits) for v in ends] or ["–"] * 4),
                str(len(channel.values) - len(there)),
            ]
        )
    return rows


def manner(found: Understood) -> str:
    """Return in a sentence how the file was read."""
    time = found.form.time
    parts = [f"time: {time.how.value}" + (f' ("{time.name}")' if time.name else "")]
    separators = {
        "\t": "tabs",
        ";": "semicolons",
        ",": "commas",
        "|": "bars",
        "  ": "wide spaces",
        " ": "spaces",
        "": "none",
    }
    if found.form.layout.separator is not None:
        mark = found.form.layout.separator
        parts.append(f"columns parted by {separators.get(mark, mark)}")
    if found.decimal:
        parts.append("decimal comma" if found.decimal == "," else "decimal point")
    parts.append("a workbook" if found.encoding == "workbook" else f"text in {found.encoding}")
    return "Read as " + ", ".join(parts) + "."


def data(found: Understood) -> dict[str, Any]:
    """Return what was understood as JSON data."""
    log = found.log
    channels = []
    for plan, channel in zip(found.channels, log.channels, strict=True):
        heat = channel.sensor in HEAT or channel.sensor is Sensor.UNKNOWN
        key, zero, scale = ("c", 273.15, 1.0) if heat else ("mbar", 0.0, 0.01)
        there = (channel.values[np.isfinite(channel.values)] - zero) * scale
        ends = {"first": 0, "last": -1}
        channels.append(
            {
                "name": channel.name,
                "measures": channel.sensor.value,
                "section": channel.section,
                "unit": plan.unit.text,
                "reference": plan.reference.value if plan.reference is not None else None,
                "readings": len(there),
                "missing": len(channel.values) - len(there),
                **{f"{word}_{key}": float(there[k]) if len(there) else None for word, k in ends.items()},
                f"lowest_{key}": float(there.min()) if len(there) else None,
                f"highest_{key}": float(there.max()) if len(there) else None,
            }
        )
    return {
        "name": log.name,
        "readings": len(log.time),
        "duration_s": float(log.time[-1]),
        "interval_s": interval(log),
        "started": log.started.isoformat() if log.started is not None else None,
        "time": found.form.time.how.value,
        "time_column": found.form.time.name,
        "separator": found.form.layout.separator,
        "decimal": found.decimal,
        "encoding": found.encoding,
        "channels": channels,
        "left_out": dict(found.form.plans.aside),
    }
