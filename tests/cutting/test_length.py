from __future__ import annotations

import pytest

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, cutting_time, knife_path, length_to_pull, take
from bagside.cutting.sheet import Sheet, SheetNest
from bagside.errors import InputError
from pieces import TWILL, ell, piece, rectangle

HOLED = FlatPiece(label="B", material=TWILL, loops=(ell(), rectangle(0.02, 0.01, at=(0.01, 0.01))))
NEST = Nest(
    cloth=Cloth(material=TWILL, width=0.5),
    pieces=(piece("A", rectangle(0.2, 0.1), quantity=2), HOLED),
    placements=(
        Placement(label="A", copy=1, turn=0.0, x=0.0, y=0.0),
        Placement(label="A", copy=2, turn=0.0, x=0.2, y=0.0),
        Placement(label="B", copy=1, turn=0.0, x=0.0, y=0.1),
    ),
)


def test_by_hand() -> None:
    # Edges: two rectangles of 0.6 m, the L 0.7 m, its hole 0.06 m, and once across 0.5 m. The rectangles share 0.1 m,
    # the L stands with its 0.2 m on the first of them.
    path = 2 * 0.6 + 0.7 + 0.06 + 0.5 - 0.1 - 0.2
    assert knife_path(NEST) == pytest.approx(path)
    assert NEST.length == pytest.approx(0.4)
    assert NEST.area_of_pieces == pytest.approx(2 * 0.02 + 0.018 - 0.0002)
    t = take(NEST, end=0.02, knife=1.0 / 60.0, handling=60.0, price=40.0)
    assert t.pull == pytest.approx(0.42)
    assert t.cloth_area == pytest.approx(0.21)
    assert t.cost == pytest.approx(8.4)
    assert t.pieces == 3
    assert t.seconds == pytest.approx(path * 60.0 + 3 * 60.0)
    assert t.utilisation == pytest.approx(0.0578 / 0.21)
    assert NEST.utilisation == pytest.approx(0.0578 / 0.2)
    assert take(NEST, end=0.0, knife=1.0, handling=0.0).cost is None


def test_a_sheet_lies_there_already_cut_off() -> None:
    sheet = Sheet(name="O-1", material=TWILL, outline=rectangle(0.5, 0.5))
    lying = SheetNest(sheet=sheet, pieces=NEST.pieces, placements=NEST.placements)
    assert knife_path(lying) == pytest.approx(knife_path(NEST) - 0.5)
    assert cutting_time(lying, knife=1.0, handling=0.0) == pytest.approx(knife_path(lying))


def test_time_goes_with_the_knife_and_with_the_pieces() -> None:
    slow = cutting_time(NEST, knife=0.5 / 60.0, handling=0.0)
    assert slow == pytest.approx(3.0 * cutting_time(NEST, knife=1.5 / 60.0, handling=0.0))
    assert cutting_time(NEST, knife=1.0, handling=10.0) - cutting_time(NEST, knife=1.0, handling=0.0) == (
        pytest.approx(30.0)
    )


def test_a_still_knife_and_negative_numbers_are_refused() -> None:
    with pytest.raises(InputError, match=r"cutting table, knife: 0.0 m/s"):
        cutting_time(NEST, knife=0.0, handling=0.0)
    with pytest.raises(InputError, match="end allowance"):
        length_to_pull(NEST, -0.01)
    with pytest.raises(InputError, match="price"):
        take(NEST, end=0.0, knife=1.0, handling=0.0, price=float("nan"))
