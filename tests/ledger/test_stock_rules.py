"""What is refused of stock, moulds and places: one sentence each, and nothing that can be true is refused."""

# ruff: noqa: E501 - sentences stand whole

from __future__ import annotations

from datetime import date

import pytest

from bagside.ledger.bodies import (
    Bagged,
    Begun,
    Body,
    Counted,
    Cured,
    Cut,
    CutPiece,
    Debulked,
    Discarded,
    Found,
    Label,
    Laid,
    Logged,
    Measured,
    Moved,
    NewOffcut,
    Opened,
    Photographed,
    Pulled,
    Received,
    Released,
    Repaired,
    Sort,
    Spent,
    Use,
)
from bagside.ledger.event import Event, new_event
from bagside.ledger.planned import Planned
from bagside.ledger.stock.as_stands import cut_from
from bagside.ledger.stock.stock_rules import stock_problems
from memory import Memory, hours, shop, square

PIECE = CutPiece(label="1A", ply=1, area=0.5)


@pytest.fixture
def full() -> Memory:
    """The shop with a kit, an offcut, paste, a bag and a mould."""
    memory = shop()
    memory.tell(Received(name="M-1", sort=Sort.MOULD, material="tool"), 1)
    memory.tell(Received(name="A-1", sort=Sort.ADHESIVE, material="paste", mass=0.5), 1)
    memory.tell(Received(name="T-1", sort=Sort.CONSUMABLE, use=Use.TAPE, count=3), 1)
    memory.tell(Received(name="B-1", sort=Sort.CONSUMABLE, use=Use.BAG), 1)
    offcut = NewOffcut(name="O-1", outline=square(0.6, 0.5))
    memory.tell(cut_from(memory.cloth("R-1"), length=2.0, kits={"K-1": [PIECE]}, offcuts=[offcut], job="hatch"), 3)
    return memory


def said(memory: Memory, body: Body, at: float = 9.0) -> list[str]:
    """Return what stock's own rules say, builds aside."""
    event = new_event(body, who="A", device="b", at=hours(at))
    names = memory.things() | dict.fromkeys(event.subjects)
    return [str(p) for p in stock_problems(event, {name: memory.thing(name) for name in names})]


