"""Corners from side fits: unbiased to hundredths of a pixel, where corner refinement by the pixels round it is not."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pytest
import shapely

from bagside.camera.finding import detected, halved, markers_in
from bagside.camera.growth import growth, without_growth
from bagside.camera.marks import CELLS, family, frame
from bagside.camera.readers import light
from bagside.camera.side_fit import fitted_corners
from camera.photos import look, phone_lens, pictured

SIZE = (1600, 1200)


@cache
def photo(**options):
    return pictured(frame("A4"), size=SIZE, jpeg=88, seed=3, **options)


def true_corners(view, ids):
    known = {m.id: m.corners for m in view.frame.markers}
    return np.array([view.to_pixels(known[int(i)]) for i in ids])


def inwards(corners, true):
    """Return by how much corners lie towards the middle of their marker [px]."""
    way = true.mean(axis=1, keepdims=True) - true
    return ((corners - true) * way).sum(axis=2) / np.linalg.norm(way, axis=2)


@pytest.mark.parametrize(
    "options",
    [{"tilt": 0.0}, {"tilt": 0.35, "azimuth": 0.7}, {"tilt": 0.7, "azimuth": 2.0}, {"tilt": 0.2, "motion": 3.0}],
)
def test_side_fits_have_no_bias(options) -> None:
    shot, view = photo(**options)
    seen = markers_in(shot.grey)
    assert len(seen.ids) == len(view.frame.markers)
    true = true_corners(view, seen.ids)
    error = np.linalg.norm(seen.corners - true, axis=2)
    assert np.median(error) < 0.05
    assert np.percentile(error, 95) < 0.12
    assert abs(inwards(seen.corners, true).mean()) < 0.015


@pytest.mark.parametrize(
    "method", [cv2.aruco.CORNER_REFINE_SUBPIX, cv2.aruco.CORNER_REFINE_CONTOUR, cv2.aruco.CORNER_REFINE_APRILTAG]
)
def test_the_refinements_of_opencv_are_further_off(method) -> None:
    """Reference: OpenCV's own three refinements on the same photo; the first two lie inwards."""
    shot, view = photo(tilt=0.35, azimuth=0.7)
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = method
    corners, ids, _ = cv2.aruco.ArucoDetector(family(), settings).detectMarkers(shot.grey)
    order = np.argsort(np.asarray(ids).ravel())
    ids, corners = np.asarray(ids).ravel()[order], np.asarray(corners, dtype=float).reshape(-1, 4, 2)[order]
    true = true_corners(view, ids)
    theirs = np.median(np.linalg.norm(corners - true, axis=2))
    seen = markers_in(shot.grey)
    ours = np.median(np.linalg.norm(seen.corners - true_corners(view, seen.ids), axis=2))
    assert theirs > 0.25
    assert ours < 0.15 * theirs
    if method != cv2.aruco.CORNER_REFINE_APRILTAG:
        assert inwards(corners, true).mean() > 0.2


def test_stored_values_make_dark_things_small() -> None:
    """Blur is symmetric in light (IEC 61966-2-1 bends it); in stored values the black of a marker shrinks."""
    shot, view = photo(tilt=0.2, blur=2.0)
    ids, rough = detected(shot.grey)
    true = true_corners(view, ids)
    in_light = fitted_corners(light(shot.grey), rough)
    as_stored = fitted_corners(shot.grey.astype(np.float32) / 255, rough)
    assert abs(inwards(in_light.corners, true)[in_light.good].mean()) < 0.05
    assert inwards(as_stored.corners, true)[as_stored.good].mean() > 0.2


def test_blur_is_measured() -> None:
    for blur in (1.0, 2.0):
        shot, _ = photo(tilt=0.2, blur=blur)
        width = np.median(markers_in(shot.grey).width)
        assert width == pytest.approx(np.hypot(blur, 0.4), rel=0.12)  # a pixel's own width is there too


def test_an_id_read_at_two_places_is_dropped() -> None:
    picture = np.full((400, 900), 220, dtype=np.uint8)
    for k, identity in enumerate((7, 12, 7)):
        one = np.asarray(cv2.aruco.generateImageMarker(family(), identity, 14 * CELLS))
        picture[100:198, 100 + 250 * k : 198 + 250 * k] = np.where(one > 128, 220, 20)
    ids, corners = detected(picture)
    assert ids.tolist() == [12]
    assert corners.shape == (1, 4, 2)


def test_nothing_in_the_picture() -> None:
    seen = markers_in(np.full((300, 400), 128, dtype=np.uint8))
    assert seen.ids.shape == (0,)
    assert seen.corners.shape == (0, 4, 2)
    assert seen.read == 0


def test_a_marker_with_something_over_its_side_is_not_trusted() -> None:
    shot, view = photo(tilt=0.0)
    ids, rough = detected(shot.grey)
    side = true_corners(view, ids)[4]
    spoilt = shot.grey.copy()
    # a dark thing lies over the outer half of the white beside it
    middle, away = side[:2].mean(axis=0), side[:2].mean(axis=0) - side.mean(axis=0)
    along = side[1] - side[0]
    patch = np.array([middle - 0.3 * along + 0.08 * away, middle + 0.3 * along + 0.3 * away, middle + 0.3 * along])
    cv2.fillConvexPoly(spoilt, np.round(patch).astype(np.int32), 40)
    fitted = fitted_corners(light(spoilt), rough)
    clean = fitted_corners(light(shot.grey), rough)
    assert clean.good.all()
    error = np.linalg.norm(fitted.corners - true_corners(view, ids), axis=2).max(axis=1)
    assert error[4] > 0.3
    assert not fitted.good[4]
    assert np.delete(fitted.good, 4).all()


def test_black_beyond_its_edge_is_found_and_taken_away() -> None:
    """Reference: shapely's offset of each marker as it is seen, with mitred corners."""
    view = look(frame("A4"), phone_lens(), tilt=0.6, azimuth=1.0)
    drawn = np.array([view.to_pixels(m.corners) for m in view.frame.markers])
    for by in (0.3, -0.45):
        grown = []
        for quad in drawn:
            ring = shapely.get_coordinates(shapely.Polygon(quad).buffer(by, join_style="mitre"))[:-1]
            nearest = np.linalg.norm(ring[None] - quad[:, None], axis=2).argmin(axis=1)
            grown.append(ring[nearest])
        grown = np.array(grown)
        assert growth(grown, grown - drawn) == pytest.approx(by, abs=2e-3)
        assert without_growth(grown, by) == pytest.approx(drawn, abs=1e-6)
    assert growth(np.zeros((0, 4, 2)), np.zeros((0, 4, 2))) == 0.0


def test_a_very_large_picture_is_halved_first() -> None:
    shot, view = photo(tilt=0.2)
    wide = np.full((shot.grey.shape[0], 6200), 128, dtype=np.uint8)
    wide[:, 4000 : 4000 + shot.grey.shape[1]] = shot.grey
    seen = markers_in(wide)
    assert len(seen.ids) == len(view.frame.markers)
    error = np.linalg.norm(seen.corners - (4000, 0) - true_corners(view, seen.ids), axis=2)
    assert np.median(error) < 0.05


def test_half_a_picture_keeps_its_places() -> None:
    x = np.arange(64, dtype=np.float64)
    ramp = np.tile((2 * x).astype(np.uint8), (64, 1))
    smaller = halved(ramp)
    assert smaller[5, 7] == pytest.approx(2 * (2 * 7 + 0.5), abs=0.51)
