"""A logger's file while it grows: only what is new is read, and a line that is still being written waits.

How the file is to be read is decided once, when its first readings are there, as `read_log` would. A logger that begins
its file anew is noticed: what it wrote before is kept when the new file goes on from there, and replaced when the file
was written again from its start.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import numpy as np

from bagside.cure import CureLog
from bagside.errors import InputError
from bagside.findings import Finding, Severity
from bagside.records.logger.assemble import log_from
from bagside.records.logger.cells import cut, lines_of
from bagside.records.logger.encoding import decoded, encoding_of
from bagside.records.logger.form import Form, form_of
from bagside.records.logger.layout import SAMPLE, table_in
from bagside.records.logger.options import Jumps, LoggerOptions
from bagside.records.logger.rows import Readings
from bagside.records.logger.saying import told
from bagside.records.logger.settled_file import settled_beside

FEWEST = 3
"""Rows of readings that are waited for before it is decided how the file is read."""
HEAD_LINES = 120
"""Lines without a table after which it is asked for."""
PIECE = 1 << 24
"""Bytes that are read at a time."""
MARK = 256
"""Bytes at the file's start by which it is known again."""


class Follower:
    """A logger's file that is still being written.

    Parameters
    ----------
    path
        Of the file; it need not be there yet.
    options
        What a person settles; None when nothing. A step of the clock that cannot be explained is not asked about while
        a cure runs: readings go on at their usual interval unless stated otherwise, and a finding says so.

    Raises
    ------
    InputError
        When it is a workbook, which cannot be followed.
    """

    def __init__(self, path: Path, options: LoggerOptions | None = None) -> None:
        if path.suffix.lower() in (".xlsx", ".xlsm", ".xls"):
            raise InputError.one(path.name, "", "a workbook cannot be followed while it grows; a text file is wanted")
        stated, self._kept = settled_beside(path, options or LoggerOptions())
        self.path = path
        self.options = stated if stated.jumps is not None else replace(stated, jumps=Jumps.CONTINUE)
        self.form: Form | None = None
        self._readings: Readings | None = None
        self._log: CureLog | None = None
        self._seen: list[Finding] = []
        self._begin()

    def _begin(self) -> None:
        self._offset = 0
        self._held = b""
        self._encoding = ""
        self._start = b""
        self._inode = -1
        self._line = 1
        self._waiting: list[str] = []
        self._deciding = True

    @property
    def log(self) -> CureLog | None:
        """All readings up to now; None while there are fewer than two.

        Raises
        ------
        InputError
            With what must be asked, as `read_log`.
        """
        if self.form is None or self._readings is None or self._readings.count < 2:
            return None
        if self._log is None:
            log, _ = log_from(self.form, self._readings, self.options, self.path.name)
            self._log = replace(log, noticed=(*self._kept, *self._seen, *log.noticed))
        return self._log

    def poll(self) -> bool:
        """Read what has been added; return whether there are new readings.

        Raises
        ------
        InputError
            When the file cannot be read, or cannot be understood without an answer.
        """
        before = self._readings.count if self._readings is not None else 0
        try:
            with self.path.open("rb") as file:
                state = os.fstat(file.fileno())
                start = file.read(MARK)
                if self._is_another(state, start):
                    self._begin()
                self._inode = state.st_ino
                self._start = start
                file.seek(self._offset)
                while piece := file.read(PIECE):
                    self._offset += len(piece)
                    self._take(piece)
        except FileNotFoundError:
            return False
        except OSError as error:
            raise InputError.one(str(self.path), "", f"it cannot be read: {error.strerror}") from None
        after = self._readings.count if self._readings is not None else 0
        if after != before:
            self._log = None
        return after > before

    def _is_another(self, state: os.stat_result, start: bytes) -> bool:
        """Return whether the file is not the one that was read so far."""
        if self._inode == -1:
            return False
        known = self._start[: len(start)]
        return state.st_ino != self._inode or state.st_size < self._offset or start[: len(known)] != known

    def _take(self, piece: bytes) -> None:
        """Take more bytes: whole lines now, the rest when its end is there."""
        data = self._held + piece
        if not self._encoding:
            self._encoding, skip = encoding_of(data, self.path.name)
            data = data[skip:]
        end = _line_end(data, self._encoding)
        self._held = data[end:]
        if end:
            self._lines(lines_of(decoded(data[:end], self._encoding))[:-1])

    def _lines(self, lines: list[str]) -> None:
        """Take whole lines."""
        if self._deciding or self.form is None or self._readings is None:
            self._waiting += lines
            self._decide()
            return
        self._readings.add(cut(lines, self.form.layout.separator or ""), self._line)
        self._line += len(lines)

    def _decide(self) -> None:
        """Decide how the file is read, once enough of it is there."""
        lines, name = self._waiting, self.path.name
        try:
            layout = table_in(lines, name, self.options.separator)
        except InputError:
            if len(lines) > HEAD_LINES:
                raise
            return
        if len(lines) - layout.first < FEWEST:
            return
        rows = cut(lines[layout.first :], layout.separator or "")
        form = form_of(layout, rows[:SAMPLE], self.options, name)
        readings = form.readings(self.options)
        readings.add(rows, layout.first + 1)
        if self.form is not None and self._readings is not None and readings.count:
            readings = self._joined(self.form, self._readings, form, readings)
        self.form, self._readings = form, readings
        self._line = len(lines) + 1
        self._waiting = []
        self._deciding = False

    def _joined(self, old_form: Form, old: Readings, form: Form, new: Readings) -> Readings:
        """Return the readings of a file that was begun anew, after those it held before unless it holds them again."""
        name = self.path.name
        if [c.heading for c in form.columns] != [c.heading for c in old_form.columns]:
            raise InputError.one(
                name,
                ", ".join(c.name for c in form.columns),
                "the logger began its file anew with other columns than before: "
                + ", ".join(c.name for c in old_form.columns),
                "read the two files one by one",
            )
        first = slice(0, 1)
        again = new.raw[0][first] == old.raw[0][first] and np.array_equal(
            new.values[0][:, first], old.values[0][:, first], equal_nan=True
        )
        if again:
            self._seen.append(
                told(
                    Severity.SEEN, name, "the logger wrote its file again from the start",
                    "some loggers do so at each reading", "nothing; it was read anew",
                )
            )  # fmt: skip
            del self._seen[:-1]
            return new
        self._seen.append(
            told(
                Severity.WATCH, name, f"the logger began its file anew after {old.count} readings",
                "readings between the two may be lost",
                "nothing; what it wrote before is kept, and the new ones follow",
            )
        )  # fmt: skip
        new.raw = [*old.raw, *new.raw]
        new.values = [*old.values, *new.values]
        new.spares = [*old.spares, *new.spares]
        new.lines = [*old.lines, *new.lines]
        return new


def _line_end(data: bytes, encoding: str) -> int:
    """Return where the last whole line ends."""
    if not encoding.startswith("utf-16"):
        return data.rfind(b"\n") + 1
    mark = b"\n\0" if encoding.endswith("le") else b"\0\n"
    end = data.rfind(mark)
    while end > 0 and end % 2:
        end = data.rfind(mark, 0, end)
    return end + 2 if end >= 0 and end % 2 == 0 else 0
