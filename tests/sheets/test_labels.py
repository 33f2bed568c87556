"""Labels: every code is read off the printed page by a general reader, every word is there, nothing runs over."""

from __future__ import annotations

import re
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from nest_example import LONG, offcut, ugly

from bagside.errors import InputError
from bagside.sheets.fitted import LEADING, Run, fitted
from bagside.sheets.label_picture import label_picture
from bagside.sheets.label_words import Label, code_text, headline, label_key, ordinal, time_words
from bagside.sheets.labels import label_pages, labels_pdf, offcut_label, piece_labels
from bagside.sheets.press import SIZES
from bagside.sheets.typeface import width
from bagside.spec.label_sheet import LabelSheet
from bagside.spec.library import Library, generic_library, workshop_library
from bagside.spec.reading import stated_from
from bagside.spec.stock import Offcut, Up

SHEETS = generic_library().label_sheet
DPI = 300
BASE = "http://workshop.local:8000"
PIECES = piece_labels(
    ugly(),
    plies=6,
    job="Day-hatch lid",
    batch="1093",
    source="roll R-22",
    face="resin-rich side to the mould",
    films=2,
    life_used=41 * 3600.0,
    out_life=30 * 86400.0,
    digest="7f3c91ae",
)


def points(loop: np.ndarray) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in loop)


SHEET = offcut().sheet
KEPT = offcut_label(
    Offcut(
        name="O-14",
        material="twill-200",
        outline=points(SHEET.outline),
        holes=tuple(points(h) for h in SHEET.holes),
        flaws=tuple(points(f) for f in SHEET.flaws),
        roll="R-22",
        batch="1093",
        life_used=150 * 3600.0,
        up=Up.DRY,
        made=date(2026, 11, 26),
        use_by=date(2027, 3, 7),
    ),
    30 * 86400.0,
)
MIXED: tuple[Label, ...] = (KEPT, *[label for label in PIECES if label.piece in ("1", "3A", LONG, "7")][:6])


