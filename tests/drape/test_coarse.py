import numpy as np
import pytest

import shapes
from bagside.drape.coarse import carried, coarsened, nearest, prolongation
from bagside.drape.frames import frames_of, gradients


def test_the_coarse_mesh_has_about_the_wanted_triangles_and_the_same_rims() -> None:
    for surface in (shapes.hemisphere(rings=41), shapes.holed_cap(rings=41), shapes.box_corner(rings=41)):
        coarse = coarsened(surface, 2500)
        assert 1500 < len(coarse.triangles) < 4000
        assert len(coarse.loops) == len(surface.loops)
        assert coarse.area == pytest.approx(surface.area, rel=0.02)
        assert np.einsum("ij,j->i", coarse.normals, surface.normals.mean(axis=0)).mean() > 0


def test_nearest_by_hand() -> None:
    plane = shapes.plane()
    distance, triangle, share = nearest(plane, np.array([[0.01, 0.02, 0.003], [0.2, 0, 0]]))
    np.testing.assert_allclose(distance, [0.003, 0.05])
    at = np.einsum("ki,kij->kj", share, plane.corners[triangle])
    np.testing.assert_allclose(at, [[0.01, 0.02, 0], [0.15, 0, 0]], atol=1e-12)
    np.testing.assert_allclose(share.sum(axis=1), 1)


def test_linear_values_are_carried_exactly() -> None:
    coarse, points = shapes.plane(nx=5, ny=4), shapes.plane(nx=13, ny=9).vertices
    values = coarse.vertices @ np.array([2.0, -3.0, 0.0]) + 1
    np.testing.assert_allclose(prolongation(coarse, points) @ values, points @ np.array([2.0, -3, 0]) + 1)


def test_a_linear_map_is_carried_exactly() -> None:
    coarse, fine = shapes.plane(nx=5, ny=4), shapes.plane(nx=13, ny=9)
    turn = np.array([[1.1, 0.2], [-0.1, 0.9]])
    uv = carried(coarse, frames_of(coarse), coarse.vertices[:, :2] @ turn, fine, frames_of(fine))
    wanted = fine.vertices[:, :2] @ turn
    np.testing.assert_allclose(uv - uv[0], wanted - wanted[0], atol=1e-10)


def test_a_flat_cylinder_stays_flat_when_carried() -> None:
    def unrolled(s):
        return np.stack([s.vertices[:, 0], 0.08 * np.arctan2(s.vertices[:, 1], s.vertices[:, 2])], axis=1)

    coarse, fine = shapes.cylinder(nx=20, ny=20), shapes.cylinder(nx=47, ny=41)
    uv = carried(coarse, frames_of(coarse), unrolled(coarse), fine, frames_of(fine))
    a, b, c, e = gradients(frames_of(fine), uv)
    # gradients turn with the normal, so that lengths stay: a carried value would shrink by the chord
    np.testing.assert_allclose(np.hypot(a, b), 1, atol=5e-3)
    np.testing.assert_allclose(np.hypot(c, e), 1, atol=5e-3)
    assert (a * e - b * c > 0).all()
