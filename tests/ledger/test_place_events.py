"""Places by hand: loggers whose files overlap count once, and the later one for what it saw."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.ledger.bodies import Discarded, Found, Logged, Measured, Received, Sort, Spent
from bagside.ledger.event import Event, new_event
from bagside.ledger.replay import after, replayed
from bagside.ledger.stock.place_events import MOST_READINGS, part_of, seen_spans, temperature_at
from bagside.ledger.things import Place
from memory import DAY, hours, shop

H = 3600.0


def log(
    file: str, start: float, points: list[tuple[float, float]], gaps: tuple[tuple[float, float], ...] = ()
) -> Event:
    """Return a log from hour `start` on: points of hours since then and °C."""
    body = Logged(
        place="freezer", file=file, called=f"{file}.csv", times=tuple(t * H for t, _ in points),
        temperatures=tuple(c + 273.15 for _, c in points), gaps=tuple((a * H, b * H) for a, b in gaps),
    )  # fmt: skip
    return new_event(body, who="A", device="b", at=hours(start))


def told(*events: Event) -> Place:
    memory = shop()
    for event in events:
        memory.put(event)
    return memory.place("freezer")


def seen(place: Place) -> list[tuple[str, list[float], list[float]]]:
    """Return each log's file, its hours, and its °C."""
    return [
        (p.file, [(t - DAY) / timedelta(hours=1) for t in p.times], [round(x - 273.15, 6) for x in p.temperatures])
        for p in place.logs
    ]


def test_logs_one_after_the_other_stand_beside_each_other() -> None:
    place = told(log("b", 20, [(0, -18), (1, -17)]), log("a", 10, [(0, -18), (2, -19)]))
    assert seen(place) == [("a", [10, 12], [-18, -19]), ("b", [20, 21], [-18, -17])]


def test_the_later_log_counts_where_both_speak() -> None:
    place = told(log("a", 0, [(0, -18), (4, -20)]), log("b", 2, [(0, -18.5), (4, -18.5)]))
    assert seen(place) == [("a", [0, 2], [-18, -19]), ("b", [2, 6], [-18.5, -18.5])]  # a: −18 − 2·2/4 at hour 2


def test_a_memory_that_is_read_out_again_replaces_the_first() -> None:
    place = told(log("a", 0, [(0, -18), (4, -20)]), log("b", 0, [(0, -18), (4, -20), (8, -19)]))
    assert seen(place) == [("b", [0, 4, 8], [-18, -20, -19])]


def test_a_log_within_another_splits_it() -> None:
    place = told(log("a", 0, [(0, -18), (8, -18)]), log("b", 2, [(0, -17), (1, -17)]))
    assert seen(place) == [("a", [0, 2], [-18, -18]), ("b", [2, 3], [-17, -17]), ("a", [3, 8], [-18, -18])]


def test_where_the_later_one_has_a_gap_the_earlier_counts() -> None:
    place = told(log("a", 0, [(0, -18), (8, -18)]), log("b", 2, [(0, -17), (1, -17), (3, -17), (4, -17)], ((1, 3),)))
    assert seen(place)[0] == ("a", [0, 2], [-18, -18])
    assert ("a", [3, 5], [-18, -18]) in seen(place)
    assert ("a", [6, 8], [-18, -18]) in seen(place)


def test_gaps_are_kept_with_what_is_left_of_a_log() -> None:
    place = told(log("a", 0, [(0, -18), (1, -18), (5, -18), (9, -18)], ((1, 5),)), log("b", 4, [(0, -18), (2, -18)]))
    assert seen(place) == [("a", [0, 1], [-18, -18]), ("b", [4, 6], [-18, -18]), ("a", [6, 9], [-18, -18])]
    place = told(log("a", 0, [(0, -18), (1, -18), (5, -18), (9, -18)], ((1, 5),)), log("b", 7, [(0, -18), (2, -18)]))
    assert place.logs[0].gaps == ((hours(1), hours(5)),)
    assert seen_spans(place.logs[0]) == [(hours(0), hours(1)), (hours(5), hours(7))]
    place = told(log("a", 0, [(0, -18), (1, -18), (5, -18), (9, -18)], ((1, 5),)), log("b", 2, [(0, -18), (2, -18)]))
    assert seen(place)[-1] == ("a", [5, 9], [-18, -18])
    all_gap = told(log("a", 0, [(0, -18), (4, -18)], ((0, 4),)), log("b", 1, [(0, -18), (1, -18)]))
    assert [s[0] for s in seen(all_gap)] == ["a", "b", "a"]
    assert seen(all_gap)[0][1] == [0]


