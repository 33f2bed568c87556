"""The picture of a mould's life where no mould is known: it stays on its paper and speaks the reader's language."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from bagside.sheets.typeface import NOTE, width
from bagside.web.views.moulds.meant import PULLS, WIDE, life_meant
from bagside.web.words.tongue import Tongue

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_pull_has_its_stop_and_every_word_stays_on_the_paper(language: str) -> None:
    drawn = ET.fromstring(life_meant(Tongue(language=language)))
    assert len(drawn.findall(f".//{SVG}circle")) == PULLS
    texts = drawn.findall(f".//{SVG}text")
    assert len({"".join(t.itertext()) for t in texts}) == PULLS + 1
    for text in texts:
        half = 0.5 * width("".join(text.itertext()), NOTE)
        assert half <= float(text.get("x", "0")) <= WIDE - half
