"""Convex parts against shapely's areas, and counts that can be told by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting.convex import convex_parts
from pieces import ell, outlines, rectangle


@given(outlines(), st.booleans())
@settings(max_examples=150, deadline=None)
def test_parts_are_convex_and_cover_the_outline_once(outline: np.ndarray, hole: bool) -> None:
    area = shapely.Polygon(outline)
    if hole:
        area = area.difference(area.representative_point().buffer(0.2 * math.sqrt(area.area), quad_segs=3))
    parts = [shapely.Polygon(p) for p in convex_parts(area)]
    assert sum(p.area for p in parts) == pytest.approx(area.area, rel=1e-9)
    assert shapely.union_all(parts).symmetric_difference(area).area < 1e-9 * area.area
    for part in parts:
        assert part.exterior.is_ccw
        assert part.area == pytest.approx(shapely.convex_hull(part).area, rel=1e-9)


def test_the_fewest_parts_are_found_where_they_are_known() -> None:
    plus = shapely.box(1, 0, 2, 3).union(shapely.box(0, 1, 3, 2))
    assert len(convex_parts(shapely.box(0, 0, 1, 1))) == 1
    assert len(convex_parts(shapely.Polygon(ell()))) == 2
    assert len(convex_parts(plus)) == 3
    ring = shapely.Polygon(rectangle(3.0, 3.0), [rectangle(1.0, 1.0, at=(1.0, 1.0))])
    assert 4 <= len(convex_parts(ring)) <= 6


def test_what_has_no_area_has_no_parts() -> None:
    assert convex_parts(shapely.LineString([(0, 0), (1, 1)])) == ()
    assert convex_parts(shapely.Polygon()) == ()
    two = shapely.union_all([shapely.box(0, 0, 1, 1), shapely.box(2, 0, 3, 1), shapely.Point(9, 9)])
    assert len(convex_parts(two)) == 2
