import numpy as np
import pytest

import shapes
from bagside.drape.refuse import checked, direction_on, start_on
from bagside.errors import InputError
from bagside.geometry.surface import Surface


def message(surface: Surface) -> str:
    with pytest.raises(InputError) as caught:
        checked(surface)
    return str(caught.value)


def test_good_surfaces_pass() -> None:
    for surface in (shapes.plane(), shapes.plane_with_hole(), shapes.slotted_cap(rings=12), shapes.box_corner()):
        checked(surface)


def test_two_parts_are_refused() -> None:
    one = shapes.plane(nx=2, ny=2)
    two = Surface(np.concatenate([one.vertices, one.vertices + 1]), np.concatenate([one.triangles, one.triangles + 9]))
    assert message(two) == "surface to drape: 2 separate parts – one connected part a piece; drape each on its own"


def test_no_triangle_is_refused() -> None:
    assert "no triangle" in message(Surface(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)))


def test_a_loose_vertex_is_refused() -> None:
    one = shapes.plane(nx=2, ny=2)
    assert message(Surface(np.vstack([one.vertices, [[5.0, 5, 5]]]), one.triangles)) == (
        "surface to drape: 1 vertices without a triangle – leave them out"
    )


def test_collapsed_triangles_are_refused() -> None:
    one = shapes.plane(nx=2, ny=2)
    flat = one.vertices.copy()
    flat[one.triangles[0, 1]] = 0.5 * (flat[one.triangles[0, 0]] + flat[one.triangles[0, 2]])
    assert "1 collapsed triangles" in message(Surface(flat, one.triangles))


def test_an_edge_of_three_triangles_and_unlike_winding_are_refused() -> None:
    v = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0.5, 0, 1.0]])
    assert "edges shared by three triangles" in message(Surface(v, np.array([[0, 1, 2], [1, 0, 3], [0, 1, 4]])))
    assert "wound unlike" in message(Surface(v[:4], np.array([[0, 1, 2], [0, 1, 3]])))


def test_parts_that_touch_at_a_vertex_are_refused() -> None:
    v = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0.0]])
    assert "touch at a single vertex" in message(Surface(v, np.array([[0, 1, 2], [0, 3, 4]])))


def test_a_closed_surface_is_refused() -> None:
    v = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]])
    t = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    assert message(Surface(v, t)) == (
        "surface to drape: a closed surface without a rim – choose a region of it, or split it into pieces"
    )


def test_every_reason_is_named_at_once() -> None:
    v = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0.5, 0, 1.0], [9, 9, 9]])
    text = message(Surface(v, np.array([[0, 1, 2], [1, 0, 3], [0, 1, 4]])))
    assert "without a triangle" in text
    assert "three triangles" in text


def test_a_start_off_the_surface_names_the_nearest_point() -> None:
    with pytest.raises(InputError) as caught:
        start_on(shapes.plane(), np.array([0.01, -0.02, 0.0342]), 0.005)
    assert str(caught.value) == (
        "start: (10.0, −20.0, 34.2) mm – the start point is 34.2 mm off the surface; within 5.0 mm of it is wanted "
        "(the nearest point is (10.0, −20.0, 0.0) mm)"
    )


def test_a_start_near_the_surface_is_laid_on_it() -> None:
    at, triangle, share = start_on(shapes.plane(), np.array([0.01, -0.02, 0.003]), 0.005)
    np.testing.assert_allclose(at, [0.01, -0.02, 0], atol=1e-12)
    np.testing.assert_allclose(share @ shapes.plane().corners[triangle], at, atol=1e-12)


@pytest.mark.parametrize("start", [[0.0, np.nan, 0.0], [0.0, 0.0], [np.inf, 0, 0]])
def test_a_start_that_is_no_point_is_refused(start: list[float]) -> None:
    with pytest.raises(InputError, match="three finite coordinates"):
        start_on(shapes.plane(), np.array(start), 0.005)


def test_a_direction_is_laid_into_the_surface() -> None:
    np.testing.assert_allclose(direction_on(shapes.plane(), 0, np.array([3.0, 4, 9])), [0.6, 0.8, 0], atol=1e-12)


@pytest.mark.parametrize("direction", [[0.0, 0, 1], [0, 0, -2], [0.01, 0, 1]])
def test_a_direction_that_stands_up_is_refused(direction: list[float]) -> None:
    with pytest.raises(InputError, match="stands straight up from the surface at the start point"):
        direction_on(shapes.plane(), 0, np.array(direction))


@pytest.mark.parametrize("direction", [[0.0, 0, 0], [np.nan, 0, 1], [1.0, 0]])
def test_a_direction_without_length_is_refused(direction: list[float]) -> None:
    with pytest.raises(InputError, match="finite, positive length"):
        direction_on(shapes.plane(), 0, np.array(direction))
