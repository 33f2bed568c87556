"""The lens: OpenCV's camera model is the reference, and its file keeps it."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.camera.bundle import Corners, State, adjusted
from bagside.camera.calibrate import calibrated
from bagside.camera.descent import numbers
from bagside.camera.lens import Lens, lens_text, read_lens
from bagside.camera.marks import frame
from bagside.errors import InputError
from camera.photos import look, phone_lens, pictured

PHONE = phone_lens()
term = st.floats(-0.2, 0.2)
small = st.floats(-2e-3, 2e-3)


@settings(max_examples=30, deadline=None)
@given(k1=term, k2=term, p1=small, p2=small, f=st.floats(2500, 5000))
def test_pixels_as_opencv_projects_them(k1, k2, p1, p2, f) -> None:
    lens = replace(PHONE, k1=k1, k2=k2, p1=p1, p2=p2, f=f)
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, 5), np.linspace(-0.4, 0.4, 5))
    flat = np.column_stack([x.ravel(), y.ravel()])
    points = np.column_stack([flat, np.ones(len(flat))])
    theirs = cv2.projectPoints(points, np.zeros(3), np.zeros(3), lens.matrix, lens.terms)[0].reshape(-1, 2)
    assert lens.pixels(flat) == pytest.approx(theirs, abs=1e-9)


def test_directions_undo_pixels() -> None:
    x, y = np.meshgrid(np.linspace(0, PHONE.width - 1, 9), np.linspace(0, PHONE.height - 1, 7))
    pixels = np.column_stack([x.ravel(), y.ravel()])
    assert PHONE.pixels(PHONE.directions(pixels)) == pytest.approx(pixels, abs=1e-8)
    assert PHONE.directions(np.zeros((0, 2))).shape == (0, 2)


def test_a_turned_picture_has_a_turned_lens() -> None:
    flat = np.array([(0.3, 0.1), (-0.2, 0.25), (0.0, -0.3)])
    turned = PHONE.seen_as(PHONE.height, PHONE.width, 1, "photo")
    x, y = PHONE.pixels(flat).T  # a quarter turn anticlockwise brings (x, y) to (y, w - 1 - x)
    assert turned.pixels(np.column_stack([flat[:, 1], -flat[:, 0]])) == pytest.approx(
        np.column_stack([y, PHONE.width - 1 - x]), abs=1e-9
    )
    assert turned.seen_as(PHONE.width, PHONE.height, 0, "photo") == PHONE


def test_a_smaller_copy_has_a_smaller_lens() -> None:
    half = PHONE.seen_as(2016, 1512, 0, "photo")
    flat = np.array([(0.3, 0.1), (-0.2, 0.25)])
    assert half.pixels(flat) == pytest.approx((PHONE.pixels(flat) + 0.5) / 2 - 0.5, abs=1e-9)


def test_a_cut_out_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        PHONE.seen_as(3000, 3000, 0, "photo.jpg")
    assert str(refused.value) == (
        "photo.jpg: 3000 × 3000 pixels – the lens file was made from pictures of 4032 × 3024 "
        "(take the photo with the same camera and zoom, do not crop it, or leave the lens file out)"
    )


def test_its_file(tmp_path) -> None:
    path = tmp_path / "lens.toml"
    path.write_text(lens_text(PHONE, note="an invented phone"), encoding="utf-8")
    assert numbers(read_lens(path)) == pytest.approx(numbers(PHONE), rel=1e-6)
    assert read_lens(path).width == 4032
    path.write_text(lens_text(PHONE).replace("f_px = 3010", "f_px = -3010").replace("k1 =", "k9 ="), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_lens(path)
    assert [p.place for p in refused.value.problems] == ["lens.toml, lens, f_px", "lens.toml, lens, k1"]
    path.write_text("no [ toml", encoding="utf-8")
    with pytest.raises(InputError, match="this is no lens file"):
        read_lens(path)
    with pytest.raises(InputError, match="cannot be opened"):
        read_lens(tmp_path / "none.toml")


def _exact(lens: Lens, tilts) -> tuple[list, tuple[Corners, ...]]:
    sheet = frame("A4")
    places = np.concatenate([m.corners for m in sheet.markers])
    views = [look(sheet, lens, tilt=t, azimuth=1.3 * k, distance=0.45 + 0.03 * k) for k, t in enumerate(tilts)]
    page = np.zeros(len(places), dtype=np.int64)
    return views, tuple(Corners(page=page, local=places, pixels=v.to_pixels(places)) for v in views)


def test_many_photos_at_once_as_opencv_calibrates() -> None:
    """Reference: cv2.calibrateCamera on noise-free corners, and the truth."""
    views, corners = _exact(PHONE, (0.4, 0.5, 0.3, 0.6, 0.45))
    start = State(
        lens=Lens(width=4032, height=3024, f=2700, cx=2015.5, cy=1511.5),
        own=np.zeros((5, 3)),
        rotations=np.stack([v.rotation for v in views]),
        translations=np.stack([v.translation for v in views]),
        pages=np.zeros((1, 3)),
    )
    ours = adjusted(start, corners).state.lens
    places = [np.column_stack([c.local, np.zeros(len(c.local))]).astype(np.float32) for c in corners]
    matrix = start.lens.matrix
    flags = cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_FIX_K3
    _, matrix, terms, _, _ = cv2.calibrateCamera(
        places, [c.pixels.astype(np.float32) for c in corners], (4032, 3024), matrix, np.zeros(5), flags=flags
    )
    theirs = np.array([matrix[0, 0], matrix[0, 2], matrix[1, 2], *np.asarray(terms).ravel()[:4]])
    near = np.array([1.5, 1.5, 1.5, 1e-3, 4e-3, 1e-4, 1e-4])  # weak priors hold ours, single precision theirs
    assert (np.abs(numbers(ours) - theirs) < near).all()
    assert (np.abs(numbers(ours) - numbers(PHONE)) < near).all()


def test_a_lens_from_photos() -> None:
    sheet = frame("A4")
    size = (1600, 1200)
    true = phone_lens(size)
    shots = [pictured(sheet, size=size, tilt=0.45, azimuth=1.3 * k, seed=k)[0] for k in range(4)]
    # one of them was taken with the camera turned: the sensor saw it lying on its side
    shots[1] = replace(shots[1], grey=np.ascontiguousarray(np.rot90(shots[1].grey)), turns=1)
    found = calibrated(shots, sheet)
    assert found.lens.f == pytest.approx(true.f, rel=3e-3)
    assert abs(found.lens.f - true.f) < 4.0 * found.focal_sd
    # what counts: where directions are seen, up to a small turn of the camera
    flat = np.stack(np.meshgrid(np.linspace(-0.45, 0.45, 9), np.linspace(-0.35, 0.35, 7)), -1).reshape(-1, 2)
    off = found.lens.pixels(flat * true.f / found.lens.f) - true.pixels(flat)
    assert np.hypot(*(off - off.mean(axis=0)).T).max() < 1.0
    assert found.corner_sd < 0.1


def test_photos_taken_straight_down_calibrate_nothing() -> None:
    sheet = frame("A4")
    shot = pictured(sheet, size=(1200, 900), tilt=0.03)[0]
    with pytest.raises(InputError, match="at least 3 held over by more than 10° are wanted"):
        calibrated([shot] * 4, sheet)
    with pytest.raises(InputError) as refused:
        calibrated([shot] * 3, sheet)
    assert str(refused.value) == (
        "photos: 3 – at least 4 photos of the sheet are wanted, eight are better "
        "(take more, held over to different sides by 20° to 40°)"
    )
    curled = replace(pictured(sheet, size=(1200, 900), tilt=0.4, curl=0.0012)[0], name="curled.jpg")
    with pytest.raises(InputError, match=r"curled\.jpg: the sheet lifts by 1\.\d mm – a flat sheet is wanted"):
        calibrated([shot, shot, shot, curled], sheet)
    small = replace(shot, grey=shot.grey[:-10], name="other.jpg")
    with pytest.raises(InputError, match=r"other\.jpg: 1200 × 890 pixels – all photos of one camera are wanted"):
        calibrated([shot, shot, shot, small], sheet)
