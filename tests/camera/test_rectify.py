"""The window as a metric picture: against OpenCV's own projection, and back."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from bagside.camera.lens import Lens
from bagside.camera.marks import frame
from bagside.camera.plane_view import View, view_from
from bagside.camera.readers import Photo
from bagside.camera.rectify import lifted, photo_scale, rectified
from bagside.errors import InputError

SHEET = frame("A4")
TURN = np.array([np.pi - 0.35, 0.1, 0.05])


@pytest.fixture(scope="module")
def view() -> View:
    lens = Lens(width=1600, height=1200, f=1250.0, cx=805.0, cy=590.0, k1=0.08, k2=-0.15, p1=6e-4, p2=-4e-4)
    turn = np.asarray(cv2.Rodrigues(TURN)[0])
    return view_from(lens, turn, np.array([0.0, 0.0, 0.42]) - turn @ np.array([0.105, 0.1485, 0.0]), SHEET)


def smooth_photo() -> Photo:
    y, x = np.mgrid[:1200, :1600].astype(np.float64)
    grey = np.clip(128 + 60 * np.sin(x / 40.0) + 50 * np.cos(y / 55.0), 0, 255).astype(np.uint8)
    return Photo(name="waves.png", grey=grey, colour=np.repeat(grey[:, :, None], 3, axis=2))


def test_each_pixel_shows_what_opencv_projects_there(view: View) -> None:
    photo, height = smooth_photo(), 0.002
    picture = rectified(photo, view, SHEET.window, height)
    rows, columns = np.nonzero(picture.inside)
    some = np.random.default_rng(1).integers(0, len(rows), 400)
    pixels = np.stack([columns[some], rows[some]], axis=1).astype(np.float64)
    points = lifted(picture.to_plane(pixels), height)
    seen, _ = cv2.projectPoints(
        points, cv2.Rodrigues(view.rotation)[0], view.translation, view.lens.matrix, view.lens.terms
    )
    x, y = seen.reshape(-1, 2).T.astype(np.float32)
    wanted = cv2.remap(photo.grey.astype(np.float32), x[None], y[None], cv2.INTER_LINEAR)[0]
    got = picture.colour[rows[some], columns[some], 0].astype(np.float64)
    assert np.abs(got - wanted).max() < 1.5


def test_places_go_to_pixels_and_back(view: View) -> None:
    picture = rectified(smooth_photo(), view, SHEET.window, 0.0)
    points = np.array([[0.05, 0.06], [0.15, 0.2]])
    assert picture.to_plane(picture.to_pixels(points)) == pytest.approx(points, abs=1e-12)
    assert picture.to_pixels(points)[1, 1] < picture.to_pixels(points)[0, 1]  # y points up, rows go down


def test_the_scale_is_the_photo_s_own(view: View) -> None:
    picture = rectified(smooth_photo(), view, SHEET.window, 0.0)
    middle = photo_scale(view, np.array([[0.105, 0.1485]]), 0.0)[0]
    assert picture.scale == pytest.approx(middle, rel=0.15)
    assert middle == pytest.approx(1250.0 / 0.42, rel=0.1)


def test_a_window_outside_the_photo_is_refused(view: View) -> None:
    away = SHEET.window + np.array([0.6, 0.0])
    with pytest.raises(InputError, match="less than half of the window is in the photo"):
        rectified(smooth_photo(), view, away, 0.0)
