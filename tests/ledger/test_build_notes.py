"""What is kept although it looks wrong, and told at once."""

import math

import pytest

from bagside.findings import Severity
from bagside.ledger.bodies import (
    Bagged,
    Body,
    Closed,
    Conceded,
    Cured,
    Debulked,
    Finished,
    Found,
    Laid,
    Photographed,
    Pulled,
    Started,
)
from bagside.ledger.builds.build_notes import noticed
from bagside.ledger.things import Build
from buildcases import after, begun, event, plan, read, refused

NAME = "L-1"
FIRST = ((Laid(build=NAME, ply=1, piece="1A", films=2), 1.0), (Laid(build=NAME, ply=1, piece="1B", films=2), 1.1))


def told(build: Build, body: Body, hours: float = 9.0, who: str = "Ada") -> list[tuple[Severity, str]]:
    assert refused(build, body, hours, who) == []  # it is kept
    found = noticed(event(body, hours, who), build)
    assert all(f.place.startswith(NAME) and f.why and f.do for f in found)
    return [(f.severity, f.what) for f in found]


def test_a_step_out_of_order_is_told() -> None:
    assert told(begun(), Started(build=NAME, step="thaw")) == []
    assert told(begun(), Started(build=NAME, step="cut")) == [(Severity.WATCH, "thaw is not finished")]
    assert told(begun(), Started(build=NAME, step="cure")) == [
        (Severity.WATCH, "thaw, cut, release, ply-1 and 6 more are not finished")
    ]


def test_a_step_whose_time_nobody_knows_is_told() -> None:
    done = Finished(build=NAME, step="thaw", boxes=(0,))
    assert told(begun(), done) == [(Severity.SEEN, "nobody wrote down when it was begun")]
    assert told(begun(), Finished(build=NAME, step="thaw", boxes=(0,), attended=300.0)) == []
    started = after(begun(), (Started(build=NAME, step="thaw"), 8.0))
    assert told(started, done) == []


def test_more_work_than_time_is_told_and_two_people_do_twice_as_much() -> None:
    started = after(begun(), (Started(build=NAME, step="thaw"), 8.0))
    body = Finished(build=NAME, step="thaw", boxes=(0,), attended=100.0 * 60.0)
    assert told(started, body) == [(Severity.WATCH, "100 min of hands-on work in 60 min by 1 person")]
    assert told(started, body, who="Ben") == []  # Ada began it, Ben finished it


def test_a_piece_over_a_ply_that_is_not_whole_is_told() -> None:
    over = Laid(build=NAME, ply=2, piece="2", films=2)
    assert told(after(begun(), *FIRST), over) == []
    half = after(begun(), FIRST[0])
    assert told(half, over) == [(Severity.DECIDE, "it is laid over ply 1, which is not ticked whole")]


@pytest.mark.parametrize(
    ("degrees", "found"),
    [(2.9, []), (-3.2, [(Severity.WATCH, "its warp is 3.2° off the arrow; 3° is usual at most")]),
     (6.0, [(Severity.DECIDE, "its warp is 6.0° off the arrow; 3° is usual at most")])],
)  # fmt: skip
def test_a_piece_off_its_arrow_is_told(degrees: float, found: list[tuple[Severity, str]]) -> None:
    body = Laid(build=NAME, ply=1, piece="1A", films=2, angle=math.radians(degrees))
    assert told(begun(), body) == found


def test_a_debulk_of_what_is_not_there_too_late_or_too_hot_is_told() -> None:
    body = Debulked(build=NAME, after=1, seconds=1200.0, pressure=3e3)
    laid = after(begun(), *FIRST)
    assert told(laid, body) == []
    assert told(begun(), body) == [(Severity.WATCH, "ply 1 is not ticked whole")]
    on = after(laid, (Laid(build=NAME, ply=2, piece="2", films=2), 2.0))
    assert told(on, body) == [(Severity.WATCH, "ply 2 is laid already")]
    hot = Debulked(build=NAME, after=1, seconds=600.0, pressure=3e3, temperature=338.15)
    assert told(laid, hot) == [(Severity.DECIDE, "65 °C; never above 60 °C")]


def test_a_cure_without_a_bag_before_its_time_or_above_the_mould_is_told() -> None:
    bagged = after(begun(), (Bagged(build=NAME), 2.0))
    assert told(bagged, Cured(builds=(NAME,), hottest_tool=360.0)) == []
    assert told(begun(), Cured(builds=(NAME,))) == [(Severity.WATCH, "nobody wrote down that it was bagged")]
    assert told(bagged, Cured(builds=(NAME,), hottest_tool=368.15)) == [
        (Severity.DECIDE, "the tool saw 95 °C, it stands 90 °C")
    ]
    assert told(bagged, Cured(builds=(NAME,), post=True)) == [
        (Severity.DECIDE, "no cure on the mould is written down before it")
    ]
    cured = after(bagged, (Cured(builds=(NAME,), verdict="good"), 3.0))
    assert told(cured, Cured(builds=(NAME,), post=True)) == []


def test_a_part_pulled_hot_or_off_another_mould_is_told() -> None:
    cured = after(begun(mould="M-1"), (Cured(builds=(NAME,), verdict="good"), 3.0))
    assert told(cured, Pulled(build=NAME, mould="M-1", temperature=310.0)) == []
    assert told(cured, Pulled(build=NAME, mould="M-2", temperature=338.15)) == [
        (Severity.DECIDE, "it came off at 65 °C; 45 °C or less is wanted"),
        (Severity.WATCH, "it came off M-2, and was begun on M-1"),
    ]
    assert told(begun(), Pulled(build=NAME, mould="M-1")) == [(Severity.WATCH, "no cure is written down")]
    assert told(begun(plan(demould=None)), Pulled(build=NAME, mould="M-1", temperature=338.15)) == [
        (Severity.WATCH, "no cure is written down")
    ]


def test_good_with_a_concession_is_told() -> None:
    build = after(begun(), (Conceded(build=NAME, what="a dry spot", why="bridge", effect="looks", by="Ben"), 1.0))
    found = noticed(event(Closed(build=NAME, verdict="good"), 9.0), build)
    assert [f.what for f in found] == ["it is closed as good with 1 concession"]
    assert noticed(event(Closed(build=NAME, verdict="conceded"), 9.0), build) == ()


def test_readings_and_photos_are_told_of_elsewhere() -> None:
    assert told(begun(), read(Found.PINHOLES, 900.0)) == []
    assert told(begun(), Photographed(subject=NAME, file="0" * 64, called="a.jpg")) == []
