"""One cell that tells a time: time of day, elapsed time, date, or both; every spelling that loggers use.

Nothing here decides between readings: ``03/04/26`` is three numbers, and `dates` says which is the day.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

_CLOCK = re.compile(
    r"(?<![\d:.,])(?:(?P<d>\d{1,3})\s*(?:d|days?|tage?|j|jours?)[\s,]*|(?P<dd>\d{1,3})\.)?"
    r"(?P<a>\d{1,4})\s?[:hH]\s?(?P<b>\d{2})(?:\s?(?P<m>[:mM'])\s?(?P<c>\d{2})(?:[.,:](?P<f>\d{1,9}))?[sS\"]?)?"
    r"(?P<ff>[.,]\d{1,9})?"
    r"\s*(?P<half>[AaPp]\.?\s?[Mm]\.?)?\s*(?P<zone>Z|UTC|GMT|[+\-−]\d{2}:?\d{2})?(?![\d:])"
)
_COMPACT = re.compile(
    r"((?:19|20)\d{2})(\d{2})(\d{2})[T _-]?(\d{2})(\d{2})(?:(\d{2})(?:[.,](\d{1,9}))?)?(Z|[+-]\d{2}:?\d{2})?"
)
_NUMERIC = re.compile(r"(\d{1,4})\s?([-/.])\s?(\d{1,2})\s?\2\s?(\d{1,4})\.?")
_DAYS = re.compile(r"(?i)\b(mon|tues?|wed(nes)?|thu(rs)?|fri|sat(ur)?|sun)(day)?\b|\b(mo|di|mi|do|fr|sa|so)\b\.?,?")
_MONTHS = {
    name: month
    for month, names in enumerate(
        (
            "jan january januar jänner janv janvier", "feb february februar fév févr février fev fevr fevrier",
            "mar march märz mär mrz maerz mars", "apr april avr avril", "may mai", "jun june juni juin",
            "jul july juli juil juillet", "aug august août aout", "sep sept september septembre",
            "oct october okt oktober octobre", "nov november novembre",
            "dec december dez dezember déc décembre decembre",
        ),
        start=1,
    )
    for name in names.split()
}  # fmt: skip
_DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[\s.\-/]*([^\W\d_]{3,10})\.?[\s.,\-/]*(\d{4}|\d{2})")
_MONTH_FIRST = re.compile(r"([^\W\d_]{3,10})[\s.\-/]*(\d{1,2})(?:st|nd|rd|th)?[\s.,\-/]+(\d{4})")
_YEAR_FIRST = re.compile(r"(\d{4})[\s.\-/]*([^\W\d_]{3,10})[\s.\-/]*(\d{1,2})")


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day or an elapsed time as written.

    Parameters
    ----------
    parts
        Two or three numbers, as they stand; the last one with its fraction.
    days
        Days in front of them.
    half
        ``am``, ``pm`` or nothing.
    zone
        Ahead of Greenwich [s]; None when not told.
    fine
        Whether the last part is written with a fraction.
    """

    parts: tuple[float, ...]
    days: int = 0
    half: str = ""
    zone: int | None = None
    fine: bool = False

    @property
    def in_range(self) -> bool:
        """Whether minutes and seconds are below sixty, and a 12-hour clock's hour from one to twelve."""
        fine = all(p < 60.0 for p in self.parts[1:])
        return fine and (not self.half or 1 <= self.parts[0] <= 12)

    @property
    def seconds(self) -> float:
        """Hours, minutes and seconds as seconds."""
        hours = self.parts[0]
        if self.half:
            hours = hours % 12 + (12 if self.half == "pm" else 0)
        rest = self.parts[1] * 60.0 + (self.parts[2] if len(self.parts) > 2 else 0.0)
        return self.days * 86400.0 + hours * 3600.0 + rest


@dataclass(frozen=True, slots=True)
class Dated:
    """A date as written: three numbers, and whether their order is told.

    Parameters
    ----------
    numbers
        As they stand; year, month, day when the order is told.
    mark
        Between them; empty when the order is told.
    digits
        Of each number.
    """

    numbers: tuple[int, int, int]
    mark: str
    digits: tuple[int, int, int]


@lru_cache(maxsize=200_000)
def clock(text: str) -> Clock | None:
    """Return the time that a whole cell tells, or nothing.

    Parameters
    ----------
    text
        The cell.

    Examples
    --------
    >>> clock("1:05:03.5 PM").seconds
    47103.5
    >>> clock("8h05").seconds
    29100.0
    """
    found = _CLOCK.fullmatch(_HOURS.sub("", text.strip()))
    return None if found is None else _clock(found)


