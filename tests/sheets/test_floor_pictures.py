"""One piece on a flat plate, on which its place and the way of its threads are known without draping."""

from __future__ import annotations

import base64
import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from bagside import drape as draping
from bagside.drape import ClothLaw
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface
from bagside.planning.piece import Piece
from bagside.sheets import colour
from bagside.sheets.floor_pictures import SMALL, piece_pictures, place_on_mould, warp_arrow
from bagside.sheets.phone import PIXELS, SIZE, lighter
from bagside.sheets.sight import Sight, around_part, view_on
from bagside.sheets.themed import themed
from bagside.spec.job import Rosette
from bagside.spec.material import ClothKind

LAW = ClothLaw(shear_weight=1e-3, locking_angle=np.radians(40))
SVG = "{http://www.w3.org/2000/svg}"


def plate(west: float, south: float, side: float, n: int = 20) -> Surface:
    x, y = np.meshgrid(np.linspace(west, west + side, n + 1), np.linspace(south, south + side, n + 1), indexing="ij")
    i, j = (a.ravel() for a in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    a, b = i * (n + 1) + j, (i + 1) * (n + 1) + j
    triangles = np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)])
    return Surface(np.stack([x.ravel(), y.ravel(), np.zeros(x.size)], axis=1), triangles)


def piece(label: str, west: float, south: float, side: float, degrees: float = 0.0) -> Piece:
    surface = plate(west, south, side)
    way = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees)), 0.0])
    start = np.array([west + 0.5 * side, south + 0.5 * side, 0.0])
    lain = draping.drape(surface, start=start, direction=way, law=LAW)
    return Piece(label=label, ply=0, drape=lain, pattern=draping.pattern_of(lain), holes=())


MOULD = plate(-0.05, -0.05, 0.4, 30)


def sight(*pieces: Piece) -> Sight:
    return Sight(
        name="plate", work=MOULD, laid=plate(0.0, 0.0, 0.3), part=plate(0.01, 0.01, 0.28), pieces=pieces,
        thicknesses=(2e-4,), holes=(), brackets=(), corners=(), mould_places=(), ply_places=((),),
        start=(0.15, 0.15, 0.0), direction=(1.0, 0.0, 0.0), side=(0.0, 0.0, 1.0), tall=297.0,
        kinds=(ClothKind.WOVEN,), weights=(0.3,),
        seams=tuple(() for _ in pieces), angles=(0.0,), rosette=Rosette.PROJECTED,
    )  # fmt: skip


def pictures(one: Piece, *notes: Finding) -> tuple[str, ...]:
    seen = sight(one)
    around = around_part(seen)
    return piece_pictures(seen, around, view_on(around), one, notes)


@pytest.mark.parametrize("side", [0.3, 0.9 * SMALL])
@pytest.mark.parametrize("degrees", [0.0, 45.0, 90.0, -30.0])
def test_the_arrow_lies_along_the_warp_on_the_piece(degrees: float, side: float) -> None:
    tail, head = warp_arrow(piece("1", 0.0, 0.0, side, degrees))
    way = (head - tail) / np.linalg.norm(head - tail)
    assert way == pytest.approx([np.cos(np.radians(degrees)), np.sin(np.radians(degrees)), 0.0], abs=1e-6)
    for end in (tail, head):
        assert ((end[:2] >= -1e-9) & (end[:2] <= side + 1e-9)).all()


@pytest.mark.parametrize("degrees", [0.0, 45.0, 110.0])
def test_the_arrow_is_read_at_arm_s_length(degrees: float) -> None:
    """A phone shows a millimetre as 4 px: the arrow is 10 px and more broad, 60 px and more long, and on tape.

    The plate is seen from above, its north up: the arrow's way on paper is its angle on the plate.
    """
    (svg,) = pictures(piece("1", 0.0, 0.0, 0.3, degrees))
    (arrow,) = re.findall(rf'<path d="M([^Z"]+)Z"[^>]* fill="{colour.TAPE}"', svg)
    corners = np.array([p.split() for p in arrow.split("L")], dtype=float)
    tip, tail = corners[3], 0.5 * (corners[0] + corners[-1])
    way = tip - tail
    assert np.linalg.norm(way) >= 15.0
    assert np.linalg.norm(corners[0] - corners[-1]) >= 2.5
    right = np.degrees(np.arctan2(*warp_on_paper(svg, degrees)))
    turn = np.degrees(np.arctan2(-way[1], way[0])) - right
    assert abs((turn + 180.0) % 360.0 - 180.0) < 3.0


def warp_on_paper(svg: str, degrees: float) -> tuple[float, float]:
    """Return rise and run of the warp on paper, by the view that the picture was drawn with."""
    around = around_part(sight(piece("1", 0.0, 0.0, 0.3, degrees)))
    turn = np.radians(degrees)
    seen = view_on(around).seen(np.array([[0.0, 0.0, 0.0], [np.cos(turn), np.sin(turn), 0.0]]))
    run, rise = (seen[1] - seen[0])[:2]
    return float(rise), float(run)


