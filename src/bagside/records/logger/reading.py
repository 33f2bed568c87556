"""A logger's file to a log of the cure."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bagside.cure import CureLog
from bagside.errors import InputError
from bagside.records.logger.assemble import log_from
from bagside.records.logger.cells import cut, lines_of
from bagside.records.logger.encoding import decoded, encoding_of
from bagside.records.logger.form import Form, form_of
from bagside.records.logger.layout import SAMPLE, Layout, table_in
from bagside.records.logger.options import LoggerOptions

BLOCK = 20_000
"""Rows that are taken at a time."""


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
    options = options or LoggerOptions()
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError.one(str(path), "", f"it cannot be read: {error.strerror}") from None
    encoding, start = encoding_of(data, path.name)
    return log_of_text(decoded(data[start:], encoding), path.name, options)


def log_of_text(text: str, name: str, options: LoggerOptions) -> CureLog:
    """Return what a logger wrote as text.

    Parameters
    ----------
    text
        All of it.
    name
        Of the file.
    options
        What a person settles.

    Raises
    ------
    InputError
        As `read_log`.
    """
    lines = lines_of(text)
    layout = table_in(lines, name, options.separator)
    separator = layout.separator or ""
    form = _form(layout.first, lines, separator, options, name, layout)
    readings = form.readings(options)
    last = len(lines)
    if lines[-1].strip():  # no line end: the last line may break off
        row = cut(lines[-1:], separator)[0]
        if len(row) < layout.width:
            readings.broken = last
            last -= 1
    for start in range(layout.first, last, BLOCK):
        readings.add(cut(lines[start : min(start + BLOCK, last)], separator), start + 1)
    return log_from(form, readings, options, name)


def _form(first: int, lines: Sequence[str], separator: str, options: LoggerOptions, name: str, layout: Layout) -> Form:
    """Return how the file is to be read: from its beginning, and from all of it where that leaves a question."""

    try:
        return form_of(layout, cut(lines[first : first + SAMPLE], separator), options, name)
    except InputError:
        if len(lines) <= first + SAMPLE:
            raise
    return form_of(layout, cut(lines[first:], separator), options, name)
