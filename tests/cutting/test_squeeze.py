from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, apart, nest_roll, verify
from bagside.cutting.apart import Apart, Shape
from bagside.cutting.convex import convex_parts
from bagside.cutting.greedy import greedy
from bagside.cutting.search import shortest_possible
from bagside.cutting.squeeze import Lay, Squeezer
from bagside.cutting.stir import stirred
from pieces import TWILL, ell, kits, outlines, piece, rectangle, rosette


def put(label: str, copy: int, x: float, y: float, turn: float = 0.0) -> Placement:
    return Placement(label=label, copy=copy, turn=turn, x=x, y=y)


def last(pieces: tuple[FlatPiece, ...], cloth: Cloth, placements: tuple[Placement, ...]) -> Nest:
    """Push a layout together and prove every layout on the way."""
    squeezer = Squeezer(pieces, cloth)
    lays = [lay for lay in squeezer.squeezed(squeezer.lay(placements)) if lay is not None]
    nests = [Nest(cloth=cloth, pieces=pieces, placements=squeezer.placements(lay)) for lay in lays]
    for nest, lay in zip(nests, lays, strict=True):
        verify(nest)
        assert 1e3 * nest.length == pytest.approx(lay.length, abs=1e-6)
    return nests[-1]


def test_two_pieces_far_apart_come_to_the_fresh_end_and_to_the_gap() -> None:
    cloth = Cloth(material=TWILL, width=0.2, margin=0.010, selvedge=0.005, gap=0.004)
    pieces = (piece("1", rectangle(0.3, 0.15), quantity=2),)
    nest = last(pieces, cloth, (put("1", 1, 0.2, 0.02), put("1", 2, 0.9, 0.03)))
    assert nest.length == pytest.approx(0.010 + 0.3 + 0.004 + 0.3, abs=1e-6)


def test_pieces_that_overlap_come_apart() -> None:
    cloth = Cloth(material=TWILL, width=0.2)
    pieces = (piece("1", rectangle(0.3, 0.15), quantity=2),)
    nest = last(pieces, cloth, (put("1", 1, 0.0, 0.0), put("1", 2, 0.29, 0.01)))
    assert nest.length == pytest.approx(0.6, abs=1e-6)


def test_the_gap_is_kept_where_two_corners_face_each_other() -> None:
    # Squares on a corner, as high as the cloth, can only lie corner to corner: 2 · 0.1 · √2 and the gap.
    half = 0.1 / math.sqrt(2.0)
    diamond = np.array([[half, 0.0], [0.0, half], [-half, 0.0], [0.0, -half]])
    cloth = Cloth(material=TWILL, width=2.0 * half, gap=0.005)
    nest = last((piece("1", diamond, quantity=2),), cloth, (put("1", 1, half, half), put("1", 2, 0.3, half)))
    assert nest.length == pytest.approx(4.0 * half + 0.005, abs=1e-6)


def test_a_piece_slides_into_the_hollow_of_another() -> None:
    # An L and the square that fills it: together 0.2 m long and 0.15 m across.
    pieces = (piece("L", ell()), piece("s", rectangle(0.12, 0.1)))
    nest = last(pieces, Cloth(material=TWILL, width=0.15), (put("L", 1, 0.0, 0.0), put("s", 1, 0.23, 0.05)))
    assert nest.length == pytest.approx(0.2, abs=1e-6)


def test_a_long_layout_is_drawn_together_in_few_rounds() -> None:
    pieces = (piece("1", rectangle(0.1, 0.2), quantity=40),)
    cloth = Cloth(material=TWILL, width=0.25)
    squeezer = Squeezer(pieces, cloth)
    spread = tuple(put("1", k + 1, 0.11 * k, 0.02) for k in range(40))
    rounds = list(squeezer.squeezed(squeezer.lay(spread)))
    assert rounds[-1] is not None
    assert rounds[-1].length == pytest.approx(4000.0, abs=0.01)
    assert len(rounds) < 20


