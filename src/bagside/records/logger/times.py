"""The time column: which it is, how it is to be read, and reading it.

What is read here is what the file says, row by row [s]; that clocks pass midnight, change to summer time or are set is
the work of `clockwork`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from bagside.errors import Problem
from bagside.records.logger import digits, words
from bagside.records.logger.dates import as_said, day_number, possible_orders, told_order
from bagside.records.logger.header import Column, by_name
from bagside.records.logger.layout import Layout
from bagside.records.logger.numbers import as_numbers, is_missing, split_number
from bagside.records.logger.options import DateOrder, LoggerOptions, TimeIs
from bagside.records.logger.stamps import clock, dated, parted
from bagside.records.logger.units import Measures
from bagside.records.logger.words import words_in

DAY = 86400.0
EXCEL_ZERO = -36526
"""30 December 1899, as days since 2000."""
UNIX_ZERO = -10957
"""1 January 1970, as days since 2000."""
_NUMBERS = {
    TimeIs.SECONDS: 1.0, TimeIs.MILLISECONDS: 1e-3, TimeIs.MINUTES: 60.0, TimeIs.HOURS: 3600.0, TimeIs.DAYS: DAY,
    TimeIs.UNIX: 1.0, TimeIs.UNIX_MS: 1e-3,
}  # fmt: skip


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


def shape_of(texts: Sequence[str]) -> How | None:
    """Return how a column tells a time, or nothing when it does not.

    Parameters
    ----------
    texts
        Some of its cells.
    """
    there = [t for t in texts if not is_missing(t)]
    if not there:
        return None
    enough = 0.6 * len(there)
    if sum(parted(t) is not None for t in there) >= enough:
        return How.STAMP
    if sum(clock(t) is not None for t in there) >= enough:
        return How.CLOCK
    if sum(dated(t) is not None for t in there) >= enough:
        return How.TWO
    if sum(split_number(t) is not None for t in there) >= enough:
        return How.NUMBER
    return None


def time_plan(
    layout: Layout, columns: Sequence[Column], cells: Sequence[Sequence[str]], options: LoggerOptions, name: str
) -> tuple[TimePlan | None, list[Problem]]:
    """Return how time is read, and what must be asked.

    Parameters
    ----------
    layout, columns
        Of the file.
    cells
        Some of each column's cells.
    options
        What was stated.
    name
        Of the file.

    Returns
    -------
    tuple
        None and what to ask, or the plan and nothing.
    """
    shapes = [shape_of(texts) for texts in cells]
    stated: int | None = None
    if options.time_column:
        found, wrong = by_name(columns, (options.time_column,), "--time-column")
        if wrong:
            return None, wrong
        stated = next(iter(found))
        if shapes[stated] is None:
            place, came = f"{name}, {columns[stated].place}", f'"{_first(cells[stated])}"'
            return None, [Problem(place=place, came=came, wanted="no time is told there")]
    chosen = _chosen(columns, cells, shapes, stated)
    if options.every is not None and stated is None:
        return TimePlan(how=How.EVERY, scale=options.every), []
    if chosen is None:
        hint = 'state --every, as in --every "10 s", when readings come at one interval'
        wanted = "none of these columns tells the time; say which with --time-column"
        return None, [Problem(place=name, came=", ".join(c.name for c in columns), wanted=wanted, hint=hint)]
    how, index = chosen
    place = f"{name}, {columns[index[0]].place}"
    base = TimePlan(how=how, columns=index, name=columns[index[0]].name)
    if how is How.NUMBER:
        return _numbered(base, columns[index[0]], cells[index[0]], options, place)
    if how in (How.STAMP, How.TWO):
        plan, problems = _dated(base, layout, cells, options, place)
        return plan, problems
    return _clocked(base, columns[index[0]], cells[index[0]], options, place)


def spare_plan(columns: Sequence[Column], cells: Sequence[Sequence[str]], time: TimePlan) -> TimePlan | None:
    """Return a second column that tells the elapsed time with its unit, for when the clock cannot be trusted.

    Parameters
    ----------
    columns
        Of the file.
    cells
        Some of each column's cells.
    time
        How time is read.
    """
    for column in columns:
        unit = column.unit
        if column.index in time.columns or unit is None or unit.measures is not Measures.TIME:
            continue
        if shape_of(cells[column.index]) is How.NUMBER:
            return TimePlan(how=How.NUMBER, columns=(column.index,), scale=unit.scale, name=column.name)
    return None


def likely_times(columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> tuple[int, ...]:
    """Return the columns that look like a time, however it is to be read.

    Parameters
    ----------
    columns
        Of the file.
    cells
        Some of each column's cells.
    """
    shapes = [shape_of(texts) for texts in cells]
    clocks = [k for k, s in enumerate(shapes) if s in (How.STAMP, How.CLOCK, How.TWO)]
    chosen = _chosen(columns, cells, shapes, None)
    return tuple(dict.fromkeys([*clocks, *(chosen[1] if chosen else ())]))


def _chosen(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], shapes: Sequence[How | None], stated: int | None
) -> tuple[How, tuple[int, ...]] | None:
    """Return the shape and the columns of the time: elapsed where there is one, for no clock change touches it."""
    spoken = [set(words_in(c.heading)) for c in columns]
    if stated is not None:
        shape = shapes[stated]
        if shape is How.TWO:
            partner = next((k for k, s in enumerate(shapes) if s is How.CLOCK), None)
            return (How.TWO, (stated, partner)) if partner is not None else (How.STAMP, (stated,))
        if shape is How.CLOCK:
            partner = next((k for k, s in enumerate(shapes) if s is How.TWO), None)
            return (How.TWO, (partner, stated)) if partner is not None else (How.CLOCK, (stated,))
        return (shape, (stated,)) if shape is not None else None
    stamps = [k for k, s in enumerate(shapes) if s is How.STAMP]
    clocks = [k for k, s in enumerate(shapes) if s is How.CLOCK]
    dates = [k for k, s in enumerate(shapes) if s is How.TWO]
    if stamps:
        return How.STAMP, (stamps[0],)
    if clocks and dates:
        return How.TWO, (dates[0], clocks[0])
    if clocks:
        return How.CLOCK, (clocks[0],)
    numbers = [k for k, s in enumerate(shapes) if s is How.NUMBER]
    kinds = {k: unit.measures for k in numbers if (unit := columns[k].unit) is not None}
    timed = [k for k in numbers if kinds.get(k) is Measures.TIME]
    timed += [k for k in numbers if k not in kinds and spoken[k] & (words.TIME | words.DATE)]
    return (How.NUMBER, (timed[0],)) if timed else None


def _numbered(
    base: TimePlan, column: Column, texts: Sequence[str], options: LoggerOptions, place: str
) -> tuple[TimePlan | None, list[Problem]]:
    """Return the plan of a column of numbers."""
    if options.time in _NUMBERS:
        zero = {TimeIs.DAYS: EXCEL_ZERO, TimeIs.UNIX: UNIX_ZERO, TimeIs.UNIX_MS: UNIX_ZERO}.get(options.time)
        return replace(base, scale=_NUMBERS[options.time], zero=zero, zone=0 if zero == UNIX_ZERO else None), []
    spoken = set(words_in(column.heading))
    if column.unit is None and spoken & words.DATE and options.time is None:
        return replace(base, scale=DAY, zero=EXCEL_ZERO), []  # a number under "date" is a spreadsheet's day
    if column.unit is not None and column.unit.measures is Measures.TIME and options.time is None:
        zero = UNIX_ZERO if spoken & {"unix", "epoch"} else None
        return replace(base, scale=column.unit.scale, zero=zero, zone=None if zero is None else 0), []
    first = _first(texts)
    if options.time is not None:
        wanted = f'a time on a clock is wanted for --time "{options.time.value}"'
        return None, [Problem(place=place, came=f'"{first}"', wanted=wanted)]
    return None, [
        Problem(
            place=place,
            came=f'"{first}"',
            wanted="the unit of this time is not told and is not guessed; say --time s, ms, min, h, days "
            '(a spreadsheet\'s day number), "unix s" or "unix ms"',
        )
    ]


def _dated(
    base: TimePlan, layout: Layout, cells: Sequence[Sequence[str]], options: LoggerOptions, place: str
) -> tuple[TimePlan | None, list[Problem]]:
    """Return the plan of dates, or the question which number is the day."""
    texts = cells[base.columns[0]]
    both = [parted(t) for t in texts] if base.how is How.STAMP else []
    days = [b[0] for b in both if b is not None] if base.how is How.STAMP else [t for t in texts if dated(t)]
    days = days or [t for t in texts if dated(t)]
    different = list(dict.fromkeys(days))
    half: float | None = {TimeIs.AM: 0.0, TimeIs.PM: DAY / 2}.get(options.time) if options.time else None
    clocks = [clock(b[1]) for b in both if b is not None][:1] or [clock(t) for t in cells[base.columns[-1]]][:1]
    sure = options.time is TimeIs.CLOCK
    base = replace(base, half=half, sure=sure, zone=clocks[0].zone if clocks and clocks[0] is not None else None)
    orders = possible_orders(different)
    told = options.date_order or told_order(t for row in (*layout.head, *layout.preamble) for t in row)
    if orders and all((d := dated(t)) is not None and (not d.mark or d.digits[0] == 4) for t in different):
        return replace(base, order=orders[0]), []  # written so that no order is left open
    if told in orders:
        return replace(base, order=told), []
    if options.date_order is not None or not orders:
        wanted = f"no date with the {told.value} first" if told else "no date that is understood"
        return None, [Problem(place=place, came=f'"{different[0]}"', wanted=f"this is {wanted}")]
    if len(orders) == 1:
        return replace(base, order=orders[0]), []
    said = [f"{as_said(different[0], o)} (--date-order {o.value})" for o in orders]
    wanted = f"this may be {', '.join(said[:-1])} or {said[-1]}; say which"
    return None, [Problem(place=place, came=f'"{_first(texts)}"', wanted=wanted)]


def _first(texts: Sequence[str]) -> str:
    return next((t.strip() for t in texts if not is_missing(t)), "")


def _clocked(
    base: TimePlan, column: Column, texts: Sequence[str], options: LoggerOptions, place: str
) -> tuple[TimePlan | None, list[Problem]]:
    """Return the plan of a time of day, or of elapsed hours and minutes."""
    read = [c for c in map(clock, texts) if c is not None]
    first = _first(texts)
    two = all(len(c.parts) == 2 for c in read)
    stated = options.time
    if stated in (TimeIs.AM, TimeIs.PM):
        return replace(base, half=0.0 if stated is TimeIs.AM else DAY / 2), []
    if stated is TimeIs.CLOCK:
        return replace(base, sure=True), []
    if stated in (TimeIs.HOURS_MINUTES, TimeIs.MINUTES_SECONDS, TimeIs.HOURS, TimeIs.MINUTES):
        scale = 3600.0 if stated in (TimeIs.HOURS_MINUTES, TimeIs.HOURS) else 60.0
        return replace(base, how=How.ELAPSED, scale=scale), []
    if stated is not None:
        return None, [Problem(place=place, came=f'"{first}"', wanted=f'a number is wanted for --time "{stated.value}"')]
    beyond = any(c.parts[0] >= 24.0 or c.days for c in read)
    from_zero = bool(read) and read[0].seconds < 60.0 and not read[0].half
    if not two:
        return (replace(base, how=How.ELAPSED, scale=3600.0) if beyond or from_zero else base), []
    heading = column.heading.lower().replace(" ", "")
    if any(form in heading for form in ("hh:mm", "h:mm", "h:min", "hh.mm")):
        return (replace(base, how=How.ELAPSED, scale=3600.0) if beyond or from_zero else base), []
    if any(form in heading for form in ("mm:ss", "m:ss", "min:s")) or any(c.fine for c in read):
        return replace(base, how=How.ELAPSED, scale=60.0), []
    if not (beyond or from_zero) or any(c.half for c in read):
        return base, []
    if beyond and any(c.parts[0] > 96.0 for c in read[:1]):
        return replace(base, how=How.ELAPSED, scale=60.0), []
    possible = ["hours and minutes passed (--time h:min)", "minutes and seconds passed (--time min:s)"]
    if not beyond:
        possible.insert(0, "the time of day (--time clock)")
    wanted = f"this may be {', '.join(possible[:-1])} or {possible[-1]}; say which"
    return None, [Problem(place=place, came=f'"{first}"', wanted=wanted)]