ROLL = {"sort": Sort.ROLL, "material": "twill-200", "length": 5.0}


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (Received(name="R-1", **ROLL), 'received, name: "R-1" – a roll has had this name since 2026-03-02 (things are never merged: '
         "give each delivery and each piece a label of its own)"),
        (Received(name=" R-2", **ROLL), "received, name: ' R-2' – a name without spaces at its ends or unprintable signs is wanted"),
        (Received(name="R\n2", **ROLL), "received, name: 'R\\n2' – a name without spaces at its ends or unprintable signs is wanted"),
        (Received(name="  ", **ROLL), 'received, name: "  " – a name of 1 to 120 letters is wanted'),
        (Received(name="x" * 121, **ROLL), 'received, name: "xxxxxxxxxxxxxxxxxxxx" – a name of 1 to 120 letters is wanted'),
        (Received(name="F-1", sort=Sort.BUILD), "received, sort: build – a build is not received (begin it: bagside build begin)"),
        (Received(name="R-2", sort=Sort.ROLL, length=2.0),
         "received, material – the name of its material in the library is wanted"),
        (Received(name="R-2", sort=Sort.ROLL, material="t"),
         "received, length – how long is it? a length is wanted, as in 25 m"),
        (Received(name="R-2", sort=Sort.ROLL, material="t", length=-2.0),
         "received, length: −2.000 m – more than nothing is wanted"),
        (Received(name="R-2", sort=Sort.ROLL, material="t", length=2.0, width=0.0),
         "received, width: 0.000 m – more than nothing is wanted"),
        (Received(name="R-2", **ROLL, width=0.1, selvedge=0.05),
         "received, selvedge: 0.050 m – both selvedges must leave something of a width of 0.100 m"),
        (Received(name="R-2", **ROLL, life_used=-3600.0), "received, life_used: −1 h – nothing less than 0 is possible"),
        (Received(name="R-2", **ROLL, tack_used=-7200.0), "received, tack_used: −2 h – nothing less than 0 is possible"),
        (Received(name="R-2", **ROLL, price=-1.0), "received, price: −1 – nothing less than 0 is possible"),
        (Received(name="R-2", **ROLL, place="fridge"),
         'received, place: "fridge" – there is no place of this name (make it known first: bagside stock place)'),
        (Received(name="R-2", **ROLL, place="M-1"), 'received, place: "M-1" – it is a mould, not a place (state a freezer or a room)'),
        (Received(name="R-2", **ROLL, made=date(2026, 3, 1), use_by=date(2026, 2, 1)),
         "received, use_by: 2026-02-01 – it would end before it was made on 2026-03-01"),
        (Received(name="R-2", **ROLL, mass=3.0),
         'received, mass: "R-2" – only an adhesive or a coating or a consumable has one, and this is a roll'),
        (Received(name="M-2", sort=Sort.MOULD, length=3.0), 'received, length: "M-2" – only a roll has one, and this is a mould'),
        (Received(name="M-2", sort=Sort.MOULD, place="freezer"), 'received, place: "freezer" – no place is kept of a mould (leave it out)'),
        (Received(name="M-2", sort=Sort.MOULD, coats_last=0),
         "received, coats_last: 0 – at least 1 is wanted (leave it out when it is not limited)"),
        (Received(name="M-2", sort=Sort.MOULD, limit=-5.0), "received, limit: −278.15 °C – a temperature above −273 °C is wanted"),
        (Received(name="A-2", sort=Sort.ADHESIVE, mass=0.0), "received, mass: 0.0 g – more than nothing is wanted"),
        (Received(name="A-2", sort=Sort.COATING, count=-1), "received, count: −1 – more than nothing is wanted"),
        (Received(name="O-2", sort=Sort.OFFCUT, material="t", outline=((0, 0), (1, 1), (1, 0), (0, 1))),
         'received, outline: "O-2" – its edges cross each other: an outline of at least three corners is wanted'),
        (Received(name="O-2", sort=Sort.OFFCUT, material="t"),
         'received, outline: "O-2" – it has fewer than three corners: an outline of at least three corners is wanted'),
        (Moved(things=("R-9",), to="freezer"),
         'moved, things: "R-9" – there was nothing of this name on 2026-03-02 17:00 UTC (look at its label and at the time, or receive it first)'),
        (Moved(things=("R-1",), to="fridge"),
         'moved, to: "fridge" – there is no place of this name (make it known first: bagside stock place)'),
        (Moved(things=("R-1",), to="A-1"), 'moved, to: "A-1" – it is an adhesive, not a place (state a freezer or a room)'),
        (Moved(things=("M-1",), to="freezer"), 'moved, things: "M-1" – it is a mould, which is not moved'),
        (Moved(things=(), to="freezer"), "moved, things – state at least one thing that moved"),
        (Moved(things=("R-1",), to=""), "moved, to – state the place it moved to"),
        (Moved(things=("R-1",), to="freezer", temperature=0.0),
         "moved, temperature: −273.15 °C – a temperature above −273 °C is wanted"),
        (Opened(thing="R-1", humidity=45.0), "opened, humidity: 45 – a humidity from 0 to 100 % is wanted"),
        (Opened(thing="R-1", core=-1.0), "opened, core: −274.15 °C – a temperature above −273 °C is wanted"),
        (Opened(thing="freezer"), 'opened, thing: "freezer" – it is a place, which is not opened'),
        (Counted(thing="O-1", length=1.0), 'counted, thing: "O-1" – it is an offcut, which is not counted '
         "(discard it when it is not there, and correct the cut it came from when that was noted wrongly)"),
        (Counted(thing="R-1"), 'counted: "R-1" – how much is there? state what was found'),
        (Counted(thing="R-1", mass=1.0), "counted, mass: 1000.0 g – a roll is counted by its length"),
        (Counted(thing="R-1", length=-1.0), "counted, length: −1.000 m – nothing less than 0 can be there"),
        (Counted(thing="A-1", count=2), "counted, count: 2 – no count is kept of A-1, but its mass"),
        (Counted(thing="B-1", mass=2.0), "counted, mass: 2000.0 g – no mass is kept of B-1: it is used without an amount"),
        (Spent(thing="R-1"), 'spent, thing: "R-1" – it is a roll, which is not spent (cut it)'),
        (Spent(thing="A-1", mass=0.6), "spent, mass: 600.0 g – there is only 500.0 g of A-1 "
         "(count it first when there is more: bagside stock count)"),
        (Spent(thing="A-1", mass=-0.1), "spent, mass: −100.0 g – more than nothing is wanted"),
        (Spent(thing="A-1", volume=0.1), "spent, volume: 100000.0 mL – no volume is kept of A-1, but its mass"),
        (Spent(thing="T-1", count=4), "spent, count: 4 – there is only 3 of T-1 "
         "(count it first when there is more: bagside stock count)"),
        (Spent(thing="O-1", count=1), "spent, count: 1 – an offcut is used whole (leave the amount out)"),
        (Discarded(thing="O-1", why=" "), "discarded, why – a reason is wanted, as in expired, spoiled, sold"),
        (Released(mould="M-1", agent="wax", coats=0), "released, coats: 0 – at least one coat is wanted"),
        (Released(mould="R-1", agent="wax"), 'released, mould: "R-1" – it is a roll, which is not released'),
        (Repaired(mould="R-1", what="x"), 'repaired, mould: "R-1" – it is a roll, which is not repaired'),
        (Measured(subject="freezer", found=Found.MASS, value=1.0),
         "measured, found: mass – in a place only its climate is measured (name the build or the mould)"),
        (Measured(subject="freezer", found=Found.CLIMATE, value=-1.0),
         "measured, value: −274.15 °C – a temperature above −273 °C is wanted"),
        (Measured(subject="freezer", found=Found.CLIMATE, value=255.0, humidity=1.2),
         "measured, humidity: 1.2 – a humidity from 0 to 100 % is wanted"),
        (Measured(subject="M-1", found=Found.MASS, value=1.0, sigma=-1.0),
         "measured, sigma: −1 – a standard error of 0 or more is wanted"),
        (Measured(subject="A-1", found=Found.MASS, value=1.0), 'measured, subject: "A-1" – it is an adhesive, which is not measured '
         "(write it into the note of the build it is used for)"),
        (Photographed(subject="A-1", file="a", called="a"), 'photographed, subject: "A-1" – it is an adhesive, which is not photographed '
         "(write it into the note of the build it is used for)"),
    ],
)  # fmt: skip
def test_one_sentence_each(full: Memory, body: Body, sentence: str) -> None:
    assert full.no(body, 9) == [sentence]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"length": 9.0}, "cut, length: 9.000 m – only 8.000 m is left of R-1 (count it first when there is more: bagside stock count)"),
        ({"length": 0.0}, "cut, length: 0.000 m – how much was pulled off R-1? a length is wanted"),
        ({"length": -1.0}, "cut, length: −1.000 m – how much was pulled off R-1? a length is wanted"),
        ({"kits": {"K-9": [CutPiece(label="1A", ply=1, area=1.3)]}},
         "cut: 1.3000 m² of pieces and 0.0000 m² of offcuts – that is more than the 1.2500 m² of R-1 that was cut "
         "(look at the length that was pulled, and at the pieces)"),
        ({"kits": {"K-9": [CutPiece(label="1A", ply=1, area=1.0)]}, "offcuts": [NewOffcut(name="O-9", outline=square(0.6, 0.5))]},
         "cut: 1.0000 m² of pieces and 0.3000 m² of offcuts – that is more than the 1.2500 m² of R-1 that was cut "
         "(look at the length that was pulled, and at the pieces)"),
        ({"offcuts": [NewOffcut(name="O-8", outline=square(0.9, 1.2)), NewOffcut(name="O-9", outline=square(0.5, 0.5))]},
         'cut, offcuts: "O-8", "O-9" – 1.3300 m² of offcuts cannot come out of 1.2500 m² (look at their measures)'),
        ({"offcuts": [NewOffcut(name="O-9", outline=square(1.1, 0.5))]},
         'cut, offcuts: "O-9" – it is 1.100 m long, and it was cut from 1.000 m (look at its measures, and that x runs along the warp)'),
        ({"offcuts": [NewOffcut(name="O-9", outline=square(0.5, 1.3))]},
         'cut, offcuts: "O-9" – it is 1.300 m wide, and it was cut from 1.250 m (look at its measures, and that x runs along the warp)'),
        ({"offcuts": [NewOffcut(name="O-9", outline=square(0.5)[:2])]},
         'cut, offcuts: "O-9" – it has fewer than three corners: an outline that can be cut is wanted'),
        ({"offcuts": [NewOffcut(name="O-9", outline=square(0.5), holes=(square(0.7),))]},
         'cut, offcuts: "O-9" – a hole crosses its edge or another hole: an outline that can be cut is wanted'),
        ({"offcuts": [NewOffcut(name="O-1", outline=square(0.5))]},
         'cut, offcuts: "O-1" – an offcut has had this name since 2026-03-02 (things are never merged: give each delivery and each '
         "piece a label of its own)"),
        ({"offcuts": [NewOffcut(name="R-1", outline=square(0.5))]},
         'cut, offcuts: "R-1" – this name stands twice in one cut (give each its own label)'),
        ({"offcuts": [NewOffcut(name="O-9", outline=square(0.5)), NewOffcut(name="O-9", outline=square(0.4))]},
         'cut, offcuts: "O-9" – this name stands twice in one cut (give each its own label)'),
        ({"kits": {"A-1": [PIECE]}},
         'cut, kits: "A-1" – an adhesive has had this name since 2026-03-02 (things are never merged: give each delivery and each '
         "piece a label of its own)"),
        ({"kits": {"K-1": [PIECE]}},
         'cut, kits: "1A", copy 1 – it is in K-1 already (number the copies, or put it into another kit)'),
        ({"kits": {"K-9": [PIECE, PIECE]}},
         'cut, kits: "1A", copy 1 – it is in K-9 already (number the copies, or put it into another kit)'),
        ({"kits": {"K-9": []}}, 'cut, kits: "K-9" – a kit of no pieces is none (leave it out, or state its pieces)'),
        ({"kits": {"K-9": [CutPiece(label="1A", ply=1, area=0.0)]}},
         'cut, kits: "1A" of 0.0000 m² – a piece has an area: more than nothing is wanted'),
        ({"kits": {"K-9": [CutPiece(label=" ", ply=1, area=0.1)]}},
         'cut, kits: "K-9" – a piece without a label cannot be laid (label it)'),
    ],
)  # fmt: skip
def test_one_sentence_for_each_wrong_cut(full: Memory, changes: dict[str, object], sentence: str) -> None:
    body = cut_from(full.cloth("R-1"), **({"length": 1.0} | changes))  # type: ignore[arg-type]
    got = full.no(body, 9)
    assert sentence in got
    assert len(got) == (2 if "R-1" in sentence and "twice" in sentence else 1)


