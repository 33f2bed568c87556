"""Laying order: circles on a sphere, a plane and a cylinder, on the surface and in the flat cloth."""

import numpy as np
import pytest
from numpy.typing import NDArray

import shapes
from bagside.drape import ClothKind, Drape, LayingOrder, drape, law_of, laying_order
from bagside.errors import InputError
from bagside.geometry import Surface

Floats = NDArray[np.float64]
ALONG = np.array([1.0, 0.0, 0.0])


def laid(surface: Surface, start: Floats) -> Drape:
    law = law_of(ClothKind.WOVEN, None, len(surface.triangles))
    return drape(surface, start=start, direction=ALONG, law=law)


def length(points: Floats) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def by_level(order: LayingOrder) -> dict[float, list[Floats]]:
    out: dict[float, list[Floats]] = {}
    for line in order.lines:
        out.setdefault(round(line.level, 9), []).append(line.points)
    return out


def test_circles_on_a_sphere() -> None:
    """At a distance s from the pole a circle is 2 π R sin(s / R) long."""
    radius = 0.1
    lain = laid(shapes.hemisphere(radius, np.radians(80), 30), np.array([0, 0, radius]))
    order = laying_order(lain, 0.025)
    found = by_level(order)
    assert list(found) == [0.025, 0.05, 0.075, 0.1, 0.125]
    for level, pieces in found.items():
        assert len(pieces) == 1
        np.testing.assert_array_equal(pieces[0][0], pieces[0][-1])
        assert length(pieces[0]) == pytest.approx(2 * np.pi * radius * np.sin(level / radius), rel=5e-3)
        polar = np.arctan2(np.hypot(pieces[0][:, 0], pieces[0][:, 1]), pieces[0][:, 2])
        np.testing.assert_allclose(polar * radius, level, atol=3e-4)
    np.testing.assert_allclose(
        order.distance, radius * np.arccos(np.clip(lain.surface.vertices[:, 2] / radius, -1, 1)), atol=3e-4
    )


def test_circles_on_a_plane_are_circles_in_the_cloth_and_run_with_what_is_further_on_their_left() -> None:
    lain = laid(shapes.plane(0.3, 0.2, 45, 30), np.zeros(3))
    order = laying_order(lain, 0.03)
    inside = [line for line in order.lines if line.level < 0.1]
    assert len(inside) == 3
    for line in inside:
        np.testing.assert_allclose(np.linalg.norm(line.points, axis=1), line.level, atol=6e-4)
        np.testing.assert_allclose(np.linalg.norm(line.flat, axis=1), line.level, atol=6e-4)
        x, y = line.flat[:-1].T
        dx, dy = np.diff(line.flat, axis=0).T
        assert 0.5 * np.sum(x * dy - y * dx) == pytest.approx(-np.pi * line.level**2, rel=2e-2)
    beyond = [line for line in order.lines if line.level == pytest.approx(0.15)]
    assert len(beyond) == 2  # cut by the long sides, left and right
    for line in beyond:
        assert np.abs(line.points[[0, -1], 1]) == pytest.approx(0.1, abs=1e-9)
        assert np.linalg.norm(line.points[0] - line.points[-1]) == pytest.approx(0.2, abs=1e-9)


def test_circles_on_a_cylinder_unroll_to_circles() -> None:
    radius = 0.08
    lain = laid(shapes.cylinder(radius, nx=50, ny=50), np.array([0, 0, radius]))
    order = laying_order(lain, 0.03)
    assert len(by_level(order)) == 5
    for line in order.lines:
        around = radius * np.arctan2(line.points[:, 1], line.points[:, 2])
        np.testing.assert_allclose(np.hypot(line.points[:, 0], around), line.level, atol=8e-4)
        np.testing.assert_allclose(np.linalg.norm(line.flat, axis=1), line.level, atol=8e-4)


def test_round_a_hole_the_front_parts_and_meets() -> None:
    """Behind a round hole the shortest way is a tangent, an arc and a tangent; the quick front is a bit long there."""
    hole, away = 0.05, 0.1
    lain = laid(shapes.plane_with_hole(0.3, hole, 192, 24), np.array([-away, 0, 0]))
    order = laying_order(lain, 0.02)
    tangent, turn = np.sqrt(away**2 - hole**2), np.arccos(hole / away)
    behind = np.argmin(np.linalg.norm(lain.surface.vertices - [away, 0, 0], axis=1))
    assert order.distance[behind] == pytest.approx(2 * tangent + hole * (np.pi - 2 * turn), rel=8e-3)
    assert max(len(pieces) for pieces in by_level(order).values()) >= 2


def test_from_a_line_the_front_is_parallel_to_it() -> None:
    lain = laid(shapes.plane(0.3, 0.2, 30, 20), np.zeros(3))
    line = np.array([[-0.15, 0.0, 0], [0.15, 0.0, 0]])
    order = laying_order(lain, 0.03, line)
    np.testing.assert_allclose(order.distance, np.abs(lain.surface.vertices[:, 1]), atol=4e-4)
    for level, pieces in by_level(order).items():
        assert len(pieces) == 2
        for points in pieces:
            np.testing.assert_allclose(np.abs(points[:, 1]), level, atol=4e-4)
            assert length(points) == pytest.approx(0.3, rel=1e-3)


@pytest.mark.parametrize(
    ("step", "message"),
    [
        (0.0, "laying order, step: 0 mm – a positive length is wanted, as in 50 mm"),
        (1e-5, "laying order, step: 0.01 mm – a step of at least 0.18 mm is wanted on this surface"),
    ],
)
def test_steps_that_are_refused(step: float, message: str) -> None:
    lain = laid(shapes.plane(nx=12, ny=8), np.zeros(3))
    with pytest.raises(InputError) as error:
        laying_order(lain, step)
    assert str(error.value) == message


def test_a_line_that_is_no_line_is_refused() -> None:
    lain = laid(shapes.plane(nx=12, ny=8), np.zeros(3))
    with pytest.raises(InputError, match="line laid first: an array of shape"):
        laying_order(lain, 0.02, np.zeros((3, 2)))
