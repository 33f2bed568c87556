"""The marched net against the sphere's tables, nets on surfaces given by formulas, and the map of `drape`."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import shapes
import sphere_net
from bagside import geometry
from bagside.drape import ClothKind, Drape, Net, drape, law_of, net, preview
from bagside.drape.order import contours
from bagside.errors import InputError
from bagside.geometry import Surface

Floats = NDArray[np.float64]
RADIUS = 0.1
SOURCE = "Mack & Taylor 1956, net of inextensible threads from two great circles"
ALONG = np.array([1.0, 0.0, 0.0])
ASKEW = np.array([1.0, 0.5, 0.0])


def on_cap(spacing: float, rings: int = 82, cap: float = 90, way: Floats = ASKEW) -> Net:
    surface = shapes.hemisphere(RADIUS, np.radians(cap), rings)
    return net(surface, start=np.array([0, 0, RADIUS]), direction=way, spacing=spacing)


def threads_of(found: Net) -> Floats:
    """Return thread lengths at the middle of each cell over the radius, as arcs between nodes on a sphere."""
    arc = 2 * np.arcsin(found.spacing / (2 * RADIUS))
    return arc * found.threads[found.cells].mean(axis=1)


@pytest.fixture(scope="module")
def ball() -> Net:
    return on_cap(RADIUS / 40, rings=100, cap=125)


@pytest.fixture(scope="module")
def hemisphere() -> Net:
    return on_cap(RADIUS / 40)


@pytest.mark.published(SOURCE)
@pytest.mark.parametrize(
    ("x", "printed"),
    [(0.1, 5.726), (0.25, 14.27), (0.5, 28.26), (0.75, 41.68), (1.0, 54.32), (1.2, 63.75), (1.4, 72.51)],
)
def test_shear_by_thread_lengths(x: float, printed: float, ball: Net) -> None:
    """Derived here in the continuous limit: shear depends on u v / R² alone."""
    at = threads_of(ball).prod(axis=1)
    near = np.abs(np.abs(at) - x) < 0.03
    assert near.sum() >= 16
    _, middle = np.polyfit(np.abs(at[near]) - x, np.degrees(np.abs(ball.shear[near])), 1)
    assert middle == pytest.approx(printed, abs=0.12)
    assert (np.sign(ball.shear[near]) == np.sign(at[near])).all()


@pytest.mark.published(SOURCE)
@pytest.mark.parametrize(
    ("polar", "length", "printed"),
    [(20, 0.2444, 3.42), (30, 0.3625, 7.52), (45, 0.5315, 16.11), (60, 0.6901, 26.95), (75, 0.8391, 39.27)],
)
def test_shear_and_thread_length_on_the_bias(polar: int, length: float, printed: float, hemisphere: Net) -> None:
    """Derived here in the continuous limit."""
    corner = hemisphere.threads[hemisphere.cells]
    on_bias = corner[:, 0, 0] == corner[:, 0, 1]
    middle = hemisphere.points[hemisphere.cells[on_bias]].mean(axis=1)
    turn = np.degrees(np.arctan2(np.hypot(middle[:, 0], middle[:, 1]), middle[:, 2]))
    at, shear = threads_of(hemisphere)[on_bias, 0], np.degrees(hemisphere.shear[on_bias])
    for side in (at > 0, at < 0):
        order = np.argsort(turn[side])
        assert np.interp(polar, turn[side][order], shear[side][order]) == pytest.approx(printed, abs=0.15)
        assert np.interp(polar, turn[side][order], np.abs(at[side])[order]) == pytest.approx(length, abs=1e-3)


@pytest.mark.published(SOURCE)
def test_shear_near_the_equator(hemisphere: Net) -> None:
    """Derived here: 52.4° on the bias at the equator; the nearest whole cell lies a little above it."""
    middle = hemisphere.points[hemisphere.cells].mean(axis=1)
    polar = np.arctan2(np.hypot(middle[:, 0], middle[:, 1]), middle[:, 2])
    corner = hemisphere.threads[hemisphere.cells]
    last = np.argmax(np.where(corner[:, 0, 0] == corner[:, 0, 1], polar, 0))
    assert np.degrees(polar[last]) > 87
    assert np.degrees(hemisphere.shear[last]) == pytest.approx(
        52.4 + np.degrees(sphere_net.shear_on_bias(polar[last]) - sphere_net.shear_on_bias(np.pi / 2)), abs=0.2
    )


def error_on_cap(spacing: float) -> float:
    """Return the rms difference from the limit at the same threads, where the coarser net reaches too [deg]."""
    found = on_cap(spacing, rings=110, cap=80)
    at = threads_of(found)
    inside = np.abs(at).max(axis=1) < 1.0
    error = found.shear - sphere_net.shear_at(at.prod(axis=1))
    return float(np.degrees(np.sqrt((error[inside] ** 2).mean())))


def test_the_error_falls_with_the_square_of_the_spacing() -> None:
    coarse, fine = error_on_cap(0.4 * RADIUS), error_on_cap(0.2 * RADIUS)
    assert 3.2 < coarse / fine < 5
    assert coarse < 0.7


@pytest.mark.parametrize("way", [ALONG, ASKEW, np.array([1.0, 1.0, 0.0])])
@pytest.mark.parametrize(
    ("surface", "start"),
    [
        (shapes.plane(), np.zeros(3)),
        (shapes.cylinder(nx=70, ny=70), np.array([0, 0, 0.08])),
        (shapes.cone(n=70), shapes.cone(n=70).centroids[4900]),
    ],
    ids=["plane", "cylinder", "cone"],
)
def test_a_developable_surface_shears_nothing(surface: Surface, start: Floats, way: Floats) -> None:
    found = net(surface, start=start, direction=way, spacing=float(np.sqrt(surface.area / 1500)))
    assert np.degrees(np.sqrt((found.shear**2).mean())) < 0.1
    assert found.coverage > 0.9
    assert len(found.jammed) == 0


def test_nodes_lie_on_the_surface_one_spacing_apart() -> None:
    surface = shapes.hemisphere(RADIUS, np.radians(75), 30)
    found = net(surface, start=np.array([0.02, 0, 0.098]), direction=ASKEW, spacing=0.004)
    off, _, _ = geometry.nearest(surface, found.points)
    assert off.max() < 1e-8
    corner = found.points[found.cells]
    sides = np.linalg.norm(np.roll(corner, -1, axis=1) - corner, axis=2)
    np.testing.assert_allclose(sides, 0.004, rtol=1e-6)
    weight = geometry.barycentric(surface, found.triangles, found.points)
    assert weight.min() > -1e-4  # each lies in the triangle it names


# The same net on surfaces given by formulas, without a mesh: threads by their differential equation, nodes by Newton.


class Formula:
    """A surface as a function of two numbers; derivatives by differences, geodesics from its metric's derivatives."""

    def __init__(self, place: Callable[[Floats], Floats]) -> None:
        self.place = place

    def tangents(self, s: Floats) -> Floats:
        h = 1e-5
        return np.stack([(self.place(s + h * e) - self.place(s - h * e)) / (2 * h) for e in np.eye(2)], axis=1)

    def accelerated(self, _: float, y: Floats) -> Floats:
        """A geodesic bends only along the normal: the part of its second derivative along the surface is nothing."""
        s, speed = y[:2], y[2:]
        h = 1e-4
        bent = (self.place(s + h * speed) - 2 * self.place(s) + self.place(s - h * speed)) / h**2
        t = self.tangents(s)
        return np.concatenate([speed, -np.linalg.solve(t.T @ t, t.T @ bent)])

    def thread(self, start: Floats, way: Floats, spacing: float, count: int) -> list[Floats]:
        t = self.tangents(start)
        speed = np.linalg.lstsq(t, way, rcond=None)[0]
        speed = speed / np.linalg.norm(t @ speed)
        line = solve_ivp(
            self.accelerated,
            [0, 1.2 * spacing * (count + 1)],
            np.concatenate([start, speed]),
            rtol=1e-9,
            atol=1e-11,
            dense_output=True,
        ).sol
        at, nodes = 0.0, [start]
        for _ in range(count):
            here = self.place(nodes[-1])
            at = brentq(
                lambda x, here=here: np.linalg.norm(self.place(line(x)[:2]) - here) - spacing, at, at + 1.2 * spacing
            )
            nodes.append(line(at)[:2])
        return nodes

    def net(self, start: Floats, warp: Floats, spacing: float, count: int) -> dict[tuple[int, int], Floats]:
        t = self.tangents(start)
        normal = np.cross(t[:, 0], t[:, 1])
        weft = np.cross(normal / np.linalg.norm(normal), warp)
        found: dict[tuple[int, int], Floats] = {}
        for si in (1, -1):
            found |= {(si * k, 0): s for k, s in enumerate(self.thread(start, si * warp, spacing, count))}
            found |= {(0, si * k): s for k, s in enumerate(self.thread(start, si * weft, spacing, count))}
        for si in (1, -1):
            for sj in (1, -1):
                for i in range(1, count + 1):
                    for j in range(1, count + 1):
                        a, b = found[si * (i - 1), sj * j], found[si * i, sj * (j - 1)]
                        c = found[si * (i - 1), sj * (j - 1)]
                        found[si * i, sj * j] = self.node(a, b, a + b - c, spacing)
        return found

    def node(self, a: Floats, b: Floats, guess: Floats, spacing: float) -> Floats:
        pa, pb, s = self.place(a), self.place(b), guess
        for _ in range(20):
            p, t = self.place(s), self.tangents(s)
            off = np.array([(p - pa) @ (p - pa), (p - pb) @ (p - pb)]) - spacing**2
            step = np.linalg.solve(2 * np.stack([(p - pa) @ t, (p - pb) @ t]), off)
            s = s - step
            if np.abs(step).max() < 1e-13:
                return s
        raise AssertionError("the reference net did not close")


