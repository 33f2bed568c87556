"""Where the table stands in a file: what parts its cells, where its head ends and its readings begin."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from bagside.errors import InputError, Problem
from bagside.records.logger.cells import COMMENT, NONE, SEPARATORS, SPACE, WIDE, cut, holds_value
from bagside.records.logger.numbers import is_missing
from bagside.records.logger.stamps import tells_time
from bagside.records.logger.units import unit_of

SAMPLE = 400
"""Lines that are looked at to find the table."""
TIME_FORMAT = re.compile(
    r"(?i)[ymdthsa./:,\-\s]*(?:h{1,2}|m{1,2}|d{1,2}|y{2,4})[:./\-][hmsdy]{1,4}[ymdthsafp./:,\-\s0]*"
)
"""How a head tells that dates and times are written: ``hh:mm:ss``, ``DD/MM/YYYY``."""
Rows = Sequence[Sequence[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where the table of a file stands.

    Parameters
    ----------
    separator
        Between cells; None for a workbook, whose cells come parted.
    width
        Cells of a row of readings.
    first
        Index of the first row of readings.
    head
        Rows of its head, each as wide as the table; two or three when units have their own.
    preamble
        Rows above the head.
    """

    separator: str | None
    width: int
    first: int
    head: tuple[tuple[str, ...], ...]
    preamble: tuple[tuple[str, ...], ...]


def table_in(lines: Sequence[str], name: str, separator: str) -> Layout:
    """Return where the table stands in lines of text.

    Parameters
    ----------
    lines
        The file's beginning.
    name
        Of the file.
    separator
        As stated; empty to find out.

    Raises
    ------
    InputError
        When there is no table of readings, or the comma is separator and decimal mark at once.
    """
    lines = lines[:SAMPLE]
    best: tuple[float, str, list[list[str]]] | None = None
    for k, mark in enumerate((separator,) if separator else SEPARATORS):
        rows = cut(lines, mark)
        score = _score(rows) * (1.0 - 1e-3 * k)
        if score > 0.0 and (best is None or score > best[0]):
            best = (score, mark, rows)
    if best is None:
        rows = cut(lines, separator or NONE)
        if not separator and sum(_good(r) for r in rows) >= 2:
            return located(rows, name, NONE)
        raise _no_table(name)
    return located(best[2], name, best[1])


def _no_table(name: str) -> InputError:
    return InputError.one(
        name,
        "",
        "no rows of readings were found in it: lines that hold a time and one number or more each are wanted",
        "its separator can be stated with --separator",
    )


def _good(row: Sequence[str]) -> bool:
    """Return whether a row could be one of readings."""
    there = [c for c in row if c.strip()]
    if not there or not any(ch.isdigit() for c in there for ch in c):
        return False
    return sum(map(holds_value, there)) >= 0.6 * len(there)


def _score(rows: Rows) -> float:
    """Return how much rows look like a table: good rows of one width, by how pure they are."""
    good = [row for row in rows if _good(row)]
    if not good:
        return 0.0
    width = _usual(good)
    same = [row for row in good if len(row) == width]
    if width < 2:
        return 0.0
    pure = sum(sum(map(holds_value, row)) / width for row in same) / len(same)
    start = next(k for k, row in enumerate(rows) if _good(row) and len(row) == width)
    headed = any(len(row) == width for row in rows[max(0, start - 3) : start])
    return len(same) * pure**2 * (1.2 if headed else 1.0)


def _usual(rows: Rows) -> int:
    counts = Counter(len(row) for row in rows)
    return max(counts, key=lambda w: (counts[w], w))


def located(rows: Rows, name: str, separator: str | None) -> Layout:
    """Return where the table stands in rows of cells.

    Parameters
    ----------
    rows
        The file's beginning.
    name
        Of the file.
    separator
        That parted them; None for a workbook.

    Raises
    ------
    InputError
        When there is no table of readings, or the comma is separator and decimal mark at once.
    """
    good = [row for row in rows if _good(row)]
    if not good:
        raise _no_table(name)
    width = _usual(good)
    same = [row for row in good if len(row) == width]
    columns = [k for k in range(width) if sum(holds_value(r[k]) for r in same) >= 0.5 * len(same)]
    timed = tells_time(same[-1][columns[0]]) if columns else False
    first = next((k for k, row in enumerate(rows) if _begins(row, width, columns, timed=timed)), None)
    if first is None:
        raise _no_table(name)
    head, above = _head(rows[:first], width, separator)
    _refuse_two_commas(rows[:first], width, separator, name, first)
    return Layout(
        separator=separator,
        width=width,
        first=first,
        head=head,
        preamble=tuple(tuple(c.strip() for c in row) for row in rows[:above] if any(c.strip() for c in row)),
    )


