"""What follows from a correction: names and labels that were copied."""



from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bagside.errors import InputError
from bagside.ledger.bodies import (
    Bagged,
    Corrected,
    CutPiece,
    Discarded,
    Moved,
    NewOffcut,
    Received,
    Sort,
    Spent,
    Use,
)
from bagside.ledger.correcting import correction
from bagside.ledger.event import Event, new_event
from bagside.ledger.following import corrections, renamed
from bagside.ledger.stock.as_stands import cut_from
from memory import Memory, hours, shop, square


@pytest.fixture
def cut_up() -> tuple[Memory, Event]:
    """The roll cut into a kit and an offcut, the offcut into another of each; and the event by which the roll came."""
    memory = shop()
    memory.tell(Moved(things=("R-1",), to="cutting room"), 2)
    memory.tell(
        cut_from(
            memory.cloth("R-1"), length=2.0, kits={"K-1": [CutPiece(label="1A", ply=1, area=0.8)]},
            offcuts=[NewOffcut(name="O-1", outline=square(0.6, 0.5))],
        ),
        3,
    )  # fmt: skip
    memory.tell(
        cut_from(
            memory.cloth("O-1"), kits={"K-1": [CutPiece(label="2A", ply=2, area=0.1)]},
            offcuts=[NewOffcut(name="O-2", outline=square(0.3))],
        ),
        4,
    )  # fmt: skip
    memory.tell(Moved(things=("R-1", "O-2"), to="freezer"), 5)
    return memory, memory.history("R-1")[0]


def test_a_wrong_batch_is_put_right_on_every_label(cut_up: tuple[Memory, Event]) -> None:
    memory, received = cut_up
    right = replace(received.body, batch="B8", use_by=date(2027, 1, 1), price=44.0)  # type: ignore[type-var]
    alone = correction(received, memory.history, why="read wrongly", body=right)
    wrong = memory.together([alone], 6)
    assert [p.place for p in wrong] == [
        "cut, of, batch, 2026-03-02 11:00 UTC", "cut, of, use_by, 2026-03-02 11:00 UTC",
    ]  # fmt: skip
    group = corrections(received, memory.history, why="read wrongly", body=right)
    assert len(group) == 3
    assert memory.together(group, 6) == ()
    for name in ("R-1", "O-1", "O-2", "K-1"):
        cloth = memory.cloth(name)
        assert (cloth.batch, cloth.use_by, cloth.price) == ("B8", date(2027, 1, 1), 44.0)


def test_a_wrong_name_is_put_right_wherever_it_was_written(cut_up: tuple[Memory, Event]) -> None:
    memory, received = cut_up
    before = {n: memory.cloth(n) for n in ("R-1", "O-1", "O-2", "K-1")}
    group = corrections(received, memory.history, why="it is R-17", body=replace(received.body, name="R-17"))  # type: ignore[type-var]
    assert memory.together(group, 6) == ()
    assert memory.thing("R-1") is None
    roll = memory.cloth("R-17")
    assert replace(roll, name="R-1") == before["R-1"]
    assert memory.cloth("O-1") == replace(before["O-1"], parent="R-17")
    assert [p.source for p in memory.cloth("K-1").pieces] == ["R-17", "O-1"]
    assert memory.cloth("O-2") == before["O-2"]
    back = corrections(received, memory.history, why="it was R-1", body=received.body)
    assert memory.together(back, 7) == ()
    assert {n: memory.cloth(n) for n in before} == before
    assert memory.thing("R-17") is None


def test_an_offcut_and_a_kit_get_their_right_names(cut_up: tuple[Memory, Event]) -> None:
    memory, _ = cut_up
    cut = memory.history("O-1")[0]
    body = replace(
        cut.body, kits={"K-9": cut.body.kits["K-1"]}, offcuts=(replace(cut.body.offcuts[0], name="O-9"),)  # type: ignore[type-var, union-attr]
    )
    assert memory.together(corrections(cut, memory.history, why="labels", body=body), 6) == ()
    assert memory.cloth("O-2").parent == "O-9"
    assert [p.piece.label for p in memory.cloth("K-9").pieces] == ["1A", "2A"]
    assert memory.thing("O-1") is None
    assert memory.thing("K-1") is None


def test_a_name_that_is_taken_is_refused(cut_up: tuple[Memory, Event]) -> None:
    memory, received = cut_up
    memory.tell(Received(name="R-17", sort=Sort.ROLL, material="t", length=3.0), 1)
    group = corrections(received, memory.history, why="x", body=replace(received.body, name="R-17"))  # type: ignore[type-var]
    assert any("has had this name" in p.wanted for p in memory.together(group, 6))


def test_nothing_follows_from_what_changes_no_name(cut_up: tuple[Memory, Event]) -> None:
    memory, received = cut_up
    assert len(corrections(received, memory.history, why="x", body=replace(received.body, length=12.0))) == 1  # type: ignore[type-var]
    gone = memory.tell(Discarded(thing="O-2", why="dry"), 6)
    assert corrections(gone, memory.history, why="it is there") == (
        correction(gone, memory.history, why="it is there"),
    )


def test_goods_get_their_right_name() -> None:
    memory = shop()
    came = memory.tell(Received(name="T-1", sort=Sort.CONSUMABLE, use=Use.TAPE, count=4), 1)
    memory.tell(Spent(thing="T-1", count=1), 2)
    assert memory.together(corrections(came, memory.history, why="x", body=replace(came.body, name="T-2")), 3) == ()  # type: ignore[type-var]
    assert memory.goods("T-2").count == 3
    assert memory.thing("T-1") is None


def test_names_within_each_body() -> None:
    assert renamed(Bagged(build="F", items=("A", "B")), {"A": "C", "F": "G"}) == Bagged(build="F", items=("C", "B"))
    with pytest.raises(InputError, match="changed by correcting it"):
        renamed(Corrected(corrects="a", subjects=()), {})
    assert new_event(Spent(thing="A"), who="A", device="b", at=hours(1)).subjects == ("A",)