def saddle_place(s: Floats) -> Floats:
    return np.array([s[0], s[1], (s[0] ** 2 - s[1] ** 2) / 0.3])


LARGE, SMALL = 0.2, 0.08


def torus_place(s: Floats) -> Floats:
    out = LARGE + SMALL * np.cos(s[1])
    return np.array([out * np.sin(s[0]), SMALL * np.sin(s[1]), out * np.cos(s[0])])


def torus(n: int, inside: bool = False, arc: float = 0.46, tube: float = 1.6) -> Surface:
    p, t = shapes.grid(n, n)
    turn, around = (p[:, 0] - 0.5) * arc, (p[:, 1] - 0.5) * tube
    around = np.pi - around if inside else around
    out = LARGE + SMALL * np.cos(around)
    points = np.column_stack([out * np.sin(turn), SMALL * np.sin(around), out * np.cos(turn)])
    return Surface(points, t[:, ::-1] if inside else t)


@pytest.mark.parametrize("way", [ALONG, np.array([1.0, 0.577, 0.0]), np.array([1.0, 1.0, 0.0])])
@pytest.mark.parametrize(
    ("place", "surface", "origin"),
    [
        (saddle_place, shapes.saddle(n=141), np.zeros(2)),
        (torus_place, torus(141), np.zeros(2)),
        (torus_place, torus(141, inside=True, arc=0.9), np.array([0, np.pi])),
    ],
    ids=["saddle", "torus outside", "torus inside"],
)
def test_against_a_net_on_the_formula(
    place: Callable[[Floats], Floats], surface: Surface, origin: Floats, way: Floats
) -> None:
    spacing, count = 0.004, 8
    formula = Formula(place)
    start = place(origin)
    t = formula.tangents(origin)
    turned = np.cross(t[:, 0], t[:, 1]) @ surface.vertex_normals[
        np.argmin(np.linalg.norm(surface.vertices - start, axis=1))
    ]
    warp = way / np.linalg.norm(way)
    wanted = formula.net(origin, warp, spacing, count)
    found = net(surface, start=start, direction=warp, spacing=spacing)
    sense = 1 if turned > 0 else -1  # seen from the laminate side the weft may lie on the other side of the warp
    number = {tuple(ij): k for k, ij in enumerate(found.threads.tolist())}
    near = [(i, j) for i in range(-count, count + 1) for j in range(-count, count + 1)]
    mine = found.points[[number[i, sense * j] for i, j in near]]
    theirs = np.array([place(wanted[ij]) for ij in near])
    assert np.linalg.norm(mine - theirs, axis=1).max() < 0.01 * spacing
    cell = {tuple(found.threads[c[0]].tolist()): s for c, s in zip(found.cells, found.shear, strict=True)}
    errors = []
    for i in range(-count, count):
        for j in range(-count, count):
            corner = [place(wanted[ij]) for ij in ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))]
            long, wide = np.linalg.norm(corner[2] - corner[0]), np.linalg.norm(corner[3] - corner[1])
            shear = np.pi / 2 - 2 * np.arctan2(wide, long)
            key = (i, j) if sense > 0 else (i, -j - 1)
            errors.append(cell[key] - sense * shear)
    assert np.degrees(np.sqrt(np.mean(np.square(errors)))) < 0.05
    assert max(abs(s) for s in cell.values()) > np.radians(3)


