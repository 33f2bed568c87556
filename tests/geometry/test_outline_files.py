"""Drawings written by ezdxf or by hand and read back, against closed forms; broken and foreign ones refused."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cutting import FlatPiece
from bagside.errors import InputError
from bagside.geometry import loop_area, loop_length
from bagside.geometry.cards import disc
from bagside.geometry.outline_files import FlatOutline, read_outlines
from bagside.sheets.shapes_out import piece_dxf, piece_svg

FINE = 1e-5  # [m]
SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {}>{}</svg>'
MM = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
SQUARE = '<rect width="5" height="5"/>'


def dxf(folder: Path, draw: Callable[[Any], object], units: int = 4, version: str = "R2010") -> Path:
    whole = ezdxf.new(version, units=units)
    draw(whole.modelspace())
    path = folder / "rim.dxf"
    whole.saveas(path)
    return path


def svg(folder: Path, body: str, attributes: str = MM) -> Path:
    path = folder / "rim.svg"
    path.write_text(SVG.format(attributes, body), encoding="utf-8")
    return path


def one(path: Path, **more: str) -> FlatOutline:
    (found,) = read_outlines(path, **more)
    return found


def area(found: FlatOutline) -> float:
    return sum(loop_area(loop) for loop in found.loops)


def refused(path: Path, **more: str) -> str:
    with pytest.raises(InputError) as caught:
        read_outlines(path, **more)
    return str(caught.value)


# DXF ----------------------------------------------------------------------------------------------------------------


def test_a_bulge_is_the_arc_its_closed_form_says(tmp_path: Path) -> None:
    # DXF Reference, LWPOLYLINE, code 42: the bulge is tan(θ/4); a chord c has the radius c (1 + b²) / (4 b).
    b, c = 0.4, 60.0
    turn, radius = 4 * math.atan(b), c * (1 + b * b) / (4 * b)
    found = one(
        dxf(tmp_path, lambda m: m.add_lwpolyline([(0, 0, b), (c, 0, 0), (c, 40, -b), (0, 40, 0)], "xyb", close=True))
    )
    segment = radius**2 / 2 * (turn - math.sin(turn))
    # A positive bulge turns to the left: below the lower side, outwards; the negative one of the upper side is inwards.
    assert 1e6 * area(found) == pytest.approx(c * 40 + segment - segment, abs=0.01 * 2 * radius * turn)
    assert 1e3 * loop_length(found.loops[0]) == pytest.approx(2 * 40 + 2 * radius * turn, abs=0.01)
    assert 1e3 * found.loops[0][:, 1].min() == pytest.approx(-b * c / 2, abs=0.01)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2018"])
def test_curves_keep_their_closed_forms(tmp_path: Path, version: str) -> None:
    def draw(m: Any) -> None:
        m.add_circle((0, 0), 400)
        m.add_circle((100, 50), 25)
        if version != "R12":
            m.add_ellipse((-150, 0), (80, 60), 0.5)

    units = "mm" if version == "R12" else ""
    found = one(dxf(tmp_path, draw, 4 if version != "R12" else 0, version), unit=units)
    holes = 25**2 + (0.5 * 100**2 if version != "R12" else 0)
    assert area(found) == pytest.approx(1e-6 * math.pi * (400**2 - holes), abs=FINE * math.tau * 0.5)
    assert np.abs(np.linalg.norm(found.loops[0], axis=1) - 0.4).max() < 1e-12
    assert len(found.loops) == (2 if version == "R12" else 3)
    assert found.mended == ()


def test_loose_lines_and_arcs_are_joined_and_a_small_gap_is_told(tmp_path: Path) -> None:
    def draw(m: Any) -> None:  # a slot, its strokes in no order and no common direction
        m.add_line((0, 0), (100, 0.0))
        m.add_arc((0, 10), 10, 90, 270)
        m.add_line((100, 20), (0, 20))
        m.add_arc((100.06, 10), 10, 270, 90)

    found = one(dxf(tmp_path, draw))
    assert 1e6 * area(found) == pytest.approx(100 * 20 + math.pi * 100, abs=2)
    assert found.mended == ("2 gaps, the largest 0.06 mm at 100.0 20.0 mm closed",) or found.mended == (
        "2 gaps, the largest 0.06 mm at 100.0 0.0 mm closed",
    )


def test_splines_follow_their_curve(tmp_path: Path) -> None:
    # Four cubic pieces with the exact control points make a closed curve whose area is that of its Bézier pieces:
    # the area under a cubic with control points 0 0, 0 h, w h, w 0 is 0.6 w h.
    def draw(m: Any) -> None:
        m.add_open_spline([(0, 0), (0, 30), (50, 30), (50, 0)], degree=3)
        m.add_line((0, 0), (50, 0))

    assert 1e6 * area(one(dxf(tmp_path, draw))) == pytest.approx(0.6 * 50 * 30, abs=0.01 * 100)


def test_blocks_are_taken_apart_on_their_own_layer_turned_scaled_and_mirrored(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        block = m.doc.blocks.new("SHAPE")
        block.add_lwpolyline([(0, 0), (30, 0), (30, 10), (10, 10), (10, 20), (0, 20)], close=True)
        m.add_blockref("SHAPE", (100, 50), dxfattribs={"layer": "rim", "rotation": 30, "xscale": 2, "yscale": -2})

    found = one(dxf(tmp_path, draw))
    assert found.name == "rim"
    assert 1e6 * area(found) == pytest.approx(4 * (30 * 10 + 10 * 10))
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    corner = np.array([0.1 + 2e-3 * (10 * c + 20 * s), 0.05 + 2e-3 * (10 * s - 20 * c)])
    assert np.linalg.norm(found.loops[0] - corner, axis=1).min() < 1e-9


def test_units_inches_and_a_hundred_others_refused(tmp_path: Path) -> None:
    square = lambda m: m.add_lwpolyline([(0, 0), (2, 0), (2, 2), (0, 2)], close=True)  # noqa: E731
    assert area(one(dxf(tmp_path, square, 1))) == pytest.approx((2 * 0.0254) ** 2, rel=1e-12)
    assert area(one(dxf(tmp_path, square, 0), unit="in")) == pytest.approx((2 * 0.0254) ** 2, rel=1e-12)
    assert area(one(dxf(tmp_path, square, 6), unit="m")) == pytest.approx(4.0)
    assert refused(dxf(tmp_path, square, 0)) == (
        'rim.dxf: no unit – the drawing does not say what its numbers are (state unit, as in unit = "mm")'
    )
    assert refused(dxf(tmp_path, square, 4), unit="in") == (
        'rim.dxf: the file says its unit is "mm", "in" is stated – one of the two is wrong, and a template of a wrong '
        "size is cut for nothing (measure a known length in the drawing; leave unit out if mm is right, else correct "
        "$INSUNITS)"
    )
    assert refused(dxf(tmp_path, square, 13)).startswith("rim.dxf: $INSUNITS is 13 – this unit is not known here")
    assert refused(tmp_path / "rim.dxf", unit="mil").startswith('rim.dxf, unit: "mil" – one of m, cm, mm, in, ft')


def test_layers_are_chosen_holes_found_and_the_warp_read_from_an_arrow(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        for layer, at in (("left", 0), ("right", 200)):
            m.add_lwpolyline(
                [(at, 0), (at + 100, 0), (at + 100, 80), (at, 80)], close=True, dxfattribs={"layer": layer}
            )
            m.add_circle((at + 50, 40), 10, dxfattribs={"layer": layer})
            m.add_circle((at + 50, 40), 3, dxfattribs={"layer": layer})
        m.add_line((10, 10), (40, 40), dxfattribs={"layer": "Warp"})
        m.add_line((40, 40), (35, 40), dxfattribs={"layer": "Warp"})
        m.add_line((40, 40), (40, 35), dxfattribs={"layer": "Warp"})
        m.add_text("card", dxfattribs={"layer": "left"})

    path = dxf(tmp_path, draw)
    names = [(o.name, len(o.loops)) for o in read_outlines(path)]
    assert sorted(names) == [("left", 1), ("left", 2), ("right", 1), ("right", 2)]  # what lies in a hole is one again
    large, small = read_outlines(path, layer="left")
    assert large.warp == pytest.approx(math.pi / 4)
    assert small.warp is None
    assert large.mended == ("1 TEXT left out",)
    assert read_outlines(path, layer="right")[0].warp is None
    assert refused(path, layer="rihgt") == (
        'rim.dxf: layer "rihgt" – nothing is drawn on this layer (did you mean "right"?)'
    )


def test_layers_that_are_off_are_not_read(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.doc.layers.add("aid").off()
        m.add_circle((0, 0), 10)
        m.add_line((0, 0), (50, 0), dxfattribs={"layer": "aid"})

    assert len(one(dxf(tmp_path, draw)).loops) == 1


@pytest.mark.parametrize(
    ("strokes", "message"),
    [
        (
            [[(0, 0), (50, 0), (50, 30), (0, 30), (0, 2)]],
            "rim.dxf, layer 0: an outline is open: 2.00 mm between 0.0 0.0 mm and 0.0 2.0 mm – a closed outline is "
            "wanted; gaps up to 0.1 mm are closed (join the ends there in the drawing)",
        ),
        (
            [[(0, 0), (40, 40), (40, 0), (0, 40), (0, 0)]],
            "rim.dxf, layer 0: it crosses itself at 20.0 20.0 mm – leaving out the smaller side would take 50.0 % of "
            "its area, more than a slip (draw the outline anew there, so that it runs round once)",
        ),
        (
            [[(0, 0), (40, 0)], [(40, 0), (40, 40), (0, 0)], [(40, 0), (60, 0)]],
            "rim.dxf, layer 0: three or more lines meet at 40.0 0.0 mm – an outline that does not branch is wanted "
            "(take out the line that is no edge of the outline, or put it on a layer of its own)",
        ),
        (
            [[(0, 0), (40, 0), (20, 0), (0, 0)]],
            "rim.dxf, layer 0: an outline without area at 0.0 0.0 mm – a closed outline round some area is wanted "
            "(take the doubled line out of the drawing, and check the unit)",
        ),
        (
            [[(0, 0), (40, 0), (40, 40), (0, 40), (0, 0)], [(30, 30), (60, 30), (60, 60), (30, 60), (30, 30)]],
            'rim.dxf: two outlines cross near 35.0 35.0 mm ("0" and "0") – an outline may lie beside another or within '
            "it (state the layer of the one that is meant, or join the two in the drawing)",
        ),
        (
            [[(0, 0), (200000, 0), (200000, 40), (0, 0)]],
            "rim.dxf, layer 0: 200 m across – no cloth is as large as that (check the unit)",
        ),
        ([], "rim.dxf – no outline is drawn in it (draw the outline as lines and arcs)"),
    ],
)
def test_what_would_have_to_be_guessed_is_refused_with_its_place(
    tmp_path: Path, strokes: list[list[tuple[float, float]]], message: str
) -> None:
    def draw(m: Any) -> None:
        for points in strokes:
            m.add_lwpolyline(points)

    assert refused(dxf(tmp_path, draw)) == message


def test_a_small_loop_at_a_corner_is_mended_and_told_and_a_line_drawn_twice_taken_once(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_lwpolyline([(0, 0), (100, 0), (100, 101), (101, 100), (0, 100)], close=True)
        m.add_line((40, 40), (60, 40))
        m.add_line((60, 40), (50, 60))
        m.add_line((50, 60), (40, 40))
        m.add_line((60, 40), (40, 40))

    found = one(dxf(tmp_path, draw))
    assert 1e6 * area(found) == pytest.approx(100 * 100 - 200, abs=1)
    assert len(found.mended) == 2
    assert found.mended[0] == "crossed itself at 100.0 100.0 mm: 0.50 mm² beside the rest left out"
    assert found.mended[1] == "of a hole: 1 line drawn twice, taken once"


def test_what_rises_out_of_the_plane_is_refused_and_one_seen_from_below_is_mirrored(tmp_path: Path) -> None:
    assert refused(dxf(tmp_path, lambda m: m.add_line((0, 0, 0), (10, 0, 5)))) == (
        "rim.dxf, layer 0: a LINE that rises by 5.0 mm – a flat drawing in the plane of x and y is wanted (export a "
        "view from above, or the flat pattern)"
    )
    below = {"extrusion": (0, 0, -1)}
    found = one(dxf(tmp_path, lambda m: m.add_lwpolyline([(0, 0), (30, 0), (0, 20)], close=True, dxfattribs=below)))
    assert 1e3 * found.loops[0].min(axis=0) == pytest.approx([-30, 0])


@pytest.mark.parametrize("share", [0.0, 0.05, 0.3, 0.6, 0.9, 0.999])
def test_a_file_cut_off_is_refused(tmp_path: Path, share: float) -> None:
    path = dxf(tmp_path, lambda m: m.add_circle((0, 0), 10))
    data = path.read_bytes()
    path.write_bytes(data[: int(share * len(data))])
    assert "this is not a whole DXF file (it does not end with EOF" in refused(path)


@pytest.mark.parametrize(
    "data",
    [b"PK\x03\x04" + bytes(300), b"<html><body>hello</body></html>", b"", b"\xff\xfe\x00" * 50, b"EOF", b"0\nEOF"],
)
def test_what_is_no_drawing_is_refused_whatever_it_is_called(tmp_path: Path, data: bytes) -> None:
    for name in ("rim.dxf", "rim.svg"):
        path = tmp_path / name
        path.write_bytes(data)
        message = refused(path, unit="mm")
        assert message.startswith(name)
        assert "export it again" in message or "no outline" in message
    assert refused(tmp_path / "rim.png") == 'rim.png: ".png" – a drawing as .dxf or .svg is wanted'
    assert refused(tmp_path / "rin.svg") == 'rin.svg – there is no such file (did you mean "rim.svg"?)'


# SVG ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        ('<rect x="10" y="20" width="40" height="30" rx="5"/>', 40 * 30 - (4 - math.pi) * 25),
        ('<circle cx="50" cy="50" r="40"/>', math.pi * 1600),
        ('<ellipse cx="50" cy="50" rx="40" ry="10"/>', math.pi * 400),
        ('<polygon points="0,0 30,0 30,10"/>', 150),
        ('<polyline points="0,0 30,0 30,10 0,0"/>', 150),
        ('<path d="M0 0 C 0 30 50 30 50 0 Z"/>', 0.6 * 50 * 30),
        ('<path d="M0 0 Q 25 30 50 0 z"/>', 50 * 30 / 3),
        ('<path d="M20 10 a 30 15 0 1 1 0 0.00001 z M 0 0"/>', math.pi * 450),
        ('<path d="M0 0 h 40 v 40 h -40 z m 10 10 v 20 h 20 v -20 z"/>', 1600 - 400),
        ('<g transform="translate(3 4) rotate(30)"><rect width="10" height="20" transform="scale(2 3)"/></g>', 1200),
        ('<circle cx="50" cy="50" r="10" transform="matrix(1 0.3 0.2 2 0 0)"/>', math.pi * 100 * (2 - 0.06)),
        (
            '<g transform="skewX(20)"><ellipse cx="50" cy="50" rx="40" ry="10" transform="rotate(30)"/></g>',
            math.pi * 400,
        ),
        ('<defs><path id="p" d="M0 0 h10 v10 h-10z"/></defs><use xlink:href="#p" x="5" transform="scale(2)"/>', 400),
        ('<symbol id="s"><rect width="9" height="9"/></symbol><rect width="5" height="5"/>', 25),
        ('<rect width="9" height="9" style="display:none"/><rect width="5" height="5"/>', 25),
    ],
)
def test_shapes_and_transforms_keep_their_closed_forms(tmp_path: Path, body: str, wanted: float) -> None:
    found = one(svg(tmp_path, body))
    around = sum(loop_length(loop) for loop in found.loops)
    assert area(found) == pytest.approx(1e-6 * wanted, abs=1.5 * FINE * around)


@pytest.mark.parametrize(
    ("attributes", "unit", "each"),
    [
        (MM, "", 1e-3),
        (MM, "mm", 1e-3),
        ('width="5in" height="5in" viewBox="0 0 5 5"', "", 0.0254),
        ('width="10cm" height="10cm" viewBox="0 0 200 200"', "", 5e-4),
        ('width="72pt" height="72pt" viewBox="0 0 72 72"', "", 0.0254 / 72),
        ('width="960px" height="960px"', "", 0.0254 / 96),
        ('width="100mm" viewBox="0 0 50 80"', "", 2e-3),
        ('width="100mm" height="300mm" viewBox="0 0 50 50"', "", 2e-3),
        ('width="200" height="200" viewBox="0 0 50 50"', "mm", 1e-3),
        ('width="100%" height="100%" viewBox="-10 -10 50 50"', "in", 0.0254),
        ("", "cm", 0.01),
    ],
)
def test_the_size_and_the_view_box_say_what_a_unit_is(tmp_path: Path, attributes: str, unit: str, each: float) -> None:
    found = one(svg(tmp_path, '<rect x="1" y="2" width="4" height="3"/>', attributes), unit=unit)
    assert np.ptp(found.loops[0], axis=0) == pytest.approx([4 * each, 3 * each], rel=1e-9)


def test_y_points_up_and_a_drawn_warp_is_seen_so(tmp_path: Path) -> None:
    body = '<path id="card" d="M0 0 H40 V10 H10 V30 H0 Z"/><g id="warp"><line x1="2" y1="8" x2="12" y2="2"/></g>'
    found = one(svg(tmp_path, body))
    assert found.name == "card"
    assert 1e3 * found.loops[0].min(axis=0) == pytest.approx([0, -30])
    assert found.warp == pytest.approx(math.atan2(6, 10))
    both = '<g id="warp"><line x2="10" y2="10"/><line x2="10" y2="0"/></g>'
    assert refused(svg(tmp_path, SQUARE + both)) == (
        'rim.svg: two directions on "warp" – one line along the warp is wanted (leave one straight line there)'
    )


def test_groups_are_layers(tmp_path: Path) -> None:
    body = f'<g id="a">{SQUARE}</g><g id="b" transform="translate(20 0)">{SQUARE}<line x2="3" y2="3"/></g>'
    assert one(svg(tmp_path, body), layer="a").name == "a"
    assert "layer b: an outline is open: 4.24 mm between" in refused(svg(tmp_path, body))
    assert "or state the layer that holds the outline alone" in refused(svg(tmp_path, body))


@pytest.mark.parametrize(
    ("body", "attributes", "words"),
    [
        (SQUARE, 'width="200" height="200" viewBox="0 0 50 50"', 'width="200" and height="200" – the drawing does not'),
        (SQUARE, "", "no size – the drawing does not say what its numbers are"),
        ('<path d="M0 0 L10 foo z"/>', MM, "a shape in it cannot be read"),
        ('<g id="a"><use xlink:href="#a"/></g>', MM, "a shape in it cannot be read"),
        ('<image href="http://nowhere.invalid/x.png" width="3" height="3"/>', MM, "there are only 1 image"),
        ('<use xlink:href="other.svg#p"/>', MM, "there are only 1 use"),
        ("<text>card</text>", MM, "there are only 1 text"),
        (SQUARE, 'width="1mm" height="1mm" viewBox="0 0 0 5"', "a width and height of more than zero"),
        (SQUARE, 'width="1mm" height="1mm" viewBox="0 0 5"', "four numbers are wanted"),
    ],
)
def test_svg_that_cannot_be_used_says_why(tmp_path: Path, body: str, attributes: str, words: str) -> None:
    assert words in refused(svg(tmp_path, body, attributes))


def test_a_stated_unit_that_contradicts_the_size_is_refused_and_entities_are_not_read(tmp_path: Path) -> None:
    assert refused(svg(tmp_path, SQUARE), unit="cm") == (
        'rim.svg: one of its units is 1 mm by its width and height, unit = "cm" is stated – one of the two is wrong, '
        "and a template of a wrong size is cut for nothing (measure a known length in the drawing; leave unit out if "
        "its width and height are right, else take them out of the file)"
    )
    secret = tmp_path / "secret.txt"
    secret.write_text("told", encoding="utf-8")
    path = tmp_path / "rim.svg"
    path.write_text(f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{secret.as_uri()}">]><svg>&x;</svg>', encoding="utf-8")
    assert refused(path) == (
        "rim.svg: it declares entities – they are not read (export it again from the drawing program, as plain SVG)"
    )


def test_a_piece_written_here_is_a_template_elsewhere(tmp_path: Path) -> None:
    corners = np.array([[0.0, 0.0], [0.3, 0.0], [0.3, 0.02], [0.0, 0.1]])
    piece = FlatPiece(
        label="3A", material="twill", loops=(corners, disc(0.01)[0] + [0.05, 0.03]), marks=(("start", (0.1, 0.02)),)
    )
    (tmp_path / "rim.dxf").write_bytes(piece_dxf(piece))
    (tmp_path / "rim.svg").write_text(piece_svg(piece), encoding="utf-8")
    for path in (tmp_path / "rim.dxf", tmp_path / "rim.svg"):
        found = one(path, layer="cut")
        assert area(found) == pytest.approx(piece.area, rel=1e-4)
        assert found.warp == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    "body",
    [
        '<path d="M0 0 C 1e300 2 3 4 5 6 z"/>',
        '<path d="M0 0 C 1e15 2 3 4 5 6 z"/>',
        '<circle r="1e200"/>',
        '<g transform="scale(1e200)"><rect width="1e200" height="1"/></g>',
        '<path d="M nan 0 L 1 1 L 1 2 z"/>',
    ],
)
def test_numbers_beyond_any_cloth_are_refused(tmp_path: Path, body: str) -> None:
    assert refused(svg(tmp_path, body)).startswith("rim.svg")
    assert "a radius larger than any cloth" in refused(dxf(tmp_path, lambda m: m.add_circle((0, 0), 1e12)))


WRITTEN = SVG.format(
    MM,
    '<g id="a" transform="rotate(30) scale(2 3)"><path d="M0 0 C 1 2 3 4 5 6 S 3 4 2 1 Q 1 1 9 9 A 1 2 3 0 1 5 5 z"/>'
    '<rect x="1" y="2" width="30" height="4" rx="1"/></g><use href="#a" x="3"/>',
).encode()


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return a DXF file; written once, for the library stamps each with time and chance."""

    def draw(m: Any) -> None:
        m.doc.blocks.new("B").add_ellipse((0, 0), (4, 0), 0.5)
        m.add_blockref("B", (10, 10))
        m.add_lwpolyline([(0, 0, 0.2), (100, 0, 0), (100, 50, 0), (0, 50, 0)], "xyb", close=True)

    return dxf(tmp_path_factory.mktemp("whole"), draw, version="R2000").read_bytes()


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_whatever_is_broken_is_refused_and_nothing_else_happens(
    tmp_path_factory: pytest.TempPathFactory, whole: bytes, data: st.DataObject
) -> None:
    folder = tmp_path_factory.mktemp("broken")
    for name, source in (("rim.svg", WRITTEN), ("rim.dxf", whole)):
        text = bytearray(source)
        first = text.find(b"ENTITIES") if name == "rim.dxf" else 0
        for _ in range(data.draw(st.integers(1, 4))):
            at = data.draw(st.integers(first, len(text) - 1))
            text[at : at + data.draw(st.integers(0, 12))] = data.draw(
                st.sampled_from([b"", b"-", b"1e300", b"nan", b"<", b"z", b"\n", b"0\nINSERT\n", b"9" * 30])
            )
        path = folder / name
        path.write_bytes(text)
        found: tuple[FlatOutline, ...] = ()
        with contextlib.suppress(InputError):
            found = read_outlines(path)
        assert all(np.isfinite(loop).all() and len(loop) > 2 for o in found for loop in o.loops)


