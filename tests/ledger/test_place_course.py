"""A place's running sums: whole where asked in pieces, safe in gaps, remembered by the logs they stand on."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cure.life import LifeSheet, Spell
from bagside.ledger.clocks.life_now import Filled
from bagside.ledger.clocks.place_course import BRIDGED, course_of
from lifeshop import DAY, FROZEN, HOUR, ROOM, START, at, log, place

SHEET = LifeSheet(points=((FROZEN, 365 * DAY), (ROOM, 30 * DAY)))
ZERO = START.timestamp()
WARMTH = st.floats(240.0, ROOM)


def seconds(hours: float) -> float:
    return ZERO + hours * HOUR


@st.composite
def courses(draw: st.DrawFn):
    marks = sorted(draw(st.lists(st.integers(0, 200), min_size=2, max_size=10, unique=True)))
    return place("freezer", FROZEN, log(marks, [draw(WARMTH) for _ in marks]))


@given(courses(), st.lists(st.floats(-10.0, 220.0), min_size=3, max_size=3))
@settings(deadline=None)
def test_pieces_add_up_and_only_grow(there, moments):
    course = course_of(there, ROOM)
    a, b, c = (seconds(h) for h in sorted(moments))
    for ask in (lambda p, q: course.used(SHEET, p, q), course.known):
        assert ask(a, c) == pytest.approx(ask(a, b) + ask(b, c), abs=1e-3)
        assert ask(a, b) >= 0.0
    assert course.known(a, c) <= c - a + 1e-6


@given(courses(), st.floats(0.0, 200.0))
@settings(deadline=None)
def test_the_temperature_is_that_of_the_readings(there, hour):
    [part] = there.logs
    marks = [(t - START).total_seconds() / HOUR for t in part.times]
    got = course_of(there, ROOM).temperature(seconds(hour))
    if not marks[0] <= hour <= marks[-1]:
        assert got is None
    else:
        assert got == pytest.approx(float(np.interp(hour, marks, part.temperatures)), abs=1e-6)


@given(WARMTH, WARMTH, st.floats(1.0, 60.0), st.floats(0.0, 1.0))
@settings(deadline=None)
def test_a_gap_is_never_kinder_than_what_can_have_been(before, after, length, bend):
    """Within half a day anything between the two ends, for longer anything up to the room."""
    gone = place("freezer", FROZEN, log([0, 10, 10 + length, 80], [before, before, after, after], [(10, 10 + length)]))
    course = course_of(gone, ROOM)
    short = length * HOUR <= BRIDGED
    top = max(before, after) if short else ROOM
    middle = min(before, after) + bend * (top - min(before, after))
    half = 0.5 * length * HOUR
    truth = SHEET.used(
        [
            Spell(duration=half, temperature=before, to=middle),
            Spell(duration=half, temperature=middle, to=after),
        ]
    )
    assert course.used(SHEET, seconds(10), seconds(10 + length)) >= truth * (1 - 1e-9)
    [gap] = course.gaps
    assert gap.end - gap.start == timedelta(hours=length)
    assert gap.temperature == top
    assert gap.filled is (Filled.WARMER_END if short else Filled.ROOM)


def test_two_files_with_days_between_them_leave_a_hole_and_no_gap():
    one, other = log([0, 10], [FROZEN, FROZEN]), log([50, 60], [FROZEN, FROZEN])
    course = course_of(place("freezer", FROZEN, one, other), ROOM)
    assert course.gaps == ()
    assert course.known(seconds(0), seconds(60)) == pytest.approx(20 * HOUR)
    assert course.temperature(seconds(30)) is None


def test_what_would_overlap_is_not_counted_twice():
    """The ledger cuts overlapping logs; should two reach here all the same, no moment counts twice."""
    one, other = log([0, 10, 20], [FROZEN] * 3), log([10, 20, 30], [ROOM] * 3)
    course = course_of(place("freezer", FROZEN, one, other), ROOM)
    assert course.known(seconds(0), seconds(30)) == pytest.approx(30 * HOUR)


def test_a_new_log_makes_a_new_course():
    there = place("freezer", FROZEN, log([0, 10], [FROZEN, FROZEN]))
    first = course_of(there, ROOM)
    assert course_of(there, ROOM) is first
    assert course_of(replace(there, note="by the window"), ROOM) is first  # the logs are the same
    more = replace(there, logs=(*there.logs, log([10, 20], [ROOM, ROOM])))
    assert course_of(more, ROOM).used(SHEET, seconds(10), seconds(20)) == pytest.approx(10 * HOUR)
    assert first.used(SHEET, seconds(10), seconds(20)) == 0.0


def test_how_it_was_lately():
    course = course_of(place("freezer", FROZEN, log([0, 100], [FROZEN, FROZEN])), ROOM)
    now = at(100).timestamp()
    assert course.recent(SHEET, now, 50 * HOUR) == pytest.approx(30 / 365)
    assert course.recent(SHEET, now + 500 * HOUR, 50 * HOUR) is None
