"""A line laid first, against surfaces on which the cloth that hangs on it is known."""

import numpy as np
import pytest

import shapes
import sphere_net
from bagside.drape import ClothLaw, Drape, drape
from bagside.drape.drawn import laid_first
from bagside.drape.refuse import direction_on, start_on
from bagside.errors import InputError
from bagside.geometry import barycentric, nearest
from bagside.geometry.surface import Surface

R = 0.1
WOVEN = ClothLaw(shear_weight=3e-3)
POLE = np.array([0, 0, R])


def great_circle(turn: float, reach: float, count: int = 60) -> np.ndarray:
    at = np.linspace(-reach, reach, count)
    return R * np.column_stack([np.sin(at) * np.cos(turn), np.sin(at) * np.sin(turn), np.cos(at)])


def in_cloth(lain: Drape, points: np.ndarray) -> np.ndarray:
    _, triangle, on = nearest(lain.surface, points)
    share = barycentric(lain.surface, triangle, on)
    return np.einsum("ki,kij->kj", share, lain.uv[lain.surface.triangles[triangle]])


def bias_laid(rings: int, *, refine: bool = True) -> tuple[Drape, np.ndarray, np.ndarray]:
    """Return a cap laid from a line at 45° to the warp, its shear, and the net's, where the line decides it."""
    cap = shapes.hemisphere(R, np.radians(60), rings)
    warp = np.array([1.0, -1, 0])  # the line along x then runs between warp and weft
    line = great_circle(0, np.radians(59))
    lain = drape(cap, start=POLE, direction=warp, law=WOVEN, first=line, refine=refine)
    at = lain.uv[cap.triangles].mean(axis=1) / R
    across, along = at[:, 0] - at[:, 1], at[:, 0] + at[:, 1]
    inside = np.abs(across) + np.abs(along) < 0.7 * np.sqrt(2) * np.radians(59)
    return lain, lain.shear[inside], sphere_net.shear_from_bias(across[inside])


@pytest.mark.published("Mack & Taylor 1956, net of inextensible threads; from a line on the bias, derived here")
def test_from_a_bias_line_the_sphere_has_the_net_unsheared_along_it() -> None:
    found = [bias_laid(rings) for rings in (20, 40)]
    coarse, fine = (np.degrees(np.sqrt(np.mean((shear - net) ** 2))) for _, shear, net in found)
    lain, _, net = found[1]
    assert np.degrees(net).min() < -25  # the net opens away from the line: there is something to compare
    assert coarse < 1.0
    assert fine < 0.6 * coarse
    near = np.abs(lain.surface.centroids[:, 1]) < 0.003
    middle = near & (np.abs(lain.surface.centroids[:, 0]) < 0.07)
    assert np.degrees(np.abs(lain.shear[middle]).mean()) < 0.4
    on_line = in_cloth(lain, great_circle(0, np.radians(50), 30))
    assert np.abs(on_line[:, 0] - on_line[:, 1]).max() < 0.6e-3
    bow = np.hypot(*(on_line[-1] - on_line[0]))
    assert bow == pytest.approx(2 * R * np.radians(50), rel=2e-3)


def test_without_it_the_bias_shears() -> None:
    cap = shapes.hemisphere(R, np.radians(60), 20)
    free = drape(cap, start=POLE, direction=np.array([1.0, -1, 0]), law=WOVEN)
    near = np.abs(free.surface.centroids[:, 1]) < 0.003
    assert np.degrees(np.abs(free.shear[near]).max()) > 15


def test_a_line_along_the_warp_gives_what_no_line_gives() -> None:
    cap = shapes.hemisphere(R, np.radians(70), 25)
    way = np.array([np.cos(0.3), np.sin(0.3), 0])
    reach = 0.25 * np.sqrt(cap.area) / R
    plain = drape(cap, start=POLE, direction=way, law=WOVEN, refine=True)
    drawn = drape(cap, start=POLE, direction=way, law=WOVEN, refine=True, first=great_circle(0.3, reach))
    np.testing.assert_allclose(drawn.uv, plain.uv, atol=3e-4)
    assert np.degrees(np.sqrt(np.mean((drawn.shear - plain.shear) ** 2))) < 0.3


def test_a_line_may_be_drawn_from_either_end() -> None:
    cap = shapes.hemisphere(R, np.radians(60), 15)
    line = great_circle(0.2, 0.8)
    one, other = (
        drape(cap, start=POLE, direction=np.array([1.0, -0.5, 0]), law=WOVEN, refine=True, first=path)
        for path in (line, line[::-1])
    )
    # where it crosses from triangle to triangle is known to a quarter of an edge, from the other side
    np.testing.assert_allclose(other.uv, one.uv, atol=3e-4)


