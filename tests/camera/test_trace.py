"""From rendered photos with known truth to outlines: the shapes are exact, the photos are not the code's own."""

from __future__ import annotations

import io

import numpy as np
import pytest
import shapely
from PIL import Image

from bagside.camera import Photo, Traced, frame, scaled, trace
from bagside.camera.trace import traced_in
from bagside.errors import InputError
from camera import photos

SHEET = scaled(frame("A4"), *frame("A4").rules)
SIZE = (1800, 1350)
MIDDLE = np.array([0.105, 0.150])
CARD = np.array([[-0.055, -0.085], [0.05, -0.09], [0.06, 0.035], [0.03, 0.09], [0.02, 0.04], [-0.05, 0.06]]) + MIDDLE


def circle(x: float, y: float, radius: float) -> np.ndarray:
    turn = np.linspace(0.0, 2.0 * np.pi, 300, endpoint=False)
    return np.array([x, y]) + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)


def leaf() -> np.ndarray:
    turn = np.linspace(0.0, 2.0 * np.pi, 1500, endpoint=False)
    r = 0.05 * (1.0 + 0.15 * np.cos(3.0 * turn) + 0.07 * np.sin(5.0 * turn))
    return MIDDLE + np.stack([r * np.cos(turn), 1.5 * r * np.sin(turn)], axis=1)


def photo(*things: photos.Thing, **more: object) -> Photo:
    data, _ = photos.render(SHEET, things, size=SIZE, **more)  # type: ignore[arg-type]
    picture = Image.open(io.BytesIO(data))
    return Photo(name="photo.jpg", grey=np.asarray(picture.convert("L")), colour=np.asarray(picture.convert("RGB")))


def off(found: Traced, thing: photos.Thing, number: int = 0) -> np.ndarray:
    """Return how far points along an outline and its holes lie from the true edge [mm]."""
    lines = shapely.MultiLineString([np.vstack([x, x[:1]]).tolist() for x in (thing.outline, *thing.holes)])
    points = []
    for loop in found.outlines[number].loops:
        ring = shapely.LinearRing(loop)
        points += [ring.interpolate(s) for s in np.arange(0.0, ring.length, 5e-4)]
    return 1e3 * shapely.distance(lines, points)


def area(thing: photos.Thing) -> float:
    return float(shapely.Polygon(thing.outline, thing.holes).area)


def check(found: Traced, thing: photos.Thing, number: int = 0, *, rms: float = 0.08, worst: float = 0.4) -> None:
    one, mm = found.outlines[number], off(found, thing, number)
    assert np.sqrt((mm**2).mean()) < rms
    assert mm.max() < worst
    assert np.percentile(mm, 95) <= 1e3 * one.confidence
    assert abs(one.area - area(thing)) < one.area_confidence
    assert one.area == pytest.approx(area(thing), rel=0.002)
    assert shapely.Polygon(one.loops[0], one.loops[1:]).is_valid
    assert shapely.LinearRing(one.loops[0]).is_ccw
    assert not any(shapely.LinearRing(hole).is_ccw for hole in one.loops[1:])


def test_dark_cloth_with_hole_arrow_and_shadow_tilted() -> None:
    arrow = photos.strip((0.075, 0.12), (0.13, 0.14), 0.003)
    thing = photos.cloth(leaf(), holes=[circle(0.11, 0.18, 0.012)], marks=[arrow])
    found = trace(photo(thing, tilt=0.6, azimuth=1.0, shadow=0.4, noise=3.0, jpeg=85), SHEET)
    assert len(found.outlines) == 1
    one = found.outlines[0]
    assert len(one.loops) == 2
    check(found, thing)
    assert len(one.loops[0]) < 200
    assert one.warp is not None
    assert np.degrees(one.warp) == pytest.approx(np.degrees(np.arctan2(0.02, 0.055)), abs=0.5)
    assert one.arrow is not None
    assert one.arrow.headed
    assert 0.05e-3 < one.confidence < 0.6e-3


def test_light_card_on_a_dark_table_keeps_its_corners() -> None:
    thing = photos.card(CARD, thickness=0.0005)
    found = trace(photo(thing, cut=True, table=0.05, tilt=0.3, azimuth=4.0), SHEET, thickness=0.0005, warp=0.5)
    check(found, thing)
    one = found.outlines[0]
    assert one.corners >= 5
    for corner in np.delete(CARD, 3, axis=0):  # the tip of 40° is drawn back a little
        assert 1e3 * np.hypot(*(one.loops[0] - corner).T).min() < 0.25
    assert one.warp == 0.5
    assert one.arrow is None


def test_thick_card_from_straight_above() -> None:
    thing = photos.card(CARD, tone=0.08)
    found = trace(photo(thing, shadow=0.3), SHEET, thickness=0.002)
    check(found, thing, worst=0.8)
    assert any("of its side shows beside its top" in f.what for f in found.findings)


def test_several_things_by_size_and_specks_counted() -> None:
    big, small, speck = (
        photos.cloth(circle(0.105, 0.19, 0.04)),
        photos.cloth(circle(0.09, 0.08, 0.02)),
        circle(0.14, 0.09, 0.003),
    )
    found = trace(photo(big, small, photos.cloth(speck), tilt=0.2), SHEET)
    assert len(found.outlines) == 2
    check(found, big, 0)
    check(found, small, 1)
    assert found.dropped == 1
    assert any("1 specks under 1 cm² left out" in f.what for f in found.findings)


def test_tolerance_and_unmeasured_rules() -> None:
    picture = photo(photos.cloth(leaf()))
    ruled, plain = trace(picture, SHEET), trace(picture, frame("A4"))
    coarse = traced_in(picture, ruled.view, SHEET.window, thickness=3e-4, tolerance=1e-3)
    assert len(coarse.outlines[0].loops[0]) < 0.7 * len(ruled.outlines[0].loops[0])
    assert any("printed rules were not measured" in f.what for f in plain.findings)
    assert not any("printed rules were not measured" in f.what for f in ruled.findings)
    assert plain.outlines[0].confidence > 1.3 * ruled.outlines[0].confidence


@pytest.mark.parametrize(
    ("things", "more", "told"),
    [
        ((photos.card(CARD, thickness=0.0, tone=0.75),), {}, "nothing stands out from the ground in the window by"),
        ((photos.cloth(leaf() + np.array([0.05, 0.0])),), {}, "reaches the edge of the window or lies over markers"),
        ((photos.card(CARD, thickness=0.0, tone=0.45),), {"shadow": 0.65}, "of its edge can be read|reaches the edge"),
    ],
    ids=["like its ground", "cut", "shadow as dark as the card"],
)
def test_what_cannot_be_measured_is_refused(
    things: tuple[photos.Thing, ...], more: dict[str, float], told: str
) -> None:
    with pytest.raises(InputError, match=told) as caught:
        trace(photo(*things, **more), SHEET)
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].wanted


def test_numbers_out_of_range_are_refused() -> None:
    blank = Photo(name="x", grey=np.zeros((9, 9), np.uint8), colour=np.zeros((9, 9, 3), np.uint8))
    with pytest.raises(InputError, match="thickness"):
        trace(blank, SHEET, thickness=0.2)
    with pytest.raises(InputError, match="tolerance"):
        trace(blank, SHEET, tolerance=0.0)
