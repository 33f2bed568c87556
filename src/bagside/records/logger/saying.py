"""How rows, times and findings of a log are said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from bagside.findings import Basis, Finding, Severity
from bagside.records.logger.dates import DAY_ZERO


@dataclass(slots=True, kw_only=True)
class Place:
    """Names rows of a file for messages, while they may be turned round or sorted.

    Parameters
    ----------
    file
        Its name.
    lines
        Of each row in the file, shape (k,).
    written
        How a raw time stands in the file.
    rows
        Index of each row as it was read, shape (k,).
    """

    file: str
    lines: NDArray[np.int64]
    written: Callable[[float], str]
    rows: NDArray[np.intp]

    def at(self, row: int) -> str:
        """Return a row's place.

        Parameters
        ----------
        row
            Its index now.
        """
        return f"{self.file}, line {self.lines[self.rows[row]]}"

    def clock(self, raw: float) -> str:
        """Return a raw time as people read it.

        Parameters
        ----------
        raw
            As read from the file [s].
        """
        return self.written(raw)

    def turn(self) -> None:
        """Take the rows from last to first."""
        self.rows = self.rows[::-1].copy()

    def sort(self, order: NDArray[np.intp]) -> None:
        """Take the rows in another order.

        Parameters
        ----------
        order
            Indices of the rows as they stand now.
        """
        self.rows = self.rows[order]


def told(severity: Severity, place: str, what: str, why: str, do: str, basis: Basis = Basis.MEASURED) -> Finding:
    """Return a finding about a log.

    Parameters
    ----------
    severity, place, what, why, do, basis
        As in `Finding`.
    """
    return Finding(severity=severity, stage="log", place=place, what=what, why=why, do=do, basis=basis)


def duration(seconds: float) -> str:
    """Return a time that passed, as people say it.

    Parameters
    ----------
    seconds
        It took [s].

    Examples
    --------
    >>> duration(10.0), duration(90.0), duration(4500.0), duration(200000.0)
    ('10 s', '1 min 30 s', '1 h 15 min', '2 days 8 h')
    """
    if seconds < 60.0:
        return f"{seconds:.3g} s"
    whole = round(seconds)
    if whole < 3600:
        return f"{whole // 60} min" + (f" {whole % 60} s" if whole % 60 else "")
    minutes = round(seconds / 60)
    if minutes < 48 * 60:
        return f"{minutes // 60} h" + (f" {minutes % 60} min" if minutes % 60 else "")
    hours = round(seconds / 3600)
    return f"{hours // 24} days" + (f" {hours % 24} h" if hours % 24 else "")


def clock_text(raw: float, *, dated: bool) -> str:
    """Return a raw time as date and time, or time of day.

    Parameters
    ----------
    raw
        Since 2000, or since midnight [s].
    dated
        Whether the day is told.

    Examples
    --------
    >>> clock_text(3723.0, dated=False), clock_text(0.0, dated=True)
    ('01:02:03', '2000-01-01 00:00:00')
    """
    whole = round(raw)
    day, rest = divmod(whole, 86400)
    text = f"{rest // 3600:02d}:{rest // 60 % 60:02d}:{rest % 60:02d}"
    if not dated:
        return text
    return f"{date.fromordinal(day + DAY_ZERO).isoformat()} {text}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Says moments of a log.

    Parameters
    ----------
    started
        Clock time of its first reading; None when not known.
    """

    started: datetime | None

    def __call__(self, time: float) -> str:
        """Return a moment as people say it: ``1 h 05 min in (09:05)``.

        Parameters
        ----------
        time
            Since the first reading [s].
        """
        passed = f"{duration(float(time))} in" if time > 0.0 else "at the start"
        if self.started is None:
            return passed
        return f"{passed} ({self.started + timedelta(seconds=float(time)):%H:%M})"