def test_an_offcut_larger_than_its_parent(full: Memory) -> None:
    offcut = full.cloth("O-1")  # 0.6 × 0.5
    assert full.no(cut_from(offcut, offcuts=[NewOffcut(name="O-2", outline=square(0.6, 0.6))]), 9) == [
        'cut, offcuts: "O-2" – it is 0.600 m wide, and it was cut from 0.500 m '
        "(look at its measures, and that x runs along the warp)",
        'cut, offcuts: "O-2" – 0.3600 m² of offcuts cannot come out of 0.3000 m² (look at their measures)',
    ]
    assert full.no(cut_from(offcut, length=0.1), 9) == [
        "cut, length: 0.100 m – nothing is pulled off an offcut: it is cut up (leave it out)"
    ]
    full.tell(cut_from(offcut, offcuts=[NewOffcut(name="O-2", outline=square(0.6, 0.5))]), 9)  # all of it is kept


def test_what_is_in_a_hole_is_not_there(full: Memory) -> None:
    hole = ((0.1, 0.1), (0.5, 0.1), (0.5, 0.4), (0.1, 0.4))  # 0.12 m² of 0.30 m²
    full.tell(
        Received(name="O-5", sort=Sort.OFFCUT, material="twill-200", outline=square(0.6, 0.5), holes=(hole,)), 4
    )
    assert "0.2000 m² of offcuts cannot come out of 0.1800 m²" in full.no(
        cut_from(full.cloth("O-5"), offcuts=[NewOffcut(name="O-6", outline=square(0.4, 0.5))]), 5
    )[0]