def cells(pdf: bytes, sheet: LabelSheet, count: int, first: int) -> list[np.ndarray]:
    """Return the picture of each label, cut out of the rendered pages."""
    document = pypdfium2.PdfDocument(pdf)
    pages = [np.asarray(p.render(scale=DPI / 72, grayscale=True).to_numpy()).squeeze() for p in document]
    unit = DPI / 0.0254
    out = []
    for k in range(first, first + count):
        x, y = sheet.place(k)
        page = pages[k // sheet.count]
        out.append(
            page[round(unit * y) : round(unit * (y + sheet.height)), round(unit * x) : round(unit * (x + sheet.width))]
        )
    return out


@pytest.mark.parametrize("name", sorted(SHEETS))
@pytest.mark.parametrize("base", ["", BASE])
def test_every_code_is_read_off_the_page_at_300_dpi(name: str, base: str) -> None:
    sheet = SHEETS[name]
    first = sheet.count - 3
    found = cells(labels_pdf(MIXED, sheet, base=base, first=first), sheet, len(MIXED), first)
    reader = cv2.QRCodeDetector()
    for label, picture in zip(MIXED, found, strict=True):
        said, _, _ = reader.detectAndDecode(np.ascontiguousarray(picture))
        assert said == code_text(label, base), headline(label)


def test_what_codes_say() -> None:
    label = next(p for p in PIECES if p.piece == "3A" and p.part == "day-hatch lid 2")
    assert code_text(label, BASE + "/") == f"{BASE}/p/{label_key(label)}"
    assert len({label_key(p) for p in PIECES}) == len(PIECES)
    assert label_key(replace(label, films=3)) == label_key(label)
    assert label_key(replace(label, digest="0")) != label_key(label)
    assert code_text(replace(label, key="lid 2/41"), BASE) == BASE + "/p/lid%202%2F41"
    assert code_text(KEPT, BASE) == BASE + "/o/O-14"
    assert code_text(label) == "3A; day-hatch lid 2; lay 3rd of 6; 7f3c91ae; Day-hatch lid; twill-200"
    assert all(len(code_text(p).encode()) <= 78 for p in PIECES)


def extent(parts: list[str]) -> tuple[np.ndarray, list[str]]:
    """Return the boxes of all texts, measured from the font's own widths, and the texts."""
    root = ET.fromstring("<g>" + "".join(parts) + "</g>")
    boxes, words = [], []
    for e in root.iter("text"):
        size, x, y = (float(e.get(k, "")) for k in ("font-size", "x", "y"))
        text = "".join(e.itertext())
        wide = width(text, size, bold=e.get("font-weight") == "700")
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[e.get("text-anchor", "start")] * wide
        boxes.append((left, y - 0.74 * size, left + wide, y + 0.22 * size))
        words.append(text)
    return np.array(boxes), words


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_words_are_all_there_inside_the_label_and_apart(name: str) -> None:
    sheet = SHEETS[name]
    wide, high = 1e3 * sheet.width, 1e3 * sheet.height
    for label in (*MIXED, PIECES[-1], replace(PIECES[0], piece="Aft-bulkhead-stiffener-inboard-of-the-skeg-box")):
        boxes, words = extent(label_picture(label, wide, high, BASE))
        assert boxes[:, 0].min() >= 0.0
        assert boxes[:, 1].min() >= 0.5
        assert boxes[:, 2].max() <= wide - 1.5
        assert boxes[:, 3].max() <= high - 0.8
        shapes = [shapely.box(*b) for b in boxes]
        for k, a in enumerate(shapes):
            assert all(a.intersection(b).area < 0.15 for b in shapes[k + 1 :]), words
        letters = re.sub(r"[\s·]", "", "".join(words))
        assert re.sub(r"\s", "", headline(label)) in letters
        for said in ("twill-200", "batch1093"):
            assert said in letters
        sizes = [float(s) for s in re.findall(r'font-size="([\d.]+)"', "".join(label_picture(label, wide, high, BASE)))]
        assert min(sizes) >= 1.45


def test_a_label_says_when_to_lay_which_face_and_how_many_films() -> None:
    label = next(p for p in PIECES if p.piece == "3A" and p.part == "day-hatch lid 2")
    _, words = extent(label_picture(label, 99.1, 38.1))
    said = " ".join(words)
    for phrase in ("3A", "lay 3rd of 6", "day-hatch lid 2", "resin-rich side to the mould", "2 films off", "roll R-22",
                   "batch 1093", "7f3c91ae", "life used 41 h of 30 days"):  # fmt: skip
        assert phrase in said, phrase
    _, words = extent(label_picture(KEPT, 99.1, 38.1))
    said = " ".join(words)
    for phrase in ("O-14", "660 × 420 mm", "dry face up", "life used 6.2 days of 30 days", "use by 7 Mar 2027",
                   "from roll R-22", "1 flaw hatched"):  # fmt: skip
        assert phrase in said, phrase
    area = shapely.Polygon(SHEET.outline).area - 0.05 * 0.04 - shapely.Polygon(SHEET.flaws[0]).area
    assert pytest.approx(area) == KEPT.area
    (flipped,) = [p for p in piece_labels(offcut()) if p.turned_over]
    _, words = extent(label_picture(flipped, 99.1, 38.1))
    assert "cut face down" in " ".join(words)


def test_labels_start_where_the_sheet_is_started_and_go_on() -> None:
    sheet = SHEETS["a4-2x7"]
    pages = label_pages(PIECES[:20], sheet, first=5)
    assert [len(p) for p in pages] == [9, 11]
    assert pages[0][0].startswith('<g transform="translate(106.25 91.35)">')
    for first in (-1, 14):
        with pytest.raises(InputError, match="already used on the first sheet"):
            label_pages(PIECES, sheet, first=first)
    with pytest.raises(InputError, match="labels: none"):
        label_pages((), sheet)


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_drawn_edges_lie_where_the_sheet_says_on_the_rendered_page(name: str) -> None:
    sheet = SHEETS[name]
    pdf = labels_pdf(PIECES[:3], sheet, edges=True, first=sheet.count - 2)
    page = pypdfium2.PdfDocument(pdf)[0]
    assert (page.get_width(), page.get_height()) == pytest.approx([v * 72 / 25.4 for v in SIZES[sheet.paper]], abs=0.01)
    image = np.asarray(page.render(scale=254 / 72, grayscale=True).to_numpy(), dtype=np.float64).squeeze()
    x, y = (1e3 * v for v in sheet.place(sheet.count - 2))
    row = 255.0 - image[round(10 * y) + 9]  # 0.9 mm under the edge there is no word yet
    for edge in (x + 1e3 * sheet.width, x) if x > 0.5 else (x + 1e3 * sheet.width,):
        a = round(10 * edge) - 8
        dark = row[a : a + 16]
        found = float((dark * (np.arange(a, a + 16) + 0.5)).sum() / dark.sum() / 10.0)
        close = x + 1e3 * sheet.across - edge < 0.8  # the next label begins at once
        assert found == pytest.approx(edge, abs=0.3 if close else 0.06)


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_nothing_is_printed_where_printers_do_not_reach(name: str) -> None:
    sheet = SHEETS[name]
    full = (PIECES * 2)[: sheet.count]
    page = pypdfium2.PdfDocument(labels_pdf(full, sheet, base=BASE))[0]
    image = np.asarray(page.render(scale=254 / 72, grayscale=True).to_numpy()).squeeze()
    assert (image < 128).any()
    for strip in (image[:42], image[-42:], image[:, :42], image[:, -42:]):
        assert (strip > 250).all()


def test_the_last_label_of_each_common_sheet_ends_on_its_paper() -> None:
    assert {s.count for s in SHEETS.values()} == {8, 14, 21, 24, 10, 30}
    for sheet in SHEETS.values():
        x, y = sheet.place(sheet.count - 1)
        assert 1e3 * (x + sheet.width) <= SIZES[sheet.paper][0] + 0.2
        assert 1e3 * (y + sheet.height) <= SIZES[sheet.paper][1] + 0.2


def test_a_workshop_states_a_sheet_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "materials").mkdir()
    (tmp_path / "materials" / "labels.toml").write_text(
        '[label_sheet.tags]\npaper = "A4"\ncolumns = 1\nrows = 5\nwidth = "102 mm"\nheight = "54 mm"\nleft = "20 mm"\n'
        'top = "10 mm"\nacross = "102 mm"\ndown = "55 mm"\nbasis = { all = "measured here" }\n'
    )
    sheet = workshop_library(tmp_path).label_sheet["tags"]
    assert sheet.place(3) == pytest.approx((0.020, 0.175))
    assert "a4-2x7" in workshop_library(tmp_path).label_sheet
    stated = {"paper": "A4", "columns": 3, "rows": 8, "width": "80 mm", "height": "37 mm", "left": "0 mm",
              "top": "0 mm", "across": "80 mm", "down": "37 mm", "basis": {"all": "measured here"}}  # fmt: skip
    with pytest.raises(InputError, match=r"the last label ends at 240\.0 × 296\.0 mm, off paper of 210 × 297 mm"):
        stated_from({"label_sheet": {"x": stated}}, Library, "materials/labels.toml")
    with pytest.raises(InputError, match="labels lie over each other"):
        stated_from({"label_sheet": {"x": {**stated, "across": "60 mm"}}}, Library, "materials/labels.toml")


