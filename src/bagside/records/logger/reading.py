"""A logger's file to a log of the cure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from bagside.cure import CureLog
from bagside.errors import InputError
from bagside.records.logger.assemble import log_from
from bagside.records.logger.cells import cut, lines_of
from bagside.records.logger.channels import ChannelPlan
from bagside.records.logger.encoding import decoded, encoding_of
from bagside.records.logger.form import Form, form_of
from bagside.records.logger.layout import SAMPLE, Layout, located, table_in
from bagside.records.logger.options import LoggerOptions
from bagside.records.logger.rows import Readings
from bagside.records.logger.settled_file import settled_beside
from bagside.records.logger.workbook import is_workbook, sheet_rows

BLOCK = 20_000
"""Rows that are taken at a time."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Understood:
    """A log, and how its file was read.

    Parameters
    ----------
    log
        What it holds.
    form
        Where its table stands, how time is told, which columns were left out.
    channels
        How each column became a channel.
    decimal
        Its decimal mark; empty when it holds whole numbers alone.
    encoding
        Of its text; ``workbook`` when it is one.
    """

    log: CureLog
    form: Form
    channels: tuple[ChannelPlan, ...]
    decimal: str
    encoding: str


def read_log(path: Path, options: LoggerOptions | None = None) -> CureLog:
    """Return what a logger wrote, in SI.

    Parameters
    ----------
    path
        CSV, TSV, other text with one row a reading, or an .xlsx workbook.
    options
        What a person settles; None when nothing.

    Raises
    ------
    InputError
        With every question that only a person can answer, each naming the place, what it may be and the option that
        settles it; or when the file cannot be read.
    """
    return understood(path, options).log


def understood(path: Path, options: LoggerOptions | None = None) -> Understood:
    """Return what a logger wrote and how it was read.

    Parameters
    ----------
    path, options
        As in `read_log`.

    Raises
    ------
    InputError
        As `read_log`.
    """
    options, before = settled_beside(path, options or LoggerOptions())
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError.one(str(path), "", f"it cannot be read: {error.strerror}") from None
    if is_workbook(data, path.name):
        found = of_rows(sheet_rows(data, path.name, options.sheet), path.name, options)
    else:
        encoding, start = encoding_of(data, path.name)
        found = of_text(decoded(data[start:], encoding), path.name, options, encoding)
    return replace(found, log=replace(found.log, noticed=(*before, *found.log.noticed)))


def of_rows(rows: Sequence[Sequence[str]], name: str, options: LoggerOptions) -> Understood:
    """Return what the cells of a workbook hold.

    Parameters
    ----------
    rows
        Of its sheet.
    name
        Of the file.
    options
        What a person settles.

    Raises
    ------
    InputError
        As `read_log`.
    """
    layout = located(rows[:SAMPLE], name, None)
    rows = [[*row, *[""] * (layout.width - len(row))] if row else row for row in rows]  # cells at the end may be empty
    table = rows[layout.first :]
    form = _form(layout, table[:SAMPLE], lambda: table, len(table), options, name)
    readings = form.readings(options)
    readings.add(table, layout.first + 1)
    return _ended(form, readings, options, name, "workbook")


def of_text(text: str, name: str, options: LoggerOptions, encoding: str = "utf-8") -> Understood:
    """Return what a logger wrote as text.

    Parameters
    ----------
    text
        All of it.
    name
        Of the file.
    options
        What a person settles.
    encoding
        That it came in.

    Raises
    ------
    InputError
        As `read_log`.
    """
    lines = lines_of(text)
    layout = table_in(lines, name, options.separator)
    separator = layout.separator or ""
    beginning = cut(lines[layout.first : layout.first + SAMPLE], separator)
    count = len(lines) - layout.first
    form = _form(layout, beginning, lambda: cut(lines[layout.first :], separator), count, options, name)
    readings = form.readings(options)
    last = len(lines)
    broken = _breaks_off(lines, layout, separator)
    if broken:
        readings.broken = last
        last -= 1
    for start in range(layout.first, last, BLOCK):
        readings.add(cut(lines[start : min(start + BLOCK, last)], separator), start + 1)
    return _ended(form, readings, options, name, encoding)


def _form(
    layout: Layout,
    beginning: Sequence[Sequence[str]],
    whole: Callable[[], Sequence[Sequence[str]]],
    count: int,
    options: LoggerOptions,
    name: str,
) -> Form:
    """Return how a file is to be read: from its beginning, and from all of it when that leaves a question."""
    try:
        return form_of(layout, beginning, options, name)
    except InputError:
        if count <= len(beginning):
            raise
    return form_of(layout, whole(), options, name)


def _ended(form: Form, readings: Readings, options: LoggerOptions, name: str, encoding: str) -> Understood:
    log, channels = log_from(form, readings, options, name)
    return Understood(log=log, form=form, channels=channels, decimal=readings.decimal, encoding=encoding)


def _breaks_off(lines: Sequence[str], layout: Layout, separator: str) -> bool:
    """Return whether the last line ends before its row does: cells are missing, or digits of its last number."""
    if not lines[-1].strip() or len(lines) - layout.first < 2:
        return False
    *before, last = cut(lines[max(layout.first, len(lines) - 11) :], separator)
    if len(last) < layout.width:
        return True
    digits = {_digits(row[-1]) for row in before if len(row) == layout.width}
    return len(digits) == 1 and _digits(last[-1]) < digits.pop()


def _digits(cell: str) -> int:
    """Return how many digits stand behind a number's mark."""
    mark = max(cell.rfind("."), cell.rfind(","))
    return sum(c.isdigit() for c in cell[mark + 1 :]) if mark >= 0 else 0
