import numpy as np
import pytest

import shapes
from bagside.drape.coarse import nearest, prolongation
from bagside.drape.energy import cloth_on, derivatives, slopes_of
from bagside.drape.frames import frames_of
from bagside.drape.law import ClothLaw
from bagside.drape.line import traced
from bagside.drape.solvers import Galerkin, OneFactor, conjugate
from bagside.drape.sparsity import matrix


@pytest.fixture(scope="module")
def system():
    cap = shapes.hemisphere(0.1, 1.0, 20)
    k = int(nearest(cap, np.array([[0, 0, 0.1]]))[1][0])
    start = np.array([1, 1, 1]) / 3
    along = np.cross(np.array([0, 1.0, 0]), cap.normals[k])
    line = traced(cap, start @ cap.corners[k], along / np.linalg.norm(along), 0.05)
    cloth = cloth_on(frames_of(cap), line, 0.16, k, start)
    slopes = slopes_of(cloth, cap.vertices[:, :2] * 1.1)
    gradient, data = derivatives(cloth, ClothLaw(shear_weight=3e-3), slopes)
    return cap, cloth.sparsity, -gradient, data


def test_conjugate_gradients_solve_a_small_system_exactly() -> None:
    a = np.array([[4.0, 1, 0], [1, 3, 1], [0, 1, 2]])
    b = np.array([1.0, 2, 3])
    x, rounds = conjugate(a.__matmul__, b, lambda r: r, 1e-12, 10)
    np.testing.assert_allclose(x, np.linalg.solve(a, b))
    assert rounds == 3


def test_a_direction_of_no_curvature_ends_the_rounds_downhill() -> None:
    b = np.array([1.0, 1.0])
    x, rounds = conjugate(np.diag([1.0, -3.0]).__matmul__, b, lambda r: r, 1e-9, 10)
    assert rounds == 1
    assert x @ b > 0


@pytest.mark.parametrize("kind", ["factor", "galerkin"])
def test_each_solver_comes_close_to_the_direct_solution(system, kind: str) -> None:
    cap, sparsity, b, data = system
    coarse = shapes.hemisphere(0.1, 1.0, 6)
    solver = OneFactor(sparsity) if kind == "factor" else Galerkin(sparsity, prolongation(coarse, cap.vertices))
    damping = 1e-6 * data[sparsity.diagonal].mean()
    h = matrix(sparsity, data).toarray() + damping * np.eye(len(b))
    exact = np.linalg.solve(h, b)
    x = solver.solve(data, damping, b)
    error = x - exact
    assert error @ h @ error < 0.05 * (exact @ h @ exact)


def test_a_kept_factor_still_solves_a_changed_matrix_and_a_stale_one_is_renewed(system) -> None:
    _, sparsity, b, data = system
    damping = 1e-6 * data[sparsity.diagonal].mean()
    solver = OneFactor(sparsity)
    solver.solve(data, damping, b)
    first = solver.factor
    solver.solve(1.3 * data, damping, b)
    assert solver.factor is first
    changed = data.copy()
    changed[sparsity.diagonal[::2]] *= 1e4
    solver.solve(changed, damping, b)
    assert solver.factor is not first


def test_a_coarse_vertex_without_a_fine_one_does_no_harm(system) -> None:
    cap, sparsity, b, data = system
    wide = shapes.hemisphere(0.1, 1.5, 12)  # reaches far past the cap
    p = prolongation(wide, cap.vertices)
    assert (np.asarray(abs(p).sum(axis=0)).ravel() == 0).any()
    assert np.isfinite(Galerkin(sparsity, p).solve(data, 1e-6 * data[sparsity.diagonal].mean(), b)).all()
