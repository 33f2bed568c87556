"""The folder of each part: what lies in it and in which order, read off the pages."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from nest_example import LONG, offcut, ugly

from bagside.errors import InputError
from bagside.sheets.kit_list import KitLine, kit_lines, kit_list_pdf, natural, packed
from bagside.sheets.press import SIZES
from bagside.spec.workshop import Paper

LINES = kit_lines([(offcut(), "1093", "offcut O-11"), (ugly(), "1101", "roll R-22")], films=2)


def words(pdf: bytes) -> list[str]:
    return [" ".join(p.get_textpage().get_text_range().split()) for p in pypdfium2.PdfDocument(pdf)]


def test_every_copy_is_there_once_part_after_part_in_the_order_of_laying() -> None:
    assert len(LINES) == 43
    assert sorted(line.number for line in LINES) == list(range(1, 44))
    parts = list(dict.fromkeys(line.part for line in LINES))
    assert parts == ["day-hatch lid 1", "day-hatch lid 2", "day-hatch lid 3", "day-hatch lid 4", "lid 1", "lid 2"]
    lid = [line for line in LINES if line.part == "day-hatch lid 3"]
    assert [line.ply for line in lid] == sorted(line.ply for line in lid)
    assert {line.batch for line in LINES if line.source == "offcut O-11"} == {"1093"}


@given(st.permutations([(p, k) for p in range(1, 6) for k in ("a", "b")]))
def test_the_last_ply_goes_in_first_and_the_folder_unpacks_in_the_order_of_laying(order: list[tuple[int, str]]) -> None:
    lines = [KitLine(part="1", piece=f"{p}{k}", ply=p) for p, k in order]
    out = packed(lines)["1"]
    plies = [line.ply for line in out]
    assert plies == sorted(plies, reverse=True)
    for ply in range(1, 6):  # of one ply, what was given first ends nearer the top
        given_, there = [x.piece for x in lines if x.ply == ply], [x.piece for x in out if x.ply == ply]
        assert there == given_[::-1]


def test_a_piece_without_a_ply_is_laid_last_and_packed_first() -> None:
    lines = [KitLine(part="1", piece="peel"), KitLine(part="1", piece="1", ply=1), KitLine(part="1", piece="2", ply=2)]
    assert [line.piece for line in packed(lines)["1"]] == ["peel", "2", "1"]


@pytest.mark.parametrize("on", list(Paper))
def test_what_the_pages_say(on: Paper) -> None:
    pdf = kit_list_pdf(LINES, plies=6, title="Day-hatch lid, 4 off", note="inputs 7f3c 91ae", on=on)
    for page in pypdfium2.PdfDocument(pdf):
        assert (page.get_width(), page.get_height()) == pytest.approx([v * 72 / 25.4 for v in SIZES[on]], abs=0.01)
    pages = words(pdf)
    assert len(pages) == 6
    first = pages[0]
    for said in ("Pack day-hatch lid 1", "10 pieces, 20 films on them", "1 ends on top and is laid first", LONG,
                 "Uncured resin sensitises skin", "roll R-22, no.", "batch", "lay 5th of 6", "inputs 7f3c 91ae",
                 "packed by", "none may stay in the part"):  # fmt: skip
        assert said in first, said
    rows = re.findall(r"lay (\d)\w\w of 6", first)
    assert rows == sorted(rows, reverse=True)
    assert [f"{k}{e} " in first for k, e in ((1, "st"), (2, "nd"), (3, "rd"), (10, "th"))] == [True] * 4
    assert "offcut O-11, no. 1" in pages[4]


def test_films_that_nobody_knows_are_not_counted() -> None:
    (page,) = words(kit_list_pdf([replace(LINES[0], films=None)]))
    assert "films on them" not in page
    assert "1 piece." in page
    with pytest.raises(InputError, match="kit list: no piece"):
        kit_list_pdf([])


def test_names_sort_as_people_count() -> None:
    assert sorted(["lid 10", "lid 9", "10A", "2B"], key=natural) == ["2B", "10A", "lid 9", "lid 10"]
