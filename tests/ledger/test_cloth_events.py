"""Rolls, kits and offcuts by hand: what each event makes of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bagside.ledger.bodies import (
    Counted,
    Cut,
    CutPiece,
    Discarded,
    Laid,
    Moved,
    NewOffcut,
    Opened,
    Photographed,
    Received,
    Sort,
    Spent,
)
from bagside.ledger.event import new_event
from bagside.ledger.replay import after
from bagside.ledger.stock.as_stands import cut_from, moved_to, stays_of
from bagside.ledger.things import Stay
from memory import Memory, hours, shop, square

KIT = {"K-1": (CutPiece(label="1A", ply=1, area=0.8), CutPiece(label="2A", ply=2, area=0.7))}


def cut_shop() -> Memory:
    """A roll of which 2 m were cut at hour 3 in the cutting room: two pieces into a kit, one offcut kept."""
    memory = shop()
    memory.tell(Moved(things=("R-1",), to="cutting room"), 2)
    offcut = NewOffcut(name="O-1", outline=square(0.6, 0.5))
    memory.tell(cut_from(memory.cloth("R-1"), length=2.0, kits=KIT, offcuts=(offcut,), job="hatch"), 3)
    return memory


def test_a_roll_is_as_it_was_received() -> None:
    roll = shop().cloth("R-1")
    assert (roll.sort, roll.material, roll.batch, roll.price, roll.left) == (Sort.ROLL, "twill-200", "B7", 42.0, 10.0)
    assert roll.stays == (Stay(place="freezer", since=hours(1)),)
    assert (roll.born, roll.last, roll.there, roll.parent) == (hours(1), hours(1), True, "")


def test_a_cut_shortens_the_roll_and_is_remembered() -> None:
    roll = cut_shop().cloth("R-1")
    assert roll.left == 8.0
    (pulled,) = roll.pulled
    assert (pulled.length, pulled.job, pulled.at) == (2.0, "hatch", hours(3))
    assert pulled.pieces == pytest.approx(1.5)
    assert pulled.kept == pytest.approx(0.3)


def test_an_offcut_has_its_rolls_label_and_place() -> None:
    memory = cut_shop()
    offcut = memory.cloth("O-1")
    assert (offcut.sort, offcut.parent, offcut.material, offcut.batch) == (Sort.OFFCUT, "R-1", "twill-200", "B7")
    assert (offcut.price, offcut.born, offcut.life_used) == (42.0, hours(3), None)
    assert offcut.stays == ()
    assert stays_of(offcut, memory.things()) == (Stay(place="cutting room", since=hours(3)),)


def test_a_kit_is_where_its_roll_was_until_it_moves() -> None:
    memory = cut_shop()
    memory.tell(Moved(things=("K-1", "R-1"), to="freezer"), 5)
    kit = memory.cloth("K-1")
    assert [(s.place, s.since) for s in stays_of(kit, memory.things())] == [
        ("cutting room", hours(3)), ("freezer", hours(5)),
    ]  # fmt: skip


def test_a_move_of_the_roll_told_late_counts_for_what_was_cut_from_it() -> None:
    memory = shop()
    memory.tell(cut_from(memory.cloth("R-1"), length=1.0, offcuts=[NewOffcut(name="O-1", outline=square(0.5))]), 6)
    assert stays_of(memory.cloth("O-1"), memory.things())[0].place == "freezer"
    memory.tell(Moved(things=("R-1",), to="cutting room", temperature=296.0), 4)
    assert stays_of(memory.cloth("O-1"), memory.things()) == (
        Stay(place="cutting room", since=hours(6), temperature=296.0),
    )


def test_what_happened_in_one_minute_happened_in_the_order_of_the_ledger() -> None:
    memory = shop()
    memory.tell(Moved(things=("R-1",), to="cutting room"), 4)
    memory.tell(cut_from(memory.cloth("R-1"), length=1.0, offcuts=[NewOffcut(name="O-1", outline=square(0.5))]), 4)
    memory.tell(Moved(things=("R-1",), to="freezer"), 4)
    assert stays_of(memory.cloth("O-1"), memory.things())[0].place == "cutting room"
    memory.tell(Counted(thing="R-1", length=8.5), 4)
    memory.tell(cut_from(memory.cloth("R-1"), length=1.0), 4)
    assert memory.cloth("R-1").left == 7.5  # counted after the first metre was gone, before the second


def test_an_offcut_of_an_offcut_is_where_the_roll_was() -> None:
    memory = cut_shop()
    memory.tell(cut_from(memory.cloth("O-1"), offcuts=[NewOffcut(name="O-2", outline=square(0.3))]), 4)
    first, second = memory.cloth("O-1"), memory.cloth("O-2")
    assert (first.there, first.gone, first.why) == (False, hours(4), "cut up")
    assert first.pulled[0].kept == pytest.approx(0.09)
    assert first.pulled[0].length == 0.0
    assert (second.parent, second.batch) == ("O-1", "B7")
    assert stays_of(second, memory.things()) == (Stay(place="cutting room", since=hours(4)),)


def test_stays_are_unknown_where_nobody_said_where_the_source_was() -> None:
    memory = Memory()
    memory.tell(Received(name="R-9", sort=Sort.ROLL, material="twill-200", length=5.0), 0)
    memory.tell(cut_from(memory.cloth("R-9"), length=1.0, offcuts=[NewOffcut(name="O-9", outline=square(0.5))]), 1)
    assert stays_of(memory.cloth("O-9"), memory.things()) == ()
    assert stays_of(memory.cloth("O-9"), {}) == ()


def test_a_cut_may_say_where_its_pieces_are_put() -> None:
    memory = shop()
    memory.tell(Moved(things=("R-1",), to="cutting room"), 2)
    memory.tell(cut_from(memory.cloth("R-1"), length=2.0, kits=KIT, place="freezer"), 3)
    assert memory.cloth("K-1").stays == (Stay(place="freezer", since=hours(3)),)


def test_a_kit_takes_pieces_from_several_cloths() -> None:
    memory = cut_shop()
    more = {"K-1": (CutPiece(label="3A", ply=3, area=0.1),)}
    memory.tell(cut_from(memory.cloth("O-1"), kits=more), 4)
    kit = memory.cloth("K-1")
    assert [(p.piece.label, p.source, p.cut) for p in kit.pieces] == [
        ("1A", "R-1", hours(3)), ("2A", "R-1", hours(3)), ("3A", "O-1", hours(4)),
    ]  # fmt: skip
    assert kit.born == hours(3)


def test_a_kit_is_gone_when_all_is_laid_and_not_before() -> None:
    memory = cut_shop()
    later = new_event(Laid(build="FP-1", ply=1, piece="1A", films=2, kit="K-1"), who="A", device="b", at=hours(5))
    kit = after(memory.cloth("K-1"), later, "K-1")
    assert kit.pieces[0].laid_in == "FP-1"
    assert kit.there
    last = replace(later, body=Laid(build="FP-1", ply=2, piece="2A", films=2, kit="K-1"), at=hours(6))
    kit = after(kit, last, "K-1")
    assert (kit.gone, kit.why) == (hours(6), "laid")  # type: ignore[union-attr]


def test_copies_of_a_piece_are_laid_one_by_one() -> None:
    memory = shop()
    copies = {"K-2": tuple(CutPiece(label="3", ply=3, area=0.1, copy=k) for k in (1, 2))}
    memory.tell(cut_from(memory.cloth("R-1"), length=1.0, kits=copies), 3)
    tick = new_event(Laid(build="FP-1", ply=3, piece="3", films=1, kit="K-2"), who="A", device="b", at=hours(5))
    once = after(memory.cloth("K-2"), tick, "K-2")
    assert [p.laid_in for p in once.pieces] == ["FP-1", ""]  # type: ignore[union-attr]
    twice = after(once, replace(tick, body=replace(tick.body, build="FP-2")), "K-2")  # type: ignore[type-var]
    assert [p.laid_in for p in twice.pieces] == ["FP-1", "FP-2"]  # type: ignore[union-attr]


def test_opening_lasts_until_it_goes_sealed_into_the_cold() -> None:
    memory = shop()
    memory.tell(Moved(things=("R-1",), to="cutting room"), 2)
    memory.tell(Opened(thing="R-1", core=291.0), 8)
    assert memory.cloth("R-1").opened == hours(8)
    memory.tell(moved_to(memory.place("cutting room"), ["R-1"]), 9)
    assert memory.cloth("R-1").opened == hours(8)
    memory.tell(moved_to(memory.place("freezer"), ["R-1"]), 10)
    assert memory.cloth("R-1").opened is None
    memory.tell(Opened(thing="R-1"), 11)
    memory.tell(Moved(things=("R-1",), to="freezer", temperature=255.0), 12)  # measured below freezing: sealed
    assert memory.cloth("R-1").opened is None


def test_counting_replaces_what_was_reckoned() -> None:
    memory = cut_shop()
    memory.tell(Counted(thing="R-1", length=7.4, why="end was cut off"), 4)
    assert memory.cloth("R-1").left == 7.4
    memory.tell(cut_from(memory.cloth("R-1"), length=0.4), 5)
    assert memory.cloth("R-1").left == pytest.approx(7.0)
    assert sum(p.length for p in memory.cloth("R-1").pulled) == pytest.approx(2.4)  # all that was pulled stays told


def test_a_roll_that_is_used_up_is_gone_and_comes_back_when_counted() -> None:
    memory = cut_shop()
    memory.tell(cut_from(memory.cloth("R-1"), length=8.0), 5)
    roll = memory.cloth("R-1")
    assert (roll.left, roll.gone, roll.why) == (0.0, hours(5), "used up")
    memory.tell(Counted(thing="R-1", length=0.3), 6)
    roll = memory.cloth("R-1")
    assert (roll.left, roll.there, roll.why) == (0.3, True, "")
    memory.tell(Counted(thing="R-1", length=0.0), 7)
    assert not memory.cloth("R-1").there


def test_what_is_spent_discarded_or_photographed() -> None:
    memory = cut_shop()
    memory.tell(Photographed(subject="O-1", file="ab", called="o1.jpg"), 4)
    assert memory.cloth("O-1").photos[0].called == "o1.jpg"
    memory.tell(Discarded(thing="K-1", why="film torn"), 5)
    assert (memory.cloth("K-1").gone, memory.cloth("K-1").why) == (hours(5), "film torn")
    spent = new_event(Spent(thing="O-1"), who="A", device="b", at=hours(6))
    used = after(memory.cloth("O-1"), spent, "O-1")
    assert used.why == "used"  # type: ignore[union-attr]


def test_an_offcut_that_came_from_elsewhere() -> None:
    memory = shop()
    memory.tell(
        Received(
            name="O-7", sort=Sort.OFFCUT, material="twill-200", outline=square(0.4, 0.3), comes_from="roll 99",
            use_by=date(2026, 12, 1), up="dry",
        ),
        2,
    )  # fmt: skip
    offcut = memory.cloth("O-7")
    assert (offcut.outline, offcut.comes_from, offcut.use_by, offcut.up) == (
        square(0.4, 0.3), "roll 99", date(2026, 12, 1), "dry",
    )  # fmt: skip


def test_events_that_mean_nothing_for_cloth_leave_it() -> None:
    memory = cut_shop()
    roll = memory.cloth("R-1")
    for body in (
        Received(name="R-1", sort=Sort.ROLL, material="x", length=3.0),
        Counted(thing="R-1", count=3),
        Laid(build="B", ply=1, piece="1A", films=1, kit="R-1"),
        Cut(source="X", kits={"R-1": ()}),
        Spent(thing="R-1"),
    ):
        event = new_event(body, who="A", device="b", at=hours(9))
        assert after(roll, event, "R-1") == replace(roll, last=hours(9))
    assert after(None, new_event(Moved(things=("Z",), to="x"), who="A", device="b", at=hours(9)), "Z") is None
