"""The ledger takes each event once, gives it back as it was, and knows what is true now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from bagside.errors import InputError
from bagside.ledger.bodies import Begun, Counted, Discarded, Found, Measured, Moved, Photographed, Sort, Spent
from bagside.ledger.things import Cloth, Goods
from bagside.records.database import Ledger
from busyshop import plan
from databases import Database
from happenings import START, begun, correction, event, roll


@pytest.fixture
def ledger(database: Database) -> Iterator[Ledger]:
    with Ledger.opened(database.folder, database.url) as opened:
        opened.add(begun())
        yield opened


def test_an_event_comes_back_as_it_was(ledger: Ledger) -> None:
    gauge = "psychromètre № 2"
    body = Measured(subject="room", found=Found.CLIMATE, value=294.3499999999999, humidity=0.1 + 0.2, gauge=gauge)
    told = replace(event(body, 90), at=datetime(2026, 3, 2, 8, 30, 0, 123457, tzinfo=UTC), who="Zoë O’Brien")
    added = ledger.add([told], now=START + timedelta(hours=2))
    assert [e.order for e in added.new] == [5]
    assert added.already == ()
    back = ledger.event(told.id)
    assert back is not None
    assert back.same(told)
    assert back == replace(told, order=5, kept=START + timedelta(hours=2))
    assert list(ledger.events())[-1] == back
    assert ledger.event("0" * 32) is None


def test_one_sent_twice_counts_once(ledger: Ledger) -> None:
    told = event(Spent(thing="TAPE-1", count=7), 10)
    ledger.add([told])
    again = ledger.add([told, event(Spent(thing="TAPE-1", count=1), 11), told])
    assert again.already == (told.id,)
    assert [e.body for e in again.new] == [Spent(thing="TAPE-1", count=1)]
    tape = ledger.thing("TAPE-1")
    assert isinstance(tape, Goods)
    assert tape.count == 100000 - 8
    assert ledger.count == 6


def test_twice_in_one_group_counts_once_too(ledger: Ledger) -> None:
    told = event(Spent(thing="TAPE-1", count=7), 10)
    added = ledger.add([told, told])
    assert len(added.new) == 1
    assert added.already == (told.id,)
    assert ledger.count == 5


def test_the_same_id_with_other_content_is_refused(ledger: Ledger) -> None:
    told = event(Spent(thing="TAPE-1", count=7), 10)
    ledger.add([told])
    with pytest.raises(InputError) as caught:
        ledger.add([replace(told, body=Spent(thing="TAPE-1", count=8))])
    assert str(caught.value) == (
        f"spent, id: {told.id} – the ledger has another event of this id (spent, 2026-03-02 07:10 UTC, Maren) "
        "(an event is never changed: correct it with a new one)"
    )
    assert ledger.count == 5


def test_all_or_nothing_with_every_problem(ledger: Ledger) -> None:
    group = [
        event(Spent(thing="TAPE-1", count=7), 10),
        event(Counted(thing="R-9", length=3.0), 11),
        event(Discarded(thing="R-8", why="sold"), 12),
        event(Spent(thing="TAPE-1", count=7), 13),
    ]
    with pytest.raises(InputError) as caught:
        ledger.add(group)
    places = [p.place.split(",")[0] for p in caught.value.problems]
    assert places == ["event 2 of 4", "event 3 of 4"]
    assert ledger.count == 4
    assert isinstance(tape := ledger.thing("TAPE-1"), Goods)
    assert tape.count == 100000
    assert ledger.differing() == ()


def test_what_follows_on_a_refused_event_is_not_refused_for_it(ledger: Ledger) -> None:
    group = [event(roll("R-1"), 10), event(Counted(thing="R-1", length=3.0), 11)]
    with pytest.raises(InputError) as caught:
        ledger.add(group)  # R-1 is there already
    assert {p.place.split(",")[0] for p in caught.value.problems} == {"event 1 of 2"}


def test_a_clock_that_jumps_back_is_refused_unless_said_to_be_late(ledger: Ledger) -> None:
    ledger.add([event(Spent(thing="TAPE-1", count=1), 60)])
    with pytest.raises(InputError) as caught:
        ledger.add([event(Moved(things=("R-1",), to="room"), 30)])
    assert [str(p) for p in caught.value.problems] == [
        "moved, at: 2026-03-02 07:30:00 UTC – bench has already told of 2026-03-02 08:00:00 UTC: its clock has jumped "
        "back, or this is written down late (look at the clock; when it did happen then, say that it is late (--late))"
    ]
    ledger.add([event(Moved(things=("R-1",), to="room"), 30, late=True)])
    ledger.add([event(Moved(things=("R-1",), to="freezer"), 40, device="phone")])  # another clock
    assert ledger.differing() == ()


def test_a_clock_that_is_ahead_is_refused(ledger: Ledger) -> None:
    with pytest.raises(InputError, match="it has not happened yet"):
        ledger.add([event(Spent(thing="TAPE-1", count=1), 60)], now=START + timedelta(minutes=40))
    ledger.add([event(Spent(thing="TAPE-1", count=1), 60)], now=START + timedelta(minutes=51))


def test_what_cannot_be_written_down_is_refused(ledger: Ledger) -> None:
    for body in (
        Spent(thing="TAPE-1", mass=float("nan")),
        Spent(thing="TAPE-1\x00", count=1),
        Counted(thing="R-\udcff", length=1.0),
        Counted(thing="R-1", length=1.0, why="a\x00b"),
        Counted(thing="R-1", length=1.0, why="a\udcffb"),
    ):
        with pytest.raises(InputError):
            ledger.add([event(body, 10)])
    assert ledger.count == 4
    with pytest.raises(InputError, match="letters are wanted"):
        ledger.add([replace(event(Spent(thing="TAPE-1", count=1), 10), who="Jo\x00")])


def test_things_by_what_they_are(ledger: Ledger) -> None:
    ledger.add([event(roll("R-3"), 10), event(roll("R-2"), 11), event(Discarded(thing="R-3", why="sold"), 12)])
    assert list(ledger.things(Sort.ROLL)) == ["R-1", "R-2"]
    assert list(ledger.things(Sort.ROLL, there=None)) == ["R-1", "R-2", "R-3"]
    assert list(ledger.things(Sort.ROLL, Sort.PLACE, there=False)) == ["R-3"]
    assert list(ledger.things()) == ["R-1", "R-2", "TAPE-1", "freezer", "room"]
    assert list(ledger.things(material="twill-200")) == ["R-1", "R-2"]
    assert list(ledger.things(material="uni-150")) == []
    assert ledger.names(Sort.ROLL, there=None) == ("R-1", "R-2", "R-3")
    assert ledger.names() == tuple(ledger.things())
    sold = ledger.thing("R-3")
    assert isinstance(sold, Cloth)
    assert not sold.there
    assert ledger.things(Sort.ROLL, there=False) == {"R-3": sold}
    assert ledger.thing("R-77") is None


def test_builds_of_a_job(ledger: Ledger) -> None:
    ledger.add([event(Begun(build=f"B-{k}", planned=plan(k % 2)), 10 + k) for k in range(4)])
    assert list(ledger.things(Sort.BUILD, job="hatch-lid-1")) == ["B-1", "B-3"]
    assert list(ledger.things(job="hatch-lid-0")) == ["B-0", "B-2"]
    assert list(ledger.things(job="hatch-lid-2")) == []


def test_events_by_name_kind_and_place_in_the_ledger(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.records.database.ledger.PAGE", 3)
    ledger.add([event(Spent(thing="TAPE-1", count=k), 10 + k) for k in range(1, 9)])
    ledger.add([event(Moved(things=("R-1",), to="room"), 30)])
    everything = list(ledger.events())
    assert [e.order for e in everything] == list(range(1, 14))
    assert list(ledger.events("TAPE-1")) == [e for e in everything if "TAPE-1" in e.subjects]
    two = ("received", "moved")
    assert list(ledger.events(kinds=two)) == [e for e in everything if e.kind in two]
    assert list(ledger.events("R-1", kinds=["moved"])) == everything[-1:]
    assert [e.order for e in ledger.events("TAPE-1", after=6)] == list(range(7, 13))
    assert ledger.history("R-1") == [everything[3], everything[12]]
    assert list(ledger.events("R-77")) == ledger.history("R-77") == []


def test_what_is_added_meanwhile_is_not_given(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.records.database.ledger.PAGE", 2)
    orders = []
    for k, told in enumerate(ledger.events()):
        orders.append(told.order)
        ledger.add([event(Spent(thing="TAPE-1", count=1), 10 + k)])
    assert orders == [1, 2, 3, 4]
    assert ledger.count == 8


def test_a_name_that_nothing_ever_had(ledger: Ledger) -> None:
    assert ledger.next_name("O") == "O-1"
    assert ledger.next_name("R") == "R-2"
    names = ("R-9", "R-10", "R-02", "R-x", "R-1-3", "RR-50", "r-70", "R-7a")
    ledger.add([event(roll(name), 10 + k) for k, name in enumerate(names)])
    assert ledger.next_name("R") == "R-11"
    wrong = event(roll("R-11"), 30)
    ledger.add([wrong])
    ledger.add([correction(wrong, None, 31)])
    assert ledger.thing("R-11") is None
    assert ledger.next_name("R") == "R-12", "its label has been printed"


def test_names_stand_in_one_order_in_both_databases(ledger: Ledger) -> None:
    names = ("a-1", "B-1", "ä-1", "Z 1", "z_1", "R.1")
    ledger.add([event(roll(name), 10 + k) for k, name in enumerate(names)])
    assert list(ledger.things(Sort.ROLL)) == sorted([*names, "R-1"])
    assert ledger.names(Sort.ROLL) == tuple(sorted([*names, "R-1"]))


def test_what_was_kept_is_there_when_opened_again(database: Database) -> None:
    with Ledger.opened(database.folder, database.url) as ledger:
        ledger.add(begun())
        ledger.add([event(Photographed(subject="R-1", file="ab" * 32, called="Etikett.jpg"), 20)])
        events, things = list(ledger.events()), ledger.things(there=None)
    with Ledger.opened(database.folder, database.url) as ledger:
        assert list(ledger.events()) == events
        assert ledger.things(there=None) == things


def test_records_are_there_once_they_are_begun(database: Database) -> None:
    assert not Ledger.kept_for(database.folder, database.url)
    assert list(database.folder.iterdir()) == []
    Ledger.opened(database.folder, database.url).close()
    assert Ledger.kept_for(database.folder, database.url)


def test_nothing_is_written_for_nothing(ledger: Ledger) -> None:
    added = ledger.add([])
    assert (added.new, added.already) == ((), ())
    assert ledger.count == 4
