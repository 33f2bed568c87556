"""Flat pieces: a round scale that fits, true dimensions, the scale stated."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.sheets.flatview import SCALES, FlatPiece, flat_view, round_scale

SIZES = st.floats(0.001, 3.0)


@given(SIZES, SIZES)
def test_the_scale_fits_and_the_next_larger_one_does_not(wide: float, tall: float) -> None:
    scale = round_scale((wide, tall), (80.0, 70.0))
    assert wide * 1e3 / scale <= 80.0
    assert tall * 1e3 / scale <= 70.0
    larger = [s for s in SCALES if s < scale]
    if larger:
        assert wide * 1e3 / larger[-1] > 80.0 or tall * 1e3 / larger[-1] > 70.0


def test_the_sheet_states_scale_name_and_size() -> None:
    loop = np.array([[0.0, 0.0], [0.3, 0.0], [0.3, 0.2], [0.0, 0.2]])
    svg = flat_view([FlatPiece(label="3A", loops=(loop,), start=(0.1, 0.1), holes=((0.2, 0.1),))])
    words = "".join(ET.fromstring(svg).itertext())
    assert "1 : 5" in words
    for word in ("3A", "300.0", "200.0", "warp"):
        assert word in words


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="1 : 50"):
        round_scale((9.0, 1.0), (80.0, 70.0))
    with pytest.raises(ValueError, match="needs a piece"):
        flat_view([])
