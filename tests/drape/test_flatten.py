import numpy as np
import pytest

import shapes
from bagside.drape.coarse import nearest
from bagside.drape.energy import Cloth, cloth_on, flipped
from bagside.drape.flatten import conformal, relaxed, rigid
from bagside.drape.frames import frames_of, gradients
from bagside.drape.line import traced
from bagside.drape.solve import _mended, _Task
from bagside.errors import NotSolved
from bagside.geometry.surface import Surface


def task_of(surface: Surface) -> _Task:
    k = int(nearest(surface, surface.centroids.mean(axis=0)[None, :])[1][0])
    start = np.array([1, 1, 1]) / 3
    side = surface.corners[k][1] - surface.corners[k][0]
    line = traced(surface, start @ surface.corners[k], side / np.linalg.norm(side), 0.05)
    frames = frames_of(surface)
    cloth: Cloth = cloth_on(frames, line, 0.16, k, start)
    return _Task(surface=surface, frames=frames, cloth=cloth, line=line.points, start=line.points[0])


def test_the_conformal_map_of_a_cap_keeps_angles_and_the_whole_area() -> None:
    cap = shapes.hemisphere(0.1, 1.0, 25)
    uv = conformal(cap)
    a, b, c, e = gradients(frames_of(cap), uv)
    d = a * e - b * c
    assert d.min() > 0
    assert (d * cap.areas).sum() == pytest.approx(cap.area)
    # u and v change alike and at right angles
    assert np.abs(np.hypot(a, b) / np.hypot(c, e) - 1).max() < 0.05
    assert np.abs((a * c + b * e) / d).max() < 0.05


def test_a_closed_surface_has_no_map() -> None:
    v = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]])
    with pytest.raises(NotSolved, match="closed"):
        conformal(Surface(v, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])))


def test_rigid_rounds_leave_a_flat_map_flat() -> None:
    plane = shapes.plane()
    uv = plane.vertices[:, :2].copy()
    out = rigid(plane, uv, 5)
    np.testing.assert_allclose(out - out[0], uv - uv[0], atol=1e-9)


def folded(surface: Surface, uv: np.ndarray, ring: int) -> np.ndarray:
    """Push one inner vertex far over its neighbours."""
    out = uv.copy()
    out[ring] += 3 * surface.edge_length * np.array([1.0, 0.3])
    return out


def test_a_fold_is_relaxed_within_its_patch_and_nowhere_else() -> None:
    plane = shapes.plane(nx=12, ny=10)
    uv = plane.vertices[:, :2].copy()
    middle = int(np.argmin(np.linalg.norm(uv, axis=1)))
    bad = folded(plane, uv, middle)
    task = task_of(plane)
    over = flipped(task.cloth, bad)
    assert over.any()
    out = relaxed(plane, bad, over, 2)
    assert not flipped(task.cloth, out).any()
    far = np.linalg.norm(uv, axis=1) > 0.1
    np.testing.assert_array_equal(out[far], bad[far])


def test_mending_leaves_a_good_map_alone_and_names_what_it_did() -> None:
    plane = shapes.plane(nx=12, ny=10)
    task = task_of(plane)
    uv = plane.vertices[:, :2].copy()
    assert _mended(task, uv)[0] is uv
    mended, how = _mended(task, folded(plane, uv, 60))
    assert how.startswith(", mended ")
    assert not flipped(task.cloth, mended).any()


def test_a_map_that_is_turned_over_as_a_whole_cannot_be_mended() -> None:
    plane = shapes.plane(nx=6, ny=5)
    task = task_of(plane)
    # rigid rounds unfold nearly anything; a collapsed map gives them nothing to hold on to
    with pytest.raises(NotSolved, match="60 triangles stay turned over"):
        _mended(task, np.zeros((len(plane.vertices), 2)))
