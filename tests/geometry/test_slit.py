"""Surfaces cut open along lines: areas of caps and sectors, what hangs together, what is doubled."""

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

import shapes
from bagside.errors import NotSolved
from bagside.geometry import Surface, components, embedded, length_of, slit
from bagside.geometry.slit import divided_along, on_rim, relinked
from bagside.geometry.topology import consistent

Floats = NDArray[np.float64]
R = 0.1


def edges_known(surface: Surface, way: NDArray[np.int64]) -> bool:
    known = {tuple(e) for e in surface.edges.tolist()}
    return all(tuple(sorted(p)) in known for p in zip(way[:-1].tolist(), way[1:].tolist(), strict=True))


def on_sphere(polar: float, turn: float) -> Floats:
    return R * np.array([np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn), np.cos(polar)])


def test_a_circle_cut_out_of_a_cap_leaves_a_cap_and_a_zone() -> None:
    cap = shapes.hemisphere(R, np.pi / 2, 40)
    ring = np.stack([on_sphere(0.9, t) for t in np.linspace(0, 2 * np.pi, 181)])
    ring[-1] = ring[0]
    mesh, (way,) = embedded(cap, [ring])
    assert way[0] == way[-1]
    assert edges_known(mesh, way)
    assert mesh.area == pytest.approx(cap.area, rel=1e-12)
    opened, origin = slit(mesh, [way])
    zone, inner = components(opened)
    assert inner.area == pytest.approx(2 * np.pi * R**2 * (1 - np.cos(0.9)), rel=2e-3)
    assert zone.area == pytest.approx(2 * np.pi * R**2 * np.cos(0.9), rel=2e-3)
    assert len(opened.vertices) == len(mesh.vertices) + len(way) - 1
    assert np.array_equal(opened.vertices, mesh.vertices[origin])


def test_a_dart_doubles_all_but_its_point() -> None:
    flat = shapes.plane(0.3, 0.2, 20, 14)
    mesh, (way,) = embedded(flat, [np.array([[-0.15, 0.013, 0], [0.02, 0.031, 0]])])
    opened, origin = slit(mesh, [way])
    assert len(components(opened)) == 1
    assert len(opened.vertices) == len(mesh.vertices) + len(way) - 1
    assert np.bincount(origin)[way].tolist() == [2] * (len(way) - 1) + [1]
    assert length_of(opened.vertices[np.append(opened.loops[0], opened.loops[0][0])]) == pytest.approx(
        2 * (0.3 + 0.2) + 2 * np.hypot(0.17, 0.018)
    )


def test_crossing_lines_share_a_vertex_and_leave_four_parts() -> None:
    flat = shapes.plane(0.3, 0.2, 21, 14)
    lines = [np.array([[-0.15, -0.02, 0], [0.15, 0.05, 0]]), np.array([[0.01, -0.1, 0], [-0.03, 0.1, 0]])]
    mesh, ways = embedded(flat, lines)
    assert len(set(ways[0].tolist()) & set(ways[1].tolist())) == 1
    parts = components(slit(mesh, ways)[0])
    assert len(parts) == 4
    assert sum(p.area for p in parts) == pytest.approx(0.06)
    assert all(len(p.loops) == 1 for p in parts)


def test_a_slot_makes_a_hole_and_a_line_from_hole_to_rim_opens_the_ring() -> None:
    flat = shapes.plane(0.3, 0.2, 20, 14)
    mesh, ways = embedded(flat, [np.array([[-0.05, 0, 0], [0.06, 0.02, 0]])])
    assert len(slit(mesh, ways)[0].loops) == 2
    ring = shapes.plane_with_hole()
    mesh, ways = embedded(ring, [np.array([[0.05, 0, 0], [0.15, 0, 0]])])
    opened, _ = slit(mesh, ways)
    assert [len(ring.loops), len(opened.loops), len(components(opened))] == [2, 1, 1]


def test_a_way_along_the_rim_changes_nothing() -> None:
    flat = shapes.plane(0.3, 0.2, 6, 4)
    opened, origin = slit(flat, [flat.loops[0][:5]])
    assert np.array_equal(opened.triangles, flat.triangles)
    assert np.array_equal(origin, np.arange(len(flat.vertices)))