@pytest.mark.parametrize("degrees", [0, 30, 90, 200])
def test_on_a_cylinder_the_cloth_keeps_its_angle_to_the_line_everywhere(degrees: float) -> None:
    """Unrolled, a helix is a straight line: whatever line is laid first, the map is the sheet turned."""
    surface = shapes.cylinder(0.08, np.pi, 0.25, 40, 60)
    turn = np.linspace(-1.2, 1.2, 80)
    helix = np.column_stack([0.08 * turn * 0.7, 0.08 * np.sin(turn), 0.08 * np.cos(turn)])
    phi = np.radians(degrees)
    way = np.array([np.cos(phi), np.sin(phi), 0])
    lain = drape(surface, start=np.array([0, 0, 0.08]), direction=way, law=WOVEN, refine=True, first=helix)
    p = surface.vertices
    flat = np.column_stack([p[:, 0], 0.08 * np.arctan2(p[:, 1], p[:, 2])])
    wanted = flat @ np.array([[np.cos(phi), -np.sin(phi)], [np.sin(phi), np.cos(phi)]])
    np.testing.assert_allclose(lain.uv, wanted, atol=4e-4)
    assert np.degrees(np.abs(lain.shear)).max() < 0.2


def test_a_line_that_bends_in_the_surface_bends_as_much_in_the_cloth() -> None:
    """A small circle at polar angle t bends by cot(t) / R within the sphere: flat it has the radius R tan(t)."""
    tilt, polar = np.radians(50), np.radians(50)  # the circle's own pole leans away so that it runs over the cap's pole
    axis = np.array([0, np.sin(tilt), np.cos(tilt)])
    side, up = np.array([1.0, 0, 0]), np.cross(axis, [1.0, 0, 0])
    at = np.linspace(-0.9, 0.9, 120)[:, None]
    arc = R * (np.cos(polar) * axis + np.sin(polar) * (np.sin(at) * side - np.cos(at) * up))
    arc = arc if arc[60, 2] > 0.09 else R * (
        np.cos(polar) * axis + np.sin(polar) * (np.sin(at) * side + np.cos(at) * up)
    )
    assert np.linalg.norm(arc - POLE, axis=1).min() < 2e-3
    cap = shapes.hemisphere(R, np.radians(65), 40)
    lain = drape(cap, start=POLE, direction=side, law=WOVEN, first=arc, refine=True)
    flat = in_cloth(lain, arc[5:-5])
    step = np.diff(flat, axis=0)
    length = np.linalg.norm(step, axis=1)
    heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    middle = np.concatenate([[0], np.cumsum(0.5 * (length[1:] + length[:-1]))])
    bend = np.polyfit(middle, heading, 1)[0]
    assert abs(bend) == pytest.approx(1 / (R * np.tan(polar)), rel=0.03)
    assert length.sum() == pytest.approx(np.linalg.norm(np.diff(arc[5:-5], axis=0), axis=1).sum(), rel=5e-3)


def test_the_line_is_given_back() -> None:
    cap = shapes.hemisphere(R, 1.0, 12)
    lain = drape(cap, start=POLE, direction=np.array([1.0, 0, 0]), law=WOVEN, first=great_circle(0.5, 0.7))
    np.testing.assert_allclose(lain.line[[0, -1]], great_circle(0.5, 0.7)[[0, -1]], atol=1e-3)


def on_plane(path: object) -> None:
    plane = shapes.plane()
    at, triangle, _ = start_on(plane, np.zeros(3), 0.005)
    laid_first(plane, np.asarray(path, dtype=float), at, triangle, direction_on(plane, triangle, np.eye(3)[0]), 0.005)


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ([[0, 0, 0]], "two or more points"),
        ([[0, 0], [1, 1]], "two or more points"),
        ([[0, 0, np.nan], [1, 1, 1]], "two or more points"),
        ([[0, 0, 0], [0, 0, 0]], "two points apart"),
        ([[0, 0, 0], [0.1, 0, 0.03]], r"100\.0, 0\.0, 30\.0\) mm – this point of the line is 30\.0 mm off the surface"),
        ([[0, 0, -0.004], [0, 0, 0.004]], "does not lie along"),
    ],
)
def test_a_line_that_cannot_be_laid_is_refused_by_name(path: object, words: str) -> None:
    with pytest.raises(InputError, match=words):
        on_plane(path)


def test_a_straight_line_drawn_on_a_plane_has_one_heading_and_a_corner_turns_it() -> None:
    plane: Surface = shapes.plane()
    at, triangle, _ = start_on(plane, np.zeros(3), 0.005)
    warp = np.array([1.0, 0, 0])
    straight = laid_first(plane, np.array([[-0.05, -0.05, 0], [0.05, 0.05, 0]]), at, triangle, warp, 0.005)
    np.testing.assert_allclose(straight.heading, np.pi / 4, atol=1e-9)
    assert straight.length.sum() == pytest.approx(0.1 * np.sqrt(2))
    bent = laid_first(plane, np.array([[-0.05, 0, 0], [0.051, 0, 0], [0.051, 0.05, 0]]), at, triangle, warp, 0.005)
    assert bent.heading[0] == pytest.approx(0, abs=1e-9)
    assert bent.heading[-1] == pytest.approx(np.pi / 2)
