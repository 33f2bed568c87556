"""No-fit polygons against closed forms, and against shapely moving one outline past the other."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bagside.cutting.convex import convex_parts
from bagside.cutting.nofit import SLACK, UNIT, Parts, grown, inner_fit, no_fit, sums, united, without
from pieces import outlines, rectangle

NEAR = 4.0 * SLACK  # [units]; nearer to contact than this, slack and rounding decide


def on_grid(outline: np.ndarray) -> np.ndarray:
    return np.rint(outline / UNIT)


def parts(outline: np.ndarray, sign: float = 1.0) -> Parts:
    return Parts.of([sign * p for p in convex_parts(shapely.Polygon(outline))])


def area_of(paths: list) -> shapely.Geometry:
    """Return paths as an area: outer ones run counter-clockwise, holes clockwise; a path may touch itself."""
    rings = [(shapely.LinearRing(p).is_ccw, shapely.make_valid(shapely.Polygon(p))) for p in paths]
    outer, holes = ([g for ccw, g in rings if ccw is kind] for kind in (True, False))
    area = shapely.union_all(outer, grid_size=1.0).difference(shapely.union_all(holes, grid_size=1.0), grid_size=1.0)
    return shapely.union_all([g for g in shapely.get_parts(area) if g.geom_type == "Polygon"])


def test_two_squares_may_not_come_closer_than_a_square_of_twice_the_side() -> None:
    square = on_grid(rectangle(0.02, 0.02))
    exact = united(sums(parts(square), parts(square, -1.0), slack=0.0))
    assert area_of(exact).equals(shapely.box(-1e6, -1e6, 1e6, 1e6))
    taken_in = no_fit(parts(square), parts(square, -1.0))
    assert area_of(taken_in).equals(shapely.box(-1e6 + SLACK, -1e6 + SLACK, 1e6 - SLACK, 1e6 - SLACK))


@given(outlines(), outlines())
@settings(max_examples=60, deadline=None)
def test_of_convex_outlines_perimeters_add_up(a: np.ndarray, b: np.ndarray) -> None:
    # The perimeter of a Minkowski sum of convex figures is the sum of theirs; its area is A + B + 2 V(A, B).
    hulls = [on_grid(np.asarray(shapely.convex_hull(shapely.Polygon(p)).exterior.coords)[:-1][::-1]) for p in (a, b)]
    hulls = [np.asarray(shapely.orient_polygons(shapely.Polygon(h)).exterior.coords)[:-1] for h in hulls]
    paths = united(sums(Parts.of([hulls[0]]), Parts.of([hulls[1]]), slack=0.0))
    whole = area_of(paths)
    assert whole.length == pytest.approx(sum(shapely.Polygon(h).length for h in hulls), rel=1e-6)


@given(outlines(), outlines(), st.integers(0, 2**32 - 1))
@settings(max_examples=100, deadline=None)
def test_inside_they_overlap_and_outside_they_do_not(a: np.ndarray, b: np.ndarray, seed: int) -> None:
    a, b = on_grid(a), on_grid(b)
    still, moving = shapely.Polygon(a), shapely.Polygon(b)
    assume(still.is_valid and moving.is_valid)
    forbidden = area_of(no_fit(parts(a), parts(b, -1.0)))
    low, high = a.min(axis=0) - b.max(axis=0), a.max(axis=0) - b.min(axis=0)
    places = np.random.default_rng(seed).uniform(low, high, (12, 2))
    for place in places:
        overlap = still.intersection(shapely.Polygon(b + place)).area > 0.0
        point = shapely.Point(place)
        if forbidden.boundary.distance(point) > NEAR:
            assert overlap == forbidden.contains(point)


@given(outlines(), outlines())
@settings(max_examples=50, deadline=None)
def test_at_its_corners_they_touch_and_hardly_press(a: np.ndarray, b: np.ndarray) -> None:
    a, b = on_grid(a), on_grid(b)
    still = shapely.Polygon(a)
    assume(still.is_valid and shapely.Polygon(b).is_valid)
    for path in no_fit(parts(a), parts(b, -1.0)):
        for place in path[:6]:
            moved = shapely.Polygon(b + np.array(place))
            assert still.distance(moved) <= NEAR
            inner = shapely.buffer([still, moved], -2.0 * SLACK, join_style="mitre")
            assert not inner[0].intersects(inner[1])


@given(outlines(), st.sampled_from([0.0, 1e-4, 0.0025, 0.005, 0.03]))
@settings(max_examples=60, deadline=None)
def test_a_grown_outline_holds_all_that_is_near_and_hardly_more(outline: np.ndarray, by: float) -> None:
    hull = shapely.orient_polygons(shapely.convex_hull(shapely.Polygon(outline)))
    loop = np.asarray(hull.exterior.coords)[:-1]
    out = shapely.Polygon(grown(loop, by))
    assert out.buffer(1e-9).covers(hull.buffer(by, quad_segs=32))
    corners = shapely.points(np.asarray(out.exterior.coords))
    assert shapely.distance(hull, corners).max() <= by / math.cos(math.pi / 12) + 1e-9
    # Straight edges stand off by the distance itself.
    if by > 1e-6:
        assert out.exterior.distance(hull) == pytest.approx(by, rel=1e-6)


def place_in(frame: np.ndarray, hole: np.ndarray, piece: np.ndarray) -> list:
    """Return where a piece may come in a frame with a hole of cloth in it, all on the grid."""
    low, high = frame.min(axis=0), frame.max(axis=0)
    rest = shapely.Polygon(frame, [hole])
    return inner_fit(
        Parts.of(convex_parts(rest)),
        parts(piece, -1.0),
        np.asarray(low - piece.min(axis=0), dtype=np.int64),
        np.asarray(high - piece.max(axis=0), dtype=np.int64),
    )


@given(st.integers(20, 200), st.integers(20, 200))
@settings(max_examples=40, deadline=None)
def test_a_hole_that_just_fits_has_one_place(length: int, width: int) -> None:
    piece = on_grid(rectangle(1e-3 * length, 1e-3 * width))
    hole = on_grid(rectangle(1e-3 * length, 1e-3 * width, at=(0.05, 0.03)))
    frame = on_grid(rectangle(0.4, 0.4))
    (path,) = place_in(frame, hole, piece)
    spot = np.array(path) - hole.min(axis=0)
    assert np.abs(spot).max() <= SLACK


def test_a_slot_as_wide_as_the_piece_has_a_line_of_places_and_a_narrower_one_none() -> None:
    frame = on_grid(rectangle(0.4, 0.4))
    slot = on_grid(rectangle(0.3, 0.05, at=(0.05, 0.1)))
    (path,) = place_in(frame, slot, on_grid(rectangle(0.1, 0.05)))
    assert np.ptp(path, axis=0) == pytest.approx([0.2 / UNIT + 2 * SLACK, 2 * SLACK])
    assert place_in(frame, slot, on_grid(rectangle(0.1, 0.05 + 1e-6))) == []


def test_a_piece_as_large_as_the_sheet_fits_and_a_larger_one_does_not() -> None:
    none = Parts.of([])
    piece = on_grid(rectangle(0.2, 0.1))
    zero = np.zeros(2, dtype=np.int64)
    assert len(inner_fit(none, parts(piece, -1.0), zero, zero)) == 1
    assert inner_fit(none, parts(piece, -1.0), zero, zero - 100) == []


def test_nothing_taken_leaves_all_and_all_taken_leaves_nothing() -> None:
    square = [[[0, 0], [100, 0], [100, 100], [0, 100]]]
    assert without(square, []) == square
    assert without([], square) == []
    assert without(square, square) == []
