"""When a log began, as a line above its head tells it: ``Start: 2026-03-04 08:00:00``, ``Datum;04.03.2026``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta

from bagside.records.logger.dates import DAY_ZERO, day_number, possible_orders
from bagside.records.logger.stamps import clock, dated, parted
from bagside.records.logger.words import BEGUN, DATE, words_in


def told_start(preamble: Iterable[Sequence[str]]) -> datetime | None:
    """Return when a log began; None when no line tells it, two tell different things, or a date has two readings.

    Parameters
    ----------
    preamble
        Rows above the head.

    Examples
    --------
    >>> told_start([("Operator", "M"), ("Start:", "14/03/2026 08:00:00")])
    datetime.datetime(2026, 3, 14, 8, 0)
    """
    found = {moment for row in preamble for moment in _moments(row)}
    return found.pop() if len(found) == 1 else None


def _moments(row: Sequence[str]) -> Iterator[datetime]:
    """Return the moment that one row tells, when its words say that it is the start."""
    text = " ".join(row)
    label, colon, value = text.partition(":")
    if not colon or any(c.isdigit() for c in label):
        label, value = row[0], " ".join(row[1:])
    spoken = set(words_in(label))
    if not spoken & (BEGUN | DATE):
        return
    value = value.strip()
    both = parted(value)
    day_text, time_text = both if both is not None else (value, "00:00")
    orders = possible_orders([day_text]) if dated(day_text) is not None else ()
    of_day = clock(time_text)
    if len(orders) != 1 or of_day is None:
        return
    day = day_number(day_text, orders[0])
    if day is not None:
        begin = date.fromordinal(day + DAY_ZERO)
        yield datetime(begin.year, begin.month, begin.day) + timedelta(seconds=of_day.seconds)