def test_spans_and_readings_between() -> None:
    body = log("a", 0, [(0, -18), (1, -10), (5, -18)], ((1, 2), (3, 4))).body
    assert isinstance(body, Logged)
    part = part_of(hours(0), body)
    assert seen_spans(part) == [(hours(0), hours(1)), (hours(2), hours(3)), (hours(4), hours(5))]
    assert temperature_at(part, hours(0.5)) == pytest.approx(273.15 - 14)
    assert temperature_at(part, hours(1)) == 273.15 - 10
    assert temperature_at(part, hours(0)) == temperature_at(part, hours(-3)) == 273.15 - 18
    assert temperature_at(part, hours(9)) == 273.15 - 18
    assert seen_spans(replace(part, gaps=((hours(0), hours(6)),))) == []


SPAN = st.tuples(st.integers(0, 20), st.integers(1, 10))


@given(spans=st.lists(SPAN, min_size=1, max_size=5))
def test_no_moment_counts_twice_and_none_that_was_seen_is_lost(spans: list[tuple[int, int]]) -> None:
    events = [log(f"f{k}", a, [(0, -18.0 - k), (n, -18.0 - k)]) for k, (a, n) in enumerate(spans)]
    place = told(*events)
    for quarter in range(1, 4 * 31, 2):  # moments between the quarter hours, where no log begins or ends
        at = hours(quarter / 8 * 2 + 0.01)
        says = [p for p in place.logs if p.times[0] <= at <= p.times[-1]]
        sources = [k for k, (a, n) in enumerate(spans) if hours(a) <= at <= hours(a + n)]
        assert len(says) == (1 if sources else 0)
        if sources:
            latest = max(sources, key=lambda k: (spans[k][0], k))  # begins last; kept last at one beginning
            assert says[0].file == f"f{latest}"
            assert temperature_at(says[0], at) == pytest.approx(255.15 - latest)


def test_readings_of_the_room_and_giving_it_up() -> None:
    climate = Measured(subject="freezer", found=Found.CLIMATE, value=255.0, humidity=0.4)
    other = Measured(subject="freezer", found=Found.HOURS, value=255.0)
    bodies = (climate, other, Spent(thing="freezer"))
    events = [new_event(b, who="A", device="b", at=hours(k)) for k, b in enumerate(bodies, 5)]
    gone = new_event(Discarded(thing="freezer", why="broken"), who="A", device="b", at=hours(9))
    place = told(*events, gone)
    assert place.readings == ((hours(5), climate),)
    assert (place.there, place.gone, place.why, place.last) == (False, hours(9), "broken", hours(9))


def test_the_last_readings_are_at_hand() -> None:
    climate = Measured(subject="freezer", found=Found.CLIMATE, value=255.0)
    event = new_event(climate, who="A", device="b", at=hours(1))
    place = told(*(replace(event, id=f"{k:032x}", at=hours(1 + k / 60)) for k in range(MOST_READINGS + 3)))
    assert len(place.readings) == MOST_READINGS
    assert place.readings[0][0] == hours(1 + 3 / 60)


def test_a_log_without_readings_and_an_unknown_place_are_nothing() -> None:
    body = Logged(place="freezer", file="a", called="a", times=(), temperatures=())
    empty = new_event(body, who="A", device="b", at=hours(1))
    assert told(empty).logs == ()
    assert after(None, empty, "freezer") is None
    assert replayed([new_event(Received(name="x", sort=Sort.PLACE), who="A", device="b", at=hours(1))], "x") is not None
