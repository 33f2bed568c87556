"""Long edges divided without changing the surface."""

import numpy as np
import pytest

from bagside.errors import InputError
from bagside.geometry.surface import Surface
from bagside.mould.even import with_short_edges
from shapes import hemisphere, plane


def longest(surface: Surface) -> float:
    e = surface.edges
    return float(np.linalg.norm(surface.vertices[e[:, 0]] - surface.vertices[e[:, 1]], axis=1).max())


def test_two_triangles_become_many_of_the_same_area() -> None:
    two = plane(0.4, 0.3, 1, 1)
    fine = with_short_edges(two, 0.01)
    assert longest(fine) <= 0.01
    assert fine.area == pytest.approx(0.12, rel=1e-12)
    np.testing.assert_array_equal(fine.vertices[:4], two.vertices)
    np.testing.assert_allclose(fine.normals[:, 2], 1.0)


def test_a_fine_surface_comes_back_as_it_is() -> None:
    cap = hemisphere(rings=20)
    assert with_short_edges(cap, longest(cap)) is cap


def test_without_sense_it_refuses() -> None:
    with pytest.raises(InputError, match="above zero"):
        with_short_edges(plane(), 0.0)
    with pytest.raises(InputError, match="larger corners"):
        with_short_edges(plane(2.0, 2.0), 0.0005)
