"""Pinned copies stay to the micrometre, everything is still there once and apart, and what cannot be is refused."""

from __future__ import annotations

import math
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting import (
    Cloth,
    FlatPiece,
    Nest,
    Pin,
    Sheet,
    SheetNest,
    StockNest,
    StockProgress,
    nest_pinned,
    nest_stock,
    verify_stock,
)
from bagside.errors import InputError
from pieces import TWILL, piece, rectangle

CLOTH = Cloth(material=TWILL, width=0.6, margin=0.005, gap=0.004, selvedge=0.01)
LID = piece("1", rectangle(0.24, 0.18), quantity=4, kits=("1", "2", "3", "4"))
PAD = piece("5", rectangle(0.06, 0.06), quantity=8)
WEDGE = piece("3A", np.array([[0.0, 0.0], [0.3, 0.0], [0.05, 0.2]]), quantity=4)
KIT = [LID, PAD, WEDGE]
PIN = Pin(label="1", kit="1", turn=0.0, x=0.1, y=0.1)


def pinned(pins: list[Pin], sheets: list[Sheet] | None = None, **more: object) -> StockNest:
    given_ = {"prices": [60.0], "seconds": 0.0, **more}
    return nest_pinned(KIT, sheets or [], [CLOTH], pins, **given_)  # type: ignore[arg-type]


def lies(found: StockNest, label: str, kit: str) -> tuple[Nest | SheetNest, float, float, float]:
    ((layout, p),) = ((n, p) for n in found.layouts for p in n.placements if (p.label, n.kit(p)) == (label, kit))
    return layout, p.turn, p.x, p.y


@settings(max_examples=12, deadline=None)
@given(x=st.floats(0.01, 1.2), y=st.floats(0.02, 0.38), turn=st.sampled_from([0.0, math.pi]))
def test_a_pinned_copy_lies_where_it_was_put_and_the_rest_is_there(x: float, y: float, turn: float) -> None:
    move = (x, y) if turn == 0.0 else (x + 0.24, y + 0.18)
    found = pinned([Pin(label="1", kit="3", turn=turn, x=move[0], y=move[1])])
    verify_stock(KIT, found)
    assert lies(found, "1", "3")[1:] == (turn, *move)


def test_the_length_is_known_by_hand_when_the_pin_is_far_out() -> None:
    # A lid pinned with its near edge at 2 m leaves room for all others before it.
    found = pinned([Pin(label="1", kit="1", turn=0.0, x=2.0, y=0.1)])
    assert found.length == pytest.approx(2.24)
    assert found.money == pytest.approx(2.24 * 0.6 * 60.0)


def test_more_time_is_never_longer_and_comes_near_the_free_nest() -> None:
    free = nest_stock(KIT, [], [CLOTH], prices=[60.0], seconds=2.0)
    nest = free.rolls[0]
    p = nest.placements[3]
    pin = Pin(label=p.label, kit=nest.kit(p), turn=p.turn, x=p.x, y=p.y)
    again = pinned([pin], before=free, seconds=2.0)
    assert again.length <= free.length + 1e-9  # nothing was moved: the nest before stands at the least
    short, long = (pinned([Pin(label="1", kit="1", turn=0.0, x=0.2, y=0.2)], seconds=s) for s in (0.0, 3.0))
    assert long.length <= short.length + 1e-9


def test_most_of_the_nest_before_may_stand() -> None:
    free = nest_stock(KIT, [], [CLOTH], prices=[60.0], seconds=1.0)
    nest = free.rolls[0]
    p = next(q for q in nest.placements if q.label == "5")
    pin = Pin(label="5", kit=nest.kit(p), turn=p.turn, x=p.x + 0.01, y=p.y)
    found = pinned([pin], before=free, seconds=1.0)
    verify_stock(KIT, found)
    assert lies(found, "5", nest.kit(p))[2] == p.x + 0.01


