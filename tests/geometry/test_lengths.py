"""Shortest ways and lengths over surfaces, against closed forms and the reference solver over the whole surface."""

import igl
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.geometry import contour_length, distances_between, leg_lengths, line_length
from bagside.geometry.surface import Surface
from shapes import cone, cylinder, hemisphere, plane, plane_with_hole, saddle


def on_ball(polar: float, turn: float, radius: float = 0.1) -> np.ndarray:
    return radius * np.array([np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn), np.cos(polar)])


@given(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1), st.floats(-1.4, 1.4), st.floats(-1.4, 1.4))
@settings(max_examples=25, deadline=None)
def test_ways_on_a_pipe_are_straight_when_it_is_unrolled(x0: float, x1: float, t0: float, t1: float) -> None:
    """Chords instead of arcs cost (step)²/24 of the length: 1.3e-4 at 40 facets over half a turn of 0.08 m."""
    surface = cylinder(0.08, nx=40, ny=56)
    ends = np.array([[x, 0.08 * np.sin(t), 0.08 * np.cos(t)] for x, t in ((x0, t0), (x1, t1))])
    true = float(np.hypot(x1 - x0, 0.08 * (t1 - t0)))
    assert line_length(surface, ends) == pytest.approx(true, rel=3e-4, abs=5e-5)


def test_ways_on_a_ball_are_great_circles_and_err_with_the_square_of_the_edges() -> None:
    a, b = on_ball(1.2, 0.0), on_ball(1.0, 2.0)
    true = 0.1 * float(np.arccos(a @ b / 0.01))
    short = [true - line_length(hemisphere(0.1, rings=n), np.array([a, b])) for n in (15, 30, 60)]
    assert 0 < short[0] < 0.15 * (np.pi / 2 / 15) ** 2 * true
    assert short[0] / short[1] == pytest.approx(4, rel=0.3)
    assert short[1] / short[2] == pytest.approx(4, rel=0.3)


def test_ways_on_a_cone_are_straight_when_it_is_unrolled() -> None:
    half, surface = np.radians(20), cone(n=80)

    def at(slant: float, turn: float) -> np.ndarray:
        r = slant * np.sin(half)
        return np.array([slant * np.cos(half), r * np.sin(turn), r * np.cos(turn)])

    a, b, turn = at(0.2, -1.2), at(0.3, 1.3), 2.5 * np.sin(half)
    assert line_length(surface, np.array([a, b])) == pytest.approx(
        np.sqrt(0.2**2 + 0.3**2 - 2 * 0.2 * 0.3 * np.cos(turn)), rel=2e-4
    )


def test_a_great_circle_through_points_and_as_a_section() -> None:
    surface = hemisphere(0.1, rings=60)
    points = np.array([on_ball(p, 0.3) for p in np.linspace(-1.4, 1.4, 9)])
    assert line_length(surface, points) == pytest.approx(0.1 * 2.8, rel=2e-4)
    across = np.cross(points[0], points[-1])
    assert contour_length(surface, (0, 0, 0), across) == pytest.approx(0.1 * np.pi, rel=2e-4)


def test_a_closed_line_comes_back() -> None:
    square = np.array([[-0.05, -0.05, 0], [0.05, -0.05, 0], [0.05, 0.05, 0], [-0.05, 0.05, 0]])
    assert leg_lengths(plane(), square, closed=True) == pytest.approx([0.1] * 4)
    assert line_length(plane(), square) == pytest.approx(0.3)


def test_the_way_around_a_hole_touches_it() -> None:
    """Two tangents and an arc: 2√(d² − r²) + r (2 asin(r/d)) from points on both sides at the same distance."""
    surface = plane_with_hole(0.3, 0.05, around=192, across=24)
    d, r = 0.12, 0.05
    true = 2 * np.sqrt(d**2 - r**2) + r * (np.pi - 2 * np.arccos(r / d))
    assert line_length(surface, np.array([[-d, 0, 0], [d, 0, 0]])) == pytest.approx(true, rel=5e-4)


def test_cutting_to_the_ellipse_changes_nothing() -> None:
    surface = saddle(n=24)
    rng = np.random.default_rng(5)
    ends = rng.choice(len(surface.vertices), (6, 2), replace=False)
    none = np.zeros(0, dtype=np.int64)
    for a, b in ends:
        whole = igl.exact_geodesic(
            np.array(surface.vertices), np.array(surface.triangles), np.array([a]), none, np.array([b]), none
        )
        assert line_length(surface, surface.vertices[[a, b]]) == pytest.approx(float(np.ravel(whole)[0]), abs=1e-12)


def test_distances_between_all_are_symmetric_and_keep_the_triangle_inequality() -> None:
    surface = hemisphere(0.1, rings=20)
    points = np.array([on_ball(p, t) for p, t in ((0, 0), (0.5, 1), (1.2, 2), (1.4, 4))])
    d = distances_between(surface, points)
    np.testing.assert_array_equal(d, d.T)
    assert np.all(np.diag(d) == 0)
    assert all(d[i, j] <= d[i, k] + d[k, j] + 1e-9 for i in range(4) for j in range(4) for k in range(4))
    assert d[0, 1] == pytest.approx(0.05, rel=2e-3)


def test_what_cannot_be_joined_is_named() -> None:
    with pytest.raises(InputError) as told:
        line_length(plane(), np.array([[0, 0, 0], [0.05, 0, 0.02]]))
    assert str(told.value) == (
        "point 2 of the line over the mould: 50 0 20 mm – a point within 5 mm of the surface is wanted "
        "(the surface is 20.0 mm away, at 50.0 0.0 0.0 mm)"
    )
    flat = plane(0.1, 0.1, 4, 4)
    two = Surface(
        np.concatenate([flat.vertices, flat.vertices + np.array([0.3, 0, 0])]),
        np.concatenate([flat.triangles, flat.triangles + len(flat.vertices)]),
    )
    with pytest.raises(InputError, match="do not hang together"):
        line_length(two, np.array([[0, 0, 0], [0.3, 0, 0]]))
    with pytest.raises(InputError, match="at least two"):
        line_length(plane(), np.zeros((1, 3)))
