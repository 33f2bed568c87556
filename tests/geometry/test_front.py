"""The quick distance against closed forms, and against the exact one of libigl on the same triangles."""

import igl
import numpy as np
import pytest

import shapes
from bagside.geometry import Surface, spread

Floats = np.ndarray


def exact(surface: Surface, vertex: int) -> Floats:
    none = np.zeros(0, dtype=np.int64)
    every = np.arange(len(surface.vertices), dtype=np.int64)
    source = np.array([vertex], dtype=np.int64)
    found = igl.exact_geodesic(surface.vertices, surface.triangles, source, none, every, none)
    return np.asarray(found, dtype=np.float64)


def test_a_plane_has_no_error_wherever_the_source_lies() -> None:
    plane = shapes.plane(0.3, 0.2, 61, 43)
    for at in ([0.1, 0.07, 0.0], plane.vertices[700].tolist(), plane.corners[900].mean(axis=0).tolist()):
        found = spread(plane, points=np.array([at]))
        assert found == pytest.approx(np.linalg.norm(plane.vertices - np.array(at), axis=1), abs=1e-8)


def test_from_a_straight_line_the_front_stays_straight() -> None:
    plane = shapes.plane(0.3, 0.2, 60, 40)
    edge = plane.vertices[:, 0] < plane.vertices[:, 0].min() + 1e-9
    found = spread(plane, vertices=np.flatnonzero(edge))
    assert found == pytest.approx(plane.vertices[:, 0] - plane.vertices[:, 0].min(), abs=1e-9)


def test_from_the_pole_of_a_ball_it_is_the_arc_and_falls_with_the_mesh() -> None:
    errors = []
    for rings in (20, 40, 80):
        cap = shapes.hemisphere(0.1, np.radians(80), rings)
        wanted = 0.1 * np.arccos(np.clip(cap.vertices[:, 2] / 0.1, -1, 1))
        found = spread(cap, points=np.array([[0.0, 0.0, 0.1]]))
        errors.append(float(np.abs(found - wanted).max()))
    assert errors[0] < 0.003 * 0.14
    assert errors[2] < 0.5 * errors[1] < 0.25 * errors[0] + 1e-7


@pytest.mark.parametrize(
    ("surface", "share"),
    [
        (shapes.cylinder(nx=40, ny=40), 1e-6),
        (shapes.saddle(n=50), 1e-3),
        (shapes.box_corner(rings=24), 6e-3),
        (shapes.l_shape(), 8e-3),
        (shapes.holed_cap(rings=24), 2e-2),
    ],
)
def test_close_to_the_exact_distance(surface: Surface, share: float) -> None:
    vertex = len(surface.vertices) // 3
    wanted = exact(surface, vertex)
    found = spread(surface, vertices=np.array([vertex]))
    assert float(np.abs(found - wanted).max()) < share * float(wanted.max())


def test_parts_without_a_source_are_out_of_reach() -> None:
    one = shapes.plane(0.1, 0.1, 10, 10)
    far = np.concatenate([one.vertices, one.vertices + np.array([1.0, 0, 0])])
    both = Surface(far, np.concatenate([one.triangles, one.triangles + len(one.vertices)]))
    found = spread(both, points=np.array([[0.05, 0.05, 0.0]]))
    assert np.isfinite(found[: len(one.vertices)]).all()
    assert np.isinf(found[len(one.vertices) :]).all()
    near = spread(one, points=np.array([[0.05, 0.05, 0.0]]), reach=0.03)
    inside = np.linalg.norm(one.vertices - [0.05, 0.05, 0.0], axis=1) <= 0.03
    assert (np.isfinite(near) == inside).all()


def test_no_source_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one source"):
        spread(shapes.plane(nx=4, ny=4))
