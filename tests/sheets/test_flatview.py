"""Flat pieces: a round scale that fits, true dimensions, the scale stated."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.sheets.flatview import SCALES, FlatPiece, flat_view, round_scale
from bagside.sheets.typeface import width

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


def squares(count: int, side: float, many: str = "3") -> list[FlatPiece]:
    loop = np.array([[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]])
    return [FlatPiece(label=f"{many}{chr(65 + k)}", loops=(loop,), area=side**2, mass=0.01) for k in range(count)]


def placed(svg: str) -> dict[str, tuple[float, float, float]]:
    """Return where each text begins or ends and its baseline: left, right, y."""
    out = {}
    for e in ET.fromstring(svg).iter():
        if e.tag.endswith("text") and e.get("class") != "halo":
            words = "".join(e.itertext())
            wide = width(words, float(e.get("font-size", "")), bold=e.get("font-weight") == "700")
            left = float(e.get("x", "")) - (0.5 * wide if e.get("text-anchor") == "middle" else 0.0)
            out[words] = (left, left + wide, float(e.get("y", "")))
    return out


def test_many_pieces_stand_in_rows_where_that_shows_them_larger() -> None:
    for count, scale, rows in ((1, 2, 1), (2, 5, 1), (4, 5, 2)):
        found = placed(flat_view(squares(count, 0.2), size_mm=(184.0, 140.0)))
        assert f"flat, mm, 1 : {scale}" in found
        assert len({found[p.label][2] for p in squares(count, 0.2)}) == rows


def test_the_warp_arrow_keeps_off_the_last_name() -> None:
    for count in (1, 2, 3, 4, 5):
        found = placed(flat_view(squares(count, 0.06), size_mm=(184.0, 60.0)))
        label, warp = found[f"3{chr(64 + count)}"], found["warp"]
        assert label[1] < 184.0 - 22.0 or label[2] > warp[2] + 4.0


def test_pieces_that_fit_no_way_are_refused() -> None:
    with pytest.raises(ValueError, match=r"do not fit 184 mm at 1 : 50"):
        flat_view(squares(2, 9.0))
