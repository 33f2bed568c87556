"""Bytes of a logger file to text: UTF-8 with and without a mark, UTF-16, and the old one-byte western code."""

from __future__ import annotations

import codecs

from bagside.errors import InputError

NOT_TEXT = "a table in a text file (CSV, TSV) or an .xlsx workbook is wanted"
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


def encoding_of(data: bytes, name: str) -> tuple[str, int]:
    """Return how text is written in a file, and how many bytes of mark stand before it.

    Parameters
    ----------
    data
        The file's beginning, or all of it.
    name
        Of the file.

    Returns
    -------
    tuple
        Name of the encoding, and where text begins.

    Raises
    ------
    InputError
        When it is no text.

    Examples
    --------
    >>> encoding_of("°C".encode("latin-1"), "run.csv")
    ('cp1252', 0)
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return encoding, len(mark)
    head = data[:4096]
    zeros = (head[0::2].count(0), head[1::2].count(0))
    if sum(zeros):
        half = max(1, len(head) // 2)
        if zeros[1] > 0.7 * half and zeros[0] < 0.1 * half:
            return "utf-16-le", 0
        if zeros[0] > 0.7 * half and zeros[1] < 0.1 * half:
            return "utf-16-be", 0
        raise InputError.one(name, "not text", NOT_TEXT)
    try:
        codecs.getincrementaldecoder("utf-8")().decode(data)
    except UnicodeDecodeError:
        return "cp1252", 0
    return "utf-8", 0


def decoded(data: bytes, encoding: str) -> str:
    """Return bytes as text; what cannot be read becomes the replacement character.

    Parameters
    ----------
    data
        Bytes, without a mark.
    encoding
        As `encoding_of` found it.
    """
    return data.decode(encoding, errors="replace")
