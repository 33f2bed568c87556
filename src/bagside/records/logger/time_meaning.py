"""What a time column may mean: settled by its head, its cells and the options, or asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bagside.errors import Problem
from bagside.records.logger import words
from bagside.records.logger.dates import as_said, possible_orders, told_order
from bagside.records.logger.header import Column
from bagside.records.logger.layout import Layout
from bagside.records.logger.numbers import is_missing
from bagside.records.logger.options import LoggerOptions, TimeIs
from bagside.records.logger.stamps import clock, dated, parted
from bagside.records.logger.times import DAY, EXCEL_ZERO, UNIX_ZERO, How, TimePlan
from bagside.records.logger.units import Measures
from bagside.records.logger.words import words_in

_NUMBERS = {
    TimeIs.SECONDS: 1.0, TimeIs.MILLISECONDS: 1e-3, TimeIs.MINUTES: 60.0, TimeIs.HOURS: 3600.0, TimeIs.DAYS: DAY,
    TimeIs.UNIX: 1.0, TimeIs.UNIX_MS: 1e-3,
}  # fmt: skip


def first_of(texts: Sequence[str]) -> str:
    """Return the first cell that holds something.

    Parameters
    ----------
    texts
        Some of a column's cells.
    """
    return next((t.strip() for t in texts if not is_missing(t)), "")


def numbered(
    base: TimePlan, column: Column, texts: Sequence[str], options: LoggerOptions, place: str
) -> tuple[TimePlan | None, list[Problem]]:
    """Return the plan of a column of numbers.

    Parameters
    ----------
    base
        The plan as far as it is known.
    column
        Of the time.
    texts
        Some of its cells.
    options
        What was stated.
    place
        Names the column.
    """
    if options.time in _NUMBERS:
        zero = {TimeIs.DAYS: EXCEL_ZERO, TimeIs.UNIX: UNIX_ZERO, TimeIs.UNIX_MS: UNIX_ZERO}.get(options.time)
        return replace(base, scale=_NUMBERS[options.time], zero=zero, zone=0 if zero == UNIX_ZERO else None), []
    spoken = set(words_in(column.heading))
    if column.unit is None and spoken & words.DATE and options.time is None:
        return replace(base, scale=DAY, zero=EXCEL_ZERO), []  # a number under "date" is a spreadsheet's day
    if column.unit is not None and column.unit.measures is Measures.TIME and options.time is None:
        zero = UNIX_ZERO if spoken & {"unix", "epoch"} else None
        return replace(base, scale=column.unit.scale, zero=zero, zone=None if zero is None else 0), []
    first = first_of(texts)
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


def with_dates(
    base: TimePlan, layout: Layout, cells: Sequence[Sequence[str]], options: LoggerOptions, place: str
) -> tuple[TimePlan | None, list[Problem]]:
    """Return the plan of dates, or the question which number is the day.

    Parameters
    ----------
    base
        The plan as far as it is known.
    layout
        Of the file.
    cells
        Some of each column's cells.
    options
        What was stated.
    place
        Names the column.
    """
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
    return None, [Problem(place=place, came=f'"{first_of(texts)}"', wanted=wanted)]


def clocked(
    base: TimePlan, column: Column, texts: Sequence[str], options: LoggerOptions, place: str
) -> tuple[TimePlan | None, list[Problem]]:
    """Return the plan of a time of day, or of elapsed hours and minutes.

    Parameters
    ----------
    base
        The plan as far as it is known.
    column
        Of the time.
    texts
        Some of its cells.
    options
        What was stated.
    place
        Names the column.
    """
    read = [c for c in map(clock, texts) if c is not None]
    first = first_of(texts)
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
