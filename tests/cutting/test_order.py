from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, nest_roll
from bagside.cutting.order import cut_numbers, cutting_order, longest_edge
from bagside.errors import InputError
from pieces import TWILL, ell, kits, piece, rectangle, rosette


def put(label: str, copy: int, x: float, y: float) -> Placement:
    return Placement(label=label, copy=copy, turn=0.0, x=x, y=y)


def test_by_hand() -> None:
    # Within the first metre: what shows, then the long edge, then the small one; then the second metre, the same.
    pieces = (
        piece("small", rectangle(0.1, 0.1), quantity=2),
        piece("long", rectangle(0.6, 0.1)),
        piece("shows", rectangle(0.2, 0.1), visible=True, quantity=2),
    )
    nest = Nest(
        cloth=Cloth(material=TWILL, width=0.5),
        pieces=pieces,
        placements=(
            put("small", 1, 0.0, 0.0), put("long", 1, 0.1, 0.1), put("shows", 1, 0.5, 0.3),
            put("small", 2, 1.1, 0.0), put("shows", 2, 1.3, 0.2),
        ),
    )  # fmt: skip
    order = [(p.label, p.copy) for p in cutting_order(nest)]
    assert order == [("shows", 1), ("long", 1), ("small", 1), ("shows", 2), ("small", 2)]
    assert cut_numbers(nest)["small", 1] == 3
    # All from one place: what shows comes first over the whole length.
    assert [p.label for p in cutting_order(nest, reach=3.0)][:2] == ["shows", "shows"]


@given(kits())
@settings(max_examples=8, deadline=None)
def test_every_copy_once_and_never_more_than_a_reach_back(given_: tuple[tuple[FlatPiece, ...], Cloth]) -> None:
    pieces, cloth = given_
    nest = nest_roll(pieces, cloth, seconds=0.0)
    order = cutting_order(nest, reach=0.4)
    assert sorted(order, key=lambda p: (p.label, p.copy)) == sorted(nest.placements, key=lambda p: (p.label, p.copy))
    begins = [nest.placed_outline(p).bounds[0] for p in order]
    for k, x in enumerate(begins):
        assert x > max(begins[: k + 1]) - 0.4 - 1e-6
    assert sorted(cut_numbers(nest).values()) == list(range(1, len(order) + 1))


def test_an_edge_is_straight_through_points_on_it_and_where_the_ring_begins() -> None:
    assert longest_edge(ell()) == pytest.approx(0.2)
    halved = np.array([[0.1, 0.0], [0.2, 0.0], [0.2, 0.1], [0.0, 0.1], [0.0, 0.0]])
    assert longest_edge(halved) == pytest.approx(0.2)
    assert longest_edge(rosette()) < 0.1


def test_a_reach_that_is_none_is_refused_and_an_empty_layout_has_no_order() -> None:
    nest = Nest(cloth=Cloth(material=TWILL, width=0.5), pieces=(), placements=())
    assert cutting_order(nest) == ()
    with pytest.raises(InputError, match=r"cutting order, reach: 0.0 m"):
        cutting_order(nest, reach=0.0)
