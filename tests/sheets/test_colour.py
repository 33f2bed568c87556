"""Colours: bands at their edges, signs, contrast that carries words."""

from __future__ import annotations

import numpy as np
import pytest

from bagside.sheets import colour
from bagside.sheets.colour import Bands


def test_shear_steps_every_five_degrees_and_drops_the_sign() -> None:
    degrees = np.array([0.0, 4.9, 5.0, 34.9, 35.0, 40.0, 70.0, -12.0])
    assert colour.SHEAR.band(np.radians(degrees)).tolist() == [0, 0, 1, 6, 7, 8, 8, 2]


def test_stretch_keeps_the_sign_about_the_middle() -> None:
    assert colour.STRETCH.band(np.array([-0.02, -0.01, 0.0, 0.01, 0.02])).tolist() == [0, 2, 4, 6, 8]


def test_bands_darken_step_by_step() -> None:
    light = [colour.luminance(c) for c in colour.SHEAR.colours]
    assert light == sorted(light, reverse=True)


def test_words_on_every_band_read() -> None:
    for c in colour.SHEAR.colours:
        assert colour.contrast(c, colour.ink_on(c)) >= 4.5


def test_contrast_of_black_on_white_is_twenty_one() -> None:
    assert colour.contrast("#000000", "#ffffff") == pytest.approx(21.0)


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        colour.SHEAR.band(np.array([np.nan]))
    with pytest.raises(ValueError, match="rising"):
        Bands(name="x", edges=(1.0, 0.0), colours=("#000000", "#ffffff"), per_si=1.0, magnitude=True)


MACHADO = "Machado, Oliveira, Fernandes 2009, IEEE Trans. Vis. Comput. Graph. 15(6), 1291, matrices of severity 1.0"
# Linear light as seen without one kind of cone, severity 1.0, printed with six digits.
MISSING = {
    "no long cones": [
        [0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998],
    ],
    "no middle cones": [
        [0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881],
    ],
}  # fmt: skip


def lab(colours: tuple[str, ...], missing: str) -> np.ndarray:
    """Return lightness, a, b (CIE 1976, D65) of colours as an eye without one kind of cone sees them."""
    srgb = np.array([colour.rgb(c) for c in colours]) / 255
    light = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    seen = np.clip(light @ np.array(MISSING[missing]).T, 0, 1) if missing else light
    xyz = seen @ np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]).T
    share = xyz / np.array([0.9505, 1.0, 1.089])
    f = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.column_stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])])


@pytest.mark.published(MACHADO)
def test_a_row_of_each_matrix_leaves_white_white() -> None:
    for matrix in MISSING.values():
        assert np.array(matrix).sum(axis=1) == pytest.approx([1.0, 1.0, 1.0], abs=2e-6)


@pytest.mark.published(MACHADO)
@pytest.mark.parametrize("missing", ["", *MISSING])
def test_shear_falls_in_lightness_for_every_eye(missing: str) -> None:
    steps = -np.diff(lab(colour.SHEAR.colours, missing)[:, 0])
    assert (steps > 5.0).all(), steps


@pytest.mark.published(MACHADO)
@pytest.mark.parametrize("missing", ["", *MISSING])
def test_stretch_darkens_to_both_ends_and_the_ends_are_told_apart(missing: str) -> None:
    seen = lab(colour.STRETCH.colours, missing)
    middle = len(seen) // 2
    assert (np.diff(seen[: middle + 1, 0]) > 5.0).all()
    assert (np.diff(seen[middle:, 0]) < -5.0).all()
    for k in range(1, middle + 1):
        apart = seen[middle - k] - seen[middle + k]
        assert np.linalg.norm(apart[1:]) > 20.0, "blue and brown, far past a just seen difference"
