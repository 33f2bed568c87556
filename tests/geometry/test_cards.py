"""Plain shapes against their closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.geometry import cards, loop_area, loop_length, polygon

lengths = st.floats(0.004, 1.5)
SAG = 5e-5  # what is promised; the curves are followed more closely


def rounded(radius: float) -> float:
    """Return a radius of corners; below a micrometre a corner is sharp."""
    return radius if radius > 1e-6 else 0.0


@settings(max_examples=25, deadline=None)
@given(lengths)
def test_a_disc_has_its_area_and_strays_from_its_circle_by_less_than_promised(diameter: float) -> None:
    (loop,) = cards.disc(diameter)
    assert loop_area(loop) == pytest.approx(math.pi * diameter**2 / 4, rel=1e-9)
    reach = np.linalg.norm(loop, axis=1)
    step = math.tau / len(loop)
    sagitta = float(reach.max()) * (1 - math.cos(step / 2))  # closed form: r (1 − cos(θ/2))
    assert reach.max() - diameter / 2 < SAG
    assert sagitta < SAG
    # Of equal area, n sides are longer than the circle by θ²/24 to first order, as 2 n r sin(θ/2) √(θ / sin θ) says.
    assert loop_length(loop) == pytest.approx(math.pi * diameter * (1 + step**2 / 24), rel=step**4)


@settings(max_examples=25, deadline=None)
@given(lengths, st.floats(0.05, 0.95))
def test_a_ring_has_its_area_and_its_hole_runs_the_other_way(diameter: float, share: float) -> None:
    outline, hole = cards.ring(diameter, share * diameter)
    assert loop_area(hole) < 0 < loop_area(outline)
    assert loop_area(outline) + loop_area(hole) == pytest.approx(math.pi / 4 * diameter**2 * (1 - share**2), rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(lengths, lengths, st.floats(0, 1))
def test_a_rounded_rectangle_has_the_area_ab_less_four_minus_pi_r_squared(a: float, b: float, share: float) -> None:
    r = rounded(share * min(a, b) / 2)
    for card in (cards.rectangle, cards.strip):
        (loop,) = card((a, b), r)
        assert np.ptp(loop, axis=0) == pytest.approx([a, b], rel=1e-9)
        assert loop.max(axis=0) == pytest.approx([a / 2, b / 2], rel=1e-9)
        exact = a * b - (4 - math.pi) * r * r
        assert exact - 2 * math.pi * r * SAG <= loop_area(loop) <= exact * (1 + 1e-9)


@settings(max_examples=25, deadline=None)
@given(lengths, lengths, st.floats(0, 0.99))
def test_a_gusset_is_its_triangle_shrunk_and_grown_by_the_radius(a: float, b: float, share: float) -> None:
    r = rounded(share * a * b / (a + b + math.hypot(a, b)))
    (loop,) = cards.gusset((a, b), r)
    triangle = shapely.Polygon([(0, 0), (a, 0), (0, b)])
    # Each corner of half angle h loses r² (cot h − (π/2 − h)).
    halves = [math.pi / 4, 0.5 * math.atan2(b, a), 0.5 * math.atan2(a, b)]
    exact = a * b / 2 - r * r * sum(1 / math.tan(h) - (math.pi / 2 - h) for h in halves)
    assert exact - math.tau * r * SAG - 1e-12 <= loop_area(loop) <= exact * (1 + 1e-9) + 1e-12
    opened = triangle.buffer(-r, quad_segs=1).buffer(r, quad_segs=200) if r > 1e-5 else triangle
    assert shapely.symmetric_difference(shapely.Polygon(loop), opened).area < SAG * opened.length
    assert triangle.buffer(1e-9).contains(polygon((loop,)))


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: cards.disc(0.0), "a diameter of 0 mm is none"),
        (lambda: cards.ring(0.05, 0.05), "a hole of 50 mm leaves nothing of a ring of 50 mm"),
        (lambda: cards.ring(0.05, 0.0), "a diameter of 0 mm is none"),
        (lambda: cards.rectangle((0.1, -0.1)), "100 by -100 mm with corners of 0 mm is no size"),
        (lambda: cards.strip((0.1, 0.02), 0.011), "the corner radius is more than half the smaller side"),
        (
            lambda: cards.gusset((0.03, 0.04), 0.011),
            "corners of 11 mm do not fit: at most 10.00 mm does with these legs",
        ),
        (lambda: cards.gusset((0.0, 0.04)), "legs of 0 and 40 mm with corners of 0 mm are no size"),
    ],
)
def test_what_cannot_be_cut_is_refused(made: object, message: str) -> None:
    with pytest.raises(ValueError) as caught:
        made()  # type: ignore[operator]
    assert str(caught.value) == message
