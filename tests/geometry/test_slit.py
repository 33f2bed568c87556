"""Surfaces cut open along lines: areas of caps and sectors, what hangs together, what is doubled."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

import shapes
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


points = st.tuples(st.floats(-0.14, 0.14), st.floats(-0.09, 0.09))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(points, min_size=2, max_size=5), min_size=1, max_size=4))
def test_any_lines_become_edges_of_a_sound_mesh(drawn: list[list[tuple[float, float]]]) -> None:
    flat = shapes.plane(0.3, 0.2, 12, 8)
    lines = [np.column_stack([np.array(p), np.zeros(len(p))]) for p in drawn]
    lines = [p for p in lines if length_of(p) > 1e-3]
    mesh, ways = embedded(flat, lines)
    assert mesh.area == pytest.approx(flat.area, rel=1e-9)
    assert consistent(mesh.triangles)
    assert mesh.areas.min() > 0
    for way in ways:
        assert edges_known(mesh, way)
    opened, origin = slit(mesh, ways)
    assert consistent(opened.triangles)
    assert np.array_equal(origin[opened.triangles], mesh.triangles)
