"""A drawing on a page: its inks follow the paper, maps do not, and nothing of it meets another drawing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from bagside.geometry import Surface
from bagside.sheets import colour, marks, paper
from bagside.sheets.grounds import both, on_cloth, on_tape
from bagside.sheets.picture import OnMould, mould_picture
from bagside.sheets.themed import themed

RECT = paper.rect(0, 0, 5, 5, weight=0.25, fill=colour.CLOTH)


def _sheet(*parts: str, title: str = "a drawing") -> str:
    return paper.sheet(20.0, 10.0, parts, title=title)


def test_inks_follow_the_page_and_fall_back_on_what_is_printed() -> None:
    got = themed(_sheet(paper.line([(0, 0), (5, 5)], weight=0.4), RECT))
    assert 'stroke="var(--ink,#10191f)"' in got
    assert 'fill="var(--cloth,#19437b)"' in got
    assert 'stroke-width="calc(0.4px*var(--weight,1))"' in got


def test_what_lies_on_a_map_keeps_its_colour() -> None:
    # The seventh band of shear and the cloth's ink are one colour: only the group tells them apart.
    assert colour.SHEAR.colours[7] == colour.CLOTH
    got = themed(_sheet(on_cloth([RECT])))
    assert f'fill="{colour.CLOTH}"' in got
    assert "--cloth" not in got
    assert 'stroke="var(--on-map,#10191f)"' in got


def test_ink_on_tape_stays_ink_and_its_edge_may_be_tape() -> None:
    got = themed(_sheet(on_tape([paper.rect(0, 0, 9, 5, weight=0.4, fill=colour.TAPE), paper.text(1, 3, "here")])))
    assert 'fill="var(--tape,#f8c800)"' in got
    assert 'stroke="var(--tape-edge,#10191f)"' in got
    assert "fill:var(--on-tape,#10191f);" in got


def test_letters_carry_their_ink_where_no_rule_of_the_page_beats_it() -> None:
    got = themed(_sheet(paper.text(1, 3, "3A", halo=True)))
    words = re.findall(r"<text[^>]*>", got)
    assert len(words) == 2
    assert all("style=" in w and " fill=" not in w and " stroke=" not in w for w in words)


def test_a_line_on_both_is_drawn_again_in_the_maps_ink_where_the_map_is() -> None:
    shape = '<clipPath id="cloth"><path d="M0 0H5V5H0Z"/></clipPath>'
    got = themed(_sheet(shape, both([paper.line([(0, 1), (9, 1)])], "cloth")))
    name = re.search(r'<clipPath id="(d[0-9a-f]{10}-cloth)"', got)
    again = re.search(r'<g clip-path="url\(#([^)]*)\)" style="([^"]*)" [^>]*><use href="#([^"]*)"/></g>', got)
    assert name
    assert again
    assert again[1] == name[1]
    assert f"--paper:{colour.PAPER}" in again[2]
    assert f'id="{again[3]}"' in got
    assert got.index("<path d=\"M0 1") < got.index("<use")  # the map's ink lies over the page's


def test_names_are_a_drawings_own() -> None:
    svg = _sheet(marks.hatch("ground"), paper.rect(0, 0, 5, 5, fill="url(#ground)"))
    one, other, twice = themed(svg), themed(_sheet(marks.hatch("ground"))), themed(svg, key="second")
    names = [re.findall(r'\bid="([^"]*)"', s) for s in (one, other, twice)]
    assert len({n for some in names for n in some}) == 3
    assert f"url(#{names[0][0]})" in one
    assert themed(svg) == one


def test_the_drawing_is_as_wide_as_its_place_and_has_its_name() -> None:
    got = themed(_sheet(RECT, title='ply 3, "whole" & flat'))
    root = ET.fromstring(got)
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("100%", None, "0 0 20 10")
    assert root.get("role") == "img"
    assert root.get("aria-label") == 'ply 3, "whole" & flat'
    assert root.find("title") is None  # a title in a page would be a box that pops up under the pointer


def test_the_mould_darkens_the_map_does_not_and_the_relief_can_go() -> None:
    flat = np.array([[0.0, 0, 0], [0.2, 0, 0], [0.2, 0.1, 0], [0, 0.1, 0]])
    mould = Surface(flat, np.array([[0, 1, 2], [0, 2, 3]]))
    piece = Surface(0.5 * flat + [0.05, 0.02, 0.0], mould.triangles)
    shown = mould_picture(mould, [OnMould(surface=piece, values=np.zeros(2))]).svg
    got = themed(shown)
    assert re.search(r'<path class="mould" [^>]*fill="var\(--mould-lit,#dee5e7\)"', got)
    assert re.search(r'<image class="shade" [^>]*opacity="var\(--shade,1\)"', got)
    assert not re.search(r'<image class="cloth map" [^>]*opacity', got)
    plain = themed(mould_picture(mould, [OnMould(surface=piece)]).svg)
    assert re.search(r'<image class="cloth plain" [^>]*opacity="var\(--plain,1\)"', plain)
    ET.fromstring(got)


def test_what_is_no_drawing_is_refused() -> None:
    with pytest.raises(ValueError, match="begins with <svg"):
        themed("<p>no drawing</p>")
    with pytest.raises(ValueError, match="groups are not closed"):
        themed("<svg viewBox='0 0 1 1'><g></svg>")
    with pytest.raises(ValueError, match="closes a group it has not opened"):
        themed("<svg></g></svg>")