def test_places_in_a_row_and_times_are_plain_english() -> None:
    told = {1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 10: "10th", 11: "11th", 12: "12th", 13: "13th", 14: "14th",
            21: "21st", 22: "22nd", 23: "23rd", 101: "101st", 111: "111th", 112: "112th", 113: "113th"}  # fmt: skip
    assert {n: ordinal(n) for n in told} == told
    assert time_words(3600.0) == "1 h"
    assert time_words(96 * 3600.0) == "4 days"


@given(
    st.lists(st.text(min_size=1, max_size=60), min_size=1, max_size=4),
    st.floats(20.0, 80.0),
    st.floats(12.0, 30.0),
)
@settings(max_examples=80, deadline=None)
def test_whatever_fits_lies_inside_its_room_with_every_letter(texts: list[str], room: float, height: float) -> None:
    try:
        found = fitted([Run(words=t) for t in texts], room, height, largest=5.0, least=1.4, place="here")
    except InputError:
        area = sum(width(t, 1.4) for t in texts) * LEADING * 1.4
        assume(area < 0.4 * room * height)  # refused only when the room is well filled: breaking wastes line ends
        raise
    assert sum(LEADING * s.size for s in found) <= height * (1 + 1e-6)
    assert all(width(s.words, s.size) <= room * (1 + 1e-6) for s in found)
    for k, text in enumerate(texts):
        printed = "".join(c if c.isprintable() or c == "\u00a0" else " " for c in text)
        letters = "".join(s.words for s in found if s.run == k)
        plain = re.compile(r"[\s·]")
        assert plain.sub("", letters) == plain.sub("", printed)