def test_the_saddle_moves_its_own_profile() -> None:
    """A profile moved along another keeps its length, and both are straight through the middle: the net is known.

    Threads lie in the planes x = const and y = const, so cos of their angle is z_x z_y / √((1 + z_x²)(1 + z_y²)).
    """
    found = net(shapes.saddle(n=141), start=np.zeros(3), direction=ALONG, spacing=0.004)
    middle = found.points[found.cells].mean(axis=1)
    fx, fy = 2 * middle[:, 0] / 0.3, -2 * middle[:, 1] / 0.3
    wanted = np.arcsin(fx * fy / np.sqrt((1 + fx**2) * (1 + fy**2)))
    assert np.degrees(np.sqrt(np.mean((found.shear - wanted) ** 2))) < 0.03
    assert np.degrees(np.abs(wanted).max()) > 11


# The map and the net.


def thread_of(lain: Drape, coordinate: int) -> Floats:
    """Return the thread of a draped cloth through the start, along u (0) or v (1), in its sense."""
    lines = contours(lain.surface, lain.uv[:, 1 - coordinate], 1e-12, lain.uv)
    points, flat = min(lines, key=lambda line: np.linalg.norm(line[0] - lain.start, axis=1).min())
    return points if flat[-1, coordinate] > flat[0, coordinate] else points[::-1]