# Both ---------------------------------------------------------------------------------------------------------------

corners = st.lists(st.tuples(st.floats(0.4, 1.0), st.floats(0.5, 1.0)), min_size=5, max_size=12)


@settings(max_examples=25, deadline=None)
@given(corners, st.floats(-180, 180), st.floats(-200, 200), st.floats(-200, 200))
def test_turned_and_moved_outlines_come_back(
    tmp_path_factory: pytest.TempPathFactory,
    shape: list[tuple[float, float]],
    turn: float,
    x: float,
    y: float,
) -> None:
    folder = tmp_path_factory.mktemp("drawn")
    share = np.cumsum([w for _, w in shape])
    angle = math.tau * share / share[-1]
    points = 80 * np.stack([[r for r, _ in shape] * np.cos(angle), [r for r, _ in shape] * np.sin(angle)], axis=1)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    wanted = shapely.Polygon(1e-3 * (points @ np.array([[c, s], [-s, c]]) + [x, y]))

    def draw(m: Any) -> None:
        block = m.doc.blocks.new("B")
        for a, b in zip(points.tolist(), [*points[1:].tolist(), points[0].tolist()], strict=True):
            block.add_line(a, b)
        m.add_blockref("B", (x, y), dxfattribs={"rotation": turn})

    d = " ".join(f"{a:.9f},{-b:.9f}" for a, b in points)
    body = f'<polygon points="{d}" transform="translate({x} {-y}) rotate({-turn})"/>'
    for path in (dxf(folder, draw), svg(folder, body)):
        found = shapely.Polygon(one(path).loops[0])
        assert shapely.hausdorff_distance(found.exterior, wanted.exterior) < 1e-8