def test_edges_along_a_way_are_halved() -> None:
    flat = shapes.plane(0.3, 0.2, 20, 14)
    mesh, (way,) = embedded(flat, [np.array([[-0.15, 0.013, 0], [0.15, 0.031, 0]])])
    fine, way = divided_along(mesh, way, 0.002)
    step = np.linalg.norm(np.diff(fine.vertices[way], axis=0), axis=1)
    assert step.max() <= 0.002
    assert step.sum() == pytest.approx(np.hypot(0.3, 0.018))
    assert edges_known(fine, way)
    _, (same,) = relinked(fine, [np.append(way[:-1:2], way[-1])])
    assert np.array_equal(same, way)


def test_the_rim_by_hand() -> None:
    flat = shapes.plane(0.3, 0.2, 3, 3)
    assert int(on_rim(flat).sum()) == 12


H = 0.025  # [m] edges of the rectangle below along its sides
Drawn = list[list[tuple[float, float]]]


def sound(surface: Surface, lines: list[Floats]) -> tuple[Surface, list[NDArray[np.int64]]]:
    """Return lines made edges, after every check that holds of any lines."""
    mesh, ways = embedded(surface, lines)
    assert mesh.area == pytest.approx(surface.area, rel=1e-9)
    assert consistent(mesh.triangles)
    assert mesh.areas.min() > 0
    assert len(mesh.loops) == len(surface.loops)
    for line, way in zip(lines, ways, strict=True):
        assert edges_known(mesh, way)
        assert (way[0] == way[-1]) or not np.array_equal(line[0], line[-1])
    opened, origin = slit(mesh, ways)
    assert consistent(opened.triangles)
    assert np.array_equal(origin[opened.triangles], mesh.triangles)
    return mesh, ways


def flat_lines(drawn: Drawn) -> list[Floats]:
    return [np.column_stack([np.array(p), np.zeros(len(p))]) for p in drawn]


def on_line(mesh: Surface, ways: list[NDArray[np.int64]], drawn: Drawn) -> None:
    """Check with shapely that each way runs where its line was drawn, all of it, and ends where it ends."""
    for points, way in zip(drawn, ways, strict=True):
        laid = mesh.vertices[way][:, :2]
        away = shapely.hausdorff_distance(shapely.LineString(points), shapely.LineString(laid), densify=0.01)
        assert away < 5e-3 * H  # simplified by 2, moved by 1 to 2 thousandths
        assert np.linalg.norm(laid[[0, -1]] - np.array(points)[[0, -1]], axis=1).max() < 5e-3 * H


def micrometres(least: float, most: float) -> st.SearchStrategy[float]:
    """Return lengths in whole µm: lines are drawn by hand or measured, and shapely divides by shorter steps."""
    return st.integers(round(least * 1e6), round(most * 1e6)).map(lambda k: k * 1e-6)


points = st.tuples(micrometres(-0.14, 0.14), micrometres(-0.09, 0.09))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(points, min_size=2, max_size=5), min_size=1, max_size=4))
@example(
    [
        [(0.0, 0.015625), (0.125, 0.01953125), (0.00390625, 0.0625), (0.0, 0.0)],
        [(0.037109375, 0.041015625), (0.0025, 0.0), (0.125, 0.01953125), (0.00390625, 0.015625)],
    ]
)
def test_any_lines_become_edges_of_a_sound_mesh(drawn: Drawn) -> None:
    flat = shapes.plane(0.3, 0.2, 12, 8)
    lines = [p for p in flat_lines(drawn) if length_of(p) > 1e-3]
    mesh, ways = sound(flat, lines)
    on_line(mesh, ways, [p[:, :2].tolist() for p in lines])