def _begins(row: Sequence[str], width: int, columns: Sequence[int], *, timed: bool) -> bool:
    """Return whether a row is one of readings: each column that holds values holds one here.

    A row that breaks off counts when it begins as the others do.
    """
    if not columns or not len(row) + (len(row) == width) >= 2 or len(row) > width:
        return False
    here = [k for k in columns if k < len(row)]
    if not here or not all(holds_value(row[k]) for k in here):
        return False
    if len(row) < width and (not timed or not tells_time(row[columns[0]])):
        return False
    there = [k for k in here if not is_missing(row[k])]
    return bool(there) and (there[0] == columns[0] or len(there) >= 2)


def _head(rows: Rows, width: int, separator: str | None) -> tuple[tuple[tuple[str, ...], ...], int]:
    """Return the rows that head the columns, and the index of the topmost."""
    head: list[tuple[str, ...]] = []
    top = len(rows)
    for k in range(len(rows) - 1, -1, -1):
        cells = [c.strip() for c in _uncommented(rows[k])]
        if not any(cells):
            if head:
                break
            continue
        fitted = _fitted(cells, width, separator)
        if fitted is None or len(head) == 3:
            break
        if any(not is_unit_row(row) for row in head) and not _names_too(fitted):
            break
        head.insert(0, fitted)
        top = k
    return tuple(head), top


def is_unit_row(row: Sequence[str]) -> bool:
    """Return whether a row of the head holds units under the names.

    Parameters
    ----------
    row
        Its cells.

    Examples
    --------
    >>> is_unit_row(("hh:mm:ss", "°C", "°C", "")), is_unit_row(("Time", "TC1", "TC2", ""))
    (True, False)
    """
    there = [c for c in row if c]
    told = [unit_of(c) is not None or TIME_FORMAT.fullmatch(c.strip("[]() ")) is not None for c in there]
    return bool(told) and sum(told) >= 0.6 * len(told)


def _names_too(row: Sequence[str]) -> bool:
    """Return whether a row above the names names columns as well, and is no setting."""
    return len(row) > 2 and all(row) and not any(holds_value(c) for c in row) and len(set(row)) > len(row) // 2


def _uncommented(row: Sequence[str]) -> list[str]:
    cells = list(row)
    if cells:
        bare = COMMENT.sub("", cells[0])
        if bare != cells[0]:
            cells = ([bare] if bare else []) + cells[1:]
    return cells


def _fitted(cells: list[str], width: int, separator: str | None) -> tuple[str, ...] | None:
    """Return a head row as wide as the table, or nothing when it is none."""
    while len(cells) > width and not cells[-1]:
        cells.pop()
    if separator in (SPACE, WIDE) and len(cells) == width - 1 and width > 2:
        cells = ["Date", *cells] if cells[0].lower() in ("time", "zeit", "uhrzeit", "heure") else cells
    filled = sum(bool(c) for c in cells)
    if len(cells) > width or filled < max(1, 0.5 * width):
        return None
    if len(cells) < width - 1 or all(holds_value(c) and any(d.isdigit() for d in c) for c in cells if c):
        return None
    return tuple(cells + [""] * (width - len(cells)))


def _refuse_two_commas(above: Rows, width: int, separator: str | None, name: str, first: int) -> None:
    """Refuse a file in which the comma parts cells and stands in numbers."""
    if separator != ",":
        return
    heads = [len(r) for r in above if len(r) > 1 and not any(holds_value(c) for c in r if c.strip())]
    if heads and width > heads[-1] and width >= 2 * heads[-1] - 1:
        raise InputError(
            [
                Problem(
                    place=f"{name}, line {first + 1}",
                    came=f"{width} cells under a head of {heads[-1]}",
                    wanted="the comma seems to part the columns and to stand in the numbers at once, "
                    "which cannot be told apart",
                    hint="export it with semicolons or tabs between the columns",
                )
            ]
        )