def test_a_large_piece_is_drawn_once_and_a_small_one_from_close_by_too() -> None:
    large, small = piece("1", 0.0, 0.0, 0.3), piece("3A", 0.2, 0.2, 0.9 * SMALL)
    assert len(pictures(large)) == 1
    far, near = pictures(small)
    for svg in (far, near):
        root = ET.fromstring(svg)
        assert root.tag == f"{SVG}svg"
        assert "3A" in "".join(root.itertext())
    assert "marker" in near or near.count("<path") > far.count("<path"), "threads and arrow are seen from close by"


def test_the_numbers_of_places_stand_on_the_picture() -> None:
    note = Finding(
        severity=Severity.DECIDE, stage="drape", place="ply 1, piece 1", what="w", why="y", do="d", basis=Basis.COMMON,
        point=(0.25, 0.25, 0.0),
    )  # fmt: skip
    (bare,), (told,) = pictures(piece("1", 0.0, 0.0, 0.3)), pictures(piece("1", 0.0, 0.0, 0.3), note, note)
    words = [t.text for t in ET.fromstring(told).iter(f"{SVG}text")]
    assert [w for w in words if w in ("1", "2")].count("2") >= 1
    assert told.count('data-ground="tape"') == 2, "a number says where the hand goes"
    assert "2" not in [t.text for t in ET.fromstring(bare).iter(f"{SVG}text")]


def test_cards_have_their_place_without_threads() -> None:
    seen = sight()
    around = around_part(seen)
    place = plate(0.1, 0.1, 0.1)
    svg = place_on_mould(seen, around, view_on(around), place, "place of ply 1")
    root = ET.fromstring(svg)
    assert root.findtext(f"{SVG}title") == "place of ply 1"
    assert float(root.attrib["viewBox"].split()[2]) == SIZE[0]


def test_every_picture_can_follow_the_page() -> None:
    for svg in pictures(piece("3A", 0.2, 0.2, 0.9 * SMALL)):
        assert themed(svg).startswith('<svg class="drawing"')


def test_a_line_is_drawn_with_fewer_points_where_it_was() -> None:
    """A quarter of a circle of 40 mm, by its equation: no point of the thin line is 0.05 mm off it, nor far apart."""
    turn = np.linspace(0.0, 0.5 * np.pi, 600)
    data = "M" + "L".join(f"{40 * np.cos(t):.3f} {40 * np.sin(t):.3f}" for t in turn)
    thin = lighter(f'<svg><path d="{data}M0 0L1 0L2 0.001L3 0Z"/><path d="M0 0C1 1 2 2 3 3"/></svg>')
    assert 'd="M0 0C1 1 2 2 3 3"' in thin, "a curve stays as it is"
    first, second = re.findall(r"M([^MZ\"]+)(?:Z?)", thin.split('d="')[1])[:2]
    points = np.array([p.split() for p in first.split("L")], dtype=float)
    assert len(points) < 40
    assert np.hypot(*points.T) == pytest.approx(40.0, abs=0.01)
    middles = 0.5 * (points[1:] + points[:-1])
    assert np.hypot(*middles.T) == pytest.approx(40.0, abs=0.05)
    assert points[0] == pytest.approx([40.0, 0.0])
    assert points[-1] == pytest.approx([0.0, 40.0])
    assert second == "0 0L3 0"
    assert "M0 0L3 0Z" in thin


def test_a_picture_is_packed_small_and_stays_the_same_to_the_eye() -> None:
    """WebP against the PNG it came from, both read by Pillow: within 6 of 255 at the mean."""
    whole = Image.effect_mandelbrot((1440, 1000), (-2.0, -1.2, 1.0, 1.2), 40).convert("RGBA")
    out = io.BytesIO()
    whole.save(out, "PNG")
    png = base64.b64encode(out.getvalue()).decode()
    svg = f'<svg><image href="data:image/png;base64,{png}"/><path d="M1.23456 7.8L-0.00049 12"/></svg>'
    packed = lighter(svg)
    assert 'd="M1.23 7.8L0 12"' in packed
    data = re.search(r"data:image/webp;base64,([^\"]+)", packed)
    assert data is not None
    with Image.open(io.BytesIO(base64.b64decode(data[1]))) as opened:
        assert opened.format == "WEBP"
        assert opened.width == PIXELS
        small = np.asarray(opened.convert("L"), dtype=float)
    like = np.asarray(whole.convert("L").resize((PIXELS, small.shape[0]), Image.Resampling.LANCZOS), dtype=float)
    assert np.abs(small - like).mean() < 6.0
    assert len(packed) < 0.5 * len(svg)
