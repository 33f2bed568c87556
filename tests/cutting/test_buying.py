"""Expected lengths and prices are worked by hand beside each check."""

from __future__ import annotations

from datetime import date

import pytest

from bagside.cutting import Cloth, FlatPiece, verify
from bagside.cutting.buying import Purchase, length_sold, to_buy
from bagside.cutting.unused import Held, unused
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.spec.workshop import Offer
from pieces import TWILL, piece, rectangle

# Four pieces 1.0 m along the warp and 0.6 m across: two beside each other on 1.25 m, one on 0.625 m.
PIECES = (piece("1", rectangle(1.0, 0.6), quantity=4),)
WIDE = Offer(material=TWILL, width=1.25, price=40.0, least=1.0, step=1.0, carriage=15.0)
NARROW = Offer(material=TWILL, width=0.625, price=42.0, least=1.0, step=0.5)


def buy(*stock: Cloth, offers: tuple[Offer, ...] = (WIDE, NARROW), **more: object) -> Purchase:
    given_ = {"pieces": PIECES, "end": 0.0, "seconds": 0.0, **more}
    return to_buy(given_.pop("pieces"), stock, offers, **given_)  # type: ignore[arg-type]


def roll(length: float | None, **more: object) -> Cloth:
    return Cloth(material=TWILL, width=1.25, length_available=length, **more)  # type: ignore[arg-type]


def test_two_widths_by_hand() -> None:
    # Wide: 2.0 m · 1.25 m · 40 + 15 = 115. Narrow: 4.0 m · 0.625 m · 42 = 105.
    found = buy()
    assert [(b.offer.width, b.length) for b in found.options] == [(0.625, 4.0), (1.25, 2.0)]
    assert [b.price for b in found.options] == pytest.approx([105.0, 115.0])
    assert [b.utilisation for b in found.options] == pytest.approx([0.96, 0.96])
    assert not found.enough
    assert found.findings == ()
    for option in found.options:
        verify(option.nest)


def test_an_end_allowance_tips_over_to_the_next_step() -> None:
    # Wide: 2.02 m, sold as 3 m: 3 · 1.25 · 40 + 15 = 165. Narrow: 4.02 m, sold as 4.5 m: 4.5 · 0.625 · 42 = 118.125.
    found = buy(end=0.02)
    assert [b.length for b in found.options] == [4.5, 3.0]
    assert [b.price for b in found.options] == pytest.approx([118.125, 165.0])
    assert found.options[1].over == pytest.approx(0.98)


def test_margin_and_selvedge_come_off_the_width_on_offer() -> None:
    # Two of 0.6 m and a gap of 5 mm want 1.205 m; 1.25 m less 2 · 25 mm is 1.20 m, so they lie one behind the other:
    # 0.02 + 4 · 1.0 + 3 · 0.005 = 4.035 m, sold as 5 m. The narrow one is too narrow.
    found = buy(margin=0.020, selvedge=0.005, gap=0.005)
    (only,) = found.options
    assert only.wanted == pytest.approx(4.035, abs=1e-6)
    assert only.length == 5.0


@pytest.mark.parametrize(
    ("wanted", "least", "step", "sold"),
    [(0.2, 1.0, 1.0, 1.0), (1.0, 1.0, 1.0, 1.0), (1.01, 1.0, 0.5, 1.5), (2.0, 5.0, 1.0, 5.0), (0.3, 1.0, 0.3, 1.2)],
)
def test_length_sold(wanted: float, least: float, step: float, sold: float) -> None:
    assert length_sold(wanted, Offer(material=TWILL, width=1.0, price=1.0, least=least, step=step)) == pytest.approx(
        sold
    )


def test_enough_in_stock_is_told_and_the_shorter_roll_that_gives_all_is_cut() -> None:
    found = buy(roll(50.0, batch="long"), roll(2.5, batch="short"))
    assert found.enough
    assert found.options == ()
    (nest,) = found.in_stock
    assert nest.cloth.batch == "short"
    (told,) = found.findings
    assert told.severity is Severity.SEEN
    assert told.what == "nothing to buy: the rolls in stock give all pieces"
    assert buy(roll(None)).enough


def test_what_a_short_roll_gives_need_not_be_bought() -> None:
    # 1.1 m of 1.25 m give two of the four pieces; two more want 1.0 m of the wide cloth: 1 · 1.25 · 40 + 15 = 65, or
    # 2.0 m of the narrow: 2 · 0.625 · 42 = 52.5.
    found = buy(roll(1.1))
    (nest,) = found.in_stock
    verify(nest)
    assert [p.quantity for p in nest.pieces] == [2]
    assert sum(p.quantity for p in found.missing) == 2
    assert [b.price for b in found.options] == pytest.approx([52.5, 65.0])


