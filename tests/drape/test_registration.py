"""Rigid motions in the plane of the cloth, against a general library and against one cloth cut in two."""

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

import shapes
from bagside.drape import ClothLaw, drape
from bagside.drape.registration import Motion, join_between, motion_between, registered
from bagside.errors import InputError

WOVEN = ClothLaw(shear_weight=3e-3)
POINTS = np.array([[0.0, 0.0], [0.3, 0.02], [0.1, 0.25], [-0.2, 0.11]])


def test_the_turn_is_the_one_a_general_library_finds() -> None:
    rng = np.random.default_rng(1)
    to = Motion(turn=2.1, move=(0.4, -0.2)).of(POINTS) + rng.normal(0, 0.004, POINTS.shape)
    found = motion_between(POINTS, to)
    lift = lambda p: np.column_stack([p - p.mean(axis=0), np.zeros(len(p))])  # noqa: E731
    rotation, _ = Rotation.align_vectors(lift(to), lift(POINTS))
    assert found.turn == pytest.approx(rotation.as_rotvec()[2], abs=1e-9)
    left = np.linalg.norm(found.of(POINTS) - to, axis=1)
    assert found.misfit == pytest.approx(left.max())


def test_two_points_further_apart_misfit_by_half_the_difference_each() -> None:
    found = motion_between(np.array([[0, 0], [0.1, 0]]), np.array([[0, 0], [0, 0.103]]))
    assert found.misfit == pytest.approx(0.0015)
    assert found.stretch == pytest.approx(0.03)
    assert math.degrees(found.turn) == pytest.approx(90)


def test_motions_chain_and_undo() -> None:
    one, two = Motion(turn=0.4, move=(0.1, 0.2)), Motion(turn=-1.3, move=(0.0, 0.5))
    np.testing.assert_allclose(two.after(one).of(POINTS), two.of(one.of(POINTS)), atol=1e-15)
    np.testing.assert_allclose(one.back().of(one.of(POINTS)), POINTS, atol=1e-15)


def test_points_too_close_together_are_refused() -> None:
    with pytest.raises(InputError) as error:
        motion_between(np.array([[0, 0], [0.001, 0]]), np.array([[0, 0], [0.001, 0]]), "job.toml, patchwork")
    assert str(error.value) == (
        "job.toml, patchwork: points 1.0 mm apart – points at least 5 mm apart are wanted, or the turn of the pattern "
        "is a guess"
    )


def test_a_cylinder_cut_in_two_has_the_coordinates_of_the_whole() -> None:
    """A developable: the registered coordinates of the halves are those of the uncut sheet."""
    whole = shapes.cylinder()
    left = whole.centroids[:, 0] < 0
    start = np.array([0.0, 0.0, 0.08])
    at = whole.vertices[np.argmin(np.linalg.norm(whole.vertices - start, axis=1))]
    laid = drape(whole, start=at, direction=np.array([0.0, 1, 0]), law=WOVEN)
    halves = {}
    for name, keep, turn in (("A", left, 0.0), ("B", ~left, 0.6)):
        part = whole.selected(keep)
        k = int(np.argmin(np.linalg.norm(part.centroids - part.centroids.mean(axis=0), axis=1)))
        across = np.cross(part.normals[k], [0.0, 1, 0])
        way = math.cos(turn) * np.array([0.0, 1, 0]) + math.sin(turn) * across
        halves[name] = drape(part, start=part.centroids[k], direction=way, law=WOVEN)
    motions, apart = registered(halves, "A")
    assert apart == ()
    assert motions["A"] == Motion()
    assert motions["B"].misfit < 2e-4
    assert abs(motions["B"].turn) == pytest.approx(0.6, abs=2e-3)
    together = np.concatenate([motions[n].of(halves[n].uv) for n in halves])
    place = np.concatenate([halves[n].surface.vertices for n in halves])
    nearest = np.array([np.argmin(np.linalg.norm(whole.vertices - p, axis=1)) for p in place])
    on_whole = motion_between(together, laid.uv[nearest])
    assert on_whole.misfit < 3e-4


def test_pieces_that_do_not_touch_are_named() -> None:
    whole = shapes.plane()
    x = whole.centroids[:, 0]
    parts = {"4A": whole.selected(x < x.mean() - 0.02), "4B": whole.selected(x > x.mean() + 0.02)}
    laid = {
        n: drape(p, start=p.centroids[len(p.centroids) // 2], direction=np.array([1.0, 0, 0]), law=WOVEN)
        for n, p in parts.items()
    }
    assert join_between(laid["4A"], laid["4B"]) is None
    motions, apart = registered(laid, "4A")
    assert (set(motions), apart) == ({"4A"}, ("4B",))
