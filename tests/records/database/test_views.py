"""Things are as their events make them: told in time or late, wrong at first or right, one by one or all anew."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import islice

import pytest
from sqlalchemy import text

from bagside.errors import InputError
from bagside.ledger.bodies import Counted, Discarded, Measured, Moved, Spent, body_data
from bagside.ledger.correcting import correction as corrected
from bagside.ledger.event import Event, new_event
from bagside.ledger.things import Cloth, Goods, Thing
from bagside.records.database import Ledger
from bagside.records.database.engine import writing
from busyshop import happened
from databases import Database
from happenings import begun, correction, event, roll

COUNT = 320
HELD_BACK = ("measured", "photographed", "moved", "laid", "started")


@pytest.fixture
def ledger(database: Database) -> Iterator[Ledger]:
    with Ledger.opened(database.folder, database.url) as opened:
        yield opened


def things_told_in_time(ledger: Ledger, told: list[Event]) -> dict[str, Thing]:
    """Return the things that events make when each is told as it happens, in a ledger of its own in a file."""
    with Ledger.opened(ledger.folder, "sqlite:///in-time.sqlite") as other:
        other.add(told)
        assert other.differing() == ()
        return other.things(there=None)


def test_told_late_is_as_good_as_told_in_time(ledger: Ledger) -> None:
    luck = random.Random(4)
    told = list(islice(happened(3), COUNT))
    late: list[tuple[int, Event]] = []
    for k, one in enumerate(told):
        for due, before in [pair for pair in late if pair[0] <= k]:
            ledger.add([replace(before, late=True)])
            late.remove((due, before))
        if one.kind in HELD_BACK and luck.random() < 0.25:
            late.append((k + luck.randrange(1, 120), one))
        else:
            ledger.add([one])
    assert len(late) > 8
    luck.shuffle(late)
    ledger.add([replace(before, late=True) for _, before in late])
    assert ledger.count == COUNT
    assert ledger.differing() == ()
    assert ledger.things(there=None) == things_told_in_time(ledger, told)


def test_corrected_is_as_good_as_right_at_first(ledger: Ledger) -> None:
    luck = random.Random(5)
    right = list(islice(happened(3), COUNT))
    now = right[-1].at
    wrong: list[tuple[Event, Event]] = []
    for one in right:
        first = one
        if isinstance(one.body, Measured) and luck.random() < 0.3:
            first = replace(one, body=replace(one.body, value=one.body.value * luck.uniform(1.01, 1.2)))
            if luck.random() < 0.3:  # at a wrong time, too
                first = replace(first, at=first.at + timedelta(seconds=luck.randrange(1, 100)))
        if first is not one:
            wrong.append((first, one))
        ledger.add([first])
    assert len(wrong) > 8
    luck.shuffle(wrong)
    for first, one in wrong:
        now += timedelta(minutes=1)
        at = one.at if first.at != one.at else None
        says = corrected(first, ledger.history, why="misread", body=one.body, at=at)
        ledger.add([new_event(says, who="Maren", device="bench", at=now, zone="UTC")])
    assert ledger.differing() == ()
    assert ledger.count == COUNT + len(wrong)
    assert ledger.things(there=None) == things_told_in_time(ledger, right)


def test_the_view_is_made_anew_from_the_events_alone(ledger: Ledger) -> None:
    ledger.add(list(islice(happened(9), COUNT)))
    things = ledger.things(there=None)
    assert ledger.rebuild() == len(things)
    assert ledger.things(there=None) == things
    with writing(ledger.door.engine) as connection:
        connection.execute(text("DELETE FROM things"))
    assert ledger.things(there=None) == {}
    assert ledger.differing() == tuple(things)
    assert ledger.rebuild() == len(things)
    assert ledger.things(there=None) == things
    assert ledger.differing() == ()


def test_a_view_that_is_wrong_is_found(ledger: Ledger) -> None:
    ledger.add(begun())
    for statement, names in (
        ("UPDATE things SET state = replace(state, '50.0', '51.0') WHERE name = 'R-1'", ("R-1",)),
        ("DELETE FROM things WHERE name = 'freezer'", ("R-1", "freezer")),
        ("UPDATE things SET upto = 1 WHERE name = 'room'", ("R-1", "freezer", "room")),
        (
            "INSERT INTO things SELECT 'R-9', sort, there, born, last, upto, material, job, state "
            "FROM things WHERE name = 'TAPE-1'", ("R-1", "R-9", "freezer", "room"),
        ),
    ):  # fmt: skip
        with writing(ledger.door.engine) as connection:
            connection.execute(text(statement))
        assert ledger.differing() == names
    ledger.rebuild()
    assert ledger.differing() == ()


def test_what_never_happened_takes_a_thing_with_it(ledger: Ledger) -> None:
    ledger.add(begun())
    wrong = event(roll("R-2"), 10)
    ledger.add([wrong])
    ledger.add([correction(wrong, None, 11)])
    assert ledger.thing("R-2") is None
    assert "R-2" not in ledger.names(there=None)
    assert [e.kind for e in ledger.history("R-2")] == ["received", "corrected"]
    assert ledger.differing() == ()
    again = event(roll("R-2", 33.0), 12)
    ledger.add([again])
    assert isinstance(found := ledger.thing("R-2"), Cloth)
    assert found.left == 33.0
    assert ledger.differing() == ()


def test_a_correction_that_names_another_thing_moves_the_event(ledger: Ledger) -> None:
    ledger.add([*begun(), event(roll("R-2"), 8)])
    wrong = event(Counted(thing="R-1", length=12.0), 10)
    ledger.add([wrong])
    ledger.add([correction(wrong, Counted(thing="R-2", length=12.0), 11)])
    first, second = ledger.thing("R-1"), ledger.thing("R-2")
    assert isinstance(first, Cloth)
    assert isinstance(second, Cloth)
    assert (first.left, second.left) == (50.0, 12.0)
    assert wrong.id in [e.id for e in ledger.history("R-2")], "what is corrected belongs to its history"
    assert ledger.differing() == ()


def test_a_correction_that_would_break_what_followed_is_refused(ledger: Ledger) -> None:
    ledger.add(begun())
    gone = event(Discarded(thing="R-1", why="sold"), 30)
    ledger.add([event(Moved(things=("R-1",), to="room"), 20), gone])
    received = next(e for e in ledger.events("R-1"))
    before = ledger.things(there=None)
    with pytest.raises(InputError) as caught:
        ledger.add([correction(received, None, 40)])
    assert all("this would no longer hold" in str(p) for p in caught.value.problems)
    assert len(caught.value.problems) == 2
    assert ledger.count == 6
    assert ledger.things(there=None) == before
    with pytest.raises(InputError, match="this would no longer hold"):  # told late: it was sold before it moved
        ledger.add([event(Discarded(thing="R-1", why="scrap"), 15, late=True)])


def test_corrections_of_what_is_not_there_are_refused(ledger: Ledger) -> None:
    ledger.add(begun())
    strange = event(Spent(thing="TAPE-1", count=5), 10)
    with pytest.raises(InputError, match="no event of this id touches what is named here"):
        ledger.add([correction(strange, None, 11)])
    ledger.add([strange])
    says = correction(strange, Spent(thing="TAPE-1", count=6), 11)
    with pytest.raises(InputError, match="corrected, data"):
        ledger.add([replace(says, body=replace(says.body, data={"thing": "TAPE-1", "number": 3}))])  # type: ignore[call-arg]
    with pytest.raises(InputError, match="name everything"):
        ledger.add([replace(says, body=replace(says.body, subjects=("R-1",)))])  # type: ignore[call-arg]
    ledger.add([says])
    assert isinstance(tape := ledger.thing("TAPE-1"), Goods)
    assert tape.count == 100000 - 6
    assert body_data(strange.body)["count"] == 5


def test_late_and_in_time_in_one_group(ledger: Ledger) -> None:
    ledger.add([*begun(), event(Counted(thing="R-1", length=40.0), 60)])
    group = [
        event(roll("R-2"), 70),
        event(Counted(thing="R-1", length=44.0), 30, late=True),
        event(Counted(thing="R-2", length=20.0), 80),
        event(Moved(things=("R-1", "R-2"), to="room"), 75, late=True),
    ]
    ledger.add(group)
    assert ledger.differing() == ()
    first, second = ledger.thing("R-1"), ledger.thing("R-2")
    assert isinstance(first, Cloth)
    assert isinstance(second, Cloth)
    assert (first.left, second.left) == (40.0, 20.0)
    assert [s.place for s in second.stays] == ["freezer", "room"]
