"""Numbers as loggers write them: decimal mark, grouped thousands, and the words that stand where a reading is missing.

The decimal mark is found from the whole table, for one file has one mark. ``1,013`` alone could be one or a thousand:
then nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bagside.records.logger.words import MISSING

_BLANK = re.compile(r"[-–—−_.*#?]*")
_GROUPS = "'’ \u00a0\u2009\u202f"
_NUMBER = re.compile(rf"([+\-−]?(?:\d[\d.,{_GROUPS}]*|[.,]\d+)(?:[eE][+\-]?\d+)?)\s*([^\d\s:;,./_\-].{{0,11}})?")
_SPACED = re.compile(rf"[+\-−]?\d{{1,3}}([{_GROUPS}]\d{{3}})+(?!\d)")
_POINT, _COMMA = ".", ","


@lru_cache(maxsize=8192)
def split_number(text: str) -> tuple[str, str] | None:
    """Return the digits and the unit of a cell, or nothing when it is no number.

    Parameters
    ----------
    text
        The cell.

    Examples
    --------
    >>> split_number(" 23,5 °C")
    ('23,5', '°C')
    """
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        return None
    digits = found.group(1).strip(_GROUPS)
    if not digits.isdigit() and any(g in digits for g in _GROUPS) and not _SPACED.match(digits):
        return None
    return digits, (found.group(2) or "").strip()


@lru_cache(maxsize=8192)
def is_missing(text: str) -> bool:
    """Return whether a cell says that there is no reading.

    Parameters
    ----------
    text
        The cell.

    Examples
    --------
    >>> [is_missing(t) for t in ("----", "OPEN", "", "23.5")]
    [True, True, True, False]
    """
    word = text.strip().lower().replace(" ", "")
    return word in MISSING or _BLANK.fullmatch(word) is not None


def as_number(text: str, decimal: str) -> float:
    """Return a cell's number, not a number when it holds none.

    Parameters
    ----------
    text
        The cell.
    decimal
        The file's decimal mark.

    Examples
    --------
    >>> as_number("1'013,25", ","), as_number("1,013.25", "."), as_number("OPEN", ".")
    (1013.25, 1013.25, nan)
    """
    found = split_number(text)
    if found is None:
        return float("nan")
    digits = found[0].replace("−", "-")
    other = _COMMA if decimal == _POINT else _POINT
    for mark in _GROUPS:
        digits = digits.replace(mark, "")
    whole, _, rest = digits.partition(decimal)
    if other in rest or not _grouped(whole, other):
        return float("nan")
    try:
        value = float(whole.replace(other, "") + ("." + rest if rest else ""))
    except ValueError:
        return float("nan")
    return value if np.isfinite(value) else float("nan")


def _grouped(whole: str, mark: str) -> bool:
    """Return whether a mark groups thousands, or is not there."""
    return mark not in whole or re.fullmatch(rf"[+-]?\d{{1,3}}({re.escape(mark)}\d{{3}})+", whole) is not None


def as_numbers(texts: Sequence[str], decimal: str) -> NDArray[np.float64]:
    """Return a column's numbers.

    Parameters
    ----------
    texts
        The cells.
    decimal
        The file's decimal mark.

    Returns
    -------
    numpy.ndarray
        Not a number where a cell holds none.
    """
    try:
        if decimal == _POINT:
            found = np.array([float(t) for t in texts], dtype=np.float64)
        else:
            found = np.array([float(t.replace(",", ".")) if "." not in t else np.nan for t in texts])
            if not np.isfinite(found).all():
                raise ValueError
    except ValueError:
        found = np.array([as_number(t, decimal) for t in texts], dtype=np.float64)
    found[~np.isfinite(found)] = np.nan
    return found


def decimal_mark(texts: Iterable[str]) -> tuple[str, str]:
    """Return the decimal mark of a table and, when it cannot be told, a cell that could be read in two ways.

    Parameters
    ----------
    texts
        Cells of its columns of numbers.

    Returns
    -------
    tuple
        The mark and an empty text; or an empty text and the cell.

    Examples
    --------
    >>> decimal_mark(["21,5", "180,25"]), decimal_mark(["1,013", "12"]), decimal_mark(["1,013.2"])
    ((',', ''), ('', '1,013'), ('.', ''))
    """
    unclear = ""
    votes = {_POINT: 0, _COMMA: 0}
    for text in texts:
        found = split_number(text)
        if found is None:
            continue
        vote = _vote(found[0])
        if vote in votes:
            votes[vote] += 1
        elif vote:
            unclear = unclear or text.strip()
    if votes[_POINT] != votes[_COMMA]:
        return max(votes, key=lambda m: votes[m]), ""
    return ("", unclear) if unclear or votes[_POINT] else (_POINT, "")


def _vote(digits: str) -> str:
    """Return the decimal mark that a number shows, ``?`` when its one mark may group thousands, or nothing."""
    digits = re.split("[eE]", digits.lstrip("+-−"))[0]
    marks = [c for c in digits if c in ".,"]
    if not marks:
        return ""
    last = marks[-1]
    if len(set(marks)) == 2:
        return last if marks.count(last) == 1 else ""
    whole, _, rest = digits.partition(last)
    if len(marks) > 1:  # 1.013.250 groups thousands, so the other is the decimal mark
        return _COMMA if last == _POINT else _POINT
    whole = re.sub(f"[{_GROUPS}]", "", whole)
    if len(rest) == 3 and 1 <= len(whole) <= 3 and whole.lstrip("0"):
        return "?"
    return last
