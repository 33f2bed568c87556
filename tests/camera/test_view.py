"""The view of one photo: exact photos are the truth, OpenCV's projection and pose the reference."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from bagside.camera.bend import flat_over
from bagside.camera.descent import numbers
from bagside.camera.marks import Marker, frame, scaled
from bagside.camera.plane_view import by_parameters, turned, view_from
from bagside.camera.solving import known_lens, solved, unknown_lens
from bagside.camera.view import held, view_of
from bagside.errors import InputError
from camera.photos import look, off, phone_lens, pictured, places_in

A4 = frame("A4")
SIZE = (1600, 1200)
INSIDE = places_in(A4.window)


@cache
def photo(**options):
    return pictured(A4, size=SIZE, **options)


def test_pixels_and_their_slopes_as_opencv_projects() -> None:
    """Reference: cv2.projectPoints and its Jacobian."""
    view = look(A4, phone_lens(), tilt=0.5, azimuth=0.8, distance=0.5)
    points = np.random.default_rng(1).uniform([0, 0, 0], [0.2, 0.29, 0.004], (40, 3))
    vector = cv2.Rodrigues(view.rotation)[0]
    lens = view.lens
    theirs, slope = cv2.projectPoints(points, vector, view.translation, lens.matrix, lens.terms)
    assert view.to_pixels(points) == pytest.approx(theirs.reshape(-1, 2), abs=1e-8)
    ours = by_parameters(lens, points @ view.rotation.T + view.translation, view.translation).reshape(-1, 13)
    assert ours[:, 3:6] == pytest.approx(slope[:, 3:6], rel=1e-9, abs=1e-9)
    assert ours[:, 6] == pytest.approx(slope[:, 6] + slope[:, 7], abs=1e-9)
    assert ours[:, 7:] == pytest.approx(slope[:, 8:14], abs=1e-9)
    for k in range(3):  # turning is a rotation vector on the camera's side: by differences
        step = np.eye(3)[k] * 1e-6
        ahead, back = (
            view_from(lens, turned(s) @ view.rotation, view.translation, A4).to_pixels(points) for s in (step, -step)
        )
        assert ours[:, k] == pytest.approx(((ahead - back) / 2e-6).ravel(), abs=1e-4)


def test_to_plane_undoes_to_pixels() -> None:
    view = look(A4, phone_lens(), tilt=0.6, azimuth=2.0)
    for height in (0.0, 0.003):
        raised = np.column_stack([INSIDE, np.full(len(INSIDE), height)])
        assert view.to_plane(view.to_pixels(raised), height) == pytest.approx(INSIDE, abs=1e-12)
    assert np.degrees(view.tilt) == pytest.approx(np.degrees(0.6), abs=0.6)  # its principal point is off the middle
    assert view.camera == pytest.approx(-view.rotation.T @ view.translation)


def test_sights_that_miss_the_paper_are_not_a_number() -> None:
    lens = phone_lens(SIZE)
    view = look(A4, lens, tilt=1.4, azimuth=0.5 * np.pi, distance=0.5, roll=np.pi)
    seen = view.to_plane(np.array([(800.0, 0.0), (800.0, 1199.0)]))
    assert np.isnan(seen).any(axis=1).sum() == 1


def test_a_pose_as_opencv_solves_it() -> None:
    """Reference: cv2.solvePnP with the true lens, noise-free corners."""
    true = look(A4, phone_lens(), tilt=0.45, azimuth=1.0)
    places = np.concatenate([m.corners for m in A4.markers])
    pixels = true.to_pixels(places)
    flat = np.column_stack([places, np.zeros(len(places))])
    _, vector, shift = cv2.solvePnP(flat, pixels, true.lens.matrix, true.lens.terms)
    ours = solved(places, pixels, (known_lens(true.lens),))
    assert ours.rotation == pytest.approx(cv2.Rodrigues(vector)[0], abs=1e-6)
    assert ours.translation == pytest.approx(np.ravel(shift), abs=1e-6)
    free = solved(places, pixels, unknown_lens(4032, 3024, None))
    assert numbers(free.lens) == pytest.approx(numbers(true.lens), rel=0.02)
    assert np.abs(free.left).max() < 0.01


@pytest.mark.parametrize(
    ("focal", "k1", "k2"), [(0.5, -0.28, 0.09), (0.6, 0.0, 0.0), (1.1, -0.1, 0.1), (1.6, 0.2, 0.1)]
)
def test_any_lens_is_found_from_one_tilted_photo(focal, k1, k2) -> None:
    lens = replace(phone_lens(), f=focal * 4032, k1=k1, k2=k2)
    places = np.concatenate([m.corners for m in A4.markers])
    for tilt in (0.3, 0.75):
        true = look(A4, lens, tilt=tilt, azimuth=2.0)
        found = solved(places, true.to_pixels(places), unknown_lens(4032, 3024, None))
        assert abs(found.lens.f - lens.f) < 4.0 * np.sqrt(found.covariance[6, 6])
        assert found.lens.f == pytest.approx(lens.f, rel=0.05)
        view = view_from(found.lens, found.rotation, found.translation, A4)
        assert off(view.to_plane(true.to_pixels(INSIDE)), INSIDE).max() < 1e-5


@pytest.mark.parametrize("tilt", [0.0, 0.35, 0.7])
def test_places_in_the_window(tilt) -> None:
    """Peer in the same photo: the homography of the same corners, which knows no lens."""
    shot, true = photo(tilt=tilt, azimuth=0.7, seed=2)
    view = view_of(shot, A4)
    pixels = true.to_pixels(INSIDE)
    error = np.sqrt((off(view.to_plane(pixels), INSIDE) ** 2).mean())
    assert error < 1e-5  # [m]
    assert view.tilt == pytest.approx(true.tilt, abs=0.03)
    assert view.markers_used == len(A4.markers)
    assert view.rms < 0.1
    matrix = cv2.findHomography(
        true.to_pixels(np.concatenate([m.corners for m in A4.markers])),
        np.concatenate([m.corners for m in A4.markers]),
    )[0]
    flat = np.column_stack([pixels, np.ones(len(pixels))]) @ matrix.T
    peer = np.sqrt((off(flat[:, :2] / flat[:, 2:], INSIDE) ** 2).mean())
    assert peer > 10.0 * error


def test_predicted_errors_are_those_there_are() -> None:
    drawn = replace(A4, scale_sd=(0.0, 0.0))  # rendered sheets are as drawn
    share = []
    for seed in range(6):
        shot, true = pictured(drawn, size=(1200, 900), tilt=0.3, azimuth=seed, seed=seed, noise=4.0, jpeg=80)
        view = view_of(shot, drawn)
        error = view.to_plane(true.to_pixels(INSIDE)) - INSIDE
        share.append((error**2).sum(axis=1).mean() / 2.0 / (view.plane_sd(INSIDE) ** 2).mean())
    assert 0.2 < np.sqrt(np.mean(share)) < 2.0


def test_a_printed_size_that_was_not_measured_is_in_the_prediction() -> None:
    shot, _ = photo(tilt=0.35, azimuth=0.7, seed=2)
    drawn, measured = view_of(shot, A4), view_of(shot, scaled(A4, 0.180, 0.250))
    corner = A4.window[2:3]
    arm = np.abs(corner[0] - A4.middle)
    assert drawn.plane_sd(corner)[0] == pytest.approx(0.002 * arm.max(), rel=0.05)
    assert measured.plane_sd(corner)[0] < 0.5 * drawn.plane_sd(corner)[0]
    assert drawn.plane_sd(A4.middle[None])[0] < 1e-5


def test_straight_down_height_needs_a_known_lens() -> None:
    shot, true = photo(tilt=0.0, seed=4)
    raised = np.column_stack([INSIDE, np.full(len(INSIDE), 0.002)])
    alone = view_of(shot, replace(A4, scale_sd=(0.0, 0.0)))
    assert np.sqrt((alone.plane_sd(INSIDE, 0.002) ** 2).mean()) > 1e-4  # it says that it does not know
    known = view_of(shot, replace(A4, scale_sd=(0.0, 0.0)), true.lens)
    assert off(known.to_plane(true.to_pixels(raised), 0.002), INSIDE).max() < 2e-5
    assert known.plane_sd(INSIDE, 0.002).max() < 2e-5
    assert numbers(known.lens)[3:] == pytest.approx(numbers(true.lens)[3:])


def test_a_stated_focal_length_is_used() -> None:
    shot, true = photo(tilt=0.0, seed=4)
    told = replace(shot, focal_hint=true.lens.f)
    assert view_of(told, A4).lens.f == pytest.approx(true.lens.f, rel=0.05)
    doubtful = view_of(shot, A4).plane_sd(INSIDE, 0.002).max()
    assert view_of(told, A4).plane_sd(INSIDE, 0.002).max() < doubtful


def test_a_sheet_printed_too_large_is_put_right_by_its_rules() -> None:
    printed = scaled(A4, 0.1808, 0.2509)
    shot, true = pictured(printed, size=SIZE, tilt=0.3, azimuth=1.0, seed=5)
    view = view_of(shot, printed)
    inside = places_in(printed.window)
    assert off(view.to_plane(true.to_pixels(inside)), inside).max() < 2e-5


def test_a_marker_out_of_place_is_left_out() -> None:
    moved = tuple(
        Marker(id=m.id, corners=m.corners + (0.0007 if k in (3, 20) else 0.0)) for k, m in enumerate(A4.markers)
    )
    shot, true = pictured(replace(A4, markers=moved), size=SIZE, tilt=0.3, azimuth=1.0, seed=6)
    view = view_of(shot, A4)
    assert view.markers_used == len(A4.markers) - 2
    assert off(view.to_plane(true.to_pixels(INSIDE)), INSIDE).max() < 2e-5


@pytest.mark.parametrize(("curl", "tilt"), [(0.001, 0.35), (0.003, 0.35), (0.001, 0.0)])
def test_a_curled_sheet_is_measured_as_it_lies(curl, tilt) -> None:
    """Truth: points on the curled paper; peer: a fit that takes the sheet as flat."""
    shot, true = photo(tilt=tilt, azimuth=1.0, curl=curl)
    across = INSIDE[:, 0] / A4.paper[0]
    pixels = true.to_pixels(np.column_stack([INSIDE, curl * 4.0 * across * (1.0 - across)]))
    view = view_of(shot, replace(A4, scale_sd=(0.0, 0.0)))
    assert view.bend is not None
    assert view.lift == pytest.approx(0.75 * curl, rel=0.6)  # its outermost corners lie inside the paper
    error = np.sqrt((off(view.to_plane(pixels), INSIDE) ** 2).mean())
    _, places, corners = held(shot, A4)
    flat = solved(places, corners, unknown_lens(*SIZE, None))
    peer = view_from(flat.lens, flat.rotation, flat.translation, A4)
    assert error < 0.25 * np.sqrt((off(peer.to_plane(pixels), INSIDE) ** 2).mean())
    assert 0.3 < error / np.sqrt(2.0) / np.sqrt((view.plane_sd(INSIDE) ** 2).mean()) < 2.0
    for height in (0.0, 0.002):  # the same way back
        raised = np.column_stack([INSIDE, np.full(len(INSIDE), height)])
        assert view.to_plane(view.to_pixels(raised), height) == pytest.approx(INSIDE, abs=1e-8)


def test_a_flat_sheet_is_taken_as_flat() -> None:
    shot, _ = photo(tilt=0.35, azimuth=0.7, seed=2)
    view = view_of(shot, A4)
    assert view.bend is None
    assert view.lift == 0.0


def test_a_bend_and_its_slopes() -> None:
    bend = replace(flat_over(INSIDE), heights=np.linspace(-1e-3, 1e-3, 12))
    assert flat_over(INSIDE).height(INSIDE) == pytest.approx(np.zeros(len(INSIDE)))
    step = 1e-6
    for axis in (0, 1):
        ahead, back = (bend.height(INSIDE + s * step * np.eye(2)[axis]) for s in (1, -1))
        assert bend.slope(INSIDE)[:, axis] == pytest.approx((ahead - back) / (2 * step), abs=1e-8)
    assert bend.height(A4.middle[None])[0] == pytest.approx(0.0, abs=1e-5)


def test_an_exposure_that_eats_into_black_moves_no_place() -> None:
    shot, true = photo(tilt=0.35, azimuth=0.7, seed=2)
    bright = np.clip(shot.grey.astype(np.float64) * 1.35, 0, 255).astype(np.uint8)
    view = view_of(replace(shot, grey=bright), A4)
    assert view.growth < -0.2  # [px]
    assert view.rms < 0.2
    assert off(view.to_plane(true.to_pixels(INSIDE)), INSIDE).max() < 2e-5
    assert abs(view_of(shot, A4).growth) < 0.02


LEFT = tuple(m.id for m in A4.markers if m.corners[:, 0].max() < 0.05)
TOP = tuple(m.id for m in A4.markers if m.corners[:, 1].min() > 0.25)
REFUSED = {
    "none": ({"missing": tuple(range(250))}, "no marker of sheet A4 is readable in the photo"),
    "few": ({"missing": tuple(range(7, 250))}, "photo.jpg: 7 of 42 markers of sheet A4 – at least 10 all round"),
    "left": ({"missing": LEFT}, "the markers at the left of sheet A4, its words upright, are not readable"),
    "top": ({"missing": TOP}, "the markers at the top of sheet A4, its words upright, are not readable"),
    "blur": ({"blur": 4.5}, "the photo is blurred, by 0."),
    "motion": ({"motion": 14.0}, "the photo is blurred, by 0."),
    "far": ({"distance": 1.3}, "photo.jpg: 1600 × 1200 pixels – the sheet is too small in the photo; a marker is 1"),
    "steep": ({"tilt": 0.9}, "photo.jpg: taken 52° off straight down – up to 45° are measured on"),
    "curled": ({"curl": 0.012}, "the markers do not lie as on a flat sheet A4"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refusals_name_one_reason(name) -> None:
    options, words = REFUSED[name]
    shot, _ = photo(**{"tilt": 0.3, "azimuth": 1.0, **options})
    with pytest.raises(InputError) as refused:
        view_of(shot, A4)
    assert len(refused.value.problems) == 1
    assert words in str(refused.value)
    assert refused.value.problems[0].hint


def test_another_sheet_is_named() -> None:
    shot, _ = photo(tilt=0.3, azimuth=1.0)
    with pytest.raises(InputError) as refused:
        view_of(shot, frame("A3"))
    assert str(refused.value) == (
        "photo.jpg: markers of sheet A4 – markers of sheet A3 are wanted "
        "(name the sheet that is in the photo, or take the photo on the sheet that was named)"
    )


def test_a_lens_of_another_camera_is_refused() -> None:
    shot, _ = photo(tilt=0.3, azimuth=1.0)
    with pytest.raises(InputError, match="the lens file was made from pictures of 3000 × 3000"):
        view_of(shot, A4, replace(phone_lens(), width=3000, height=3000))