def test_nothing_is_checked_of_a_roll_of_unknown_width() -> None:
    memory = shop()
    memory.tell(Received(name="R-2", sort=Sort.ROLL, material="t", length=5.0), 1)
    memory.tell(cut_from(memory.cloth("R-2"), length=1.0, kits={"K-1": [CutPiece(label="1", ply=1, area=9.0)]}), 2)


def test_labels_are_those_of_the_source(full: Memory) -> None:
    body = Cut(source="R-1", length=1.0, kits={"K-9": (PIECE,)})
    assert full.no(body, 9) == [
        'cut, of, material: "" – R-1 has "twill-200", and what is cut from it has the same',
        'cut, of, batch: "" – R-1 has "B7", and what is cut from it has the same',
    ]
    other = Cut(source="R-1", length=1.0, kits={"K-9": (PIECE,)}, of=Label(material="twill-200", batch="B8"))
    assert full.no(other, 9) == ['cut, of, batch: "B8" – R-1 has "B7", and what is cut from it has the same']
    turned = Cut(source="R-1", length=1.0, kits={"K-9": (PIECE,)}, of=Label(material="twill-200", batch="B7", up="dry"))
    assert full.no(turned, 9) == ['cut, of, up: "dry" – R-1 has "resin-rich", and what is cut from it has the same']
    full.tell(Cut(source="R-1", length=1.0), 9)  # nothing new: no label