def test_a_pin_on_a_sheet_stays_there_and_costs_what_it_takes() -> None:
    money = {"price": 60.0, "worth": 0.5}
    sheet = Sheet(name="O-1", material=TWILL, outline=rectangle(0.3, 0.3), gap=0.004, margin=0.005, **money)
    pin = Pin(label="1", kit="2", turn=0.0, x=0.02, y=0.05, sheet="O-1")
    found = pinned([pin], [sheet])
    verify_stock(KIT, found)
    layout, *at = lies(found, "1", "2")
    assert isinstance(layout, SheetNest)
    assert at == [0.0, 0.02, 0.05]
    both = pinned([pin, Pin(label="3A", kit="1", turn=0.0, x=0.1, y=0.3)], [sheet])
    verify_stock(KIT, both)
    assert lies(both, "3A", "1")[1:] == (0.0, 0.1, 0.3)
    assert lies(both, "1", "2")[1:] == (0.0, 0.02, 0.05)


def test_everything_may_be_pinned() -> None:
    one = piece("1", rectangle(0.24, 0.18), quantity=1, kits=("1",))
    found = nest_pinned([one], [], [CLOTH], [PIN], prices=[60.0], seconds=2.0)
    assert found.length == pytest.approx(0.34)


def test_the_watcher_sees_whole_layouts_and_can_stop() -> None:
    seen: list[StockProgress] = []

    def watch(now: StockProgress) -> bool:
        seen.append(now)
        return len(seen) < 6

    began = time.perf_counter()
    found = pinned([Pin(label="1", kit="1", turn=0.0, x=0.1, y=0.1)], seconds=30.0, on_progress=watch)
    assert found.stopped
    assert time.perf_counter() - began < 10.0
    assert len(seen) == 6
    whole = [s for s in seen if s.layouts]
    assert whole
    for s in whole:
        assert sum(len(n.placements) for n in s.layouts) == 16
        assert s.length == pytest.approx(sum(n.length for n in s.layouts if isinstance(n, Nest)))



@pytest.mark.parametrize(
    ("pins", "words"),
    [
        ([Pin(label="9", kit="1", turn=0.0, x=0.1, y=0.1)], "piece 9 of kit 1: 1 pinned – a copy that is cut"),
        ([PIN, PIN], "piece 1 of kit 1: 2 pinned – 1 at most"),
        ([Pin(label="1", kit="1", turn=0.0, x=0.1, y=0.1, sheet="O-9")], "an offcut that is there"),
        ([Pin(label="1", kit="1", turn=0.0, x=0.1, y=0.1, roll=3)], "a roll that is there"),
        ([Pin(label="1", kit="1", turn=0.0, x=0.0, y=0.1)], "out of the cloth or into its margin"),
        ([Pin(label="1", kit="1", turn=0.3, x=0.2, y=0.1)], "which its cloth does not allow"),
        ([PIN, Pin(label="1", kit="2", turn=0.0, x=0.2, y=0.2)], "piece 1 of kit 2: pinned there – another place"),
    ],
)
def test_what_nothing_can_be_nested_round_is_refused(pins: list[Pin], words: str) -> None:
    with pytest.raises(InputError) as caught:
        pinned(pins)
    assert words in "; ".join(str(p) for p in caught.value.problems)


def test_visible_pieces_of_one_part_in_two_batches_are_refused() -> None:
    seen = [FlatPiece(label=n, material=TWILL, loops=(rectangle(0.2, 0.2),), kits=("1",), visible=True) for n in "AB"]
    sheet = Sheet(name="O-1", material=TWILL, outline=rectangle(0.3, 0.3), batch="other")
    cloth = Cloth(material=TWILL, width=0.6, batch="this")
    pins = [replace(PIN, label="A", x=0.05, y=0.05, sheet="O-1"), replace(PIN, label="B")]
    with pytest.raises(InputError, match="come from two batches"):
        nest_pinned(seen, [sheet], [cloth], pins, prices=[60.0], seconds=0.0)
