"""Lines drawn on an object, painted here by a general library, and what direction is read."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from bagside.camera.arrow import Arrow, arrow_in
from bagside.camera.rectify import Rectified

SCALE = 4000.0


def cloth(
    *strokes: tuple[tuple[float, float], tuple[float, float], float], head: float = 0.0, noise: float = 4.0
) -> Rectified:
    """Return a picture of 200 × 150 mm of dark cloth with strokes (from, to, width) [m], the first with a head."""
    h, w = 600, 800
    picture = np.full((h, w), 40.0, dtype=np.float32)
    picture += 12.0 * np.sin(np.arange(w) / 1.3)[None, :] * np.sin(np.arange(h) / 1.3)[:, None]

    def at(p: np.ndarray) -> np.ndarray:
        return np.round(16 * np.stack([p[:, 0] * SCALE, h - 1 - p[:, 1] * SCALE], axis=1)).astype(np.int32)

    for k, (a, b, width) in enumerate(strokes):
        tail, tip = np.array(a), np.array(b)
        along = (tip - tail) / np.hypot(*(tip - tail))
        side = 0.5 * width * np.array([-along[1], along[0]])
        cv2.fillPoly(picture, [at(np.array([tail + side, tail - side, tip - side, tip + side]))], 200.0, cv2.LINE_AA, 4)
        if k == 0 and head:
            neck = tip - 1.2 * head * along
            wing = 0.5 * head * np.array([-along[1], along[0]])
            cv2.fillPoly(picture, [at(np.array([tip, neck + wing, neck - wing]))], 200.0, cv2.LINE_AA, 4)
    picture += np.random.default_rng(5).normal(0.0, noise, picture.shape).astype(np.float32)
    grey = np.clip(picture, 0, 255).astype(np.uint8)
    return Rectified(
        colour=np.repeat(grey[:, :, None], 3, axis=2), inside=np.ones((h, w), dtype=bool), scale=SCALE,
        corner=(0.0, (h - 1) / SCALE), height=0.0,
    )  # fmt: skip


def read(picture: Rectified) -> tuple[Arrow | None, bool]:
    body = np.zeros(picture.inside.shape, dtype=bool)
    body[10:-10, 10:-10] = True
    return arrow_in(picture, body)


@pytest.mark.parametrize("degrees", [-170, -90, -31, 0, 12, 45, 90, 133, 180])
def test_an_arrow_says_direction_and_sense(degrees: float) -> None:
    turn = np.radians(degrees)
    middle, half = np.array([0.1, 0.075]), 0.05 * np.array([np.cos(turn), np.sin(turn)])
    arrow, clash = read(cloth((tuple(middle - half), tuple(middle + half), 0.003), head=0.010))
    assert arrow is not None
    assert not clash
    assert arrow.headed
    off = (arrow.angle - turn + np.pi) % (2 * np.pi) - np.pi
    assert abs(np.degrees(off)) < 0.3
    assert np.hypot(*(np.array(arrow.tip) - middle - half)) < 0.002


def test_a_line_or_tape_says_direction_only() -> None:
    for width in (0.0012, 0.004, 0.012):
        arrow, _ = read(cloth(((0.05, 0.05), (0.15, 0.09), width)))
        assert arrow is not None
        assert not arrow.headed
        assert np.degrees(arrow.angle) == pytest.approx(np.degrees(np.arctan2(0.04, 0.1)), abs=0.3)
        assert arrow.width == pytest.approx(width, abs=0.0006)


def test_plain_cloth_has_none() -> None:
    assert read(cloth()) == (None, False)


def test_short_or_thick_marks_are_none() -> None:
    assert read(cloth(((0.05, 0.05), (0.07, 0.05), 0.002)))[0] is None
    assert read(cloth(((0.05, 0.05), (0.12, 0.05), 0.025)))[0] is None


def test_a_cross_is_no_arrow() -> None:
    assert read(cloth(((0.05, 0.05), (0.15, 0.10), 0.003), ((0.05, 0.10), (0.15, 0.05), 0.003)))[0] is None


def test_lines_that_disagree_are_told() -> None:
    assert read(cloth(((0.03, 0.03), (0.13, 0.03), 0.003), ((0.16, 0.03), (0.16, 0.12), 0.003))) == (None, True)


def test_lines_that_agree_are_one_direction() -> None:
    arrow, clash = read(cloth(((0.03, 0.03), (0.13, 0.03), 0.003), ((0.03, 0.1), (0.15, 0.1), 0.003)))
    assert arrow is not None
    assert not clash
    assert np.degrees(arrow.angle) == pytest.approx(0.0, abs=0.3)
