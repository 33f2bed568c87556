"""What is stated of an outline adds up as variances, and grows with what it rests on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.camera.confidence import DRAWN, SURE, Confidence, confidence_of
from bagside.camera.contour import Edge
from bagside.camera.drawn import drawn_wide
from bagside.camera.lens import Lens
from bagside.camera.marks import frame, scaled
from bagside.camera.plane_view import View, view_from
from bagside.camera.readers import light
from bagside.camera.smooth import Outline, outline_of
from camera import photos

SHEET = frame("A4")
RADIUS, COUNT, PIXEL = 0.05, 1571, 2e-4
MIDDLE = SHEET.middle


def view(sd: float = 0.0, sheet: object = SHEET) -> View:
    """Return a view from 0.5 m straight above whose place along x and y is known to a standard deviation [m]."""
    lens = Lens(width=2000, height=1500, f=2500.0, cx=1000.0, cy=750.0)
    covariance = np.zeros((13, 13))
    covariance[3, 3] = covariance[4, 4] = sd**2
    turn = np.diag([1.0, -1.0, -1.0])
    at = np.array([0.0, 0.0, 0.5]) - turn @ np.array([*MIDDLE, 0.0])
    return view_from(lens, turn, at, sheet, covariance=covariance)  # type: ignore[arg-type]


EXACT = replace(SHEET, scale_sd=(0.0, 0.0))


def circle(noise: float) -> tuple[Edge, Outline]:
    turn = 2.0 * np.pi * np.arange(COUNT) / COUNT
    way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    r = RADIUS + noise * np.random.default_rng(2).standard_normal(COUNT)
    points = MIDDLE + r[:, None] * way
    full = np.full(COUNT, 1.0)
    every = np.ones(COUNT, dtype=bool)
    edge = Edge(
        points=points, normal=way, kept=every, sd=1e-6 * full, blur=full, inner=0.05 * full, step=0.6 * full,
        pixel=PIXEL * full, soft=~every,
    )  # fmt: skip
    return edge, outline_of(points, every, 2e-4, 5e-5, lambda p, at: np.full(len(p), 0.5))


def stated(
    noise: float = 0.0, sd: float = 0.0, height: float = 0.0, sheet: object = EXACT, kept: float = 1.0
) -> Confidence:
    edge, outline = circle(noise)
    if kept < 1.0:
        mask = np.arange(COUNT) < kept * COUNT
        edge = replace(edge, kept=mask)
    return confidence_of(view(sd, sheet), (edge,), (outline,), height, 2.0 * np.pi * RADIUS / COUNT)


def test_a_perfect_photo_is_known_to_a_part_of_a_pixel() -> None:
    found = stated()
    assert found.edge == pytest.approx(SURE * DRAWN * PIXEL, rel=0.02)
    assert found.view == 0.0
    # an edge drawn all round by d changes the area by d times the length around (closed form)
    assert found.area == pytest.approx(SURE * DRAWN * PIXEL * 2.0 * np.pi * RADIUS, rel=0.1)


def test_parts_add_as_variances() -> None:
    found = stated(noise=5e-5, sd=4e-5, height=0.002)
    parts = np.array([found.view, found.edge, found.height, found.smoothing])
    assert np.linalg.norm(parts) == pytest.approx(found.outline, rel=0.05)
    assert found.outline > parts.max()


def test_a_view_s_place_goes_straight_into_the_outline() -> None:
    assert stated(sd=1e-4).view == pytest.approx(SURE * 1e-4, rel=0.01)


def test_an_unmeasured_sheet_adds_its_size() -> None:
    plain, ruled = stated(sheet=SHEET), stated(sheet=scaled(SHEET, *SHEET.rules))
    assert plain.view == pytest.approx(SURE * 0.002 * RADIUS, rel=0.05)
    assert ruled.view < plain.view
    # a size off by s in both directions changes the area by √2·s of it
    size, drawn = np.sqrt(2.0) * 0.002 * np.pi * RADIUS**2, DRAWN * PIXEL * 2.0 * np.pi * RADIUS
    assert plain.area == pytest.approx(SURE * np.hypot(size, drawn), rel=0.03)


def test_noise_height_and_gaps_widen_it() -> None:
    least = stated().outline
    assert stated(noise=2e-4).outline > least
    assert stated(height=0.003).outline > least
    assert stated(kept=0.8).outline > 3.0 * least


def test_a_camera_s_own_curve_shows_on_the_markers() -> None:
    picture, true = photos.pictured(SHEET, size=(1800, 1350), tilt=0.3)
    assert abs(drawn_wide(light(picture.grey), true)) < 0.03
    for power, sign in ((0.8, -1.0), (1.3, 1.0)):  # lighter and darker mid-tones than the sRGB curve's
        bent = (255.0 * (np.arange(256) / 255.0) ** power).round().astype(np.uint8)[picture.grey]
        assert 0.08 < sign * drawn_wide(light(bent), true) < 0.3


def test_what_markers_show_widens_what_is_stated() -> None:
    edge, outline = circle(0.0)
    spacing = 2.0 * np.pi * RADIUS / COUNT
    plain, wide = (confidence_of(view(), (edge,), (outline,), 0.0, spacing, w).edge for w in (0.0, 0.5))
    assert wide == pytest.approx(plain * np.hypot(DRAWN, 0.5) / DRAWN, rel=0.02)
