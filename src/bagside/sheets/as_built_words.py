"""Words that every part of an as-built report shares: moments, times, names that are too long for their column."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from itertools import pairwise
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from bagside.findings import Basis
from bagside.quantity import THIN_SPACE, shown
from bagside.sheets.bookinput import Said

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NONE = "not recorded"
LONG = 18
"""Letters from which a word may be broken."""


def zone_of(text: str) -> tzinfo:
    """Return the zone that an event was read in; UTC when it is not known here.

    Parameters
    ----------
    text
        ``Europe/Berlin`` or ``+01:00``.
    """
    match = re.fullmatch(r"([+-])(\d{2}):(\d{2})", text)
    if match:
        off = timedelta(hours=int(match[2]), minutes=int(match[3]))
        return timezone(off if match[1] == "+" else -off)
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError):
        return UTC


def day(at: datetime, zone: tzinfo) -> str:
    """Return a day as ``Wed 25 Nov 2026``.

    Parameters
    ----------
    at
        With its zone.
    zone
        To show it in.
    """
    here = at.astimezone(zone)
    return f"{DAYS[here.weekday()]} {here.day} {MONTHS[here.month - 1]} {here.year}"


def moment(at: datetime | None, zone: tzinfo) -> str:
    """Return a moment as ``Wed 25 Nov 2026, 14:05``; `NONE` for none.

    Parameters
    ----------
    at
        With its zone.
    zone
        To show it in.
    """
    return NONE if at is None else f"{day(at, zone)}, {at.astimezone(zone):%H:%M}"


def short(at: datetime | None, zone: tzinfo) -> str:
    """Return a moment without its year, as ``25 Nov 14:05``; a dash for none.

    Parameters
    ----------
    at
        With its zone.
    zone
        To show it in.
    """
    if at is None:
        return "–"
    here = at.astimezone(zone)
    return f"{here.day} {MONTHS[here.month - 1]} {here:%H:%M}"


def lasting(seconds: float | None) -> str:
    """Return a time as ``3 h 34`` or ``25 min``; a dash for none.

    Parameters
    ----------
    seconds
        [s].
    """
    if seconds is None:
        return "–"
    minutes = round(abs(seconds) / 60)
    sign = "−" if seconds < 0 and minutes else ""
    return sign + (f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}")


def more(seconds: float) -> str:
    """Return a difference of times with its sign.

    Parameters
    ----------
    seconds
        [s].
    """
    words = lasting(seconds)
    return words if seconds < 0 or words == "0 min" else f"+{words}"


def measured(value: float | None, unit: str, digits: int = 1) -> Said | str:
    """Return a measured number with its mark; a dash for none.

    Parameters
    ----------
    value
        SI.
    unit, digits
        As `bagside.quantity.shown`.
    """
    return "–" if value is None else Said(words=shown(value, unit, digits), basis=Basis.MEASURED)


def number(value: float | None, unit: str, digits: int = 1) -> str:
    """Return a number without a mark; a dash for none.

    Parameters
    ----------
    value
        SI.
    unit, digits
        As `bagside.quantity.shown`.
    """
    return "–" if value is None else shown(value, unit, digits)


def money(amount: float | None, currency: str) -> str:
    """Return an amount; a dash for none.

    Parameters
    ----------
    amount
        In the workshop's currency.
    currency
        Three letters.
    """
    if amount is None:
        return "–"
    return f"{amount:,.2f}".replace(",", THIN_SPACE).replace("-", "−") + f" {currency}"


def breakable(text: str) -> str:
    """Return a text whose long words may be broken at a line's end, and at the joints people write them with.

    Parameters
    ----------
    text
        Any.
    """
    return " ".join(_broken(w) if len(w) > LONG else w for w in text.split(" "))


def _broken(word: str) -> str:
    parts = re.split(r"(?<=[-_/.])", word)
    return "\u200b".join(_hyphened(p) if len(p) > LONG else p for p in parts)


def _hyphened(word: str) -> str:
    """Return a word that may be broken in even parts, so that no two letters are left alone."""
    count = -(-len(word) // 9)
    cuts = [round(len(word) * k / count) for k in range(count + 1)]
    return "\u00ad".join(word[a:b] for a, b in pairwise(cuts))

