"""Angles that survive: carried directions known in closed form, shares counted by hand, what is said about them."""

import numpy as np
import pytest
from numpy.typing import NDArray

import shapes
from bagside.drape import ClothKind, Drape, angle_findings, angles_that_survive, drape, intended, law_of
from bagside.errors import InputError
from bagside.findings import Basis, Severity
from bagside.geometry import Surface
from bagside.spec.job import Rosette

Floats = NDArray[np.float64]
ALONG = np.array([1.0, 0.0, 0.0])


def apart(surface: Surface, one: Floats, other: Floats) -> Floats:
    """Return the angle between directions in each triangle [deg]."""
    other = other - np.einsum("ij,ij->i", other, surface.normals)[:, None] * surface.normals
    cross = np.linalg.norm(np.cross(one, other), axis=1)
    return np.degrees(np.arctan2(cross, np.einsum("ij,ij->i", one, other)))


def carried(surface: Surface, start: Floats, axis: Floats = ALONG) -> Floats:
    return intended(surface, axis, 0.0, Rosette.CARRIED, start)


def test_on_a_plane_both_rules_are_the_axis() -> None:
    surface = shapes.plane()
    for rule in Rosette:
        found = intended(surface, ALONG, np.radians(30), rule, np.array([0.05, 0.02, 0]))
        np.testing.assert_allclose(found, np.tile([np.cos(np.pi / 6), 0.5, 0], (len(found), 1)), atol=1e-9)


def test_carried_from_the_pole_of_a_sphere() -> None:
    """Along each meridian the angle to it stays what it was at the pole; the error falls with the edge length."""
    errors = []
    for rings in (20, 40):
        surface = shapes.hemisphere(0.1, np.radians(85), rings)
        c = surface.centroids
        turn, polar = np.arctan2(c[:, 1], c[:, 0]), np.arctan2(np.hypot(c[:, 0], c[:, 1]), c[:, 2])
        outward = np.column_stack([np.cos(polar) * np.cos(turn), np.cos(polar) * np.sin(turn), -np.sin(polar)])
        around = np.column_stack([-np.sin(turn), np.cos(turn), 0 * turn])
        wanted = np.cos(turn)[:, None] * outward - np.sin(turn)[:, None] * around
        off = apart(surface, carried(surface, np.array([0, 0, 0.1])), wanted)
        far = polar > np.radians(5)
        errors.append(np.sqrt((off[far] ** 2).mean()))
    assert errors[1] < 0.2
    assert errors[1] < 0.6 * errors[0]


def test_carried_over_a_sphere_from_elsewhere() -> None:
    """Over the arc of a great circle a direction turns with it: about the common normal of both radii."""
    surface = shapes.hemisphere(0.1, np.radians(85), 40)
    start = 0.1 * np.array([np.sin(0.5), 0, np.cos(0.5)])
    axis = np.array([0, 1.0, 0])
    a, b = start / 0.1, surface.centroids / np.linalg.norm(surface.centroids, axis=1, keepdims=True)
    sum_ = a + b
    wanted = axis - (sum_ @ axis / (1 + b @ a))[:, None] * sum_ + 2 * (a @ axis) * b
    off = apart(surface, carried(surface, start, axis), wanted)
    assert np.sqrt((off**2).mean()) < 0.35


@pytest.mark.parametrize("axis", [ALONG, np.array([1.0, 0.7, 0.0])])
def test_carried_over_a_cylinder_it_keeps_its_angle_to_the_axis(axis: Floats) -> None:
    surface = shapes.cylinder()
    start = np.array([0.03, 0, 0.08])
    turn = np.arctan2(surface.centroids[:, 1], surface.centroids[:, 2])
    unit = axis / np.linalg.norm(axis)
    wanted = unit[0] * ALONG + unit[1] * np.column_stack([0 * turn, np.cos(turn), -np.sin(turn)])
    off = apart(surface, carried(surface, start, axis), wanted)
    assert off.max() < 0.03  # the start lies on an edge: the axis is laid into one of two facets


def test_carried_over_a_cone_it_is_one_direction_of_the_flat_cone() -> None:
    half = np.radians(20)
    surface = shapes.cone(half, n=40)
    c = surface.centroids
    turn = np.arctan2(c[:, 1], c[:, 2])
    at = int(np.argmin(np.abs(turn) + np.abs(np.linalg.norm(c, axis=1) - 0.2)))
    found = carried(surface, c[at])
    out = c / np.linalg.norm(c, axis=1, keepdims=True)
    around = np.cross(surface.normals, out)
    flat = np.arctan2(np.einsum("ij,ij->i", found, around), np.einsum("ij,ij->i", found, out))
    unrolled = flat + np.sign(np.einsum("ij,ij->i", around, np.cross([1, 0, 0], out))) * turn * np.sin(half)
    spread = np.degrees(unrolled - unrolled[at])
    plain = np.degrees(flat - flat[at])
    best = min(np.abs(spread).max(), np.abs(2 * plain - spread).max())
    assert best < 0.5  # facets: the rulings of the mesh
    assert np.abs(plain).max() > 25


def test_behind_a_hole_it_comes_from_the_ways_along_the_edge() -> None:
    surface = shapes.plane_with_hole()
    found = carried(surface, np.array([-0.1, 0.01, 0]))
    np.testing.assert_allclose(found, np.tile(ALONG, (len(found), 1)), atol=1e-6)


