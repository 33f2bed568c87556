"""Links between vertices made into edges: by hand on a square, through vertices close by, across each other."""

import itertools

import numpy as np
import pytest

from bagside.errors import NotSolved
from bagside.geometry import Surface
from bagside.geometry.linking import Links
from bagside.geometry.topology import consistent

SQUARE = Surface(np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]), np.array([[0, 1, 2], [0, 2, 3]]))


def test_the_other_diagonal_of_a_square_meets_the_first_in_the_middle() -> None:
    links = Links(SQUARE, 1e-3)
    links.link(1, 3)
    assert links.along(1, 3) == [1, 4, 3]
    assert links.along(3, 1) == [3, 4, 1]
    assert links.along(0, 2) == [0, 4, 2]
    assert links.along(0, 1) == [0, 1]
    assert links.mesh.vertices[4] == pytest.approx([0.5, 0.5, 0])
    assert links.mesh.areas == pytest.approx(0.25)
    assert consistent(links.mesh.triangles)


def test_vertices_joined_already_and_links_made_already_change_nothing() -> None:
    links = Links(SQUARE, 1e-3)
    links.link(2, 0)
    assert len(links.places) == 4
    links.link(3, 1)
    links.link(1, 3)
    assert len(links.places) == 5


@pytest.mark.parametrize(("off", "made"), [(0.9e-3, 0), (1.1e-3, 1)])
def test_a_link_goes_through_a_vertex_closer_than_stated_and_beside_one_farther(off: float, made: int) -> None:
    v = np.array([[-1, 0, 0], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0, off, 0]])
    t = np.array([[0, 4, 2], [4, 1, 2], [0, 3, 4], [4, 3, 1]])
    links = Links(Surface(v, t), 1e-3)
    links.link(0, 1)
    assert len(links.places) == 5 + made
    assert links.along(0, 1) == [0, 4 + made, 1]
    assert (links.mesh.areas > 0).all()
    assert links.mesh.area == pytest.approx(2)


def test_links_that_cross_in_one_triangle_share_a_vertex_where_they_cross() -> None:
    # from points on the bottom of a triangle to points on its sides; the two cross where x = 0.5, y = 0.2 by hand
    v = np.array(
        [[0, 0, 0], [0.3, 0, 0], [0.7, 0, 0], [1, 0, 0], [0.8, 0.5, 0], [0.6, 1, 0], [0.4, 1, 0], [0.2, 0.5, 0]]
    )
    t = np.array([[0, 1, 7], [1, 6, 7], [1, 2, 6], [2, 5, 6], [2, 4, 5], [2, 3, 4]])
    links = Links(Surface(v, t), 1e-6)
    links.link(1, 4)
    links.link(2, 7)
    one, two = links.along(1, 4), links.along(7, 2)
    (both,) = set(one) & set(two)
    assert links.mesh.vertices[both] == pytest.approx([0.5, 0.2, 0])
    known = {tuple(e) for e in links.mesh.edges.tolist()}
    for way in (one, two):
        assert all(tuple(sorted(p)) in known for p in itertools.pairwise(way))
    assert links.mesh.area == pytest.approx(Surface(v, t).area)


def test_a_link_over_a_fold_lies_in_the_plane_between_both_faces() -> None:
    roof = Surface(np.array([[0, -1, 0], [0, 1, 0], [-1, 0, -1], [1, 0.5, -1]]), np.array([[0, 3, 1], [0, 1, 2]]))
    links = Links(roof, 1e-3)
    links.link(2, 3)
    # unrolled, both ends lie √2 from the ridge, so that the link crosses it half way: y = 0.25
    assert links.mesh.vertices[4] == pytest.approx([0, 0.25, 0])


def test_links_without_surface_or_room_between_their_ends_are_refused() -> None:
    v = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [3, 0, 0], [4, 0, 0], [3, 1, 0], [0, 0, 0], [-1, -1, 0]])
    links = Links(Surface(v, np.array([[0, 1, 2], [3, 4, 5], [6, 7, 1]])), 1e-3)
    with pytest.raises(NotSolved) as caught:
        links.link(2, 4)
    assert str(caught.value) == "the surface ends between two points that a line over it runs straight between"
    with pytest.raises(NotSolved) as caught:
        links.link(0, 6)
    assert str(caught.value) == "two vertices that a line runs between lie in one place"
