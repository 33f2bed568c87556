"""The whole book for a printer with black alone: no colour, no grey anywhere, and still all its words."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from book_example import example

from bagside.sheets.book import book_pdf
from bagside.sheets.bookinput import BookInput
from bagside.sheets.press import blackened
from bagside.spec.workshop import Ink

FINE = 3.0
"""Pixels in a point: grey is then only what lies on the edge of something black."""


@pytest.fixture(scope="module")
def book() -> BookInput:
    return example()


@pytest.fixture(scope="module")
def black(book: BookInput) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(book_pdf(replace(book, ink=Ink.BLACK)))


def test_there_is_no_colour_and_no_grey(black: pypdfium2.PdfDocument) -> None:
    assert len(black) > 3
    for page in black:
        seen = page.render(scale=FINE).to_numpy()[..., :3].astype(int)
        assert (np.ptp(seen, axis=2) <= 2).all()
        level = seen[..., 0]
        # A pixel of an even grey has neighbours of the same grey all round it; one on an edge has not.
        middle = level[1:-1, 1:-1]
        grey = (middle > 40) & (middle < 235)
        high, wide = middle.shape
        around = [level[dy : dy + high, dx : dx + wide] for dy in (0, 1, 2) for dx in (0, 1, 2)]
        even = grey & (np.max(around, axis=0) - np.min(around, axis=0) <= 2)
        assert even.mean() < 1e-5


def test_in_colour_there_is_some(book: BookInput) -> None:
    pages = pypdfium2.PdfDocument(book_pdf(book))
    spread = max(int(np.ptp(p.render(scale=1.0).to_numpy()[..., :3].astype(int), axis=2).max()) for p in pages)
    assert spread > 60  # what the test above would find


def test_it_says_the_same(book: BookInput, black: pypdfium2.PdfDocument) -> None:
    said = [[p.get_textpage().get_text_range() for p in d] for d in (pypdfium2.PdfDocument(book_pdf(book)), black)]
    assert said[0] == said[1]


def test_only_drawings_are_changed() -> None:
    data = {"words": ["a", 3, None, {"x": "#10191f"}]}
    assert blackened(data) == data
    with pytest.raises(ValueError, match="begins with <svg"):
        blackened({"picture": "<svg nothing"})
