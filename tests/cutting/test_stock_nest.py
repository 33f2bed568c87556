"""Money and batches by hand, every copy once, and what is refused."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting import (
    Cloth,
    FlatPiece,
    KeepRule,
    Nest,
    Sheet,
    StockNest,
    StockProgress,
    kit_names,
    nest_roll,
    nest_stock,
)
from bagside.cutting import nest as nest_module
from bagside.cutting.spent import spent
from bagside.errors import InputError
from odd_sheets import odd_sheet
from pieces import TWILL, outlines, piece, rectangle

CLOTH = Cloth(material=TWILL, width=1.0)
SQUARE = piece("1", rectangle(0.2, 0.2), quantity=2, kits=("left", "right"))


def sheet(name: str = "K1", length: float = 0.2, width: float = 0.2, **more: object) -> Sheet:
    given_ = {"price": 60.0, "worth": 0.5, "outline": rectangle(length, width), **more}
    return Sheet(name=name, material=TWILL, **given_)  # type: ignore[arg-type]


def nested(pieces: list[FlatPiece], sheets: list[Sheet], cloths: list[Cloth], **more: object) -> StockNest:
    prices = [60.0] * len(cloths)
    return nest_stock(pieces, sheets, cloths, **{"prices": prices, "seconds": 0.0, **more})  # type: ignore[arg-type]


def test_the_money_of_two_squares_is_known_by_hand() -> None:
    # Alone: 0.2 m of a roll 1 m wide. With two sheets of just their size nothing is left to pull.
    alone = nested([SQUARE], [], [CLOTH], cut_cost=0.5)
    knife = 2 * 0.8 + 1.0
    assert alone.money == pytest.approx(0.2 * 60.0 + 0.5 * knife)
    assert alone.money_roll_alone == alone.money
    both = nested([SQUARE], [sheet("K1"), sheet("K2")], [CLOTH], cut_cost=0.5)
    assert both.money == pytest.approx(0.08 * 30.0 + 0.5 * 1.6)
    assert both.money_roll_alone == pytest.approx(alone.money)
    assert both.rolls == ()
    assert [n.sheet.name for n in both.sheets] == ["K1", "K2"]


def test_a_piece_on_a_sheet_does_not_pay_when_the_roll_gets_no_shorter() -> None:
    # The roll is as long with one square as with two: the sheet would be used for nothing.
    found = nested([SQUARE], [sheet()], [CLOTH])
    assert found.sheets == ()
    assert found.money == found.money_roll_alone == pytest.approx(12.0)
    # On a roll hardly wider than one square it does.
    narrow = nested([SQUARE], [sheet()], [Cloth(material=TWILL, width=0.3)])
    assert len(narrow.sheets) == 1
    assert narrow.money == pytest.approx(0.2 * 0.3 * 60.0 + 0.04 * 30.0)
    assert narrow.money_roll_alone == pytest.approx(0.4 * 0.3 * 60.0)


def test_pieces_that_find_room_beside_one_that_must_come_off_the_roll_are_cut_there() -> None:
    # The roll is pulled for the large piece in any case; beside it the squares cost nothing.
    large = piece("L", rectangle(0.7, 0.5))
    squares = replace(SQUARE, quantity=8, kits=())
    sheets = [sheet(f"K{k}") for k in range(8)]
    cloth = Cloth(material=TWILL, width=1.0)
    found = nested([large, squares], sheets, [cloth], seconds=3.0)
    assert found.length == pytest.approx(0.7, abs=1e-6)
    assert found.money <= 0.7 * 60.0 + 4 * 0.04 * 30.0 + 1e-9  # four squares or more lie beside it


def test_no_part_is_split_in_batches_when_sheets_are_given_up() -> None:
    large = piece("L", rectangle(0.7, 0.5))
    shown = replace(SQUARE, kits=("a", "a"), visible=True)
    cloth = Cloth(material=TWILL, width=1.0, batch="A1")
    sheets = [sheet("K1", batch="B7"), sheet("K2", batch="B7")]
    found = nested([large, shown], sheets, [cloth], seconds=0.9)  # checked by `verify_stock`
    assert found.length == pytest.approx(0.7, abs=1e-6)


def test_what_remains_of_a_sheet_counts_back() -> None:
    cut = nested([SQUARE], [sheet(length=0.4, width=0.7)], []).sheets[0]
    # 0.28 m² of 0.5 × 60 a square metre less the kept 0.2 m², which count a little less for being fewer.
    assert spent(cut) == pytest.approx(30.0 * (0.28 - 0.20 * np.sqrt(0.20 / 0.25)), rel=1e-5)
    none = KeepRule(square=2.0, area=1.0)
    assert spent(cut, none) == pytest.approx(30.0 * 0.28)


def test_selvedges_are_paid() -> None:
    found = nested([SQUARE], [], [replace(CLOTH, selvedge=0.02)])
    assert found.money == pytest.approx(0.2 * 1.0 * 60.0)


@st.composite
def stocks(draw: st.DrawFn) -> tuple[list[FlatPiece], list[Sheet], list[Cloth]]:
    """Draw pieces of several parts, some that show, sheets of several batches and one or two rolls."""
    random = np.random.default_rng(draw(st.integers(0, 10_000)))
    gap, margin = draw(st.sampled_from([(0.0, 0.0), (0.005, 0.005)]))
    batches = st.sampled_from(["", "A1", "B7"])
    sheets = [
        replace(odd_sheet(random, f"K{k}", gap=gap, margin=margin), batch=draw(batches))
        for k in range(draw(st.integers(0, 3)))
    ]
    pieces = []
    for k, outline in enumerate(draw(st.lists(outlines(largest=0.25), min_size=1, max_size=4))):
        kits = tuple(draw(st.lists(st.sampled_from(["1", "2", "3"]), min_size=1, max_size=4)))
        named = draw(st.booleans())
        pieces.append(
            piece(
                f"{k}A",
                outline,
                quantity=len(kits),
                kits=kits if named else (),
                job=draw(st.sampled_from(["hatch", "seat"])),
                visible=draw(st.booleans()),
                tolerance=draw(st.sampled_from([0.0, 0.05])),
            )
        )
    cloths = [
        Cloth(
            material=TWILL,
            width=width,
            margin=margin,
            gap=gap,
            batch=draw(batches),
            length_available=draw(st.sampled_from([None, 0.4, 3.0])),
        )
        for width in draw(st.sampled_from([(0.6,), (0.6, 1.0)]))
    ]
    return pieces, sheets, cloths


@given(stocks())
@settings(max_examples=12, deadline=None)
def test_every_copy_lies_once_and_keeps_the_name_of_its_kit(
    given_: tuple[list[FlatPiece], list[Sheet], list[Cloth]],
) -> None:
    pieces, sheets, cloths = given_
    found = nested(pieces, sheets, cloths)  # checked by `verify_stock` before it comes
    wanted = Counter((p.label, k) for p in pieces for k in kit_names(p))
    assert Counter((p.label, n.kit(p)) for n in found.layouts for p in n.placements) == wanted
    assert found.money_roll_alone is None or found.money <= found.money_roll_alone + 1e-9
    assert found.area_of_pieces == pytest.approx(sum(p.area * p.quantity for p in pieces))
    cloth = sum(60.0 * n.length * n.cloth.width for n in found.rolls)
    assert found.money == pytest.approx(cloth + sum(spent(n) for n in found.sheets), abs=1e-9)


def test_visible_pieces_of_one_part_come_from_one_batch() -> None:
    narrow = Cloth(material=TWILL, width=0.25, batch="A1")
    kit = [replace(SQUARE, kits=("left", "left"), visible=True)]
    assert nested(kit, [sheet(batch="B7")], [narrow]).sheets == ()
    assert len(nested(kit, [sheet(batch="A1")], [narrow]).sheets) == 1
    assert len(nested([replace(SQUARE, visible=True)], [sheet(batch="B7")], [narrow]).sheets) == 1  # two parts
    unknown = replace(narrow, batch="")
    assert nested(kit, [sheet()], [unknown]).sheets == ()
    assert len(nested(kit, [sheet()], [unknown]).rolls) == 1


def test_the_cheapest_roll_that_is_long_enough_is_taken() -> None:
    short = Cloth(material=TWILL, width=0.3, length_available=0.3, batch="short")
    dear = Cloth(material=TWILL, width=1.0, length_available=5.0, batch="dear")
    long = Cloth(material=TWILL, width=0.25, length_available=5.0, batch="long")
    assert [n.cloth.batch for n in nested([SQUARE], [], [short, dear, long]).rolls] == ["long"]
    assert [n.cloth.batch for n in nested([SQUARE], [], [short, dear, long], prices=[60.0, 5.0, 60.0]).rolls] == [
        "dear"
    ]


def test_two_rolls_are_used_when_none_is_long_enough() -> None:
    rolls = [Cloth(material=TWILL, width=0.25, length_available=0.25, batch=b) for b in ("A1", "B7")]
    found = nested([SQUARE], [], rolls)
    assert sorted(n.cloth.batch for n in found.rolls) == ["A1", "B7"]
    assert sorted(n.kit(p) for n in found.rolls for p in n.placements) == ["left", "right"]


def test_a_piece_too_wide_for_the_roll_goes_on_a_sheet_that_takes_it() -> None:
    wide = piece("W", rectangle(0.2, 0.5))
    narrow = Cloth(material=TWILL, width=0.3)
    found = nested([SQUARE, wide], [sheet(width=0.5, worth=1.0)], [narrow])
    assert [p.label for p in found.sheets[0].pieces] == ["W"]
    assert found.money_roll_alone is None
    with pytest.raises(InputError) as caught:
        nested([SQUARE, wide], [sheet(width=0.49)], [narrow])
    assert str(caught.value) == (
        "piece W: 200.0 × 500.0 mm along and across the warp, 1 left – it fits no cloth: largest is the roll, 300.0 mm "
        "between its margins, and sheet K1 of 200.0 × 490.0 mm (split the ply at a seam, turn its warp, or use a wider "
        "cloth)"
    )
    with pytest.raises(InputError, match=r"piece W: .* it fits no cloth: largest is the roll"):
        nested([wide], [], [narrow])


def test_without_a_roll_the_sheets_take_all_or_it_is_refused() -> None:
    found = nested([SQUARE], [sheet(width=0.4)], [])
    assert found.rolls == ()
    assert found.money_roll_alone is None
    with pytest.raises(InputError, match=r"piece 1: .* 1 left – it fits no cloth: largest is sheet K1"):
        nested([SQUARE], [sheet()], [])


def test_what_cannot_be_nested_is_refused_with_every_problem() -> None:
    with pytest.raises(InputError) as caught:
        nest_stock(
            [SQUARE, SQUARE],
            [sheet(), replace(sheet(), material="uni")],
            [CLOTH],
            prices=[],
            cut_cost=-1.0,
            seconds=0.0,
        )
    assert [line.split(":")[0] for line in str(caught.value).splitlines()] == [
        "piece 1",
        "sheet K1",
        "sheet K1, material",
        "nest, prices",
        "nest, cost of cutting",
    ]
    with pytest.raises(InputError) as caught:
        nest_stock([], [], [], prices=[], seconds=0.0)
    assert len(caught.value.problems) == 2


def test_a_watcher_hears_it_and_stops_it() -> None:
    random = np.random.default_rng(4)
    pieces = [piece(str(k), rectangle(*random.uniform(0.1, 0.3, 2)), quantity=3) for k in range(4)]
    sheets = [odd_sheet(random, f"K{k}", gap=0.005, margin=0.005) for k in range(3)]
    heard: list[StockProgress] = []

    def stop(now: StockProgress) -> bool:
        heard.append(now)
        return now.seconds < 1.0

    began = time.perf_counter()
    found = nested(pieces, sheets, [CLOTH], seconds=600.0, on_progress=stop)
    assert found.stopped
    assert time.perf_counter() - began < 30.0
    assert heard[-1].copies == 12
    assert all(h.money is not None for h in heard)
    money = [h.money for h in heard if h.money is not None]
    assert money == sorted(money, reverse=True)
    assert found.money <= money[-1]


def test_time_is_used_for_the_sheets_and_for_the_roll_with_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    random = np.random.default_rng(5)
    pieces = [piece(str(k), rectangle(*random.uniform(0.1, 0.3, 2)), quantity=4) for k in range(6)]
    sheets = [odd_sheet(random, f"K{k}", gap=0.005, margin=0.005) for k in range(2)]
    cloth = Cloth(material=TWILL, width=0.6, gap=0.005, margin=0.01)
    searched: list[tuple[int, float]] = []

    def noted(own: Sequence[FlatPiece], on: Cloth, *, seconds: float, **_: object) -> Nest:
        if seconds >= 1.0:
            searched.append((sum(p.quantity for p in own), seconds))
        return nest_roll(own, on, seconds=0.0)

    monkeypatch.setattr(nest_module, "nest_roll", noted)
    found = nested(pieces, sheets, [cloth], seconds=6.0)
    assert not found.stopped
    assert found.money_roll_alone is not None
    assert found.money < found.money_roll_alone
    rest = sum(n.quantity for roll in found.rolls for n in roll.pieces)
    assert 0 < rest < 24
    (alone, half), (others, left) = searched
    assert (alone, others) == (24, rest)
    assert half == 3.0
    assert 1.0 <= left <= 6.0


def test_an_offcut_that_costs_more_to_fetch_than_it_saves_stays_where_it_is() -> None:
    """A square of 0.2 m at a worth of 10 money/m² is 0.4; off a roll of 1 m at 50 money/m², one row of it is 10."""
    square = np.array([[0.0, 0.0], [0.2, 0.0], [0.2, 0.2], [0.0, 0.2]])
    piece = FlatPiece(label="1", material="twill", loops=(square,))
    roll = Cloth(material="twill", width=1.0)
    used = []
    for fetch in (9.0, 11.0):
        sheet = Sheet(
            name="O-1", material="twill", outline=1.05 * square, price=50.0, worth=0.2, fetch=fetch, batch="B"
        )
        found = nest_stock([piece], [sheet], [roll], prices=[50.0], seconds=0.0)
        used.append(len(found.sheets))
        assert found.money_roll_alone == pytest.approx(10.0)
    assert used == [1, 0]
