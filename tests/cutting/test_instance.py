from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from bagside.cutting import Cloth
from bagside.cutting.instance import Instance, as_wide, simpler
from bagside.cutting.piece import turned
from pieces import TWILL, ell, outlines, piece, rectangle, rosette


def test_gap_and_margin_by_hand() -> None:
    # W = 1000, m = 10, g = 5: the strip is 1000 - 20 + 10 high; its corner (5, 5) is the cloth's (10, 10).
    cloth = Cloth(material=TWILL, width=1.0, margin=0.010, gap=0.005)
    instance = Instance((piece("1", rectangle(0.2, 0.1), quantity=2),), cloth)
    assert instance.message["height"] == pytest.approx(990.0)
    assert instance.message["separation"] == pytest.approx(5.0)
    assert instance.message["items"][0]["turns"] == [0.0, 180.0]
    assert instance.message["items"][0]["points"][2] == pytest.approx([200.0, 100.0])
    first, second = instance.placements([["0", 0.0, 5.0, 5.0], ["0", -180.0, 410.0, 105.0]])
    assert (first.copy, first.turn, first.x, first.y) == (1, 0.0, pytest.approx(0.010), pytest.approx(0.010))
    assert (second.copy, second.turn, second.x, second.y) == (2, math.pi, pytest.approx(0.415), pytest.approx(0.110))


def test_at_gap_nothing_no_separation_is_asked() -> None:
    instance = Instance((piece("1", ell()),), Cloth(material=TWILL, width=1.0))
    assert instance.message["separation"] is None
    assert instance.message["height"] == pytest.approx(1000.0)


def test_the_selvedge_is_kept_across_and_not_at_the_fresh_end() -> None:
    # W = 1000, selvedge 15, m = 10, g = 5: the strip is 1000 - 50 + 10 high; its corner (5, 5) is the cloth's (10, 25).
    cloth = Cloth(material=TWILL, width=1.0, margin=0.010, selvedge=0.015, gap=0.005)
    instance = Instance((piece("1", rectangle(0.2, 0.1)),), cloth)
    assert instance.message["height"] == pytest.approx(960.0)
    (only,) = instance.placements([["0", 0.0, 5.0, 5.0]])
    assert (only.x, only.y) == (pytest.approx(0.010), pytest.approx(0.025))


def test_a_tolerance_gives_the_engine_both_its_ends() -> None:
    instance = Instance((piece("1", ell(), tolerance=math.radians(3.0)),), Cloth(material=TWILL, width=1.0))
    assert instance.message["items"][0]["turns"] == pytest.approx([0.0, -3.0, 3.0, 180.0, 177.0, 183.0])
    (only,) = instance.placements([["0", -176.99999, 400.0, 400.0]])
    assert only.turn == math.radians(183.0) or only.turn == pytest.approx(math.pi + math.radians(3.0), abs=1e-12)


def test_copies_cut_face_down_are_items_of_their_own_and_come_back_as_copies_of_one_piece() -> None:
    pieces = (piece("1", ell(), quantity=3, flips=True), piece("2", ell(), quantity=2))
    instance = Instance(pieces, Cloth(material=TWILL, width=1.0), face_down={"1": 1, "2": 1})
    assert [(i["id"], i["demand"]) for i in instance.message["items"]] == [("0", 2), ("1", 1), ("2", 2)]
    up, down = (shapely.Polygon(i["points"]) for i in instance.message["items"][:2])
    mirrored = shapely.Polygon(1e3 * ell() * np.array([1.0, -1.0]))
    assert up.equals(shapely.Polygon(1e3 * ell()))
    assert down.equals(mirrored)
    found = instance.placements([["1", 0.0, 100.0, 300.0], ["0", 0.0, 400.0, 0.0], ["0", 0.0, 700.0, 0.0]])
    assert [(p.label, p.copy, p.flipped) for p in found] == [("1", 1, True), ("1", 2, False), ("1", 3, False)]


def test_a_piece_as_wide_as_the_cloth_makes_the_strip_wider_and_is_pushed_back() -> None:
    cloth = Cloth(material=TWILL, width=1.0)
    instance = Instance((piece("1", rectangle(0.1, 1.0)), piece("2", ell())), cloth)
    assert instance.excess == pytest.approx(1e-4)
    assert instance.message["separation"] == pytest.approx(0.1)
    assert instance.message["height"] == pytest.approx(1000.3)
    for y in (0.1, 0.15, 0.2):
        assert instance.placements([["0", 0.0, 0.1, y]])[0].y == pytest.approx(0.0, abs=1e-12)
    # The excess of 0.1 mm is shared by both edges: a copy in the middle moves by the separation and half of it.
    assert instance.placements([["1", 0.0, 0.1, 400.0]])[0].y == pytest.approx(0.400 - 1e-4 - 0.5e-4, abs=1e-12)


@given(outlines(), st.floats(0.0, 6.0), st.booleans())
def test_a_block_contains_its_piece_and_is_no_wider(outline: np.ndarray, tilt: float, free: bool) -> None:
    p = piece("1", turned(outline, tilt), turns=None if free else (0.0, math.pi))
    width = p.narrowest()[0]
    cloth = Cloth(material=TWILL, width=width)
    assert as_wide(p, cloth)
    item = Instance((p,), cloth, blocks=True).message["items"][0]
    block = 1e-3 * np.array(item["points"])
    assert shapely.Polygon(block).buffer(1e-9).covers(p.outline)
    assert len(item["turns"]) == 2
    for degrees in item["turns"]:
        assert np.ptp(turned(block, math.radians(degrees))[:, 1]) == pytest.approx(width)


@given(outlines(), st.floats(1e-5, 1e-3))
def test_a_simpler_outline_contains_the_true_one(outline: np.ndarray, tolerance: float) -> None:
    dense = np.asarray(shapely.Polygon(outline).segmentize(0.003).exterior.coords)[:-1]
    grown = shapely.Polygon(simpler(dense, tolerance))
    assert grown.buffer(1e-12).covers(shapely.Polygon(dense))
    assert len(grown.exterior.coords) - 1 <= len(dense)


def test_a_simpler_outline_is_simpler_and_near() -> None:
    true = shapely.Polygon(rosette())
    grown = shapely.Polygon(simpler(rosette()))
    assert len(grown.exterior.coords) < 100
    assert grown.hausdorff_distance(true) < 0.6e-3
    assert simpler(rectangle(0.1, 0.1)) is not None
    assert len(simpler(rectangle(0.1, 0.1))) == 4
