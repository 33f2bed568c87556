"""Clocks: what has not happened yet, what comes from a clock that has jumped back, and a log that ends tomorrow."""

from __future__ import annotations

from datetime import timedelta

from bagside.ledger.bodies import Logged, Moved, Received, Sort
from bagside.ledger.event import new_event
from bagside.ledger.rules import problems_of
from memory import hours, shop

MOVED = Moved(things=("R-1",), to="cutting room")


def said(body: Moved | Logged, at: float, now: float, last: float | None = None, *, late: bool = False) -> list[str]:
    event = new_event(body, who="Anna", device="phone", at=hours(at), late=late)
    before = {**shop().things()}
    return [str(p) for p in problems_of(event, before, hours(now), None if last is None else hours(last))]


def test_what_has_not_happened_yet() -> None:
    assert said(MOVED, 5, 4) == [
        "moved, at: 2026-03-02 13:00 UTC – it has not happened yet: it is 2026-03-02 12:00 UTC "
        "(set the clock of phone, or state the time with its zone)"
    ]
    assert said(MOVED, 4.16, 4) == []  # not ten minutes ahead


def test_a_clock_that_jumped_back() -> None:
    assert said(MOVED, 4, 6, 5) == [
        "moved, at: 2026-03-02 12:00:00 UTC – phone has already told of 2026-03-02 13:00:00 UTC: its clock has jumped "
        "back, or this is written down late (look at the clock; when it did happen then, say that it is late (--late))"
    ]
    assert said(MOVED, 4, 6, 5, late=True) == []
    assert said(MOVED, 4.99, 6, 5) == []  # two commands at once
    assert said(MOVED, 5, 6, 4) == []


def test_a_log_that_ends_later_than_now() -> None:
    log = Logged(place="freezer", file="a", called="a.csv", times=(0.0, 7200.0), temperatures=(255.0, 255.0))
    assert said(log, 4, 5) == [
        'logged, times: "a.csv" – its last reading is of 2026-03-02 14:00 UTC, and it is 2026-03-02 13:00 UTC '
        "(look at the logger's clock and its zone)"
    ]
    assert said(log, 4, 6) == []
    assert said(log, 7, 6)[0].startswith("logged, at")
    endless = Logged(place="freezer", file="a", called="a.csv", times=(0.0, 1e300), temperatures=(255.0, 255.0))
    assert "its last reading is of 2057" in said(endless, 4, 6)[0]
    assert "its last reading is 3.17e+292 years after its first" in said(endless, 4, 24 * 366 * 40)[0]


def test_nothing_is_wrong_with_what_comes_in() -> None:
    event = new_event(Received(name="x", sort=Sort.PLACE), who="A", device="b", at=hours(1))
    assert problems_of(event, {"x": None}, hours(1) + timedelta(seconds=1), None) == ()
