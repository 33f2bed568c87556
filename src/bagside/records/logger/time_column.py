"""Which column tells the time."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.errors import Problem
from bagside.records.logger import words
from bagside.records.logger.header import Column, by_name
from bagside.records.logger.layout import Layout
from bagside.records.logger.numbers import is_missing, split_number
from bagside.records.logger.options import LoggerOptions
from bagside.records.logger.stamps import clock, dated, parted
from bagside.records.logger.time_meaning import clocked, first_of, numbered, with_dates
from bagside.records.logger.times import How, TimePlan
from bagside.records.logger.units import Measures
from bagside.records.logger.words import words_in


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
            place, came = f"{name}, {columns[stated].place}", f'"{first_of(cells[stated])}"'
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
        return numbered(base, columns[index[0]], cells[index[0]], options, place)
    if how in (How.STAMP, How.TWO):
        plan, problems = with_dates(base, layout, cells, options, place)
        return plan, problems
    return clocked(base, columns[index[0]], cells[index[0]], options, place)


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


def _patchy(texts: Sequence[str]) -> bool:
    """Return whether a column of dates is filled here and there alone, as on the first row of each day."""
    return sum(map(is_missing, texts)) > 0.2 * len(texts)


def _chosen(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], shapes: Sequence[How | None], stated: int | None
) -> tuple[How, tuple[int, ...]] | None:
    """Return the shape and the columns of the time: elapsed where there is one, for no clock change touches it."""
    spoken = [set(words_in(c.heading)) for c in columns]
    shapes = [None if s is How.TWO and _patchy(cells[k]) else s for k, s in enumerate(shapes)]
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