def laid(surface: Surface, start: Floats, way: Floats) -> Drape:
    law = law_of(ClothKind.WOVEN, None, len(surface.triangles))
    return drape(surface, start=start, direction=way, law=law, refine=True)


def apart(lain: Drape, found: Net) -> float:
    """Return the rms difference in shear of map and net, a twentieth of the size away from the rim [deg]."""
    surface = lain.surface
    shear = found.shear_at(surface)
    rim = surface.vertices[np.concatenate(surface.loops)]
    off = np.linalg.norm(surface.centroids[:, None] - rim[None], axis=2).min(axis=1)
    inside = off > 0.05 * np.sqrt(surface.area)
    seen = inside & ~np.isnan(shear)
    assert surface.areas[seen].sum() > 0.985 * surface.areas[inside].sum()
    return float(np.degrees(np.sqrt(np.average((lain.shear - shear)[seen] ** 2, weights=surface.areas[seen]))))


CONE = shapes.cone(n=60)
SAME_THREADS = {
    "sphere": (shapes.hemisphere(RADIUS, np.radians(60), 35), np.array([0, 0, RADIUS]), 0.35),
    "cylinder": (shapes.cylinder(nx=60, ny=60), np.array([0, 0, 0.08]), 0.05),
    "cone": (CONE, CONE.centroids[3600], 0.05),
    "saddle": (shapes.saddle(n=60), np.zeros(3), 0.35),
    "torus outside": (torus(60), torus_place(np.zeros(2)), 0.25),
    "torus inside": (torus(60, inside=True, arc=0.9), torus_place(np.array([0, np.pi])), 0.45),
}


