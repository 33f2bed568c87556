"""Places on a photographed sheet against peers, over tilt and distance, on photos whose truth is exact.

Error is the root mean square over the sheet's window, in millimetres on the paper. All see the same photo. Peers: the
homography of the same corners, which knows no lens; OpenCV's own single-photo calibration on the same corners; and our
fit on corners refined by OpenCV. Figures are a floor: no curled paper, no ink spread, no glare.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from bagside.camera.finding import detected
from bagside.camera.marks import frame
from bagside.camera.plane_view import view_from
from bagside.camera.solving import solved, unknown_lens
from bagside.camera.survey import surveyed
from bagside.camera.view import held, view_of
from camera.photos import laid_table, off_rigidly, pictured, places_in

SIZE = (4032, 3024)


def _rms(found, true) -> float:
    return 1e3 * float(np.sqrt(((found - true) ** 2).sum(axis=1).mean()))


def _by_homography(places, corners, pixels):
    matrix = cv2.findHomography(corners, places)[0]
    flat = np.column_stack([pixels, np.ones(len(pixels))]) @ matrix.T
    return flat[:, :2] / flat[:, 2:]


def _by_opencv(places, corners, pixels):
    """Return places by OpenCV's calibration from this one photo, as most programs would do it."""
    width, height = SIZE
    matrix = np.array([[0.78 * width, 0, 0.5 * width], [0, 0.78 * width, 0.5 * height], [0, 0, 1.0]])
    flags = cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_FIX_K3
    flat = [np.column_stack([places, np.zeros(len(places))]).astype(np.float32)]
    _, matrix, terms, turns, shifts = cv2.calibrateCamera(
        flat, [corners.astype(np.float32)], SIZE, matrix, np.zeros(5), flags=flags
    )
    rotation = cv2.Rodrigues(np.asarray(turns[0]).ravel())[0]
    shift = np.asarray(shifts[0]).ravel()
    sight = cv2.undistortPoints(pixels.reshape(-1, 1, 2), matrix, terms).reshape(-1, 2)
    sight = np.column_stack([sight, np.ones(len(sight))]) @ rotation
    start = -rotation.T @ shift
    return start[:2] - (start[2] / sight[:, 2])[:, None] * sight[:, :2]


def _by_refined(sheet, shot, pixels):
    """Return places by our fit on corners that OpenCV refined."""
    ids, rough = detected(shot.grey)
    corners = cv2.cornerSubPix(
        shot.grey, rough.reshape(-1, 1, 2).astype(np.float32), (5, 5), (-1, -1), (3, 30, 0.01)
    ).reshape(-1, 2)
    known = {m.id: m.corners for m in sheet.markers}
    places = np.concatenate([known[int(i)] for i in ids])
    fit = solved(places, corners.astype(np.float64), unknown_lens(*SIZE, None))
    return view_from(fit.lens, fit.rotation, fit.translation, sheet).to_plane(pixels)


def run() -> None:
    """Print the table."""
    print("12 MP, noise 2/255, blur 0.8 px, JPEG 85; error [mm rms in the window], peers as ratios to ours")
    print(f"{'sheet':6}{'tilt':>6}{'camera':>9}{'ours':>9}{'predicted':>11}"
          f"{'homography':>12}{'one-photo':>11}{'refined':>9}{'s':>7}")  # fmt: skip
    for name in ("A4", "A3"):
        sheet = replace(frame(name), scale_sd=(0.0, 0.0))
        inside = places_in(sheet.window)
        near = float(np.linalg.norm(pictured(sheet, size=(400, 300))[1].camera))
        for tilt in (0.0, 20.0, 40.0):
            for further in (1.15, 1.7):
                distance = further * near
                shot, true = pictured(
                    sheet, size=SIZE, tilt=np.radians(tilt), azimuth=0.7, distance=distance, jpeg=85, seed=1
                )
                began = time.perf_counter()
                view, places, corners = held(shot, sheet)
                seconds = time.perf_counter() - began
                pixels = true.to_pixels(inside)
                ours = _rms(view.to_plane(pixels), inside)
                sd = 1e3 * float(np.sqrt(2.0 * (view.plane_sd(inside) ** 2).mean()))
                peers = [
                    _rms(_by_homography(places, corners, pixels), inside),
                    _rms(_by_opencv(places, corners, pixels), inside),
                    _rms(_by_refined(sheet, shot, pixels), inside),
                ]
                ratios = "".join(f"{p / ours:>{w}.1f}" for p, w in zip(peers, (12, 11, 9), strict=True))
                print(f"{name:6}{tilt:>5.0f}°{1e3 * distance:>6.0f} mm{ours:>9.4f}{sd:>11.4f}{ratios}{seconds:>7.2f}")
    _bent()
    _table()


