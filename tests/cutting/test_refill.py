"""The search: every layout it makes passes the check, it is better with time, repeatable, and stops when told."""

from __future__ import annotations

import time

import numpy as np
import pytest
from benchmarks.offcuts import known
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting import FlatPiece, Placed, PlaceProgress, Sheet, SheetNest, kit_names, place_on, table, verify
from bagside.cutting.spent import spent
from bagside.errors import InputError, NotSolved
from odd_sheets import odd_sheet
from pieces import TWILL, outlines, piece, rectangle

SHEETS, PIECES, _ = known(1, count=8, sheets=3)


@st.composite
def stocks(draw: st.DrawFn) -> tuple[tuple[Sheet, ...], tuple[FlatPiece, ...]]:
    """Draw a few odd sheets and a few pieces with copies, turns, tolerance and faces."""
    random = np.random.default_rng(draw(st.integers(0, 10_000)))
    gap, margin = draw(st.sampled_from([(0.0, 0.0), (0.005, 0.005), (0.002, 0.01), (0.0, 0.005), (0.005, 0.0)]))
    count = draw(st.integers(1, 3))
    sheets = tuple(
        odd_sheet(random, f"K{k}", gap=gap, margin=margin, flaws=draw(st.integers(0, 2))) for k in range(count)
    )
    shapes = draw(st.lists(outlines(largest=0.25), min_size=1, max_size=4))
    turns = st.sampled_from([(0.0, np.pi), (0.0,), None])
    return sheets, tuple(
        piece(
            f"{k}A",
            s,
            quantity=draw(st.integers(1, 4)),
            turns=draw(turns),
            tolerance=draw(st.sampled_from([0.0, 0.05])),
            flips=draw(st.booleans()),
        )
        for k, s in enumerate(shapes)
    )


@given(stocks())
@settings(max_examples=40, deadline=None)
def test_no_layout_ever_fails_its_check_and_no_copy_is_lost(
    given_: tuple[tuple[Sheet, ...], tuple[FlatPiece, ...]],
) -> None:
    sheets, pieces = given_
    failed: list[str] = []

    def told(nest: SheetNest) -> None:
        try:
            verify(nest)
        except NotSolved as fault:
            failed.append(str(fault))
            raise

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(table, "verify", told)
        found = place_on(sheets, pieces, fresh=80.0, seconds=60.0, rounds=6)
    assert failed == []
    wanted = sorted((p.label, k) for p in pieces for k in kit_names(p))
    on = [(p.label, n.kit(p)) for n in found.sheets for p in n.placements]
    assert sorted(on + [(p.label, k) for p in found.left for k in kit_names(p)]) == wanted


def test_the_search_is_better_than_the_first_answer_and_the_same_each_time() -> None:
    def once() -> Placed:
        return place_on(SHEETS, PIECES, fresh=80.0, seconds=60.0, rounds=120, seed=3)

    first, one, two = place_on(SHEETS, PIECES, fresh=80.0), once(), once()
    assert one.rounds == two.rounds == 120
    assert one.saved > first.saved
    assert [n.placements for n in one.sheets] == [n.placements for n in two.sheets]
    assert [n.sheet.name for n in one.sheets] == [n.sheet.name for n in two.sheets]


def test_what_it_saved_is_fresh_cloth_less_what_is_used_up() -> None:
    found = place_on(SHEETS, PIECES, fresh=80.0, seconds=60.0, rounds=30)
    area = sum(n.area_of_pieces for n in found.sheets)
    assert found.saved == pytest.approx(80.0 * area - sum(spent(n) for n in found.sheets), abs=1e-6)


def test_a_watcher_hears_it_and_stops_it() -> None:
    heard: list[PlaceProgress] = []

    def stop(now: PlaceProgress) -> bool:
        heard.append(now)
        return now.seconds < 0.5

    began = time.perf_counter()
    found = place_on(SHEETS, PIECES, fresh=80.0, seconds=600.0, on_progress=stop)
    assert found.stopped
    assert time.perf_counter() - began < 30.0
    assert heard[-1].placed == sum(len(n.placements) for n in found.sheets)
    saved = [h.saved for h in heard]
    assert saved == sorted(saved)


def test_a_sheet_that_costs_more_than_it_saves_stays_whole() -> None:
    dear = Sheet(name="K1", material=TWILL, outline=rectangle(0.3, 0.1), price=60.0, worth=1.0)
    small = piece("1", rectangle(0.15, 0.1))  # it leaves 0.015 m², which nobody keeps
    assert place_on([dear], [small], fresh=80.0).sheets == ()  # 1.80 of sheet for 1.20 of fresh cloth
    assert len(place_on([dear], [small], fresh=130.0).sheets) == 1  # 1.80 for 1.95


def test_what_must_go_on_a_sheet_comes_first() -> None:
    sheet = Sheet(name="K1", material=TWILL, outline=rectangle(0.3, 0.1), price=60.0, worth=1.0)
    small, large = piece("1", rectangle(0.15, 0.1)), piece("2", rectangle(0.28, 0.1))
    (nest,) = place_on([sheet], [small, large], fresh=1.0, must=["1"]).sheets
    assert [p.label for p in nest.pieces] == ["1"]


def test_visible_pieces_of_one_part_come_from_one_batch() -> None:
    square = rectangle(0.2, 0.2)
    seen = piece("1", square, quantity=2, kits=("a", "a"), visible=True)
    one = Sheet(name="K1", material=TWILL, outline=square, batch="B7", price=60.0, worth=0.3)
    other = Sheet(name="K2", material=TWILL, outline=square, batch="B8", price=60.0, worth=0.3)
    both = Sheet(name="K3", material=TWILL, outline=rectangle(0.2, 0.4), batch="B8", price=60.0, worth=0.3)

    def on(*sheets: Sheet, batch: str) -> list[str]:
        found = place_on(sheets, [seen], fresh=80.0, seconds=60.0, rounds=200, batch=batch)
        return sorted(n.sheet.name for n in found.sheets for _ in n.placements)

    assert on(one, batch="A1") == []  # the other would come from the roll
    assert on(one, batch="B7") == ["K1"]
    assert on(one, other, batch="A1") == []
    assert on(one, both, batch="A1") == ["K3", "K3"]
    unknown = Sheet(name="K4", material=TWILL, outline=square, price=60.0, worth=0.3)
    assert on(unknown, batch="") == []  # nobody knows that the two are one batch


def test_time_without_end_is_refused() -> None:
    with pytest.raises(InputError):
        place_on(SHEETS, PIECES, seconds=float("inf"))
