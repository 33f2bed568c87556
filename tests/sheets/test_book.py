"""The book compiled and looked at: size, words, glyphs, nothing beyond its margins."""

from __future__ import annotations

import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from book_example import example

from bagside.sheets.book import book_pdf
from bagside.sheets.bookinput import Table
from bagside.sheets.press import SIZES
from bagside.spec.workshop import Paper


@cache
def book(on: Paper) -> bytes:
    return book_pdf(replace(example(), paper=on))


@cache
def words() -> str:
    pages = pypdfium2.PdfDocument(book(Paper.A4))
    return " ".join(" ".join(p.get_textpage().get_text_range().split()) for p in pages)


@pytest.mark.parametrize("on", list(Paper))
def test_pages_have_the_paper_s_size_and_nothing_stands_in_the_margins(on: Paper) -> None:
    document = pypdfium2.PdfDocument(book(on))
    for page in document:
        assert page.get_width() / 72 * 25.4 == pytest.approx(SIZES[on][0], abs=0.1)
        assert page.get_height() / 72 * 25.4 == pytest.approx(SIZES[on][1], abs=0.1)
        pixels = page.render(scale=2, grayscale=True).to_numpy().reshape(round(page.get_height() * 2), -1)
        rim = round(8 / 25.4 * 144)
        for strip in (pixels[:rim], pixels[-rim // 2 :], pixels[:, :rim], pixels[:, -rim:]):
            assert strip.min() == 255


def test_every_part_is_said() -> None:
    said = words()
    for part in (
        "Day-hatch lid",
        "Stop. The mould softens",
        "Ply 3",
        "±45°",
        "thickness drawn ×",
        "degree of cure",
        "≥ 0.950",
    ):
        assert part in said, part
    assert "What this book is not" in said
    assert "inputs 7f3c 91ae" in said
    assert "measured here" in said
    assert said.index("Uncured resin sensitises skin.") < said.index("Lay ply 1")


@pytest.mark.parametrize("on", list(Paper))
def test_every_ply_stands_on_one_page(on: Paper) -> None:
    pages = [p.get_textpage().get_text_range() for p in pypdfium2.PdfDocument(book(on))]
    for ply in ("Ply 1", "Ply 3"):
        (page,) = [p for p in pages if ply in p and "tool film off" in p]
        assert "laid by" in page
        assert "Warp within ±3° 82 %" in page
        assert ("3A on top" in page) is (ply == "Ply 3")
        assert ("stretch of a yarn" in page) is (ply == "Ply 3")


def test_no_glyph_is_missing_and_only_our_fonts_and_the_typesetters_are_used() -> None:
    assert "\ufffd" not in words()
    raw = book(Paper.A4)
    document = pypdfium2.PdfDocument(raw)
    names = set()
    for page in document:
        for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=6):
            font = pypdfium2.raw.FPDFTextObj_GetFont(thing)
            buffer = (pypdfium2.raw.c_char * 128)()
            pypdfium2.raw.FPDFFont_GetBaseFontName(font, buffer, 128)
            names.add(buffer.value.decode().split("+")[-1])
    assert {n.split("-")[0] for n in names} <= {"B612", "DejaVuSansMono"}
    assert {"B612", "B612-Bold"} <= {n.replace("-Regular", "") for n in names}


def test_a_table_of_unlike_rows_is_refused() -> None:
    with pytest.raises(ValueError, match="2 headers want 2"):
        Table(headers=("a", "b"), rows=(("1",),), align="lr")


def test_the_same_input_gives_the_same_pages() -> None:
    one, other = (pypdfium2.PdfDocument(book_pdf(example()))[1].render(scale=1).to_numpy() for _ in range(2))
    assert np.array_equal(one, other)
