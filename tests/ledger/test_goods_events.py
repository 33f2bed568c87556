"""Adhesives, coatings and consumables by hand: amounts, cures, and what is offered again.

That a bag film is used for one cure and no second, while debulk bags and tape on stock serve on, is common practice
(no source).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from bagside.ledger.bodies import (
    Bagged,
    Counted,
    Cured,
    Debulked,
    Discarded,
    Moved,
    Opened,
    Photographed,
    Received,
    Sort,
    Spent,
    Use,
)
from bagside.ledger.event import new_event
from bagside.ledger.replay import after
from bagside.ledger.stock.goods_events import a_sort, not_offered, offered
from bagside.ledger.things import Goods
from memory import Memory, hours, shop


def told(memory: Memory, name: str, *bodies: object) -> Goods:
    """Return goods after what happens one hour apart, without asking whether the builds named are known."""
    thing = memory.thing(name)
    for k, body in enumerate(bodies):
        thing = after(thing, new_event(body, who="A", device="b", at=hours(10 + k)), name)  # type: ignore[arg-type]
    assert isinstance(thing, Goods)
    return thing


def consumable(use: Use, *, count: int | None = None, cures: int | None = None) -> Memory:
    memory = shop()
    memory.tell(Received(name="C-1", sort=Sort.CONSUMABLE, use=use, count=count, cures=cures, place="cutting room"), 2)
    return memory


CURE = Cured(builds=("FP-1",), bag=("C-1",), hottest_part=393.15, hottest_tool=395.15)


def test_a_bag_that_has_seen_a_cure_is_not_offered_again() -> None:
    memory = consumable(Use.BAG)
    assert offered(memory.goods("C-1"), Use.BAG)
    bag = told(memory, "C-1", Bagged(build="FP-1", items=("C-1",)), CURE)
    assert (bag.gone, bag.why, bag.heats, bag.uses, bag.hottest) == (hours(11), "has seen a cure", 1, 1, 395.15)
    assert not_offered(bag, Use.BAG) == "C-1 has seen a cure"
    assert offered(bag, Use.DEBULK_BAG)


def test_a_bag_that_was_spent_when_it_was_bagged_says_the_cure() -> None:
    bag = told(consumable(Use.BAG, count=1), "C-1", Spent(thing="C-1", count=1, build="FP-1"), CURE)
    assert (bag.gone, bag.why) == (hours(10), "has seen a cure")


def test_a_supply_of_bag_film_stays_offered() -> None:
    spent = (Spent(thing="C-1", count=1), CURE, Spent(thing="C-1", count=8), CURE)
    film = told(consumable(Use.BAG, count=10), "C-1", *spent)
    assert (film.count, film.heats, film.there) == (1, 2, True)
    assert offered(film, Use.BAG)


@pytest.mark.parametrize("use", [Use.DEBULK_BAG, Use.TAPE, Use.BREATHER, Use.RELEASE_FILM, Use.OTHER])
def test_what_is_on_stock_stays_offered(use: Use) -> None:
    thing = told(consumable(use), "C-1", Bagged(build="FP-1", items=("C-1",)), CURE)
    assert thing.there
    assert offered(thing, use)


def test_a_reusable_bag_counts_its_cures() -> None:
    memory = consumable(Use.REUSABLE_BAG, cures=2)
    once = told(memory, "C-1", CURE)
    assert offered(once, Use.BAG)
    assert offered(once, Use.REUSABLE_BAG)
    assert once.heats == 1
    twice = told(memory, "C-1", CURE, CURE)
    assert not_offered(twice, Use.BAG) == "C-1 has seen 2 cures"
    assert not twice.there
    assert offered(twice, Use.DEBULK_BAG)
    unlimited = told(consumable(Use.REUSABLE_BAG), "C-1", *[CURE] * 30)
    assert offered(unlimited, Use.BAG)
    assert unlimited.heats == 30


def test_a_warm_debulk_is_no_cure() -> None:
    warm = Debulked(build="FP-1", after=1, seconds=900, pressure=5e3, bag="C-1", temperature=323.15)
    bag = told(consumable(Use.BAG), "C-1", warm)
    assert (bag.uses, bag.heats, bag.hottest, bag.there) == (1, 0, 323.15, True)
    cold = told(consumable(Use.BAG), "C-1", replace(warm, temperature=None))
    assert cold.hottest is None


def test_goods_are_offered_for_their_use_alone() -> None:
    tape = consumable(Use.TAPE).goods("C-1")
    assert not_offered(tape, Use.BAG) == "C-1 is for another use: sealant tape"
    assert offered(tape, Use.TAPE)
    paste = replace(tape, sort=Sort.ADHESIVE)
    assert not_offered(paste, Use.TAPE) == "C-1 is an adhesive"
    dry = told(consumable(Use.TAPE), "C-1", Discarded(thing="C-1", why="dry"))
    assert not_offered(dry, Use.TAPE) == "C-1 is gone: dry"
    debulk = consumable(Use.DEBULK_BAG).goods("C-1")
    assert not offered(debulk, Use.BAG)


def test_amounts_go_down_and_come_back_when_counted() -> None:
    memory = shop()
    memory.tell(
        Received(name="A-1", sort=Sort.ADHESIVE, material="paste", mass=0.5, batch="9", place="freezer"), 2
    )
    memory.tell(Spent(thing="A-1", mass=0.2, build=""), 3)
    assert memory.goods("A-1").mass == pytest.approx(0.3)
    memory.tell(Spent(thing="A-1", mass=0.3), 4)
    assert (memory.goods("A-1").gone, memory.goods("A-1").why) == (hours(4), "used up")
    memory.tell(Counted(thing="A-1", mass=0.02), 5)
    assert memory.goods("A-1").there
    assert memory.goods("A-1").mass == 0.02
    memory.tell(Counted(thing="A-1", mass=0.0), 6)
    assert not memory.goods("A-1").there


def test_volume_and_pieces() -> None:
    memory = shop()
    memory.tell(Received(name="L-1", sort=Sort.COATING, material="clear", volume=1e-3), 2)
    memory.tell(Spent(thing="L-1", volume=4e-4), 3)
    assert memory.goods("L-1").volume == pytest.approx(6e-4)
    memory.tell(Received(name="T-1", sort=Sort.CONSUMABLE, use=Use.TAPE, count=3), 3)
    memory.tell(Spent(thing="T-1", count=2), 4)
    memory.tell(Spent(thing="T-1"), 5)
    tape = memory.goods("T-1")
    assert (tape.count, tape.uses, tape.there) == (1, 1, True)
    memory.tell(Spent(thing="T-1", count=1), 6)
    assert not memory.goods("T-1").there


def test_goods_move_and_are_opened() -> None:
    memory = shop()
    memory.tell(Received(name="A-1", sort=Sort.ADHESIVE, material="paste", mass=0.5, place="freezer"), 2)
    memory.tell(Moved(things=("A-1",), to="cutting room"), 3)
    memory.tell(Opened(thing="A-1"), 4)
    paste = memory.goods("A-1")
    assert [s.place for s in paste.stays] == ["freezer", "cutting room"]
    assert paste.opened == hours(4)
    memory.tell(Moved(things=("A-1",), to="freezer", sealed=True), 5)
    assert memory.goods("A-1").opened is None


def test_events_that_mean_nothing_for_goods_leave_them() -> None:
    memory = consumable(Use.TAPE)
    tape = memory.goods("C-1")
    for body in (
        Photographed(subject="C-1", file="a", called="a"),
        Counted(thing="C-1", length=2.0),
        Cured(builds=("C-1",)),
        Received(name="C-1", sort=Sort.CONSUMABLE),
    ):
        assert told(memory, "C-1", body) == replace(tape, last=hours(10))
    event = new_event(Spent(thing="Z"), who="A", device="b", at=hours(1))
    assert after(None, event, "Z") is None


def test_sorts_have_their_article() -> None:
    assert [a_sort(s) for s in (Sort.ADHESIVE, Sort.ROLL, Sort.OFFCUT)] == ["an adhesive", "a roll", "an offcut"]
