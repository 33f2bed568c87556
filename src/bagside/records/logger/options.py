"""What a person may settle about a logger file that the file itself does not tell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from bagside.cure import Sensor


class DateOrder(StrEnum):
    """Which part of a date comes first."""

    DAY = "day"
    MONTH = "month"
    YEAR = "year"


class Jumps(StrEnum):
    """What a step of the clock that cannot be explained means."""

    CONTINUE = "continue"
    """The clock was changed; readings went on at their usual interval."""
    KEEP = "keep"
    """The clock is right; so much time passed without a reading."""


class TimeIs(StrEnum):
    """How the time column is to be read."""

    CLOCK = "clock"
    """Time of day, 24 hours."""
    AM = "12 h am"
    """Time of day on a 12-hour clock without AM or PM; the first reading is in the morning."""
    PM = "12 h pm"
    """The same; the first reading is in the afternoon."""
    SECONDS = "s"
    MILLISECONDS = "ms"
    MINUTES = "min"
    HOURS = "h"
    HOURS_MINUTES = "h:min"
    """Elapsed hours and minutes."""
    MINUTES_SECONDS = "min:s"
    """Elapsed minutes and seconds."""
    DAYS = "days"
    """A spreadsheet's day number: days since 30 December 1899."""
    UNIX = "unix s"
    """Seconds since 1970, Greenwich."""
    UNIX_MS = "unix ms"
    """Thousandths of a second since 1970, Greenwich."""


class Reference(StrEnum):
    """What a pressure is told against."""

    ABSOLUTE = "absolute"
    """Against nothing: 20 mbar is a good bag."""
    GAUGE = "gauge"
    """Against the ambient air: −990 mbar is a good bag."""
    DEPTH = "depth"
    """Below the ambient air: 990 mbar of vacuum is a good bag."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggerOptions:
    """What a person settles; everything left out is found from the file, or asked for.

    Parameters
    ----------
    columns
        What a column measures, by its name; None leaves it out.
    sections
        Name of the section a column's sensor sits at, by the column's name.
    units
        Unit as text, by the column's name; under the empty name those that hold for every column that has none.
    pressures
        What a column of pressure is told against, by its name; under the empty name for every one that does not say.
    ambient
        Ambient pressure of the day [Pa]; None when not stated.
    time_column
        Name of the column to take the time from; empty to look for it.
    time
        How it is to be read; None to find out.
    date_order
        Of dates like 03/04/2026; None to find out.
    every
        Time between readings of a file without a time column [s]; None when not stated.
    jumps
        What a step of the clock means that cannot be explained; None to ask.
    decimal
        ``.`` or ``,``; empty to find out.
    separator
        Between cells: one character; empty to find out.
    sheet
        Of a workbook; empty when there is one with readings.
    may_lack
        Names of columns that a file need not have: they were settled for other files of its logger.

    Examples
    --------
    >>> LoggerOptions(columns={"TC2": Sensor.PART}, sections={"TC2": "keel"}).columns["TC2"].value
    'part'
    """

    columns: Mapping[str, Sensor | None] = field(default_factory=dict)
    sections: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    pressures: Mapping[str, Reference] = field(default_factory=dict)
    ambient: float | None = None
    time_column: str = ""
    time: TimeIs | None = None
    date_order: DateOrder | None = None
    every: float | None = None
    jumps: Jumps | None = None
    decimal: str = ""
    separator: str = ""
    sheet: str = ""
    may_lack: frozenset[str] = frozenset()
