"""Workbooks: the cells of the one sheet that holds readings, as the text a logger would have written."""

from __future__ import annotations

import io
import warnings
import zipfile
import zlib
from datetime import date, datetime, time, timedelta
from typing import Any
from xml.etree.ElementTree import ParseError

from openpyxl import load_workbook  # type: ignore[import-untyped]
from openpyxl.utils.exceptions import InvalidFileException  # type: ignore[import-untyped]

from bagside.errors import InputError, did_you_mean
from bagside.records.logger.layout import SAMPLE, located

OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
WORKBOOK = b"PK\x03\x04"


def is_workbook(data: bytes, name: str) -> bool:
    """Return whether a file is a workbook, by its first bytes and not by its name.

    Parameters
    ----------
    data
        Of the file.
    name
        Of the file.

    Raises
    ------
    InputError
        When it is one of the old kind.
    """
    if data.startswith(OLD_WORKBOOK):
        raise InputError.one(name, "", "this is a workbook of the old kind; save it as .xlsx or as CSV")
    return data.startswith(WORKBOOK)


def sheet_rows(data: bytes, name: str, sheet: str) -> list[list[str]]:
    """Return the cells of the sheet that holds readings.

    Parameters
    ----------
    data
        Of the file.
    name
        Of the file.
    sheet
        As stated; empty when there is one with readings.

    Raises
    ------
    InputError
        When it cannot be opened, no sheet holds readings, or several do and none is stated.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions that hold no readings
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            sheets = {s.title: _rows(s) for s in book.worksheets if not sheet or s.title == sheet}
            names = list(book.sheetnames)
    except (
        zipfile.BadZipFile, zlib.error, InvalidFileException, ParseError, KeyError, ValueError, TypeError,
        AttributeError, IndexError, EOFError, OSError, NotImplementedError,
    ):  # fmt: skip
        raise InputError.one(name, "", "this workbook cannot be opened; save it anew as .xlsx or as CSV") from None
    if sheet and sheet not in names:
        raise InputError.one("--sheet", f'"{sheet}"', f"{name} has no such sheet", did_you_mean(sheet, names))
    good = [title for title, rows in sheets.items() if _holds_readings(rows, name)]
    if not good:
        raise InputError.one(name, ", ".join(sheets), "no sheet of this workbook holds rows of readings")
    if len(good) > 1:
        quoted = ", ".join(f'--sheet "{title}"' for title in good)
        raise InputError.one(name, f"{len(good)} sheets with readings", f"say which: {quoted}")
    return sheets[good[0]]


def _holds_readings(rows: list[list[str]], name: str) -> bool:
    try:
        located(rows[:SAMPLE], name, None)
    except InputError:
        return False
    return True


def _rows(sheet: Any) -> list[list[str]]:
    rows = [[as_text(value) for value in row] for row in sheet.iter_rows(values_only=True)]
    for row in rows:
        while row and not row[-1]:
            row.pop()
    return rows


def as_text(value: object) -> str:
    """Return a workbook's cell as the text a logger would have written.

    Parameters
    ----------
    value
        Of the cell.

    Examples
    --------
    >>> as_text(datetime(2026, 3, 4, 8, 0, 0, 999997)), as_text(timedelta(hours=30)), as_text(1.013)
    ('2026-03-04 08:00:01', '30:00:00', '1.0130')
    """
    if isinstance(value, datetime):
        whole = _to_thousandth(value)
        return (
            whole.date().isoformat() if whole.time() == time() else f"{whole.date().isoformat()} {_clock(whole.time())}"
        )
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return _clock(_to_thousandth(datetime.combine(date(2000, 1, 1), value)).time())
    if isinstance(value, timedelta):
        thousandths = round(value.total_seconds() * 1000.0)
        seconds, rest = divmod(thousandths, 1000)
        text = f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
        return text + (f".{rest:03d}" if rest else "")
    if isinstance(value, float):
        text = repr(value)
        return text + "0" if len(text.partition(".")[2]) == 3 else text  # never to be taken for thousands
    return "" if value is None or isinstance(value, bool) else str(value)


def _to_thousandth(value: datetime) -> datetime:
    rest = value.microsecond % 1000
    return value + timedelta(microseconds=(1000 - rest) if rest >= 500 else -rest)


def _clock(value: time) -> str:
    text = f"{value.hour:02d}:{value.minute:02d}:{value.second:02d}"
    return text + (f".{value.microsecond // 1000:03d}" if value.microsecond else "")
