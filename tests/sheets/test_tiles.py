"""Templates measured on the rendered page."""

from __future__ import annotations

import re

import numpy as np
import pypdfium2
import pytest

from bagside.sheets.press import SIZES
from bagside.sheets.tiles import CHECK, MARGIN, OVERLAP, Template, templates_pdf, tiles
from bagside.spec.workshop import Paper

DPI = 254  # ten pixels a millimetre


def ellipse(a: float, b: float) -> np.ndarray:
    t = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    return np.column_stack([a * np.cos(t), b * np.sin(t)])


def page(pdf: bytes, number: int) -> np.ndarray:
    document = pypdfium2.PdfDocument(pdf)
    image = np.asarray(document[number].render(scale=DPI / 72, grayscale=True).to_numpy(), dtype=np.float64)
    return image.reshape(image.shape[0], -1)


def middle_of_dark(profile: np.ndarray, low: float, high: float) -> float:
    """Return the weighted middle [mm] of what is dark between two places [mm]."""
    a, b = int(low * 10), int(high * 10)
    dark = 255 - profile[a:b]
    dark = np.where(dark > 0.3 * dark.max(), dark, 0)
    return float((dark * (np.arange(a, b) + 0.5)).sum() / dark.sum() / 10)


@pytest.mark.parametrize("on", list(Paper))
def test_the_check_square_measures_a_hundred_millimetres(on: Paper) -> None:
    image = page(templates_pdf([Template(label="1A", loops=(ellipse(0.03, 0.02),))], on=on), 0)
    assert image.shape[1] / 10 == pytest.approx(SIZES[on][0], abs=0.15)
    assert image.shape[0] / 10 == pytest.approx(SIZES[on][1], abs=0.15)
    across = image[int((MARGIN + 0.5 * (SIZES[on][1] - 2 * MARGIN - 12) - 40) * 10)]
    left = 0.5 * (SIZES[on][0] - CHECK)
    found = [middle_of_dark(across, x - 2, x + 2) for x in (left, left + CHECK)]
    assert found[1] - found[0] == pytest.approx(100.0, abs=0.1)


def test_an_outline_over_one_sheet_is_true_to_size() -> None:
    image = page(templates_pdf([Template(label="1A", loops=(ellipse(0.07, 0.11),))]), 0)
    x, y = 105.0, MARGIN + 0.5 * (297 - 2 * MARGIN - 12)
    row, column = image[int(y * 10) + 7], image[:, int(x * 10) + 7]
    width = middle_of_dark(row, x + 66, x + 74) - middle_of_dark(row, x - 74, x - 66)
    height = middle_of_dark(column, y + 106, y + 114) - middle_of_dark(column, y - 114, y - 106)
    assert width == pytest.approx(140.0, abs=0.15)
    assert height == pytest.approx(220.0, abs=0.15)


def test_neighbouring_sheets_share_their_overlap() -> None:
    found = tiles(Template(label="2", loops=(ellipse(0.21, 0.26),)))
    by = {(t.row, t.column): t for t in found}
    assert [t.name for t in found][:3] == ["A1", "A2", "A3"]
    assert by[0, 1].left - by[0, 0].left == pytest.approx(210 - 2 * MARGIN - OVERLAP)
    assert by[1, 0].top - by[0, 0].top == pytest.approx(297 - 2 * MARGIN - 12 - OVERLAP)


def test_a_small_piece_takes_one_sheet_and_empty_sheets_are_left_out() -> None:
    assert len(tiles(Template(label="1", loops=(ellipse(0.05, 0.05),)))) == 1
    bar = np.array([[0, 0], [0.6, 0.75], [0.58, 0.76], [-0.02, 0.01]])
    assert len(tiles(Template(label="1", loops=(bar,)))) < 4 * 4


def test_every_sheet_says_its_name_and_the_piece() -> None:
    pdf = pypdfium2.PdfDocument(
        templates_pdf([Template(label="4C", note="twill 200, ±45°", loops=(ellipse(0.2, 0.1),))])
    )
    words = [p.get_textpage().get_text_range() for p in pdf]
    assert len(words) == 3
    assert all("4C" in w and "±45°" in w and f"A{k + 1}" in w and "100 mm" in w for k, w in enumerate(words))


def test_an_outline_that_crosses_itself_is_refused() -> None:
    bow = np.array([[0, 0], [0.1, 0.1], [0.1, 0], [0, 0.1]])
    with pytest.raises(ValueError, match="crosses itself"):
        tiles(Template(label="bow", loops=(bow,)))
    with pytest.raises(ValueError, match="no template"):
        templates_pdf([])


def test_the_two_corners_by_which_a_card_is_laid_stand_on_it() -> None:
    box = np.array([[0.0, 0.0], [0.1, 0.0], [0.1, 0.06], [0.0, 0.06]])
    (tile,) = tiles(Template(label="1", loops=(box,), corners=((0.0, 0.0), (0.1, 0.06))))
    squares = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="3" height="3" fill="(#\w+)"', tile.svg)
    (a, b) = [(float(x) + 1.5, float(y) + 1.5, fill) for x, y, fill in squares]
    assert (b[0] - a[0], a[1] - b[1]) == pytest.approx((100.0, 60.0))
    assert (a[2], b[2]) == ("#ffffff", "#10191f")
