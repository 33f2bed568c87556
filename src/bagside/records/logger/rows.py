"""Rows of cells to numbers, block by block, with what was no reading counted and remembered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.records.logger.cells import COMMENT, holds_value
from bagside.records.logger.channels import ChannelPlan
from bagside.records.logger.layout import Layout
from bagside.records.logger.numbers import as_numbers, decimal_mark, is_missing
from bagside.records.logger.times import How, TimePlan
from bagside.records.logger.units import Measures

Floats = NDArray[np.float64]
REMEMBERED = 5
BEGINNING = 2000
"""Rows that show the decimal mark, when they show one."""


@dataclass(slots=True, kw_only=True)
class Readings:
    """What was read, growing.

    Parameters
    ----------
    layout, time, channels
        How rows are read.
    decimal
        Mark; empty while only whole numbers were seen.
    spare, spares
        How a second column tells the elapsed time, and those times, one array a block [s]; none without one.
    raw
        Times as told, one array a block [s].
    values
        Numbers as they stand, one array a block, shape (channels, rows).
    lines
        Line of each row in the file.
    again
        Lines where the head stands once more.
    strange
        Lines that are no readings, with their text; the first few.
    strange_count
        How many there are.
    wide
        Lines with more cells than the table has columns; the first few.
    wide_count
        How many there are.
    short
        Lines with fewer cells than the table has columns; the first few.
    short_count
        How many there are.
    changed
        Line where another head begins; 0 when none does.
    broken
        Line that breaks off; 0 when none does.
    unclear
        A number that could be read in two ways; empty when none stands in the way.
    """

    layout: Layout
    time: TimePlan
    channels: Sequence[ChannelPlan]
    decimal: str
    spare: TimePlan | None = None
    spares: list[Floats] = field(default_factory=list)
    raw: list[Floats] = field(default_factory=list)
    values: list[Floats] = field(default_factory=list)
    lines: list[NDArray[np.int64]] = field(default_factory=list)
    again: list[int] = field(default_factory=list)
    strange: list[tuple[int, str]] = field(default_factory=list)
    strange_count: int = 0
    wide: list[int] = field(default_factory=list)
    wide_count: int = 0
    short: list[int] = field(default_factory=list)
    short_count: int = 0
    changed: int = 0
    broken: int = 0
    unclear: str = ""

    @property
    def count(self) -> int:
        """How many rows of readings there are."""
        return sum(map(len, self.raw))

    def add(self, rows: Sequence[Sequence[str]], line: int) -> None:
        """Take more rows.

        Parameters
        ----------
        rows
            Their cells.
        line
            Of the first of them in the file.
        """
        width = self.layout.width
        numbers = np.arange(line, line + len(rows))
        if any(len(row) != width for row in rows):
            rows, numbers = self._fitted(rows, numbers)
        if not rows:
            return
        columns = list(zip(*rows, strict=True))
        if not self.decimal:
            self._find_mark(columns)
        mark = self.decimal or "."
        if self.time.how is How.EVERY:
            kept = np.array([any(_number_like(row[c.index]) for c in self.channels) for row in rows])
            raw = self.time.scale * (self.count + np.cumsum(kept) - 1.0)
            raw[~kept] = np.nan
        else:
            raw = self.time.read(columns, mark)
        good = np.isfinite(raw)
        for k in np.flatnonzero(~good).tolist():
            self._other(rows[k], int(numbers[k]))
        values = np.array([as_numbers(columns[c.index], mark) for c in self.channels])
        if self.spare is not None:
            self.spares.append(self.spare.read(columns, mark)[good])
        if not good.all():
            raw, values, numbers = raw[good], values[:, good], numbers[good]
        self.raw.append(raw)
        self.values.append(values)
        self.lines.append(numbers)

    def _find_mark(self, columns: Sequence[Sequence[str]]) -> None:
        """Find the decimal mark; whole numbers leave it open, and a temperature in thousands is none."""
        timed = self.time.columns if self.time.how is How.NUMBER else ()
        cells = [columns[k] for k in (*timed, *(c.index for c in self.channels))]
        mark, unclear = decimal_mark(t for column in cells for t in column[:BEGINNING])
        if unclear or not mark:
            mark, unclear = decimal_mark(t for column in cells for t in column)
        if unclear:
            hot = (t for c in self.channels if c.unit.measures is Measures.TEMPERATURE for t in columns[c.index])
            warm = next((t for t in hot if "." in t or "," in t), "")
            mark = ("," if "," in warm else ".") if warm else ""
        elif not any(m in t for column in cells for t in column for m in ".,"):
            return
        self.decimal, self.unclear = mark, "" if mark else unclear

    def _fitted(
        self, rows: Sequence[Sequence[str]], numbers: NDArray[np.int64]
    ) -> tuple[list[Sequence[str]], NDArray[np.int64]]:
        """Return rows as wide as the table, without those that are empty or too wide."""
        width = self.layout.width
        fine: list[Sequence[str]] = []
        stay: list[int] = []
        for k, row in enumerate(rows):
            if len(row) > width and any(c.strip() for c in row[width:]):
                if not self._other(row, int(numbers[k]), only_head=True):
                    self.wide_count += 1
                    self.wide = [*self.wide, int(numbers[k])][:REMEMBERED]
                continue
            if not any(c.strip() for c in row):
                continue
            if len(row) < width and holds_value(row[0]):
                self.short_count += 1
                self.short = [*self.short, int(numbers[k])][:REMEMBERED]
            fine.append([*row, *[""] * (width - len(row))][:width] if len(row) != width else row)
            stay.append(k)
        return fine, numbers[stay]

    def _other(self, row: Sequence[str], line: int, *, only_head: bool = False) -> bool:
        """Remember a row that is no reading; return whether it is known."""
        cells = [c.strip() for c in row]
        if not any(cells):
            return True
        plain = tuple(COMMENT.sub("", c) for c in cells if COMMENT.sub("", c))
        for head in self.layout.head:
            if plain == tuple(c for c in head if c):
                self.again += [line] if not self.again or self.again[-1] != line - 1 else []
                return True
        names = [c for c in plain if not holds_value(c)]
        if self.layout.head and len(names) == len(plain) > 1 and plain[0] == self.layout.head[0][0]:
            self.changed = self.changed or line
            return True
        if COMMENT.match(cells[0]):
            return True
        if not only_head:
            self.strange_count += 1
            self.strange = [*self.strange, (line, " ".join(c for c in cells if c))][:REMEMBERED]
        return False


def _number_like(cell: str) -> bool:
    return any(ch.isdigit() for ch in cell) or is_missing(cell)


def together(parts: Iterable[NDArray[np.float64]], shape: tuple[int, ...]) -> Floats:
    """Return blocks as one array.

    Parameters
    ----------
    parts
        The blocks.
    shape
        When there is none.
    """
    blocks = list(parts)
    return np.concatenate(blocks, axis=-1) if blocks else np.empty(shape)
