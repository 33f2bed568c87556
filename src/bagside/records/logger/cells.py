"""Lines to cells: at commas, semicolons, tabs, bars or white space, with quotes that do not run away."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence

from bagside.records.logger.numbers import is_missing, split_number
from bagside.records.logger.stamps import tells_time
from bagside.records.logger.units import unit_of

WIDE = "  "
"""Two or more spaces part the cells."""
SPACE = " "
"""Any white space parts the cells."""
NONE = ""
"""One cell a line."""
SEPARATORS = ("\t", ";", "|", ",", WIDE, SPACE)
COMMENT = re.compile(r"^\s*(#+|//+|%+(?=\s)|!+)\s*")

csv.field_size_limit(1 << 30)


def lines_of(text: str) -> list[str]:
    """Return the lines of a text, whatever ends them.

    Parameters
    ----------
    text
        Of the file.
    """
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if "\0" in text:
        text = text.replace("\0", "")
    return text.split("\n")


def cut(lines: Sequence[str], separator: str) -> list[list[str]]:
    """Return each line's cells.

    A quote that is not closed on its line ends there: logger files hold no line breaks in a cell, and one inch mark
    must not swallow the rest of the file.

    Parameters
    ----------
    lines
        Of the file.
    separator
        One of `SEPARATORS`, another single character, or `NONE`.
    """
    if separator == NONE:
        return [[line.strip().strip('"')] for line in lines]
    if separator == SPACE:
        return [line.replace('"', "").split() for line in lines]
    if separator == WIDE:
        return [re.split(r"\s{2,}|\t", line.replace('"', "").strip()) for line in lines]
    if not any('"' in line for line in lines):
        return [line.split(separator) if line else [] for line in lines]
    whole = [line if line.count('"') % 2 == 0 else "" for line in lines]
    rows = list(csv.reader(whole, delimiter=separator, skipinitialspace=True))
    if len(rows) != len(lines):  # a quote was opened in mid-line and ran over its end
        rows = [next(csv.reader([line], delimiter=separator, skipinitialspace=True)) if line else [] for line in whole]
    for k, line in enumerate(lines):
        if line and not whole[k]:
            rows[k] = [_unquoted(cell) for cell in line.split(separator)]
    return rows


def _unquoted(cell: str) -> str:
    cell = cell.strip()
    return cell[1:-1] if len(cell) > 1 and cell[0] == cell[-1] == '"' else cell


def holds_value(cell: str) -> bool:
    """Return whether a cell could stand in a row of readings: a number, a time, or a word for no reading.

    Parameters
    ----------
    cell
        The cell.

    Examples
    --------
    >>> [holds_value(c) for c in ("21,5 °C", "08:00:01", "OPEN", "Time", "TC1")]
    [True, True, True, False, False]
    """
    if is_missing(cell):
        return True
    number = split_number(cell)
    if number is not None:
        return not number[1] or unit_of(number[1]) is not None or tells_time(cell)
    return tells_time(cell)
