from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface, axes, components, cut, outline_polygon, prism, regions_of
from bagside.geometry import regions as region_code
from bagside.spec.region import Hole, Near, Outline, Plane, Region, Shape

FLAT = shapes.plane(0.3, 0.2, 100, 66)
BALL = shapes.hemisphere(0.1, np.pi / 2, 40)
HOLE = Hole(name="toggle", at=(0.05, 0.0, 0.0), diameter=0.012)


def one(surface: Surface, region: Region, holes: Mapping[str, Hole] | None = None) -> Surface:
    return regions_of(surface, {"r": region}, holes or {}, "job.toml")["r"]


def stray(surface: Surface, outline: Outline) -> float:
    """Largest distance, seen along the sight, between the region's boundary and the outline, both ways."""
    frame = axes(outline)[:2]
    ring = shapely.LinearRing(outline_polygon(outline))
    cut_ring = shapely.LinearRing(surface.vertices[surface.loops[0]] @ frame.T)
    return float(shapely.hausdorff_distance(ring, cut_ring, densify=0.01))


def refused(surface: Surface, regions: dict[str, Region], holes: Mapping[str, Hole] | None = None) -> str:
    with pytest.raises(InputError) as caught:
        regions_of(surface, regions, holes or {}, "job.toml")
    return str(caught.value)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.01, 0.17), st.floats(-0.05, 0.05), st.floats(-0.01, 0.01))
def test_a_circle_has_its_area(diameter: float, x: float, y: float) -> None:
    circle = Outline(shape=Shape.CIRCLE, size=(diameter, diameter), centre=(x, y))
    found = one(FLAT, Region(inside=circle))
    assert found.area == pytest.approx(np.pi * diameter**2 / 4, rel=5e-4)
    assert stray(found, circle) <= 5e-5
    rest = one(FLAT, Region(outside=circle))
    assert rest.area + found.area == pytest.approx(0.06, rel=1e-9)


@pytest.mark.parametrize(
    "outline",
    [
        Outline(shape=Shape.ELLIPSE, size=(0.11, 0.04), turn=0.3),
        Outline(shape=Shape.ROUNDED_RECTANGLE, size=(0.1, 0.06), corner=0.004, turn=1.0),
        Outline(shape=Shape.POLYGON, points=((-0.05, -0.05), (0.05, -0.05), (0.001, 0.0), (0.05, 0.05), (-0.05, 0.05))),
        Outline(shape=Shape.POLYGON, points=((-0.05, -0.0004), (0.05, -0.0004), (0.05, 0.0004), (-0.05, 0.0004))),
    ],
    ids=["ellipse", "tight corners", "re-entrant corner", "strip thinner than an edge"],
)
@pytest.mark.parametrize("sight", [(0.0, 0.0, 1.0), (0.2, -0.3, 0.9)])
def test_the_boundary_follows_the_outline_on_a_dome(outline: Outline, sight: tuple[float, float, float]) -> None:
    seen = Outline(
        shape=outline.shape, size=outline.size, corner=outline.corner, turn=outline.turn, points=outline.points,
        along=sight,
    )  # fmt: skip
    cap = one(BALL, Region(beside=Plane(point=(0, 0, 0.03), normal=(0, 0, 1))))
    found = one(cap, Region(inside=seen))
    assert stray(found, seen) <= 5e-5
    assert len(found.loops) == 1


def test_what_lies_behind_is_taken_too() -> None:
    tube = shapes.cylinder(0.08, 1.9 * np.pi, 0.25, 40, 120)  # open below, narrower than the outline
    seen = one(tube, Region(inside=Outline(shape=Shape.CIRCLE, size=(0.04, 0.04))))
    top, left, right = components(seen)
    assert top.centroids[:, 2].min() > 0
    assert left.centroids[:, 2].max() < 0
    assert left.area == pytest.approx(right.area, rel=1e-3)


def test_an_upright_wall_is_cut_where_it_is_crossed() -> None:
    wall = Surface(FLAT.vertices @ np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]]), FLAT.triangles)
    strip = one(wall, Region(inside=Outline(shape=Shape.ROUNDED_RECTANGLE, size=(0.1013, 0.3))))
    assert strip.area == pytest.approx(0.1013 * 0.2, rel=1e-4)


