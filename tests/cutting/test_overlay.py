from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting.overlay import areas, overlaid, together


def test_outlines_that_the_library_refuses_are_laid_on_a_grid() -> None:
    bow = shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])  # crosses itself: two triangles of 0.25
    with pytest.raises(shapely.GEOSException):
        shapely.intersection(bow, shapely.box(0, 0, 1, 0.5))
    assert overlaid(shapely.intersection, bow, shapely.box(0, 0, 1, 0.5)).area == pytest.approx(0.25)
    assert overlaid(shapely.difference, bow, shapely.box(0, 0, 1, 0.5)).area == pytest.approx(0.25)


def test_lines_and_points_are_no_area() -> None:
    mixed = shapely.GeometryCollection([shapely.box(0, 0, 1, 1), shapely.LineString([(2, 0), (3, 0)])])
    assert areas(mixed).equals(shapely.box(0, 0, 1, 1))
    assert areas(shapely.LineString([(0, 0), (1, 0)])).is_empty


@given(st.integers(0, 2**32 - 1), st.sampled_from([0.0, 1e-13, 1e-10, 2e-8, 2e-7]))
@settings(max_examples=150, deadline=None)
def test_wheels_that_nearly_touch_all_round_keep_their_area(seed: int, press: float) -> None:
    # Sectors of a wheel, each pushed a little over its neighbours, taken out of a disc and put together.
    random = np.random.default_rng(seed)
    angle = np.linspace(0.0, math.tau, 8, endpoint=False) + random.uniform(-0.3, 0.3, 8)
    rim = np.linspace(0.0, 1.0, 6)
    sectors = []
    for a, b in zip(angle, np.append(angle[1:], angle[0] + math.tau), strict=True):
        arc = a + (b - a) * rim
        off = press * random.uniform(-1.0, 1.0, 2)
        sectors.append(shapely.Polygon([(0, 0), *zip(np.cos(arc), np.sin(arc), strict=True)]).buffer(0))
        sectors[-1] = shapely.transform(sectors[-1], lambda p, off=off: p + off)
    whole = together(sectors)
    assert whole.is_valid
    assert whole.area == pytest.approx(sum(s.area for s in sectors), abs=1e-5)
    disc = shapely.Point(0, 0).buffer(1.2, quad_segs=32)
    assert overlaid(shapely.difference, disc, whole).area == pytest.approx(disc.area - whole.area, abs=1e-5)
