"""Regions near a line, against shapely's buffer on a plane and the area of a zone on a sphere."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

import shapes
from bagside.errors import InputError
from bagside.geometry import Surface, components, regions_of
from bagside.spec.lines import Line
from bagside.spec.region import Near, Outline, Plane, Region, Shape

FLAT = shapes.plane(0.3, 0.2, 60, 40)  # 5 mm edges
BALL = shapes.hemisphere(0.1, np.pi / 2, 40)
SEAM = Line(points=((-0.145, 0.013, 0.0), (0.145, 0.041, 0.0)))
LEFT = Plane(point=(0.0113, 0.0, 0.0), normal=(-1.0, 0.0, 0.0))
ACROSS = Line(points=((-0.15, -0.05, 0.0), (0.15, -0.05, 0.0)))


def near(surface: Surface, lines: dict[str, Line], distance: float, **more: Region) -> Surface:
    region = Region(near=Near(distance=distance, lines=tuple(lines)), of="part" if more else "everything")
    return regions_of(surface, {**more, "r": region}, {}, "job.toml", lines)["r"]


def flat_shape(surface: Surface) -> shapely.Geometry:
    return shapely.union_all([shapely.Polygon(p) for p in surface.corners[:, :, :2]])


@pytest.mark.parametrize("distance", [0.004, 0.0125])
def test_a_strip_round_a_straight_line_is_its_buffer_also_where_it_is_narrower_than_an_edge(distance: float) -> None:
    found = near(FLAT, {"seam": SEAM}, distance)
    line = shapely.LineString([p[:2] for p in SEAM.points])
    wanted = line.buffer(distance, quad_segs=64).intersection(shapely.box(-0.15, -0.1, 0.15, 0.1))
    assert found.area == pytest.approx(wanted.area, rel=5e-4)
    assert shapely.hausdorff_distance(flat_shape(found).exterior, wanted.exterior, densify=0.5) < 5e-5


def test_from_rim_to_rim_the_strip_is_a_rectangle_and_two_that_cross_count_once() -> None:
    assert near(FLAT, {"a": ACROSS}, 0.01).area == pytest.approx(0.3 * 0.02, rel=1e-4)
    down = Line(points=((0.04, -0.1, 0.0), (0.04, 0.1, 0.0)))
    both = near(FLAT, {"a": ACROSS, "b": down}, 0.01)
    assert both.area == pytest.approx(0.3 * 0.02 + 0.2 * 0.02 - 0.02**2, rel=2e-4)


def test_a_closed_line_gives_a_band() -> None:
    corners = ((-0.05, -0.05, 0.0), (0.05, -0.05, 0.0), (0.05, 0.05, 0.0), (-0.05, 0.05, 0.0))
    found = near(FLAT, {"loop": Line(points=corners, closed=True)}, 0.006)
    ring = shapely.LinearRing([p[:2] for p in corners]).buffer(0.006, quad_segs=64)
    assert found.area == pytest.approx(ring.area, rel=5e-4)
    assert len(found.loops) == 2
    half = near(FLAT, {"loop": Line(points=corners, closed=True)}, 0.006, part=Region(beside=LEFT))
    side = shapely.box(-0.15, -0.1, 0.0113, 0.1)
    kept = (
        shapely.LinearRing([p[:2] for p in corners]).intersection(side).buffer(0.006, quad_segs=64).intersection(side)
    )
    assert half.area == pytest.approx(kept.area, rel=5e-4)


def test_on_a_sphere_the_zone_beside_a_great_circle_has_its_area() -> None:
    # A zone of height h of a sphere has area 2 π R h; here half of it, h = 2 R sin(d / R) (closed form).
    x, z = 0.1 * float(np.cos(np.radians(1))), 0.1 * float(np.sin(np.radians(1)))
    over = Line(points=((-x, 0.0, z), (0.0, 0.0, 0.1), (x, 0.0, z)))
    found = near(BALL, {"over": over}, 0.02)
    assert found.area == pytest.approx(2 * np.pi * 0.1 * 0.1 * np.sin(0.2), rel=5e-3)


def test_away_from_a_line_is_the_rest_and_a_region_takes_what_of_the_line_lies_on_it() -> None:
    regions = {
        "near": Region(near=Near(distance=0.01, lines=("a",))),
        "rest": Region(away=Near(distance=0.01, lines=("a",))),
        "part": Region(inside=Outline(shape=Shape.ROUNDED_RECTANGLE, size=(0.1, 0.2))),
        "patch": Region(of="part", near=Near(distance=0.01, lines=("a",))),
    }
    made = regions_of(FLAT, regions, {}, "job.toml", {"a": ACROSS})
    assert made["near"].area + made["rest"].area == pytest.approx(0.06, rel=1e-9)
    assert len(components(made["rest"])) == 2
    assert made["patch"].area == pytest.approx(0.1 * 0.02, rel=2e-3)


@pytest.mark.parametrize(
    ("region", "line", "message"),
    [
        (
            Region(near=Near(distance=0.01, lines=("seem",))),
            SEAM,
            'job.toml, region r, near, lines: "seem" – a line stated here is wanted (did you mean "seam"?)',
        ),
        (
            Region(near=Near(distance=0.01, lines=("seam",))),
            Line(points=((0.0, 0.0, 0.05), (0.1, 0.0, 0.0))),
            "job.toml, line seam, points: 0.0 0.0 50.0 mm – a point on the surface is wanted, this one lies 50 mm off "
            "it (the nearest place on it is 0.0 0.0 0.0 mm)",
        ),
        (
            Region(near=Near(distance=0.01, lines=("seam",))),
            Line(points=((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))),
            "job.toml, line seam – it cannot be laid on the surface: 1 different points make no line over the surface",
        ),
        (
            Region(of="far", away=Near(distance=0.01, lines=("seam",))),
            SEAM,
            "job.toml, region r, away, lines – none of these lines runs over the region this one is made from (check "
            "the line's points, and of)",
        ),
    ],
)
def test_messages(region: Region, line: Line, message: str) -> None:
    far = Region(inside=Outline(shape=Shape.CIRCLE, size=(0.02, 0.02), centre=(0.0, -0.08)))
    with pytest.raises(InputError) as caught:
        regions_of(FLAT, {"far": far, "r": region}, {}, "job.toml", {"seam": line})
    assert str(caught.value) == message