def _clock(found: re.Match[str]) -> Clock | None:
    fraction = found["f"] or (found["ff"] or "").lstrip(".,")
    if found["f"] and found["ff"]:
        return None
    words = [found["a"], found["b"]] + ([found["c"]] if found["c"] else [])
    last = float(f"{words[-1]}.{fraction}") if fraction else float(words[-1])
    half = (found["half"] or "").lower().replace(".", "").replace(" ", "")
    return Clock(
        parts=(*(float(w) for w in words[:-1]), last),
        days=int(found["d"] or found["dd"] or 0),
        half=half,
        zone=_zone(found["zone"]),
        fine=bool(fraction),
    )


def _zone(text: str | None) -> int | None:
    if not text:
        return None
    if text in ("Z", "UTC", "GMT"):
        return 0
    hours, minutes = int(text[1:3]), int(text[-2:])
    return (-1 if text[0] in "-−" else 1) * (hours * 3600 + minutes * 60)


@lru_cache(maxsize=8192)
def dated(text: str) -> Dated | None:
    """Return the date that a whole cell tells, or nothing.

    Parameters
    ----------
    text
        The cell.

    Examples
    --------
    >>> dated("4. März 2026").numbers, dated("03/04/26").mark
    ((2026, 3, 4), '/')
    """
    text = _DAYS.sub("", text.strip()).strip(" ,")
    found = _NUMERIC.fullmatch(text)
    if found is not None:
        a, mark, b, c = found.groups()
        if len(a) == 3 or len(c) == 3 or (len(a) == 4 and len(c) == 4):
            return None
        return Dated((int(a), int(b), int(c)), mark, (len(a), len(b), len(c)))
    if re.fullmatch(r"(19|20)\d{6}", text):
        return _told(int(text[:4]), int(text[4:6]), int(text[6:]))
    if not any(c.isalpha() for c in text):
        return None
    text = text.lower().rstrip(".")
    for pattern, year, month, day in ((_DAY_FIRST, 3, 2, 1), (_MONTH_FIRST, 3, 1, 2), (_YEAR_FIRST, 1, 2, 3)):
        found = pattern.fullmatch(text)
        if found is not None and found.group(month) in _MONTHS:
            years = int(found.group(year))
            return _told(years if years > 99 else full_year(years), _MONTHS[found.group(month)], int(found.group(day)))
    return None


def _told(year: int, month: int, day: int) -> Dated | None:
    return Dated((year, month, day), "", (4, 2, 2)) if 1 <= month <= 12 and 1 <= day <= 31 else None


def full_year(two: int) -> int:
    """Return the year that two digits mean; loggers are younger than 1980.

    Parameters
    ----------
    two
        0 to 99.
    """
    return two + (2000 if two < 80 else 1900)


@lru_cache(maxsize=8192)
def parted(text: str) -> tuple[str, str] | None:
    """Return the date and the time in one cell, or nothing when it does not hold both.

    Parameters
    ----------
    text
        The cell.

    Examples
    --------
    >>> parted("2026-03-04T08:00:00+01:00")
    ('2026-03-04', '08:00:00+01:00')
    >>> parted("04-03-2026 08.00.30")
    ('04-03-2026', '08:00:30')
    >>> parted("Wed Mar 04 08:00:00 2026")
    ('Wed Mar 04 2026', '08:00:00')
    """
    text = text.strip()
    compact = _COMPACT.fullmatch(text)
    if compact is not None:
        y, mo, d, h, mi, s, f, zone = compact.groups()
        return f"{y}-{mo}-{d}", f"{h}:{mi}:{s or '00'}{'.' + f if f else ''}{zone or ''}"
    dotted = _DOTTED.fullmatch(text)
    if dotted is not None and dated(dotted[1]) is not None:
        return dotted[1], dotted[2].replace(".", ":")
    text = _HOURS.sub("", text)
    head, mark, tail = text.partition("T") if _ISO.match(text) else ("", "", "")
    if mark and clock(tail) is not None:
        return head, tail
    for found in _CLOCK.finditer(text):
        if found["d"] or found["dd"]:
            continue
        rest = " ".join((text[: found.start()] + " " + text[found.end() :]).split()).strip(" ,;-_")
        if rest and dated(rest) is not None:
            return rest, found.group().strip()
    return None


_HOURS = re.compile(r"(?i)(?<=\d)\s*(uhr|hrs?|h)$")
_DOTTED = re.compile(r"(\S+)\s+(\d{1,2}\.\d{2}(?:\.\d{2})?)")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}T")


def tells_time(text: str) -> bool:
    """Return whether a cell holds a time, a date, or both.

    Parameters
    ----------
    text
        The cell.
    """
    text = text.strip()
    return len(text) < 48 and (clock(text) is not None or dated(text) is not None or parted(text) is not None)
