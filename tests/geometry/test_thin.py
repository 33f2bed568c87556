from __future__ import annotations

import numpy as np
import pytest

import shapes
from bagside.geometry import Surface, deviation, remeshed, thinned
from bagside.geometry.topology import consistent


def near_fillet(surface: Surface, fillet: float) -> tuple[float, float]:
    """Return the median edge in the fillets of a box corner and on its faces."""
    v = surface.vertices
    middle = 0.5 * (v[surface.edges[:, 0]] + v[surface.edges[:, 1]])
    size = np.linalg.norm(v[surface.edges[:, 0]] - v[surface.edges[:, 1]], axis=1)
    outside = (middle > 0.0003).sum(axis=1)
    flat = (np.sort(middle, axis=1)[:, :2] < -0.012).all(axis=1)
    return float(np.median(size[outside >= 2])), float(np.median(size[flat]))


def test_edges_are_short_in_fillets_and_long_on_flats() -> None:
    corner = shapes.box_corner(fillet=0.004, rings=120)
    thin = thinned(corner, 0.006, 0.0002, 0.004)
    inside, outside = near_fillet(thin, 0.004)
    assert inside < 0.0018
    assert outside > 0.0035
    assert len(thin.triangles) < 0.2 * len(corner.triangles)
    assert consistent(thin.triangles)
    assert len(thin.loops) == 1


def test_the_fillet_keeps_its_radius_where_even_triangles_cut_it_off() -> None:
    corner = shapes.box_corner(fillet=0.003, rings=160)

    def off(surface: Surface) -> float:
        """The furthest that middles of triangles lie from the rounded box."""
        c = surface.centroids
        away = np.where((c > 0).any(axis=1), np.linalg.norm(np.maximum(c, 0), axis=1) - 0.003, c.max(axis=1) - 0.003)
        return float(np.abs(away[(c > 0.0002).sum(axis=1) >= 2]).max())

    assert off(thinned(corner, 0.006, 0.0004, 0.003)) < 0.0002
    assert off(remeshed(corner, 0.006, 0.003)) > 0.0003


def test_deviation_is_the_distance_between_two_known_surfaces() -> None:
    one, two = shapes.hemisphere(0.1, 1.2, 60), shapes.hemisphere(0.1003, 1.2, 60)
    found = deviation(one, two)
    assert found.rms == pytest.approx(0.0003, rel=0.03)
    assert found.largest == pytest.approx(0.0003, rel=0.05)
    assert found.most_of <= found.largest
    with pytest.raises(ValueError, match="no surface"):
        deviation(one.selected(np.zeros(len(one.triangles), dtype=bool)), two)


def test_deviation_of_a_thinned_ball_is_its_sagitta() -> None:
    ball = shapes.hemisphere(0.1, 1.2, 90)
    thin = thinned(ball, 0.004, 0.0001, 0.01)
    assert 0 < deviation(ball, thin).largest < 0.006**2 / (8 * 0.1) * 2
    assert thin.area == pytest.approx(ball.area, rel=1e-3)


def test_nonsense_is_refused() -> None:
    for size, tolerance, fillet in ((0, 1, 1), (1, 0, 1), (1, 1, -1)):
        with pytest.raises(ValueError, match="more than zero"):
            thinned(shapes.plane(), size, tolerance, fillet)