def test_a_projected_axis_is_left_out_where_it_stands_up() -> None:
    """Within 3° of the normal along +x a sphere of the ball is a cap of area 2 π R² (1 − cos 3°)."""
    surface = shapes.hemisphere(0.1, np.pi / 2 + 0.3, 90)
    lain = laid(shapes.hemisphere(0.1, np.radians(60), 40))
    found = intended(surface, ALONG, 0.0, Rosette.PROJECTED, np.array([0, 0, 0.1]))
    gone = surface.areas[np.isnan(found[:, 0])].sum()
    assert gone == pytest.approx(2 * 2 * np.pi * 0.01 * (1 - np.cos(np.radians(3))), rel=0.12)
    seen = angles_that_survive(lain, np.array([0, 0, 1.0]), 0.0)
    assert np.isnan(seen.warp).any()
    assert seen.left_out == pytest.approx((1 - np.cos(np.radians(3))) / (1 - np.cos(np.radians(60))), rel=0.35)


def laid(surface: Surface, way: Floats = ALONG) -> Drape:
    start = surface.centroids[np.argmin(np.linalg.norm(surface.centroids[:, :2], axis=1))]
    law = law_of(ClothKind.WOVEN, None, len(surface.triangles))
    return drape(surface, start=start, direction=way, law=law)


@pytest.mark.parametrize("rule", Rosette)
def test_on_a_plane_every_angle_survives(rule: Rosette) -> None:
    turn = np.radians(45)
    lain = laid(shapes.plane(), np.array([np.cos(turn), np.sin(turn), 0]))
    found = angles_that_survive(lain, ALONG, turn, rule)
    assert found.warp_within == pytest.approx((1, 1, 1))
    assert found.weft_within == pytest.approx((1, 1, 1))
    assert found.left_out == 0
    assert angle_findings(lain, found, "ply 1", structural=True) == ()


def test_a_ply_laid_four_degrees_off_is_within_five_not_three() -> None:
    """The sense is counter-clockwise from what was intended."""
    lain = laid(shapes.plane(), np.array([np.cos(np.radians(4)), np.sin(np.radians(4)), 0]))
    found = angles_that_survive(lain, ALONG, 0.0)
    np.testing.assert_allclose(np.degrees(found.warp), 4, atol=0.01)
    np.testing.assert_allclose(np.degrees(found.weft), 4, atol=0.01)
    assert found.warp_within == pytest.approx((0, 1, 1))
    findings = angle_findings(lain, found, "ply 1", structural=True, weft=False)
    assert len(findings) == 1
    assert findings[0].severity is Severity.DECIDE
    assert findings[0].basis is Basis.COMMON
    assert findings[0].what.startswith("The warp keeps within ±3° of its angle on 0 % of the area;")
    assert angle_findings(lain, found, "ply 1", structural=False) == ()


def test_a_thread_has_no_sense() -> None:
    lain = laid(shapes.plane(), -ALONG)
    np.testing.assert_allclose(angles_that_survive(lain, ALONG, 0.0).warp, 0, atol=1e-4)


def test_the_weft_takes_the_shear() -> None:
    """Both threads turned from their right angle by what the cloth shears: weft less warp is minus the shear."""
    lain = laid(shapes.hemisphere(0.1, np.radians(60), 25))
    found = angles_that_survive(lain, ALONG, 0.0, Rosette.CARRIED)
    np.testing.assert_allclose(found.weft - found.warp, -lain.shear, atol=1e-6)


def test_on_a_cylinder_laid_askew_the_projected_axis_turns_and_the_carried_one_does_not() -> None:
    """At a turn t round it the axis (cos a, sin a, 0) projects to tan = tan a · cos t; carried it stays at a."""
    a = np.radians(40)
    axis = np.array([np.cos(a), np.sin(a), 0])
    lain = laid(shapes.cylinder(nx=40, ny=40), axis)
    kept = angles_that_survive(lain, axis, 0.0, Rosette.CARRIED)
    assert kept.warp_within[0] == pytest.approx(1)
    turned = angles_that_survive(lain, axis, 0.0, Rosette.PROJECTED)
    t = np.arctan2(lain.surface.normals[:, 1], lain.surface.normals[:, 2])
    wanted = a - np.arctan(np.tan(a) * np.cos(t))
    np.testing.assert_allclose(turned.warp, wanted, atol=np.radians(0.3))
    share = lain.surface.areas[np.abs(wanted) < np.radians(5)].sum() / lain.surface.area
    assert turned.warp_within[1] == pytest.approx(share, abs=0.03)


def test_on_a_saddle_the_weft_keeps_the_projected_axis_and_the_warp_takes_all_the_shear() -> None:
    """Threads lie in planes x = const and y = const; at a right angle to the projected x lies the thread in x = const.

    So the weft survives, and the warp is off by arcsin of z_x z_y / √((1 + z_x²)(1 + z_y²)).
    """
    lain = laid(shapes.saddle(n=60))
    found = angles_that_survive(lain, ALONG, 0.0)
    c = lain.surface.centroids
    fx, fy = 2 * c[:, 0] / 0.3, -2 * c[:, 1] / 0.3
    wanted = np.arcsin(fx * fy / np.sqrt((1 + fx**2) * (1 + fy**2)))
    inside = np.abs(c[:, :2]).max(axis=1) < 0.07
    assert np.degrees(np.sqrt(np.mean((found.warp - wanted)[inside] ** 2))) < 0.4
    assert np.degrees(np.sqrt(np.mean(found.weft[inside] ** 2))) < 0.3
    assert found.warp_within[0] < 0.6 < 0.95 < found.weft_within[0]


def test_an_axis_straight_up_at_the_start_cannot_be_carried() -> None:
    lain = laid(shapes.plane(nx=12, ny=8))
    with pytest.raises(InputError, match="stands straight up"):
        angles_that_survive(lain, np.array([0, 0, 1.0]), 0.0, Rosette.CARRIED)
