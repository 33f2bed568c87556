"""How a time column is read, once it is known how.

What is read here is what the file says, row by row [s]; that clocks pass midnight, change to summer time or are set is
the work of `clockwork`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from bagside.records.logger import digits
from bagside.records.logger.dates import day_number
from bagside.records.logger.numbers import as_numbers
from bagside.records.logger.options import DateOrder
from bagside.records.logger.stamps import clock, parted

DAY = 86400.0
EXCEL_ZERO = -36526
"""30 December 1899, as days since 2000."""
UNIX_ZERO = -10957
"""1 January 1970, as days since 2000."""


class How(Enum):
    """How the time of a row is told."""

    STAMP = "date and time in one cell"
    TWO = "date and time in two cells"
    CLOCK = "time of day"
    ELAPSED = "elapsed, as hours and minutes"
    NUMBER = "a number"
    EVERY = "not at all"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimePlan:
    """How the time of each row is read.

    Parameters
    ----------
    how
        It is told.
    columns
        That tell it.
    order
        Of dates.
    scale
        Of a number, or of the first part of an elapsed time [s].
    zero
        Day on which a number counts from, as days since 2000; None when from the first reading.
    half
        0 or 43200 for a 12-hour clock without AM or PM that starts in the morning or afternoon [s]; None else.
    name
        Of the column, as a person finds it.
    sure
        Whether a person said that its clock has 24 hours.
    zone
        How far its clock is ahead of Greenwich, as the first reading tells [s]; None when no reading does.
    """

    how: How
    columns: tuple[int, ...] = ()
    order: DateOrder = DateOrder.YEAR
    scale: float = 1.0
    zero: int | None = None
    half: float | None = None
    name: str = ""
    sure: bool = False
    zone: int | None = None

    @property
    def dated(self) -> bool:
        """Whether the day is told."""
        return self.how in (How.STAMP, How.TWO) or self.zero is not None

    @property
    def period(self) -> float | None:
        """After which it begins anew [s]; None when it does not."""
        if self.half is not None:
            return DAY / 2
        return {How.CLOCK: DAY, How.ELAPSED: 3600.0 if self.scale == 60.0 else DAY}.get(self.how)

    def read(self, columns: Sequence[Sequence[str]], decimal: str) -> NDArray[np.float64]:
        """Return the time that each row tells [s], not a number for a row that tells none.

        Parameters
        ----------
        columns
            Every column of the rows.
        decimal
            The file's decimal mark.
        """
        texts = columns[self.columns[0]]
        if self.how is How.NUMBER:
            found = as_numbers(texts, decimal) * self.scale
            return found if self.zero is None else found + self.zero * DAY
        quick = self._quick(texts if self.how is How.STAMP else columns[self.columns[-1]])
        if self.how is How.STAMP:
            if quick is not None:
                return quick
            stamps = {t: self._stamp(t) for t in set(texts)}
            return np.array([stamps[t] for t in texts], dtype=np.float64)
        if quick is None:
            clocks = {t: self._clock(t) for t in set(columns[self.columns[-1]])}
            quick = np.array([clocks[t] for t in columns[self.columns[-1]]], dtype=np.float64)
        if self.how is How.TWO:
            days = {t: self._day(t) for t in set(texts)}
            quick = quick + np.array([days[t] for t in texts], dtype=np.float64)
        return quick

    def _quick(self, texts: Sequence[str]) -> NDArray[np.float64] | None:
        """Return times that are written alike, all at once; None when it is not worth it."""
        if len(texts) < digits.FEWEST or self.half is not None:
            return None
        lengths = np.fromiter(map(len, texts), np.intp, len(texts))
        found = np.full(len(texts), np.nan)
        done = np.zeros(len(texts), bool)
        for length in np.unique(lengths).tolist():
            rows = np.flatnonzero(lengths == length)
            if len(rows) < digits.FEWEST:
                continue
            same = [texts[k] for k in rows.tolist()]
            codes = digits.codes_of(same, length)
            told = digits.clocks_in(codes, same[0])
            if told is None:
                return None
            seconds, alike, where = told
            if self.how is How.STAMP:
                starts = digits.changes(codes, where)
                heads = [parted(same[k]) for k in starts.tolist()]
                days = [float("nan") if h is None else self._day(h[0]) for h in heads]
                seconds = seconds + np.repeat(days, np.diff(np.append(starts, len(same))))
            found[rows[alike]] = seconds[alike]
            done[rows[alike]] = True
        one = self._stamp if self.how is How.STAMP else self._clock
        for k in np.flatnonzero(~done).tolist():
            found[k] = one(texts[k])
        return found

    def _day(self, text: str) -> float:
        day = day_number(text, self.order)
        return float("nan") if day is None else day * DAY

    def _clock(self, text: str) -> float:
        found = clock(text)
        if found is None or not found.in_range:
            return float("nan")
        if self.how is How.ELAPSED and len(found.parts) == 2:
            return self.scale * (found.parts[0] + found.parts[1] / 60.0)
        if self.half is not None:
            return found.seconds % (DAY / 2)
        if self.how is not How.ELAPSED and (found.seconds >= DAY + 1.0):
            return float("nan")
        return found.seconds - (found.zone or 0)

    def _stamp(self, text: str) -> float:
        both = parted(text)
        if both is None:
            day = self._day(text)  # a spreadsheet leaves midnight off
            return day
        return self._day(both[0]) + self._clock(both[1])
