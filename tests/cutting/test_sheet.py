from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from bagside.cutting import Placement, Sheet, SheetNest
from bagside.errors import InputError
from pieces import TWILL, piece, rectangle


def sheet(**more: object) -> Sheet:
    given = {"name": "K1", "material": TWILL, "outline": rectangle(0.6, 0.4)}
    return Sheet(**{**given, **more})  # type: ignore[arg-type]


def refused(**more: object) -> str:
    with pytest.raises(InputError) as caught:
        sheet(**more)
    return str(caught.value)


def test_what_is_left_after_holes_flaws_and_margin_is_known_by_hand() -> None:
    s = sheet(holes=(rectangle(0.1, 0.1, at=(0.1, 0.1)),), flaws=(rectangle(0.1, 0.1, at=(0.4, 0.1)),), margin=0.01)
    assert s.polygon.area == pytest.approx(0.24 - 0.01)
    assert s.area == pytest.approx(0.24 - 0.02)
    assert s.free.area == pytest.approx(0.58 * 0.38 - 2 * 0.12 * 0.12)


def test_a_flaw_may_reach_over_an_edge_and_over_another() -> None:
    s = sheet(flaws=(rectangle(0.1, 0.1, at=(-0.05, -0.05)), rectangle(0.1, 0.1, at=(0.0, 0.0))))
    assert s.area == pytest.approx(0.24 - 0.01)


def test_either_winding_and_a_repeated_corner_are_accepted() -> None:
    closed = np.vstack([rectangle(0.6, 0.4)[::-1], rectangle(0.6, 0.4)[-1:]])
    s = sheet(outline=closed)
    assert len(s.outline) == 4
    assert shapely.Polygon(s.outline).exterior.is_ccw


def test_each_problem_is_named() -> None:
    bow = np.array([[0.0, 0.0], [0.6, 0.4], [0.6, 0.0], [0.0, 0.4]])
    assert refused(outline=bow).startswith("sheet K1, outline: it crosses or touches itself")
    assert refused(outline=np.zeros((4, 2))) == "sheet K1, outline: 0 different points – at least three"
    assert refused(outline=[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]).startswith("sheet K1, outline: ")
    assert refused(outline=rectangle(0.6, np.nan)).endswith("finite points as (k, 2)")
    outside = refused(holes=(rectangle(0.1, 0.1, at=(0.55, 0.1)),))
    assert outside.startswith("sheet K1, holes: ")
    assert outside.endswith("holes inside the outline, apart from each other")
    both = refused(flaws=(bow,), margin=-0.001, worth=1.5, up="left")
    assert [line.split(":")[0] for line in both.splitlines()] == [
        "sheet K1, flaw 1",
        "sheet K1, margin",
        "sheet K1, worth",
        "sheet K1, up",
    ]


def test_a_layout_on_it_tells_areas_kits_and_loops() -> None:
    part = piece("A", rectangle(0.2, 0.1), quantity=2, kits=("left", "right"))
    put = Placement(label="A", copy=2, turn=0.0, x=0.3, y=0.2)
    nest = SheetNest(sheet=sheet(), pieces=(part,), placements=(replace(put, copy=1, x=0.0), put))
    assert nest.material == TWILL
    assert nest.area_of_pieces == pytest.approx(0.04)
    assert nest.utilisation == pytest.approx(0.04 / 0.24)
    assert nest.kit(put) == "right"
    assert nest.placed_outline(put).bounds == pytest.approx((0.3, 0.2, 0.5, 0.3))
    assert not nest.turned_over
    assert replace(nest, up="dry").turned_over
    with pytest.raises(KeyError):
        nest.piece("B")