@pytest.mark.parametrize("name", SAME_THREADS)
def test_the_map_agrees_with_a_net_from_its_own_two_threads(name: str) -> None:
    """The map chooses its threads so that the whole shears least; from the same two threads both must be one."""
    surface, start, band = SAME_THREADS[name]
    lain = laid(surface, start, ASKEW)
    found = net(
        surface,
        start=lain.start,
        direction=ASKEW,
        spacing=float(np.sqrt(surface.area / 2500)),
        line=thread_of(lain, 0),
        across=thread_of(lain, 1),
    )
    assert apart(lain, found) < band


@pytest.mark.parametrize(
    ("name", "band"), [("sphere", 0.45), ("cylinder", 0.05), ("cone", 0.05), ("saddle", 0.3), ("torus outside", 0.6)]
)
def test_the_map_agrees_with_the_net_from_straight_threads_where_symmetry_makes_them_straight(
    name: str, band: float
) -> None:
    surface, start, _ = SAME_THREADS[name]
    way = np.array([1.0, 1.0, 0.0]) if name == "saddle" else ALONG
    found = net(surface, start=start, direction=way, spacing=float(np.sqrt(surface.area / 2500)))
    assert apart(laid(surface, start, way), found) < band


# What it does with lines, holes, rims and bad input.


def test_a_stated_line_is_followed() -> None:
    """On a plane a warp along an arc: threads are its parallel curves, the weft at right angles to it at the start."""
    surface = shapes.plane(0.3, 0.3, 40, 40)
    turn = np.linspace(-0.4, 0.4, 200)
    line = np.column_stack([0.3 * np.sin(turn), 0.3 * (1 - np.cos(turn)), 0 * turn])
    found = net(surface, start=np.zeros(3), direction=ALONG, spacing=0.005, line=line)
    first = found.points[found.threads[:, 1] == 0]
    near = np.abs(first[:, 0]) < 0.3 * np.sin(0.4)
    radius = np.hypot(first[near, 0], 0.3 - first[near, 1])
    np.testing.assert_allclose(radius, 0.3, atol=1e-5)
    # In the plane all cells are rhombs whose sides are those of the two first threads, one bent and one straight.
    bend = 2 * np.arcsin(0.005 / 0.6) * (found.threads[found.cells].mean(axis=1)[:, 0])
    inside = np.abs(bend) < 0.38
    np.testing.assert_allclose(found.shear[inside], bend[inside], atol=2e-4)


def test_beyond_its_ends_a_line_goes_straight_on() -> None:
    line = np.array([[-0.03, 0, 0], [0.03, 0, 0]])
    found = net(shapes.plane(), start=np.array([0, 0.01, 0]), direction=ALONG, spacing=0.005, line=line)
    np.testing.assert_allclose(found.start, 0, atol=1e-12)
    assert found.coverage > 0.93
    np.testing.assert_allclose(found.shear, 0, atol=1e-6)


@pytest.mark.parametrize("way", [ALONG, ASKEW])
def test_a_hole_on_the_first_thread_is_walked_round(way: Floats) -> None:
    surface = shapes.plane_with_hole()
    found = net(surface, start=np.array([-0.1, 0, 0]), direction=way, spacing=0.005)
    assert found.coverage > 0.92
    np.testing.assert_allclose(found.shear, 0, atol=1e-6)
    assert (found.points[:, 0] > 0.06).any()
    assert found.areas.sum() <= surface.area * (1 + 1e-9)


@pytest.mark.parametrize("surface", [shapes.slotted_cap(rings=30), shapes.holed_cap(rings=30), shapes.l_shape()])
@pytest.mark.parametrize("turn", [0.0, 0.8])
def test_notches_and_holes_leave_little_bare(surface: Surface, turn: float) -> None:
    start = surface.centroids[np.argmax(surface.centroids @ np.array([-0.3, -0.2, 1]))]
    way = np.array([np.cos(turn), np.sin(turn), 0.1])
    found = net(surface, start=start, direction=way, spacing=float(np.sqrt(surface.area / 1500)))
    assert 0.9 < found.coverage < 1.0
    corner = found.points[found.cells]
    sides = np.linalg.norm(np.roll(corner, -1, axis=1) - corner, axis=2)
    assert np.abs(sides / found.spacing - 1).max() <= 0.005