CORNER = shapes.box_corner(rings=16)  # three flat faces, two of them upright
TUBE = shapes.cylinder(0.08, 1.9 * np.pi, 0.25, 24, 60)
reach = st.floats(0.005, 0.09)


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([CORNER, TUBE, BALL]),
    st.lists(reach, min_size=3, max_size=9),
    st.floats(0, 6.28),
    st.tuples(st.floats(-0.04, 0.04), st.floats(-0.04, 0.04)),
    st.sampled_from([(0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.3, -0.5, 0.6), (-0.7, 0.1, -0.2)]),
)
def test_any_outline_from_anywhere_parts_any_surface_without_loss(
    surface: Surface, rays: list[float], turn: float, centre: tuple[float, float], along: tuple[float, float, float]
) -> None:
    angle = 2 * np.pi * np.arange(len(rays)) / len(rays)
    corners = np.array(rays)[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    star = Outline(
        shape=Shape.POLYGON, points=tuple((float(x), float(y)) for x, y in corners), turn=turn, centre=centre,
        along=along,
    )  # fmt: skip
    frame = axes(star)
    ring = shapely.Polygon(outline_polygon(star))
    total = 0.0
    for region, outside in ((Region(inside=star), False), (Region(outside=star), True)):
        try:
            found = one(surface, region)
        except InputError as error:
            assert str(error) == "job.toml, region r – no part of the surface lies in it"  # noqa: PT017 - either is right
            continue
        total += found.area
        assert all(len(loop) >= 3 for loop in found.loops)
        seen = shapely.points(found.centroids @ frame[:2].T)
        wrong = shapely.contains(ring, seen) == outside
        assert shapely.distance(ring.exterior, seen[wrong]).max(initial=0) < 5e-5
    assert total == pytest.approx(surface.area, rel=1e-4)


def test_a_plane_cuts_exactly() -> None:
    cap = one(BALL, Region(beside=Plane(point=(0, 0, 0.0437), normal=(0, 0, 1))))
    assert cap.vertices[cap.loops[0], 2] == pytest.approx(0.0437, abs=2 * 1e-3 * BALL.edge_length)
    exact = 2 * np.pi * 0.1 * (0.1 - 0.0437)
    assert cap.area == pytest.approx(exact, rel=2e-3)


def test_near_a_point_an_edge_a_hole_and_a_region() -> None:
    point = one(FLAT, Region(near=Near(distance=0.05, points=((0.01, 0.0, 0.004),))))
    assert point.area == pytest.approx(np.pi * 0.05**2, rel=5e-4)
    edge = one(FLAT, Region(near=Near(distance=0.0213, edge=True)))
    assert edge.area == pytest.approx(0.06 - (0.3 - 0.0426) * (0.2 - 0.0426), rel=1e-3)
    rim = one(FLAT, Region(near=Near(distance=0.02, holes=("toggle",))), {
        "toggle": HOLE
    })  # fmt: skip
    assert rim.area == pytest.approx(np.pi * 0.026**2, rel=1e-3)
    made = regions_of(
        FLAT,
        {
            "around": Region(near=Near(distance=0.02, region="square")),
            "square": Region(inside=Outline(shape=Shape.ROUNDED_RECTANGLE, size=(0.06, 0.06))),
            "ring": Region(of="around", away=Near(distance=0.01, region="square")),
        },
        {},
        "job.toml",
    )
    assert list(made) == ["everything", "square", "around", "ring"]
    square, around = 0.06**2, 0.06**2 + 4 * 0.06 * 0.02 + np.pi * 0.02**2
    assert made["square"].area == pytest.approx(square, rel=1e-6)
    assert made["around"].area == pytest.approx(around, rel=1e-3)
    assert made["ring"].area == pytest.approx(around - square - 4 * 0.06 * 0.01 - np.pi * 0.01**2, rel=4e-3)


@pytest.mark.parametrize("radius", [0.0005, 0.004, 0.02, 0.06])
def test_a_circle_over_the_surface_is_round_however_small(radius: float) -> None:
    at = (0.0127, 0.0311, 0.0)
    disc = one(FLAT, Region(near=Near(distance=radius, points=(at,))))
    rim = np.linalg.norm(disc.vertices[disc.loops[0]] - np.array(at), axis=1)
    assert rim == pytest.approx(radius, abs=2e-6)
    middle = 0.5 * (disc.vertices[disc.loops[0]] + np.roll(disc.vertices[disc.loops[0]], 1, axis=0))
    assert np.linalg.norm(middle - np.array(at), axis=1).min() > radius - 5e-5
    assert len(disc.loops) == 1


def test_a_circle_that_cannot_be_followed_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(region_code, "HALVINGS", 1)
    with pytest.raises(NotSolved, match="cannot be followed"):
        one(FLAT, Region(near=Near(distance=0.001, points=((0.0, 0.0, 0.0),))))


def test_two_holes_far_apart_each_get_their_patch() -> None:
    holes = {
        "fore": Hole(name="fore", at=(0.12, 0.0, 0.0), diameter=0.01),
        "aft": Hole(name="aft", at=(-0.12, 0.0, 0.0), diameter=0.01),
    }
    both = one(FLAT, Region(near=Near(distance=0.02, holes=("fore", "aft"))), holes)
    assert [part.area for part in components(both)] == pytest.approx([np.pi * 0.025**2] * 2, rel=2e-3)
    joined = one(FLAT, Region(near=Near(distance=0.03, points=((0.02, 0.0, 0.0), (-0.02, 0.0, 0.0)))))
    lens = 2 * 0.03**2 * np.arccos(2 / 3) - 0.02 * np.sqrt(4 * 0.03**2 - 0.04**2)
    assert joined.area == pytest.approx(2 * np.pi * 0.03**2 - lens, rel=2e-3)


def test_several_conditions_hold_together_and_edge_means_that_of_the_start() -> None:
    made = regions_of(
        FLAT,
        {
            "part": Region(inside=Outline(shape=Shape.ROUNDED_RECTANGLE, size=(0.2, 0.1))),
            "right": Region(
                of="part",
                beside=Plane(point=(0.0, 0.0, 0.0), normal=(1, 0, 0)),
                near=Near(distance=0.01, edge=True),
                away=Near(distance=0.01, points=((0.1, 0.0, 0.0),)),
            ),
        },
        {},
        "job.toml",
    )
    strip = 0.02 - 0.18 * 0.08
    assert made["right"].area == pytest.approx(strip / 2 - np.pi * 0.01**2 / 2, rel=2e-3)


@settings(max_examples=30, deadline=None)
@given(st.floats(-0.15, 0.15), st.floats(0, 2 * np.pi))
def test_cutting_along_a_line_parts_the_surface_without_loss(level: float, angle: float) -> None:
    values = BALL.vertices @ np.array([np.cos(angle), np.sin(angle), 0.3])
    low, high = cut(BALL, values, level), cut(BALL, -values, -level)
    assert low.area + high.area == pytest.approx(BALL.area, rel=1e-5)
    for part in (low, high):
        assert len(part.triangles) == 0 or len(part.loops) >= 1


def test_components_come_largest_first() -> None:
    pair = Surface(
        np.concatenate([FLAT.vertices, BALL.vertices + np.array([1, 0, 0])]),
        np.concatenate([FLAT.triangles, BALL.triangles + len(FLAT.vertices)]),
    )
    assert [part.area for part in components(pair)] == pytest.approx([BALL.area, FLAT.area])


def test_messages_name_the_place_and_the_cure() -> None:
    part = Region(inside=Outline(shape=Shape.CIRCLE, size=(0.1, 0.1)))
    assert refused(FLAT, {"part": part, "a": Region(of="prat")}) == (
        'job.toml, region a, of: "prat" – a region stated here is wanted (did you mean "part"?)'
    )
    assert refused(FLAT, {"a": Region(of="b"), "b": Region(of="a")}) == (
        'job.toml, region b, of: "a" – a region cannot be made from itself (a → b → a)'
    )
    assert refused(FLAT, {"a": Region(near=Near(distance=0.1, region="a"))}) == (
        'job.toml, region a, near, region: "a" – a region cannot be made from itself (a → a)'
    )
    assert refused(FLAT, {"a": Region(of="everything", beside=Plane(point=(0, 0, 1), normal=(0, 0, 1)))}) == (
        "job.toml, region a – no part of the surface lies in it"
    )
    assert refused(FLAT, {"a": Region(near=Near(distance=0.1, points=((0.0, 0.0, 0.03),)))}) == (
        "job.toml, region a, near, points: 0.0 0.0 30.0 mm – a point on the surface is wanted, this one lies 30 mm "
        "off it (the nearest place on it is 0.0 0.0 0.0 mm)"
    )
    assert refused(FLAT, {}, {"toggle": Hole(name="toggle", at=(0.2, 0.0, 0.0), diameter=0.01)}) == (
        "job.toml, hole toggle, at: 200.0 0.0 0.0 mm – a point on the surface is wanted, this one lies 50 mm off it "
        "(the nearest place on it is 150.0 0.0 0.0 mm)"
    )
    assert refused(FLAT, {"a": Region(away=Near(distance=0.1, holes=("togle",)))}, {"toggle": HOLE}) == (
        'job.toml, region a, away, holes: "togle" – a hole stated here is wanted (did you mean "toggle"?)'
    )
    assert refused(FLAT, {"a": Region(near=Near(distance=0.1))}) == (
        "job.toml, region a, near – something to be near to is wanted: edge, holes, points, region or lines"
    )
    assert refused(FLAT, {"a": Region(inside=Outline(shape=Shape.CIRCLE))}) == (
        "job.toml, region a, inside: circle – circle needs its size"
    )
    crossed = Outline(shape=Shape.POLYGON, points=((0.0, 0.0), (0.1, 0.1), (0.1, 0.0), (0.0, 0.1)))
    assert refused(FLAT, {"a": Region(outside=crossed)}) == (
        "job.toml, region a, outside: polygon – the outline crosses itself or has no area"
    )
    with pytest.raises(ValueError, match="values came for"):
        cut(FLAT, np.zeros(3))


def test_an_outline_that_cannot_be_followed_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(prism, "PASSES", 0)
    with pytest.raises(NotSolved) as caught:
        one(FLAT, Region(inside=Outline(shape=Shape.CIRCLE, size=(0.1, 0.1))))
    assert str(caught.value) == "job.toml, region r, inside: the outline cannot be followed over the surface"
