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