def test_what_is_gone_stays_gone(full: Memory) -> None:
    full.tell(Discarded(thing="O-1", why="dried out"), 5)
    gone = 'it is gone since 2026-03-02 13:00 UTC: dried out (correct the event (bagside stock correct) when that is wrong)'
    for body in (Moved(things=("O-1",), to="freezer"), cut_from(full.cloth("O-1")), Discarded(thing="O-1", why="x")):
        assert [s.split(" – ")[1] for s in full.no(body, 6)] == [gone]
    full.tell(Photographed(subject="O-1", file="a", called="a.jpg"), 6)  # what is in the bin can be photographed
    full.tell(Moved(things=("O-1",), to="cutting room"), 4)  # told late, of before
    full.tell(Discarded(thing="K-1", why="torn"), 6)
    more = cut_from(full.cloth("R-1"), length=1.0, kits={"K-1": [CutPiece(label="2A", ply=2, area=0.1)]})
    assert full.no(more, 7) == ['cut, kits: "K-1" – this kit is gone since 2026-03-02 14:00 UTC: torn (begin another)']


def test_used_up_may_be_counted_and_discarded_may_not(full: Memory) -> None:
    full.tell(cut_from(full.cloth("R-1"), length=8.0), 5)
    assert len(full.no(cut_from(full.cloth("R-1"), length=1.0), 6)) == 1
    full.tell(Counted(thing="R-1", length=0.5), 6)
    full.tell(Discarded(thing="R-1", why="sold"), 7)
    assert len(full.no(Counted(thing="R-1", length=0.5), 8)) == 1


