"""What files state becomes events once: dates, lives, names; again only what is new."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

import pytest

from bagside.errors import InputError
from bagside.ledger.bodies import Cut, Moved, Received, Sort
from bagside.ledger.event import Event
from bagside.ledger.stock.taking_over import Teller, taken_over
from bagside.spec.library import Library, generic_library
from bagside.spec.reading import stated_from
from bagside.spec.stock import Stock
from bagside.spec.workshop import Workshop
from domeshop import WORKSHOP

NOW = datetime(2026, 11, 26, 15, 30, tzinfo=UTC)
TELLER = Teller(who="Ines", device="desk", at=NOW)
ROLLS = """
[[stock]]
material = "twill-200"
length = "14 m"
price = "46 EUR/m²"
life_used = "60 h"
batch = "K-114"
use_by = 2027-03-01
[[stock]]
material = "twill-200"
length = "3 m"
price = "44 EUR/m²"
name = "K-99"
"""
LINES = """
[[offcuts]]
name = "O-1"
material = "twill-200"
roll = "K-114"
life_used = "52 h"
made = 2026-11-02
outline = ["0 0 mm", "500 0 mm", "500 300 mm", "0 300 mm"]
[[offcuts]]
name = "O-2"
material = "twill-200"
roll = "lost"
life_used = "90 h"
outline = ["0 0 mm", "400 0 mm", "400 300 mm", "0 300 mm"]
[[taken]]
roll = "K-114"
length = "1.2 m"
job = "Lid"
on = 2026-11-02
[[taken]]
roll = "K-114"
length = "1.2 m"
job = "Lid"
on = 2026-11-02
[[used]]
offcut = "O-1"
job = "Lid"
on = 2026-11-09
"""


def workshop(rolls: str = ROLLS) -> Workshop:
    data = tomllib.loads(WORKSHOP)
    data["stock"] = tomllib.loads(rolls)["stock"]
    return stated_from(data, Workshop, "workshop.toml")


def stock(lines: str = LINES) -> Stock:
    return stated_from(tomllib.loads(lines), Stock, "stock.toml")


@pytest.fixture(scope="module")
def library() -> Library:
    return generic_library()


def found(library: Library, before: Sequence[Event] = (), rolls: str = ROLLS, lines: str = LINES) -> tuple[
    tuple[Event, ...], list[str]
]:
    kept = {e.id: e for e in before}
    out = taken_over(workshop(rolls), stock(lines), library, kept=kept.get, there={}, teller=TELLER)
    return out.events, [f.what for f in out.findings]


def received(events: Sequence[Event], name: str) -> Event:
    (event,) = [e for e in events if isinstance(e.body, Received) and e.body.name == name]
    return event


def test_rolls_offcuts_and_places_are_received_with_their_lives(library: Library) -> None:
    events, told = found(library)
    assert told == []
    places = {e.body.name: e.body.temperature for e in events if isinstance(e.body, Received) and not e.body.material}
    assert places == {"freezer": pytest.approx(255.15), "room": pytest.approx(workshop().room.temperature)}
    roll = received(events, "K-114").body
    assert isinstance(roll, Received)
    assert (roll.sort, roll.length, roll.life_used, roll.use_by) == (Sort.ROLL, 14.0, 60 * 3600.0, date(2027, 3, 1))
    offcut = received(events, "O-1").body
    assert isinstance(offcut, Received)
    assert (offcut.comes_from, offcut.life_used, offcut.place) == ("K-114", 52 * 3600.0, "freezer")
    assert offcut.price == pytest.approx(46.0)  # of the roll it names
    other = received(events, "O-2").body
    assert isinstance(other, Received)
    assert (other.comes_from, other.price) == ("lost", None)


def test_dates_are_those_of_the_lines_and_everything_comes_after_what_it_needs(library: Library) -> None:
    events, _ = found(library)
    assert list(events) == sorted(events, key=lambda e: e.at)
    assert received(events, "O-1").at == datetime(2026, 11, 2, 12, tzinfo=UTC)
    assert received(events, "K-114").at == datetime(2026, 11, 2, 12, tzinfo=UTC)  # its first length was taken then
    assert received(events, "K-99").at == NOW
    cuts = [(e.body.source, e.body.length, e.at.date()) for e in events if isinstance(e.body, Cut)]
    assert cuts == [("K-114", 1.2, date(2026, 11, 2))] * 2 + [("O-1", 0.0, date(2026, 11, 9))]
    known: set[str] = set()
    for event in events:
        if isinstance(event.body, Received):
            known.add(event.body.name)
            assert not event.body.place or event.body.place in known
        assert set(event.subjects) <= known
    assert all(e.late == (e.at < NOW) for e in events)


def test_a_stated_life_is_not_counted_twice(library: Library) -> None:
    """A roll that was cut before it was taken over goes into the freezer only now: what was before is in its life."""
    events, _ = found(library)
    roll = received(events, "K-114").body
    assert isinstance(roll, Received)
    assert roll.place == ""
    (moved,) = [e for e in events if isinstance(e.body, Moved)]
    assert (moved.body, moved.at) == (Moved(things=("K-114",), to="freezer", sealed=True), NOW)
    fresh = received(events, "K-99").body
    assert isinstance(fresh, Received)
    assert fresh.place == "freezer"


def test_again_only_what_is_new(library: Library) -> None:
    events, _ = found(library)
    assert found(library, events)[0] == ()
    more = LINES + '[[taken]]\nroll = "K-99"\nlength = "0.5 m"\non = 2026-11-20\n'
    again, told = found(library, events, lines=more)
    assert [e.body for e in again] == [Cut(source="K-99", length=0.5)]
    assert again[0].at == NOW  # its roll was not known before
    assert told == [
        "it stands there as of 2026-11-20, before the ledger knows its cloth; it is taken over as of 2026-11-26"
    ]
    other = TELLER.__class__(who="Jon", device="bench", at=NOW + timedelta(days=9))
    kept = {e.id: e for e in events}
    assert taken_over(workshop(), stock(), library, kept=kept.get, there={}, teller=other).events == ()


def test_a_line_that_was_changed_since_is_told_and_changes_nothing(library: Library) -> None:
    events, _ = found(library)
    again, told = found(library, events, rolls=ROLLS.replace("14 m", "12 m"))
    assert again == ()
    assert told == [
        "the file says otherwise now than when it was taken over: length 14.00 m → 12.00 m"
    ]


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (LINES.replace("made = 2026-11-02", "made = 2027-05-01"), "its day, 2027-05-01, has not come yet"),
        (
            LINES + '[[taken]]\nroll = "K-7"\nlength = "1 m"\n',
            "1.00 m were taken off roll K-7, which workshop.toml does not know",
        ),
    ],
)
def test_what_cannot_be_dated_or_placed_is_told(library: Library, lines: str, told: str) -> None:
    events, findings = found(library, lines=lines)
    (said,) = findings
    assert said.startswith(told)
    assert all(e.at <= NOW for e in events)


def test_an_offcut_used_before_it_was_made_is_there_when_it_is_used(library: Library) -> None:
    events, _ = found(library, lines=LINES.replace("on = 2026-11-09", "on = 2026-10-01"))
    assert received(events, "O-1").at == datetime(2026, 10, 1, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("rolls", "told"),
    [
        (ROLLS + '[[stock]]\nmaterial = "twill-200"\nlength = "1 m"\nprice = "1 EUR/m²"\nname = "K-99"\n', '"K-99"'),
        (ROLLS.replace('"K-99"', '"freezer"'), '"freezer"'),
        (ROLLS.replace('"K-99"', '"O-1"'), '"O-1"'),
        (ROLLS.replace('"twill-200"\nlength = "3 m"', '"twil-200"\nlength = "3 m"'), '"twil-200"'),
    ],
)
def test_names_that_mean_two_things_are_refused(library: Library, rolls: str, told: str) -> None:
    with pytest.raises(InputError) as refused:
        found(library, rolls=rolls)
    assert [p.came for p in refused.value.problems] == [told]