def test_a_layout_that_will_be_too_long_is_given_up() -> None:
    pieces = (piece("1", rectangle(0.3, 0.15), quantity=3),)
    squeezer = Squeezer(pieces, Cloth(material=TWILL, width=0.2))
    lay = squeezer.lay(tuple(put("1", k, 0.3 * k, 0.0) for k in (1, 2, 3)))
    assert [x for x in squeezer.squeezed(lay, limit=800.0) if x is not None] == []


@given(kits())
@settings(max_examples=10, deadline=None)
def test_a_layout_never_becomes_longer_and_can_always_be_cut(given_: tuple[tuple[FlatPiece, ...], Cloth]) -> None:
    pieces, cloth = given_
    for layout in itertools.islice(greedy(pieces, cloth), 2):
        before = Nest(cloth=cloth, pieces=pieces, placements=layout)
        assert last(pieces, cloth, layout).length <= before.length + 1e-7


@given(kits())
@settings(max_examples=6, deadline=None)
def test_no_layout_is_shorter_than_the_bound(given_: tuple[tuple[FlatPiece, ...], Cloth]) -> None:
    pieces, cloth = given_
    assert nest_roll(pieces, cloth, seconds=0.0).length >= shortest_possible(pieces, cloth) - 1e-9


def shape(outline: np.ndarray) -> Shape:
    polygon = shapely.Polygon(outline)
    (hull,) = convex_parts(polygon.convex_hull)
    return Shape(parts=convex_parts(polygon), hull=hull, low=outline.min(axis=0), high=outline.max(axis=0))


@given(outlines(), outlines(), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.sampled_from([0.0, 0.005, 0.05]))
def test_conditions_hold_where_two_shapes_are_clear_and_fail_where_they_are_not(
    a: np.ndarray, b: np.ndarray, x: float, y: float, gap: float
) -> None:
    # Against shapely's distance of the true outlines.
    at = np.array([[0.0, 0.0], [x, y]])
    i, j, normal, least = Apart(gap).conditions([shape(a), shape(b)], at, 0.02)
    held = bool(((normal * (at[j] - at[i])).sum(axis=1) >= least).all())
    one, other = shapely.Polygon(a), shapely.Polygon(b + at[1])
    distance = one.distance(other) - gap
    if distance > 1e-9:
        assert held
    if distance < -1e-9 or (gap == 0.0 and one.intersection(other).area > 1e-12):
        assert not held
    assert np.allclose(np.hypot(normal[:, 0], normal[:, 1]), 1.0)


def test_tables_are_made_anew_before_they_grow_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "KEPT", 50)
    a, b = shape(rectangle(0.1, 0.1)), shape(ell())
    between = Apart(0.0)
    at = np.array([[0.0, 0.0], [0.11, 0.0], [0.32, 0.0]])
    first = between.conditions([a, b, a], at, 0.05)
    again = between.conditions([a, b, a], at, 0.05)
    assert all(np.array_equal(x, y) for x, y in zip(first, again, strict=True))
    assert len(between.tables) == 1


def test_stirring_only_ever_gives_shorter_layouts_that_can_be_cut() -> None:
    pieces = (
        piece("1", rosette(0.1), quantity=4), piece("2", ell(), quantity=6),
        piece("3", rectangle(0.12, 0.07), quantity=5, flips=True, tolerance=0.03),
    )  # fmt: skip
    cloth = Cloth(material=TWILL, width=0.5, margin=0.01, gap=0.003)
    squeezer = Squeezer(pieces, cloth)
    start = squeezer.lay(next(greedy(pieces, cloth)))
    lay: Lay = [x for x in squeezer.squeezed(start) if x is not None][-1]
    found = [x for x in itertools.islice(stirred(squeezer, lay, np.random.default_rng(1)), 120) if x is not None]
    lengths = [lay.length, *(x.length for x in found)]
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[-1] < lengths[0]
    for x in found:
        verify(Nest(cloth=cloth, pieces=pieces, placements=squeezer.placements(x)))