def test_before_it_was_there(full: Memory) -> None:
    assert said(full, Moved(things=("R-1",), to="freezer"), 0.5) == [
        'moved, things: "R-1" – it came on 2026-03-02 09:00 UTC, after this on 2026-03-02 08:30 UTC '
        "(look at the time; correct the event (bagside stock correct) when it came earlier)"
    ]
    assert full.no(Moved(things=("R-1",), to="freezer"), 0.5)
    early = cut_from(full.cloth("R-1"), length=1.0, kits={"K-1": [CutPiece(label="9", ply=9, area=0.1)]})
    assert said(full, early, 2) == [
        'cut, kits: "K-1" – this kit came on 2026-03-02 11:00 UTC, after this (look at the time)'
    ]


def test_pieces_of_a_kit(full: Memory) -> None:
    tick = Laid(build="FP-1", ply=1, piece="1A", films=2, kit="K-1")
    assert said(full, tick) == []
    assert said(full, Laid(build="FP-1", ply=7, piece="7A", films=2, kit="K-1")) == [
        'laid, piece: "7A" of ply 7 – it is not in K-1 (still in it: 1A)'
    ]
    assert said(full, Laid(build="FP-1", ply=1, piece="1A", films=2, kit="O-1")) == [
        'laid, kit: "O-1" – it is an offcut, which is not laid from'
    ]
    full.tell(cut_from(full.cloth("R-1"), length=1.0, kits={"K-1": [CutPiece(label="2A", ply=2, area=0.1)]}), 4)
    full.put(new_event(tick, who="A", device="b", at=hours(5)))
    assert said(full, tick) == [
        'laid, piece: "1A" of ply 1 – this piece of K-1 is laid already, in FP-1 '
        "(take the other kit's, or correct the event (bagside stock correct) when that tick is wrong)"
    ]
    full.tell(Received(name="K-7", sort=Sort.KIT, material="t"), 5)  # taken over: nobody wrote down what is in it
    assert said(full, Laid(build="FP-1", ply=1, piece="9", films=1, kit="K-7")) == []
    assert said(full, Laid(build="FP-1", ply=1, piece="9", films=1)) == []


def test_bags_and_moulds_of_a_build(full: Memory) -> None:
    assert said(full, Bagged(build="F", items=("M-1",))) == ['bagged, items: "M-1" – it is a mould, which is not bagged with']
    assert said(full, Cured(builds=("F",), bag=("M-1",), moulds=("B-1",))) == [
        'cured, bag: "M-1" – it is a mould, which is not cured in',
        'cured, moulds: "B-1" – it is a consumable, which is not cured on',
    ]
    assert said(full, Pulled(build="F", mould="B-1")) == ['pulled, mould: "B-1" – it is a consumable, which is not pulled from']
    full.put(new_event(Cured(builds=("F",), bag=("B-1",), moulds=("M-1",)), who="A", device="b", at=hours(5)))
    assert not full.goods("B-1").there
    for body in (
        Bagged(build="F", items=("B-1",)),  # a gate says no; the records take what was done
        Debulked(build="F", after=1, seconds=9, pressure=1e3, bag="B-1"),
        Cured(builds=("F",), bag=("B-1",)),
        Discarded(thing="B-1", why="cut open"),
    ):
        assert said(full, body) == []
    full.tell(Discarded(thing="T-1", why="dried"), 5)
    assert len(said(full, Bagged(build="F", items=("T-1",)))) == 1


def test_a_part_is_begun_on_a_mould_that_is_there(full: Memory) -> None:
    planned = Planned(job="j", part="p", revision="1", number=1, quantity=1, steps=(), plies=())
    for mould, sentence in (
        ("M-7", 'begun, mould: "M-7" – there was nothing of this name on 2026-03-02 17:00 UTC (look at its label and at the time, or receive it first)'),
        ("R-1", 'begun, mould: "R-1" – it is a roll, which is not built on'),
    ):
        event = new_event(Begun(build="F", planned=planned, mould=mould), who="A", device="b", at=hours(9))
        assert [str(p) for p in stock_problems(event, {mould: full.thing(mould)})] == [sentence]
    assert said(full, Begun(build="F", planned=planned, mould="M-1")) == []
    assert said(full, Begun(build="F", planned=planned)) == []