FAN = [[(0.11 * np.cos(t), 0.08 * np.sin(t)), (0.0131, 0.0072)] for t in np.linspace(0, 6, 17)]
NEAR_FAN = [[p, (0.0131 + (-1) ** k * 10.0 ** -(4 + k % 5), 0.0072)] for k, (p, _) in enumerate(FAN)]
BESIDE = [
    [(-0.13, y - 0.06), (0.13, y + 0.031)] for y in H * np.array([0, 1e-6, -1e-5, 1e-4, -9e-4, 1e-3, 1.1e-3, 3e-3])
]
WEDGE = [[(-0.13, -0.06), (0.13, 0.031 + H * y)] for y in (0, 1e-6, 1e-4, 1e-3, 1e-2, 1e-1)]
CROSSED = [[(-0.13, H * y), (0.13, -H * y)] for y in (1e-5, 1e-4, 1e-3, 1e-2, 1e-1)]
ON_EDGES = [
    [(-0.1, 0.0), (0.1, 0.0)],
    [(-0.1, 5e-7), (0.1, -5e-7)],
    [(-0.1, 2.4e-5), (0.1, 2.6e-5)],
    [(-0.1, -0.075), (0.05, 0.075)],
    [(0.025, -0.09), (0.025, 0.09)],
    [(0.02501, -0.09), (0.025, 0.09), (0.0, 0.05)],
]
RINGS = [
    [(x + r * np.cos(t), r * np.sin(t)) for t in np.linspace(0, 2 * np.pi, n, endpoint=False)]
    for x, r, n in ((0.0, 0.05, 60), (2e-5, 0.05, 61), (0.05, 0.05, 7), (0.1, 2e-4, 5), (0.0, 0.0501, 60))
]
ZIGZAG = [[(-0.1 + 0.006 * k, (-1) ** k * s * (1 + k % 3)) for k in range(30)] for s in (1e-6, 3e-5, 7e-5, 1e-3, 1e-2)]
CROWDS = {
    "through one point": FAN,
    "close by one point": NEAR_FAN,
    "side by side": BESIDE,
    "from one point at tiny angles": WEDGE,
    "crossing at tiny angles": CROSSED,
    "along edges": ON_EDGES,
    "rings": [[*ring, ring[0]] for ring in RINGS],
    "zigzags": ZIGZAG,
    "all of these": [*FAN, *BESIDE, *WEDGE, *CROSSED, *ON_EDGES, *ZIGZAG],
}


@pytest.mark.parametrize("crowd", CROWDS)
def test_lines_that_crowd_become_edges_where_they_were_drawn(crowd: str) -> None:
    drawn = CROWDS[crowd]
    on_line(*sound(shapes.plane(0.3, 0.2, 12, 8), flat_lines(drawn)), drawn)


@pytest.mark.parametrize("crowd", CROWDS)
def test_lines_that_crowd_become_edges_on_a_curved_surface(crowd: str) -> None:
    lines = [0.6 * line for line in flat_lines(CROWDS[crowd])]
    for line in lines:
        line[:, 2] = np.sqrt(R**2 - line[:, 0] ** 2 - line[:, 1] ** 2)
    mesh, ways = sound(shapes.hemisphere(R, np.pi / 2, 12), lines)
    sag = 0.6e-3  # [m] of the faces under the sphere, (edge 13 mm)² / (8 R) twice over
    for line, way in zip(lines, ways, strict=True):
        away = np.linalg.norm(mesh.vertices[way][[0, -1]] - line[[0, -1]], axis=1)
        assert away.max() < sag


def test_a_line_that_turns_straight_back_runs_over_the_same_edges_twice() -> None:
    flat = shapes.plane(0.3, 0.2, 12, 8)
    there = np.array([[-0.11, -0.03, 0], [0.12, 0.041, 0]])
    mesh, (way,) = embedded(flat, [there[[0, 1, 0]]])
    assert np.array_equal(way, way[::-1])
    assert length_of(mesh.vertices[way]) == pytest.approx(2 * length_of(there))
    opened, _ = slit(mesh, [way])
    assert len(opened.vertices) == len(mesh.vertices) + len(way) // 2 + 1 - 2


def test_lines_far_closer_than_a_thousandth_of_an_edge_share_their_edges() -> None:
    flat = shapes.plane(0.3, 0.2, 12, 8)
    lines = [np.array([[-0.11, -0.031 + y, 0], [0.12, 0.041 + y, 0]]) for y in (0, 1e-4 * H)]
    _, (one, other) = embedded(flat, lines)
    assert np.array_equal(one, other)


def test_no_link_leads_over_a_hole() -> None:
    ring = shapes.plane_with_hole(0.3, 0.05)
    west, east = (int(np.abs(ring.vertices - [x, 0, 0]).sum(axis=1).argmin()) for x in (-0.1, 0.1))
    with pytest.raises(NotSolved) as caught:
        relinked(ring, [np.array([west, east])])
    assert str(caught.value) == "the surface ends between two points that a line over it runs straight between"


def test_triangles_too_thin_to_hold_a_line_are_refused() -> None:
    thin = np.nextafter(1, 2)  # half way down the triangle this wide there is no number between its sides
    v = np.array([[0, 0, 0], [2, 0, 0], [1, -1, 0], [1, 1, 0], [thin, 1, 0]])
    mesh = Surface(v, np.array([[0, 2, 3], [2, 4, 3], [2, 1, 4]]))
    assert mesh.areas.min() > 0
    with pytest.raises(NotSolved) as caught:
        relinked(mesh, [np.array([0, 1])])
    assert str(caught.value) == "lines over the surface crowd so closely that no triangle fits between them"