def _bent() -> None:
    """Print what a sheet that curls does, and what is left of it."""
    sheet = replace(frame("A4"), scale_sd=(0.0, 0.0))
    inside = places_in(sheet.window)
    across = inside[:, 0] / sheet.paper[0]
    print("\nA4 curled over its long sides, 20°: places on the paper [mm rms], peer: the same fit of a flat sheet")
    for curl in (0.0005, 0.001, 0.002, 0.004):
        shot, true = pictured(sheet, size=SIZE, tilt=np.radians(20), azimuth=0.7, curl=curl, jpeg=85, seed=1)
        pixels = true.to_pixels(np.column_stack([inside, curl * 4.0 * across * (1.0 - across)]))
        view, places, corners = held(shot, sheet)
        flat = solved(places, corners, unknown_lens(*SIZE, None))
        peer = view_from(flat.lens, flat.rotation, flat.translation, sheet)
        ours, theirs = _rms(view.to_plane(pixels), inside), _rms(peer.to_plane(pixels), inside)
        sd = 1e3 * float(np.sqrt(2.0 * (view.plane_sd(inside) ** 2).mean()))
        print(f"  {1e3 * curl:.1f} mm: {ours:.3f}, predicted {sd:.3f}, flat {theirs / ours:.1f} times as much")


def _table() -> None:
    laid, cuts = laid_table()
    shots, moves = [], np.random.default_rng(0)
    for k in range(8):
        lens = pictured(laid, size=(400, 300), sheets=cuts)[1].lens
        scale = SIZE[0] / lens.width
        own = replace(
            lens, width=SIZE[0], height=SIZE[1], f=scale * lens.f * (1 + moves.normal(0, 0.003)),
            cx=scale * lens.cx + moves.normal(0, 8), cy=scale * lens.cy + moves.normal(0, 8),
        )  # fmt: skip
        options = {"lens": own, "tilt": (0.45, 0.6)[k % 2], "azimuth": 2 * np.pi * k / 8, "jpeg": 85, "seed": k}
        shots.append(pictured(laid, sheets=cuts, roll=0.5 * np.pi if k % 3 == 2 else None, **options)[0])
    began = time.perf_counter()
    found = surveyed(shots)
    seconds = time.perf_counter() - began
    corners, true = (np.concatenate([m.corners for m in f.markers]) for f in (found.frame, laid))
    error = 1e3 * off_rigidly(corners, true)
    size = np.sqrt(((corners - corners.mean(0)) ** 2).sum() / ((true - true.mean(0)) ** 2).sum())
    predicted = 1e3 * max(found.place_sd.values())
    print(f"\ntable 900 × 600 mm, {len(found.photos)} pages, 8 photos, focus ±0.3 %, stabiliser ±8 px: {seconds:.1f} s")
    print(
        f"  markers {np.sqrt((error**2).mean()):.4f} mm rms, {error.max():.4f} mm at most, "
        f"predicted ±{predicted:.4f} mm, size off by {size - 1:+.1e}"
    )
    shot, view = pictured(laid, size=SIZE, tilt=0.25, azimuth=1.0, sheets=cuts, jpeg=85, seed=20)
    inside = places_in(laid.window)
    seen = view_of(shot, found.frame).to_plane(view.to_pixels(inside))
    error = 1e3 * off_rigidly(seen, inside)
    print(
        f"  places in its window from one photo: {np.sqrt((error**2).mean()):.4f} mm rms, {error.max():.4f} mm at most"
    )