@pytest.mark.parametrize("start", [np.array([-0.15, -0.1, 0]), np.array([0.15, 0.0, 0]), np.array([0.02, 0.1, 0])])
@pytest.mark.parametrize("way", [ALONG, ASKEW, np.array([1.0, -1.0, 0.0])])
def test_a_start_on_the_rim_covers_the_sheet(start: Floats, way: Floats) -> None:
    found = net(shapes.plane(), start=start, direction=way, spacing=0.006)
    assert found.coverage > 0.9
    np.testing.assert_allclose(found.shear, 0, atol=1e-6)


def test_a_tube_ends_where_it_meets_itself() -> None:
    open_tube = shapes.cylinder(arc=2 * np.pi, nx=40, ny=80)
    tube = shapes.welded(open_tube.vertices, open_tube.triangles)
    found = net(tube, start=np.array([0, 0, 0.08]), direction=ASKEW, spacing=0.008)
    assert 0.85 < found.coverage < 1.005
    assert np.degrees(np.abs(found.shear)).max() < 1


def test_threads_jam_past_the_least_angle() -> None:
    """On a whole sphere the bias closes to nothing well past the equator; the net must stop there and say so."""
    ball = shapes.hemisphere(RADIUS, np.radians(165), 60)
    found = net(ball, start=np.array([0, 0, RADIUS]), direction=ALONG, spacing=0.006)
    assert len(found.jammed) > 0
    assert np.degrees(np.abs(found.shear)).max() < 90
    assert found.areas.sum() < ball.area


def test_shear_of_triangles_is_that_of_the_cells_around(hemisphere: Net) -> None:
    surface = shapes.hemisphere(RADIUS, np.radians(90), 40)
    shear = hemisphere.shear_at(surface)
    polar = np.arctan2(np.hypot(*surface.centroids[:, :2].T), surface.centroids[:, 2])
    turn = np.arctan2(surface.centroids[:, 1], surface.centroids[:, 0]) - np.arctan2(0.5, 1)
    near = (np.abs(turn % (np.pi / 2) - np.pi / 4) < 0.02) & (polar < np.radians(85))
    wanted = sphere_net.shear_on_bias(polar[near])
    np.testing.assert_allclose(np.abs(shear[near]), wanted, atol=np.radians(0.8))
    assert np.isnan(hemisphere.shear_at(shapes.plane())).any()


def test_the_preview_is_a_net_of_about_so_many_nodes() -> None:
    surface = shapes.saddle()
    found = preview(surface, np.zeros(3), ALONG)
    assert 2000 < len(found.points) < 3000
    again = preview(surface, np.zeros(3), ALONG)
    np.testing.assert_array_equal(found.points, again.points)


@pytest.mark.parametrize(
    ("name", "least"),
    [
        ("c172_wing_skin_upper.stl", 0.85),
        ("x8_centre_top.stl", 0.1),
        ("iris_canopy_top.stl", 0.7),
        ("anymal_bottom_shell_full.stl", 0.5),
    ],
)
def test_real_panels(open_data, name: str, least: float) -> None:
    """From the middle and from the rim.

    A slit in the second leaves only narrow necks to one of its ends, and the rim's first vertex lies in that end.
    """
    raw = geometry.read_mesh(open_data / "meshes" / name, "mm")
    flattest = np.linalg.svd((raw.vertices - raw.vertices.mean(axis=0))[::7], full_matrices=False)[2][2]
    surface, _ = geometry.mended(raw, facing=flattest.tolist())
    middle = surface.centroids[np.argmin(np.linalg.norm(surface.centroids - surface.vertices.mean(axis=0), axis=1))]
    rim = surface.vertices[surface.loops[0][0]]
    for start in (middle, rim):
        _, triangle, _ = geometry.nearest(surface, start[None, :])
        way = surface.corners[triangle[0], 1] - surface.corners[triangle[0], 0]
        found = preview(surface, start, way)
        assert least < found.coverage < 1.01
        off, _, _ = geometry.nearest(surface, found.points)
        assert off.max() < 1e-6


