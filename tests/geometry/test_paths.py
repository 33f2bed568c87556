"""Lines over a surface against circles, unrolled cylinders and the tangents of a circle."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

import moulds
import shapes
from bagside.errors import NotSolved
from bagside.geometry import Surface, joined, length_of, nearest, parallel, resampled, stations
from bagside.geometry.lines import sides_of, straight_through
from bagside.geometry.polyline import corners_of
from bagside.geometry.strip import Net
from bagside.spec.lines import Follow

Floats = NDArray[np.float64]
R = 0.1


def on_sphere(polar: float, turn: float) -> Floats:
    return R * np.array([np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn), np.cos(polar)])


@pytest.fixture(scope="module")
def cap() -> Surface:
    return shapes.hemisphere(R, np.pi / 2, 30)


@settings(max_examples=25, deadline=None)
@given(
    st.tuples(st.floats(0.1, 1.4), st.floats(0, 6.28)),
    st.tuples(st.floats(0.1, 1.4), st.floats(0, 6.28)),
)
def test_on_a_sphere_a_line_is_part_of_a_great_circle(one: tuple[float, float], two: tuple[float, float]) -> None:
    a, b = on_sphere(*one), on_sphere(*two)
    angle = float(np.arccos(np.clip(a @ b / R**2, -1, 1)))
    if not 0.2 < angle < 2.6:  # near the far side many ways are about as short
        return
    line = joined(shapes.hemisphere(R, np.pi / 2, 30), np.stack([a, b]))
    assert length_of(line) == pytest.approx(R * angle, rel=1e-3)  # chords of 30 rings: 4e-4 short
    axis = np.cross(a, b) / np.linalg.norm(np.cross(a, b))
    assert np.abs(line @ axis).max() < 0.02 * R * angle


@settings(max_examples=20, deadline=None)
@given(st.tuples(*(st.floats(-0.11, 0.11) for _ in range(4))))
def test_on_a_cylinder_a_line_is_straight_when_unrolled(p: tuple[float, ...]) -> None:
    ends = np.array(p).reshape(2, 2)
    flat = float(np.linalg.norm(ends[0] - ends[1]))
    if flat < 0.02:
        return
    r = 0.08
    bent = np.column_stack([ends[:, 0], r * np.sin(ends[:, 1] / r), r * np.cos(ends[:, 1] / r)])
    assert length_of(joined(shapes.cylinder(r), bent)) == pytest.approx(flat, rel=4e-4)


def test_round_a_hole_a_line_is_two_tangents_and_an_arc() -> None:
    line = joined(shapes.plane_with_hole(0.3, 0.05), np.array([[-0.12, 0, 0], [0.12, 0, 0]]))
    d, r = 0.12, 0.05
    exact = 2 * (np.sqrt(d * d - r * r) + r * (np.pi / 2 - np.arccos(r / d)))
    assert length_of(line) == pytest.approx(exact, rel=2e-4)
    assert np.linalg.norm(line[:, :2], axis=1).min() == pytest.approx(r, rel=1e-3)


@pytest.mark.parametrize("name", ["box_corner", "saddle", "l_shape", "slotted_cap", "holed_cap", "plane", "cone"])
def test_a_line_lies_on_the_surface_and_is_no_longer_than_the_way_along_edges(name: str) -> None:
    surface = getattr(shapes, name)()
    net = Net(surface)
    pairs = np.random.default_rng(3).integers(len(surface.triangles), size=(12, 2))
    for one, two in pairs[pairs[:, 0] != pairs[:, 1]]:
        ends = surface.centroids[[one, two]]
        line = straight_through(net, ends)
        way = net.way(int(one), int(two))
        rough = length_of(np.concatenate([ends[:1], way, ends[1:]]))
        assert length_of(line) <= rough * (1 + 1e-12)
        assert nearest(surface, 0.5 * (line[1:] + line[:-1]))[0].max() < 1e-9  # every step lies in one triangle
        assert np.allclose(line[[0, -1]], ends)


def test_a_line_and_its_return_are_one(cap: Surface) -> None:
    ends = np.stack([on_sphere(1.2, 0.1), on_sphere(1.0, 2.0)])
    there, back = joined(cap, ends), joined(cap, ends[::-1])
    assert length_of(there) == pytest.approx(length_of(back), rel=1e-9)


def test_a_closed_line_returns_to_its_first_point(cap: Surface) -> None:
    loop = joined(cap, np.stack([on_sphere(1.0, t) for t in (0.0, 2.0, 4.0)]), closed=True)
    assert np.array_equal(loop[0], loop[-1])
    side = float(np.arccos(np.cos(1.0) ** 2 + np.sin(1.0) ** 2 * np.cos(2.0)))
    last = float(np.arccos(np.cos(1.0) ** 2 + np.sin(1.0) ** 2 * np.cos(2 * np.pi - 4.0)))
    assert length_of(loop) == pytest.approx(R * (2 * side + last), rel=1e-3)


def test_too_few_points_and_parts_that_do_not_hang_together_are_refused(cap: Surface) -> None:
    with pytest.raises(ValueError, match="1 different points make no line"):
        joined(cap, np.stack([on_sphere(1, 0), on_sphere(1, 0)]))
    one = shapes.plane(0.1, 0.1, 4, 4)
    two = Surface(
        np.concatenate([one.vertices, one.vertices + np.array([0.2, 0, 0])]),
        np.concatenate([one.triangles, one.triangles + len(one.vertices)]),
    )
    with pytest.raises(NotSolved, match="no way over the surface leads from one point to the other"):
        joined(two, np.array([[0, 0, 0], [0.2, 0, 0]]))


def test_along_a_hollow_the_line_keeps_to_the_middle_of_its_fillet() -> None:
    turn, radius = np.radians(80), 0.006
    bend = moulds.bend(turn, radius, wall=0.04, length=0.12, edge=0.002)
    middle = np.array([0.0, radius * np.sin(turn / 2), radius * (1 - np.cos(turn / 2))])
    wall = np.array([0, np.cos(turn), np.sin(turn)])
    ends = np.stack([0.02 * wall + [0.002, 0, 0], 0.018 * wall + [0.118, 0, 0]])
    drawn = joined(bend, ends, follow=Follow.HOLLOW)
    inner = drawn[(drawn[:, 0] > 0.035) & (drawn[:, 0] < 0.085)]
    assert len(inner) > 10
    assert np.linalg.norm((inner - middle)[:, 1:], axis=1).max() < 0.0015
    straight = joined(bend, ends)
    assert np.linalg.norm((straight - middle)[:, 1:], axis=1).min() > 0.01
    along_ridge = joined(bend.flipped(), ends, follow=Follow.RIDGE)  # the same fold from its other side
    inner = along_ridge[(along_ridge[:, 0] > 0.035) & (along_ridge[:, 0] < 0.085)]
    assert np.linalg.norm((inner - middle)[:, 1:], axis=1).max() < 0.0015


def test_where_nothing_bends_a_hollow_line_is_straight() -> None:
    flat = shapes.plane()
    ends = np.array([[-0.1, -0.05, 0], [0.1, 0.03, 0]])
    assert length_of(joined(flat, ends, follow=Follow.HOLLOW)) == pytest.approx(np.hypot(0.2, 0.08), rel=1e-9)


@pytest.mark.parametrize("shift", [0.02, -0.02, 0.007])
def test_beside_a_circle_of_latitude_lies_another(cap: Surface, shift: float) -> None:
    ring = np.stack([on_sphere(0.9, t) for t in np.linspace(0, 2 * np.pi, 181)])
    beside = parallel(cap, ring, shift)
    polar = np.arccos(beside[:, 2] / np.linalg.norm(beside, axis=1))
    assert np.abs((0.9 - polar) * R - shift).max() < 1e-4  # left of an eastward ring is towards the pole
    assert np.linalg.norm(beside[0] - beside[-1]) < 1e-9
    assert np.cross(beside[0], beside[5])[2] > 0


def test_beside_a_straight_line_lies_one_at_that_distance_on_the_stated_side() -> None:
    flat = shapes.plane(0.3, 0.2, 31, 23)
    line = np.array([[-0.15, 0.01, 0], [0.15, 0.01, 0]])
    left, right = parallel(flat, line, 0.03), parallel(flat, line, -0.03)
    assert np.abs(left[:, 1] - 0.04).max() < 2e-5
    assert np.abs(right[:, 1] + 0.02).max() < 2e-5
    assert left[0, 0] < left[-1, 0]
    assert left[0, 0] == pytest.approx(-0.15, abs=1e-6)
    assert np.array_equal(parallel(flat, line, 0.0), line)
    with pytest.raises(NotSolved, match="no line 200 mm beside this one lies on the surface"):
        parallel(flat, line, 0.2)


def test_a_line_beside_one_that_ends_inside_ends_opposite_to_it() -> None:
    flat = shapes.plane(0.3, 0.2, 30, 20)
    beside = parallel(flat, np.array([[-0.15, 0, 0], [0.03, 0, 0]]), 0.02)
    assert beside[-1, 0] == pytest.approx(0.03, abs=2e-3)
    assert np.abs(beside[:, 1] - 0.02).max() < 2e-5


def test_sides_of_a_line() -> None:
    flat = shapes.plane(0.3, 0.2, 10, 10)
    line = np.array([[-0.05, 0, 0], [0.05, 0, 0.0]])
    away, ended = sides_of(flat, line, np.array([[0, 0.03, 0], [0, -0.02, 0], [0.09, 0.03, 0]]))
    assert away == pytest.approx([0.03, -0.02, 0.05])
    assert ended.tolist() == [False, False, True]


def test_points_along_lines_by_hand() -> None:
    line = np.array([[0.0, 0], [3, 4], [3, 6]])
    assert stations(line, np.array([0, 2.5, 6, 9])).tolist() == [[0, 0], [1.5, 2], [3, 5], [3, 6]]
    assert np.linalg.norm(np.diff(resampled(np.array([[0.0, 0], [1, 0]]), 0.3), axis=0), axis=1) == pytest.approx(0.25)
    assert corners_of(np.array([[0.0, 0], [1, 0.01], [2, 0], [2, 2]]), 0.02).tolist() == [0, 2, 3]
