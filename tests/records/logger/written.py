"""Logs for tests: a course that physics gives in closed form, written as loggers write."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from bagside.cure import CureLog
from bagside.errors import InputError
from bagside.records.logger import LoggerOptions
from bagside.records.logger.reading import of_text

Floats = NDArray[np.float64]
START = datetime(2026, 3, 4, 8)


def air_at(time: Floats, ramp: float = 2.0, top: float = 120.0) -> Floats:
    """Return the oven's air [°C]: from 20 °C at so many kelvin a minute, then held; time in seconds."""
    return np.minimum(20.0 + ramp * time / 60.0, top)


def behind(time: Floats, lag: float, ramp: float = 2.0, top: float = 120.0) -> Floats:
    """Return a body of one time constant [s] in that air [°C], in closed form: T' = (air − T) / lag."""
    slope = ramp / 60.0
    end = (top - 20.0) / slope
    on_ramp = 20.0 + slope * (time - lag * (1.0 - np.exp(-time / lag)))
    at_end = 20.0 + slope * (end - lag * (1.0 - np.exp(-end / lag)))
    return np.where(time <= end, on_ramp, top - (top - at_end) * np.exp(-(time - end) / lag))


Rows = list[list[str]]


def clock_rows(
    columns: Sequence[Floats], *, step: float = 60.0, start: datetime = START, form: str = "%H:%M:%S"
) -> Rows:
    """Return rows of a time of day and numbers with one decimal."""
    return [
        [(start + timedelta(seconds=k * step)).strftime(form), *(f"{c[k]:.1f}" for c in columns)]
        for k in range(len(columns[0]))
    ]


def text_of(head: Iterable[str], rows: Iterable[Iterable[str]], mark: str = ";") -> str:
    """Return a table as text."""
    return "\n".join([mark.join(head), *(mark.join(r) for r in rows)]) + "\n"


def log_of(text: str, **settled: object) -> CureLog:
    """Return the log that a text is."""
    return of_text(text, "run.csv", LoggerOptions(**settled)).log  # type: ignore[arg-type]


def asked(text: str, **settled: object) -> str:
    """Return what is asked about a text."""
    try:
        of_text(text, "run.csv", LoggerOptions(**settled))  # type: ignore[arg-type]
    except InputError as error:
        return str(error)
    raise AssertionError("nothing was asked")


def said(log: CureLog) -> list[str]:
    """Return each finding as one line."""
    return [f"{f.severity.value}: {f.place}: {f.what}; {f.why}; {f.do}" for f in log.noticed]


def course(step: float = 60.0, hours: float = 4.0) -> tuple[Floats, list[Floats]]:
    """Return times [s] and what air, a part and its tool read [°C]."""
    time = np.arange(0.0, hours * 3600.0 + 0.5 * step, step)
    return time, [air_at(time), behind(time, 400.0), behind(time, 900.0)]


def following(time: Floats, air: Floats, lag: float) -> Floats:
    """Return a body of one time constant [s] in air that is straight between readings [°C], exactly step by step."""
    out = np.empty_like(air)
    out[0] = air[0]
    for k in range(1, len(air)):
        step = time[k] - time[k - 1]
        lagged = lag * (air[k] - air[k - 1]) / step
        out[k] = air[k] - lagged + (out[k - 1] - air[k - 1] + lagged) * np.exp(-step / lag)
    return out