def test_a_raw_mesh_with_slivers_and_fins_gives_a_net(open_data) -> None:
    raw = geometry.read_mesh(open_data / "meshes" / "synthetic_dirty_scan_cowl.ply", "mm")
    surface = Surface(raw.vertices, raw.triangles)
    found = preview(surface, surface.centroids[20_000], ALONG)
    assert np.isfinite(found.points).all()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"spacing": 0.0}, "spacing of the net: 0 mm – a positive length that gives at most 1000000 nodes is wanted"),
        ({"spacing": 1e-6}, "spacing of the net: 0.001 mm – a positive length that gives at most 1000000 nodes"),
        ({"line": np.zeros((2, 3))}, "line of the warp: a line without length – at least two different points"),
        ({"across": np.zeros((2, 2))}, "line of the weft: an array of shape (2, 2) – finite points (k, 3) are wanted"),
        ({"start": np.array([0, 0, 0.1])}, "the start point is 100.0 mm off the surface"),
        ({"direction": np.array([0, 0, 1.0])}, "this direction stands straight up from the surface"),
    ],
)
def test_what_is_refused(change: dict[str, object], message: str) -> None:
    given = {"start": np.zeros(3), "direction": ALONG, "spacing": 0.01} | change
    with pytest.raises(InputError) as error:
        net(shapes.plane(), **given)  # type: ignore[arg-type]
    assert message in str(error.value)


def test_a_surface_without_triangles_is_refused() -> None:
    with pytest.raises(InputError, match="no triangle"):
        preview(Surface(np.zeros((3, 3)), np.zeros((0, 3), dtype=np.int64)), np.zeros(3), ALONG)


@st.composite
def torn(draw: st.DrawFn) -> tuple[Surface, int, Floats]:
    """A rough sheet with triangles torn out and some turned over, a triangle to start in, and a direction."""
    seed, n = draw(st.integers(0, 2**32 - 1)), draw(st.integers(2, 14))
    random = np.random.default_rng(seed)
    p, t = shapes.grid(n, n)
    rough = draw(st.sampled_from([0.0, 0.002, 0.02, 0.2]))
    points = np.column_stack([0.2 * p, rough * random.standard_normal(len(p))])
    t = t[random.random(len(t)) > draw(st.sampled_from([0.0, 0.1, 0.4]))]
    over = random.random(len(t)) < draw(st.sampled_from([0.0, 0.2]))
    t = np.where(over[:, None], t[:, ::-1], t)
    assume(len(t) > 0)
    angle = draw(st.floats(0, 2 * np.pi))
    return Surface(points, t), int(random.integers(len(t))), np.array([np.cos(angle), np.sin(angle), 0.1])


@settings(max_examples=30, deadline=None)
@given(torn(), st.sampled_from([0.2, 0.7, 3.0]))
def test_a_torn_sheet_gives_a_sound_net_or_a_clear_refusal(
    sheet: tuple[Surface, int, Floats], edges: float
) -> None:
    """Every node lies on the surface; every cell has four equal sides; the net does not grow past the surface."""
    surface, triangle, way = sheet
    try:
        found = net(
            surface, start=surface.centroids[triangle], direction=way, spacing=edges * surface.edge_length, patience=400
        )
    except InputError:
        return
    off, _, _ = geometry.nearest(surface, found.points)
    assert off.max() < 2e-3 * found.spacing
    corner = found.points[found.cells]
    sides = np.linalg.norm(np.roll(corner, -1, axis=1) - corner, axis=2)
    assert np.abs(sides / found.spacing - 1).max(initial=0) <= 0.005
    assert (np.abs(found.shear) < np.pi / 2).all()
    assert found.areas.sum() < 1.6 * surface.area + 8 * found.spacing**2
