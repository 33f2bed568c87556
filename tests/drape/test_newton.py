import numpy as np
import pytest

import shapes
from bagside.drape.coarse import nearest
from bagside.drape.energy import Cloth, cloth_on, derivatives, energy, slopes_of
from bagside.drape.flatten import conformal, rigid
from bagside.drape.frames import frames_of
from bagside.drape.law import ClothLaw
from bagside.drape.line import traced, turned
from bagside.drape.newton import descended
from bagside.drape.solvers import OneFactor
from bagside.errors import NotSolved

LAW = ClothLaw(shear_weight=3e-2)


@pytest.fixture(scope="module")
def cap() -> tuple[Cloth, np.ndarray]:
    surface = shapes.hemisphere(0.1, 1.1, 10)
    k = int(nearest(surface, np.array([[0, 0, 0.1]]))[1][0])
    start = np.array([1, 1, 1]) / 3
    along = np.cross([0, 1.0, 0], surface.normals[k])
    line = traced(surface, start @ surface.corners[k], along / np.linalg.norm(along), 0.05)
    frames = frames_of(surface)
    uv = turned(frames, line, rigid(surface, conformal(surface), 20))
    return cloth_on(frames, line, 0.16, k, start), uv


def test_it_ends_where_the_energy_has_no_slope(cap: tuple[Cloth, np.ndarray]) -> None:
    cloth, uv = cap
    before, _ = derivatives(cloth, LAW, slopes_of(cloth, uv))
    reached = descended(cloth, LAW, uv, OneFactor(cloth.sparsity), 1e-9, 60)
    after, _ = derivatives(cloth, LAW, slopes_of(cloth, reached.uv))
    assert np.linalg.norm(after) < 1e-3 * np.linalg.norm(before)
    assert reached.energy == pytest.approx(energy(cloth, LAW, reached.uv))
    assert reached.energy < energy(cloth, LAW, uv)


def test_no_small_change_lowers_the_energy_it_ends_with(cap: tuple[Cloth, np.ndarray]) -> None:
    cloth, uv = cap
    reached = descended(cloth, LAW, uv, OneFactor(cloth.sparsity), 1e-9, 60)
    rng = np.random.default_rng(3)
    for _ in range(20):
        assert energy(cloth, LAW, reached.uv + 1e-5 * rng.standard_normal(uv.shape)) > reached.energy


def test_too_few_steps_are_not_a_result(cap: tuple[Cloth, np.ndarray]) -> None:
    cloth, uv = cap
    with pytest.raises(NotSolved, match="has not settled after 1 steps"):
        descended(cloth, LAW, uv, OneFactor(cloth.sparsity), 1e-6, 1)


def test_a_flipped_start_is_not_a_start(cap: tuple[Cloth, np.ndarray]) -> None:
    cloth, uv = cap
    with pytest.raises(NotSolved, match="a flipped triangle before the first step"):
        descended(cloth, LAW, uv * [1, -1], OneFactor(cloth.sparsity), 1e-3, 60)


class Uphill:
    """A solver that always answers with a way that goes up."""

    def solve(self, data: np.ndarray, damping: float, b: np.ndarray) -> np.ndarray:
        return -1e-6 * b


def test_when_no_step_helps_it_says_so(cap: tuple[Cloth, np.ndarray]) -> None:
    cloth, uv = cap
    with pytest.raises(NotSolved, match="no step lowers the energy"):
        descended(cloth, LAW, uv, Uphill(), 1e-3, 60)
