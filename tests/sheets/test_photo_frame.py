"""Printed sheets, rendered and measured: rules and markers true to a tenth of a millimetre, read by OpenCV."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pypdfium2
import pytest

from bagside.camera.finding import markers_in
from bagside.camera.mark_pages import PAPER, pages
from bagside.camera.marks import family, frame
from bagside.errors import InputError
from bagside.sheets.photo_frame import frame_pdf, page_rule_ends, rule_ends, table_pdf

DPI = 250


@cache
def rendered(name: str, page: int = 0) -> tuple[np.ndarray, tuple[float, float]]:
    document = pypdfium2.PdfDocument(table_pdf() if name == "table" else frame_pdf(name))
    found = document[page]
    picture = np.asarray(found.render(scale=DPI / 72).to_pil().convert("L"))
    return picture, found.get_size()


def pixel(picture, size) -> np.ndarray:
    """Return width and height of a pixel [m]: the page is stretched to whole pixels."""
    return np.array([size[0] / picture.shape[1], size[1] / picture.shape[0]])


def on_paper(pixels, picture, size):
    """Return places of pixel centres in the sheet's axes [m]."""
    p = (np.asarray(pixels, dtype=float) + 0.5) * pixel(picture, size)
    return np.stack([p[..., 0], size[1] - p[..., 1]], axis=-1)


@pytest.mark.parametrize(("name", "size"), [("A4", (0.210, 0.297)), ("A3", (0.297, 0.420))])
def test_the_page_has_its_paper_size(name, size) -> None:
    """ISO 216."""
    _, points = rendered(name)
    assert np.array(points) * 0.0254 / 72 == pytest.approx(size, abs=2e-5)


@pytest.mark.parametrize("name", ["A4", "A3"])
def test_markers_are_printed_where_they_are_said_to_be(name) -> None:
    sheet = frame(name)
    picture, _ = rendered(name)
    seen = markers_in(picture)
    assert seen.ids.tolist() == sorted(sheet.ids)
    true = np.array([m.corners for m in sheet.markers])
    assert np.abs(on_paper(seen.corners, picture, sheet.paper) - true).max() < 1e-4


def test_opencv_alone_reads_them() -> None:
    """Reference: OpenCV's detector with its own settings and corners."""
    picture, _ = rendered("A4")
    corners, ids, _ = cv2.aruco.ArucoDetector(family()).detectMarkers(picture)
    assert sorted(np.asarray(ids).ravel().tolist()) == sorted(frame("A4").ids)
    known = {m.id: m.corners for m in frame("A4").markers}
    for identity, corner in zip(np.asarray(ids).ravel(), np.asarray(corners).reshape(-1, 4, 2), strict=True):
        assert on_paper(corner, picture, frame("A4").paper) == pytest.approx(known[int(identity)], abs=3e-4)


def ticks(picture, ends, size) -> float:
    """Return the distance of the two ticks of a rule as printed [m], by the darkness beside the rule itself."""
    axis = int(np.argmax(np.abs(ends[1] - ends[0])))
    one = pixel(picture, size)
    beside, around = 8, 6  # [px]
    places = []
    for end in ends:
        column = round(float(end[0] / one[0] - 0.5))
        row = round(float((size[1] - end[1]) / one[1] - 0.5))
        if axis == 0:
            first, line = column - around, picture[row - beside, column - around : column + around + 1]
        else:
            first, line = row - around, picture[row - around : row + around + 1, column - beside]
        dark = 255.0 - line
        places.append(first + (dark * np.arange(len(dark))).sum() / dark.sum())
    return float(abs(places[1] - places[0]) * one[axis])


@pytest.mark.parametrize("name", ["A4", "A3"])
def test_rules_are_as_long_as_they_say(name) -> None:
    sheet = frame(name)
    picture, _ = rendered(name)
    for ends, nominal in zip(rule_ends(sheet), sheet.rules, strict=True):
        assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(nominal)
        assert ticks(picture, ends, sheet.paper) == pytest.approx(nominal, abs=1e-4)


@pytest.mark.parametrize("number", [1, 7])
def test_a_table_page(number) -> None:
    page = pages()[number - 1]
    picture, _ = rendered("table", number - 1)
    seen = markers_in(picture)
    assert seen.ids.tolist() == sorted(m.id for m in page.markers)
    true = np.array([m.corners for m in page.markers])
    assert np.abs(on_paper(seen.corners, picture, PAPER) - true).max() < 1e-4
    for ends, nominal in zip(page_rule_ends(page), page.rules, strict=True):
        if ends is not None:
            assert ticks(picture, ends, PAPER) == pytest.approx(nominal, abs=1e-4)


def test_the_words_say_what_to_do() -> None:
    page = pypdfium2.PdfDocument(frame_pdf("A3"))[0]
    words = " ".join(page.get_textpage().get_text_range().split())
    assert "bagside frame A3, markers 44 to 107" in words
    assert "Print at 100 %, never to fit." in words
    assert "rule x, 260 mm from tick to tick" in words
    assert "cut the window out and lay the sheet on something dark" in words
    assert len(pypdfium2.PdfDocument(table_pdf())) == 10


@pytest.mark.parametrize("name", ["A4", "A3"])
def test_words_and_rules_keep_off_the_markers(name) -> None:
    """Beside each marker the paper is white for a millimetre and a half, so that its sides are read undisturbed."""
    sheet = frame(name)
    picture, _ = rendered(name)
    dark = picture < 128
    for marker in sheet.markers:
        clear = np.array([marker.corners.min(axis=0) - 0.0017, marker.corners.max(axis=0) + 0.0017])
        one = pixel(picture, sheet.paper)
        left, right = (clear[:, 0] / one[0]).astype(int)
        bottom, top = ((sheet.paper[1] - clear[:, 1]) / one[1]).astype(int)
        edge = int(0.0015 / one[0])
        around = dark[top : bottom + 1, left : right + 1].copy()
        around[edge:-edge, edge:-edge] = False
        assert not around.any()


def test_another_paper_is_refused() -> None:
    with pytest.raises(InputError, match='"A2"'):
        frame_pdf("A2")
