"""Sheets with markers: every marker is read by OpenCV, stands clear of the others, and no id is there twice."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely

from bagside.camera.mark_pages import PAPER, page_of, pages
from bagside.camera.marks import CELLS, SHEETS, Marker, family, frame, ink, scaled, square
from bagside.errors import InputError
from camera.photos import covered


def quad(marker: Marker) -> shapely.Polygon:
    return shapely.Polygon(marker.corners)


def test_opencv_reads_every_marker_as_drawn() -> None:
    every = {m.id for name in SHEETS for m in frame(name).markers} | {m.id for p in pages() for m in p.markers}
    across, cell = 16, 6
    pitch = (CELLS + 4) * cell
    picture = np.full((pitch * 15, pitch * across), 255, dtype=np.uint8)
    for k, identity in enumerate(sorted(every)):
        row, column = divmod(k, across)
        rings = ink(square(identity, (column * pitch + 2 * cell, -row * pitch - 9 * cell), CELLS * cell))
        rings = [ring * (1, -1) - 0.5 for ring in rings]  # y down; the first pixel's centre is (0, 0)
        share = covered(rings, (0, row * pitch, pitch * across, (row + 1) * pitch))
        picture[row * pitch : (row + 1) * pitch] = np.minimum(
            picture[row * pitch : (row + 1) * pitch], (255 * (1 - share)).astype(np.uint8)
        )
    corners, ids, _ = cv2.aruco.ArucoDetector(family()).detectMarkers(picture)
    assert sorted(np.asarray(ids).ravel().tolist()) == sorted(every)
    # upright: the first corner is the upper left one
    box = np.asarray(corners).reshape(-1, 4, 2)
    assert (box[:, 0] < box[:, 2]).all()
    assert (box[:, 1, 0] > box[:, 0, 0] + 20).all()


@pytest.mark.parametrize("name", SHEETS)
def test_markers_stand_clear_of_each_other_of_the_window_and_of_the_edge(name: str) -> None:
    sheet = frame(name)
    window = shapely.Polygon(sheet.window)
    quads = [quad(m) for m in sheet.markers]
    assert min(q.distance(window) for q in quads) >= 0.004 - 1e-9
    assert min(a.distance(b) for k, a in enumerate(quads) for b in quads[:k]) >= 0.004 - 1e-9
    assert shapely.box(0, 0, *sheet.paper).buffer(-0.0099).contains(shapely.union_all(quads))
    assert shapely.union_all(quads).convex_hull.contains(window)
    assert {round(q.area * 1e6) for q in quads} == {225}


def test_no_id_is_on_two_sheets() -> None:
    ids = [m.id for name in SHEETS for m in frame(name).markers] + [m.id for p in pages() for m in p.markers]
    assert len(ids) == len(set(ids))
    assert max(ids) < 250
    assert page_of(pages()[3].markers[0].id) == "page 4"
    assert page_of(0) == ""


def test_a_table_page_is_cut_out_round_its_markers() -> None:
    for page in pages():
        cut = shapely.Polygon(page.cut)
        assert cut.is_valid
        assert shapely.box(0, 0, *PAPER).contains(cut)
        assert all(cut.buffer(-0.0065).contains(quad(m)) for m in page.markers)


def test_ink_is_the_black_cells() -> None:
    for identity in (0, 77, 233):
        marker = square(identity, (0.0, 0.0), 0.007)
        black = np.asarray(cv2.aruco.generateImageMarker(family(), identity, CELLS)) < 128
        area = sum(
            0.5 * float(np.sum(r[:, 0] * np.roll(r[:, 1], -1) - np.roll(r[:, 0], -1) * r[:, 1])) for r in ink(marker)
        )
        assert area == pytest.approx(black.sum() * 1e-6)


def test_a_frame_as_printed() -> None:
    sheet = frame("A4")
    printed = scaled(sheet, 0.1806, None)
    factor = 0.1806 / 0.180
    assert printed.markers[5].corners == pytest.approx(sheet.markers[5].corners * [factor, 1.0])
    assert printed.window == pytest.approx(sheet.window * [factor, 1.0])
    assert printed.paper == pytest.approx((0.210 * factor, 0.297))
    assert printed.rules == pytest.approx((0.1806, 0.250))
    assert printed.scale_sd[0] == pytest.approx(0.0002 / 0.180)
    assert printed.scale_sd[1] == sheet.scale_sd[1]


def test_a_rule_too_far_off_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        scaled(frame("A4"), None, 0.2418)
    assert str(refused.value) == (
        "rule in y: 241.8 mm – the rule of sheet A4 is drawn 250.0 mm long; more than 3 % off is refused "
        '(measure from tick to tick again, or print at 100 %, without "fit to page")'
    )
    with pytest.raises(InputError, match="more than 3 % off"):
        scaled(frame("A4"), float("nan"), None)


def test_another_paper_is_refused() -> None:
    with pytest.raises(InputError, match='paper: "A5" – a sheet with markers is made on A4 or A3'):
        frame("A5")