def test_rolls_are_used_up_from_the_shortest_and_every_copy_is_somewhere() -> None:
    found = buy(roll(1.1), roll(0.4), roll(1.05), offers=())
    assert [n.cloth.length_available for n in found.in_stock] == [1.05, 1.1]
    assert found.enough


def test_pieces_that_show_on_one_part_are_not_split_between_rolls() -> None:
    shows = piece("1", rectangle(1.0, 0.6), quantity=4, visible=True, kits=("a", "b", "c", "c"))
    found = buy(roll(1.1), pieces=(shows,))
    # The roll gives two copies; kit c shows two, so it is given whole or not at all.
    kits = [nest.kit(p) for nest in found.in_stock for p in nest.placements]
    assert sorted(kits) in (["a", "b"], ["c", "c"], ["a"], ["b"])
    assert len(kits) + sum(p.quantity for p in found.missing) == 4
    one = piece("1", rectangle(1.0, 0.6), quantity=4, visible=True, kits=("c",) * 4)
    none = buy(roll(1.1), pieces=(one,))
    assert none.in_stock == ()
    assert sum(p.quantity for p in none.missing) == 4


def test_a_piece_wider_than_every_offer_is_named_with_the_largest() -> None:
    found = buy(pieces=(*PIECES, piece("7", rectangle(0.3, 1.3))))
    assert found.options == ()
    (told,) = found.findings
    assert told.severity is Severity.STOP
    assert told.place == "piece 7"
    assert told.what == "1\u2009300 mm across the roll at its narrowest allowed turn"
    assert told.why == "the widest twill-200 on offer is 1\u2009250 mm wide, of which 1\u2009250 mm can be used"


def test_an_offer_too_narrow_for_one_piece_is_left_out() -> None:
    found = buy(pieces=(piece("1", rectangle(1.0, 0.7)),))
    assert [b.offer for b in found.options] == [WIDE]


def test_nothing_on_offer_and_much_more_than_wanted_are_told() -> None:
    (told,) = buy(offers=(Offer(material="other", width=1.0, price=1.0),)).findings
    assert told.severity is Severity.STOP
    assert told.what == "4 pieces find no cloth in stock, and none is offered"
    (much,) = buy(offers=(Offer(material=TWILL, width=1.25, price=40.0, least=10.0),)).findings
    assert much.severity is Severity.WATCH
    assert much.what == "10.00 m are sold at the least, 2.00 m are wanted"


def test_no_piece_two_materials_and_a_negative_end_are_refused() -> None:
    with pytest.raises(InputError, match="no piece"):
        buy(pieces=())
    other = FlatPiece(label="9", material="veil-30", loops=(rectangle(0.1, 0.1),))
    with pytest.raises(InputError) as caught:
        buy(Cloth(material="veil-30", width=1.0), pieces=(*PIECES, other), end=-1.0)
    assert [p.place for p in caught.value.problems] == [
        "piece 9, material",
        "roll in stock, material",
        "cloth to buy, end",
    ]


ON = date(2031, 6, 1)


def test_what_expires_unused_by_hand() -> None:
    held = (
        Held(name="T-1", area=5.0, width=1.25, price=40.0, use_by=date(2031, 5, 31)),  # a day late: 2.5 m² left
        Held(name="T-2", area=5.0, width=1.25, price=40.0, use_by=ON),  # its last day
        Held(name="T-3", area=5.0, width=1.25, price=40.0, use_by=date(2031, 5, 1)),  # all of it is cut
        Held(name="O-4", area=0.5, price=None, use_by=date(2031, 5, 1)),
        Held(name="O-5", area=0.8, price=60.0, life_left=7200.0),  # out for two hours more
        Held(name="O-6", area=0.8, price=60.0, life_left=7200.0),  # for one
        Held(name="O-7", area=9.0, price=60.0),
    )
    found = unused(held, {"T-1": 2.5, "T-3": 5.0}, ON, out={"O-5": 7200.0, "O-6": 3600.0})
    assert [(e.held.name, e.value, e.by_date) for e in found] == [
        ("T-1", pytest.approx(100.0), True),
        ("O-5", pytest.approx(48.0), False),
        ("O-4", None, True),
    ]
    assert found[0].length == pytest.approx(2.0)  # 2.5 m² of 1.25 m
    assert found[1].length is None


def test_names_twice_and_more_taken_than_is_there_are_refused() -> None:
    a = Held(name="A", area=1.0)
    with pytest.raises(InputError) as caught:
        unused((a, a, Held(name="B", area=-1.0)), {"A": 2.0}, ON)
    assert [str(p) for p in caught.value.problems][:2] == [
        "cloth A: the name stands twice – a name of its own for each",
        "cloth A: 2.000 m² taken – at most the 1.000 m² that are there",
    ]
    assert any(p.place == "cloth B, area" for p in caught.value.problems)
