from __future__ import annotations

import mmgpy
import numpy as np
import pytest

import shapes
from bagside.errors import NotSolved
from bagside.geometry import Surface, coarse, nearest, remeshed

CAP = shapes.hemisphere(0.1, 1.2, 24)


def test_edges_are_even_and_the_shape_stays(capfd: pytest.CaptureFixture[str]) -> None:
    even = remeshed(CAP, 0.005, 0.0002)
    assert even.edge_length == pytest.approx(0.005, rel=0.15)
    assert nearest(CAP, even.vertices)[0].max() < 0.0002
    assert nearest(even, CAP.vertices)[0].max() < 0.0003
    assert even.area == pytest.approx(CAP.area, rel=2e-3)
    assert (even.normals * even.centroids).sum(axis=1).min() > 0
    shown = capfd.readouterr()
    assert shown.out == ""
    assert shown.err == ""


def test_the_boundary_keeps_its_curve_and_corners() -> None:
    bent = shapes.l_shape(0.2, 20)
    even = remeshed(bent, 0.008, 0.0002)
    assert even.area == pytest.approx(bent.area, rel=1e-9)
    corners = np.array([[-1, -1], [1, -1], [1, 0], [0, 0], [0, 1], [-1, 1]]) * 0.1
    rim = even.vertices[even.loops[0], :2]
    for corner in corners:
        assert np.linalg.norm(rim - corner, axis=1).min() < 1e-9
    holed = remeshed(shapes.plane_with_hole(0.3, 0.05), 0.01, 0.0002)
    hole = holed.vertices[holed.loops[1]]
    assert np.linalg.norm(hole, axis=1) == pytest.approx(0.05, abs=2e-4)


def test_it_gives_the_same_twice() -> None:
    one, two = remeshed(CAP, 0.006, 0.0002), remeshed(CAP, 0.006, 0.0002)
    assert np.array_equal(one.vertices, two.vertices)
    assert np.array_equal(one.triangles, two.triangles)


@pytest.mark.parametrize("count", [300, 1500])
def test_coarse_has_about_so_many(count: int) -> None:
    thin = coarse(CAP, count)
    assert len(thin.triangles) == pytest.approx(count, rel=0.25)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="more than zero"):
        remeshed(CAP, 0, 0.001)
    with pytest.raises(ValueError, match="more than zero"):
        remeshed(CAP, 0.001, float("nan"))
    with pytest.raises(ValueError, match="too few"):
        coarse(CAP, 2)
    empty = Surface(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    assert remeshed(empty, 0.001, 0.001) is empty


def test_a_failure_of_the_remesher_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    class Failing:
        def __init__(self, *_: object) -> None:
            raise RuntimeError("no memory")

    monkeypatch.setattr(mmgpy, "MmgMeshS", Failing)
    with pytest.raises(NotSolved) as caught:
        remeshed(CAP, 0.006, 0.0002)
    assert str(caught.value) == "the surface cannot be meshed evenly at 6.00 mm: no memory"