def test_nothing_goes_to_a_place_that_is_given_up(full: Memory) -> None:
    full.tell(Discarded(thing="freezer", why="broken"), 8)
    assert full.no(Moved(things=("R-1",), to="freezer"), 9) == [
        'moved, to: "freezer" – this place is given up (state another one)'
    ]


def log(file: str, points: list[tuple[float, float]], gaps: tuple[tuple[float, float], ...] = ()) -> Logged:
    times, temperatures = zip(*points, strict=True) if points else ((), ())
    return Logged(
        place="freezer", file=file, called=f"{file}.csv", times=tuple(3600.0 * t for t in times),
        temperatures=tuple(c + 273.15 for c in temperatures), gaps=gaps,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (log("a", []), 'logged, times: "a.csv" – as many times as temperatures are wanted, and at least one (read the logger out again)'),
        (log("a", [(1, -18)]), 'logged, times: "a.csv" – the first reading must be at the event\'s own time (read the logger out again)'),
        (log("a", [(0, -18), (2, -18), (1, -18)]),
         'logged, times: "a.csv" – its clock jumps back from 7200 s to 3600 s after its first reading (read the logger out again)'),
        (log("a", [(0, -18), (1, -300)]), 'logged, temperatures: "a.csv" – −300 °C is below −273 °C (read the logger out again)'),
        (log("a", [(0, -18), (1, -18)], ((100.0, 7200.0),)),
         'logged, gaps: "a.csv" – a gap must begin before it ends, within the file (read the logger out again)'),
    ],
)  # fmt: skip
def test_logs_that_are_none(full: Memory, body: Logged, sentence: str) -> None:
    assert full.no(body, 9) == [sentence]


def test_logs_that_contradict_each_other(full: Memory) -> None:
    full.tell(log("a", [(0, -18), (10, -18)]), 10)
    assert full.no(log("a", [(0, -18), (10, -18)]), 10) == [
        'logged, file: "a.csv" – this file is in the records of freezer already (nothing is to do)'
    ]
    full.tell(log("b", [(0, -17), (1, -5), (2, -18), (3, -19), (20, -18)]), 15)  # a door, once: the median is near
    assert full.no(log("c", [(0, -18), (1, -10), (2, -10), (3, -10)]), 30) == [
        'logged, file: "c.csv" – it contradicts what is known of the same time: on 2026-03-03 15:00 UTC it says −10.0 °C '
        "where b.csv says −18.2 °C (look at the logger's clock and place; correct the earlier file when that one is wrong)"
    ]
    full.tell(log("d", [(0, 20), (5, 20)]), 50)  # at another time it may be as warm as it was
    late = full.no(log("e", [(0, 2), (9, 2)]), 46)
    assert "this would no longer hold: it contradicts what is known of the same time" in late[0]


def test_only_what_is_known_is_judged() -> None:
    event = new_event(Moved(things=("R-1",), to="x"), who="A", device="b", at=hours(1))
    assert stock_problems(event, {}) == ()
    assert stock_problems(event, {"R-1": None})[0].place == "moved, things"


def test_what_happened_in_a_shop_is_taken(full: Memory) -> None:
    told: list[Event] = [
        full.tell(Moved(things=("R-1", "O-1", "K-1"), to="cutting room", temperature=294.0), 4),
        full.tell(Opened(thing="O-1", core=292.0, room=294.0, humidity=0.5), 5),
        full.tell(Spent(thing="A-1", mass=0.5), 6),
        full.tell(Counted(thing="A-1", mass=0.1), 7),
        full.tell(Spent(thing="T-1", count=3), 7),
        full.tell(Spent(thing="O-1"), 8),
        full.tell(Released(mould="M-1", agent="wax", coats=3), 8),
        full.tell(Repaired(mould="M-1", what="chip"), 8),
        full.tell(Measured(subject="M-1", found=Found.TAP, value=1.0), 8),
        full.tell(Measured(subject="K-1", found=Found.CORE, value=290.0), 8),
        full.tell(Discarded(thing="M-1", why="sold"), 9),
    ]
    assert len(told) == 11
