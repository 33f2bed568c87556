"""Which of three numbers is the day: told by the file, settled by a number above twelve or the next day, or asked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from itertools import pairwise

from bagside.records.logger.options import DateOrder
from bagside.records.logger.stamps import Dated, dated, full_year

_TOLD = (
    (re.compile(r"(?i)\b[dj]{1,2}[./\- ]?m{1,3}[./\- ]?[ya]{2,4}\b|\bt{2}[./\- ]m{2}[./\- ]j{2,4}\b"), DateOrder.DAY),
    (re.compile(r"(?i)\bm{1,2}[./\- ]?d{1,2}[./\- ]?y{2,4}\b"), DateOrder.MONTH),
    (re.compile(r"(?i)\b(?:y{2,4}|j{2,4})[./\- ]?m{1,2}[./\- ]?[dt]{1,2}\b"), DateOrder.YEAR),
)
DAY_ZERO = date(2000, 1, 1).toordinal()


def told_order(texts: Iterable[str]) -> DateOrder | None:
    """Return the order that a head tells (``DD/MM/YYYY``), or nothing.

    Parameters
    ----------
    texts
        Of the head and what stands over it.
    """
    for text in texts:
        for pattern, order in _TOLD:
            if pattern.search(text):
                return order
    return None


def day_number(text: str, order: DateOrder) -> int | None:
    """Return a date as days since 1 January 2000, or nothing when it is none in this order.

    Parameters
    ----------
    text
        As written.
    order
        Of its numbers; without effect where the file tells it.

    Examples
    --------
    >>> day_number("02.01.2000", DateOrder.DAY)
    1
    """
    found = dated(text)
    if found is None:
        return None
    year, month, day = _ordered(found, order)
    if year < 0:
        return None
    try:
        return date(year, month, day).toordinal() - DAY_ZERO
    except ValueError:
        return None


def _ordered(found: Dated, order: DateOrder) -> tuple[int, int, int]:
    """Return year, month and day; a year below zero when the digits do not go with the order."""
    a, b, c = found.numbers
    if not found.mark:
        return a, b, c
    if found.digits[0] == 4:
        return (a, b, c) if order is DateOrder.YEAR else (-1, 1, 1)
    if order is DateOrder.YEAR:
        return (-1, 1, 1) if found.digits[2] == 4 or found.digits[0] != 2 else (full_year(a), b, c)
    year = c if found.digits[2] == 4 else full_year(c) if found.digits[2] == 2 else -1
    return (year, b, a) if order is DateOrder.DAY else (year, a, b)


def possible_orders(texts: Sequence[str]) -> tuple[DateOrder, ...]:
    """Return the orders in which all dates of a file can be read and follow one another.

    Where points stand between the numbers the day comes first unless that is impossible: countries that write points
    do so. A log runs on: an order that makes the next midnight a month or a year away is none when another does not.

    Parameters
    ----------
    texts
        Its different dates, in the order in which they come.

    Examples
    --------
    >>> [o.value for o in possible_orders(["03/04/2026"])], [o.value for o in possible_orders(["13/04/2026"])]
    (['day', 'month'], ['day'])
    >>> [o.value for o in possible_orders(["03/04/2026", "04/04/2026"])]
    ['day']
    """
    read = {order: [day_number(t, order) for t in texts] for order in DateOrder}
    valid = {o: [d for d in days if d is not None] for o, days in read.items()}
    most = max(map(len, valid.values()))
    valid = {o: days for o, days in valid.items() if days and len(days) == most}
    if DateOrder.DAY in valid and all((dated(t) or Dated((0, 0, 0), "", (0, 0, 0))).mark == "." for t in texts):
        return (DateOrder.DAY,)
    steps = {o: max((abs(b - a) for a, b in pairwise(days)), default=0) for o, days in valid.items()}
    if steps and min(steps.values()) <= 1:
        valid = {o: valid[o] for o, step in steps.items() if step <= 1}
    different: dict[tuple[int, ...], DateOrder] = {}
    for order, days in valid.items():
        different.setdefault(tuple(days), order)
    return tuple(different.values())


def as_said(text: str, order: DateOrder) -> str:
    """Return a date as people say it: ``3 April 2026``.

    Parameters
    ----------
    text
        As written.
    order
        In which it is read.
    """
    day = date.fromordinal((day_number(text, order) or 0) + DAY_ZERO)
    return f"{day.day} {day.strftime('%B %Y')}"
