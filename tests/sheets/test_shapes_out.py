"""What leaves as SVG and DXF is read back by other readers and measured to a hundredth of a millimetre."""

from __future__ import annotations

import io
import math
import re
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
import shapely.affinity
from ezdxf.document import Drawing as Document
from hypothesis import given, settings
from hypothesis import strategies as st
from svgelements import SVG, Group
from svgelements import Path as SvgPath

sys.path.insert(0, str(Path(__file__).parent))
from nest_example import offcut, ugly

from bagside.cutting import Cloth, FlatPiece, Nest, Placement, nest_roll
from bagside.errors import InputError
from bagside.sheets.drawing import Area, Layer, Line, Text
from bagside.sheets.drawing_svg import CAPITALS
from bagside.sheets.nest_drawing import nest_drawing
from bagside.sheets.shapes_out import nest_dxf, nest_svg, piece_dxf, piece_svg
from bagside.sheets.typeface import width
from pieces import TWILL, ell, outlines, piece, rectangle, rosette

NS = "{http://www.w3.org/2000/svg}"
HUNDREDTH = 0.01  # mm
HOLED = FlatPiece(
    label="3A",
    material=TWILL,
    loops=(ell(), rectangle(0.03, 0.02, at=(0.02, 0.015))),
    marks=(("centre", (0.1, 0.025)), ("pilot hole 6", (0.04, 0.12))),
)
KITS = ("lid 1", "lid 2", "lid 3", "lid 4", "lid 5")
NEST = nest_roll(
    (
        FlatPiece(label="1", material=TWILL, loops=(rosette(),), quantity=5, kits=KITS),
        FlatPiece(label="2 & <a>", material=TWILL, loops=HOLED.loops, marks=HOLED.marks, quantity=5, kits=KITS),
        FlatPiece(label="V", material=TWILL, loops=(rectangle(0.2, 0.06),), turns=(0.6,), quantity=5, kits=KITS),
    ),
    Cloth(material=TWILL, width=0.9, margin=0.010, gap=0.005),
    seconds=0.0,
)


def svg(text: str) -> ET.Element:
    return ET.fromstring(text.encode())


def group(root: ET.Element, name: str) -> list[ET.Element]:
    (found,) = [g for g in root.iter(f"{NS}g") if g.get("class") == name]
    return list(found)


def loops_of(path: ET.Element) -> list[np.ndarray]:
    """Return a path's closed loops in millimetres, y up from the lower edge of the sheet."""
    parts = [p for p in path.get("d", "").split("M") if p.strip()]
    return [np.array([float(n) for n in re.findall(r"-?\d+\.?\d*", p)]).reshape(-1, 2) for p in parts]


def height_of(root: ET.Element) -> float:
    return float(root.get("viewBox", "").split()[3])


def same_shape(found: list[np.ndarray], true: shapely.Polygon) -> None:
    got = shapely.Polygon(found[0], found[1:])
    assert got.hausdorff_distance(true) < HUNDREDTH
    assert got.area == pytest.approx(true.area, abs=HUNDREDTH * true.length)


def dxf(content: bytes) -> Document:
    document = ezdxf.read(io.StringIO(content.decode("utf-8")))  # type: ignore[attr-defined]
    assert not document.audit().has_errors
    return document


def on(document: Document, layer: str, kind: str) -> list[Any]:
    return list(document.modelspace().query(f'{kind}[layer=="{layer}"]'))


def test_a_piece_as_svg_is_true_to_size() -> None:
    root = svg(piece_svg(HOLED, kit="lid 1"))
    _, _, width, height = (float(v) for v in root.get("viewBox", "").split())
    assert root.get("width") == f"{width:g}mm"
    assert root.get("height") == f"{height:g}mm"
    (cut,) = group(root, "cut")
    loops = [np.stack([p[:, 0] - 5.0, height - p[:, 1] - 15.0], axis=1) for p in loops_of(cut)]
    same_shape(loops, shapely.affinity.scale(HOLED.polygon, 1e3, 1e3, origin=(0, 0)))
    assert loops[0][:, 0].max() - loops[0][:, 0].min() == pytest.approx(200.0, abs=HUNDREDTH)
    texts = [t.text for t in group(root, "text")]
    assert sorted(t for t in texts if t) == ["100 mm", "3A", "centre", "lid 1", "pilot hole 6"]


def test_a_note_stands_under_the_piece_and_moves_nothing_else() -> None:
    note = "day hatch, twill-200, warp 45°, cut 4, 180 cm², 6.2 g"
    bare, noted = svg(piece_svg(HOLED)), svg(piece_svg(HOLED, note=note))
    assert [t.text for t in group(noted, "text")] == [*(t.text for t in group(bare, "text")), note]
    assert [p.get("d") for p in group(noted, "cut")] == [p.get("d") for p in group(bare, "cut")]
    assert height_of(noted) > height_of(bare)
    slim = svg(piece_svg(piece("S", rectangle(0.02, 0.02)), note=note))
    (text,) = [t for t in group(slim, "text") if t.text == note]
    half = 0.5 * width(note, float(text.get("font-size", "")))
    assert half <= float(text.get("x", "")) <= float(slim.get("viewBox", "").split()[2]) - half


def test_the_line_to_measure_is_100_mm_on_paper_at_any_scale() -> None:
    for scale in (1.0, 0.5, 0.1):
        root = svg(piece_svg(HOLED, scale=scale))
        _, _, width, _ = (float(v) for v in root.get("viewBox", "").split())
        assert float(root.get("width", "").removesuffix("mm")) == pytest.approx(width * scale, abs=1e-3)
        ends = [x for path in group(root, "dimension") for loop in loops_of(path) for x in loop[:, 0]]
        assert (max(ends) - min(ends)) * scale == pytest.approx(100.0, abs=HUNDREDTH)


def test_line_weights_stay_on_paper() -> None:
    def cut_weight(scale: float) -> float:
        root = svg(piece_svg(HOLED, scale=scale))
        (found,) = [g for g in root.iter(f"{NS}g") if g.get("class") == "cut"]
        return float(found.get("stroke-width", "")) * scale

    assert cut_weight(1.0) == pytest.approx(0.4)
    assert cut_weight(0.1) == pytest.approx(0.4)


def test_a_piece_as_dxf_is_true_to_size_on_named_layers() -> None:
    document = dxf(piece_dxf(HOLED))
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    names = {"CUT", "MARK", "WARP_ARROW", "TEXT", "CLOTH_EDGE", "MARGIN", "KNIFE_LINE"}
    assert names <= {layer.dxf.name for layer in document.layers}
    lines = on(document, "CUT", "LWPOLYLINE")
    assert all(p.closed for p in lines)
    loops = [np.array(p.get_points("xy")) for p in lines]
    same_shape(loops, shapely.affinity.scale(HOLED.polygon, 1e3, 1e3, origin=(0, 0)))
    rings = {tuple(np.round(c.dxf.center.vec2, 6)): c for c in on(document, "MARK", "CIRCLE")}
    assert set(rings) == {(100.0, 25.0), (40.0, 120.0)}
    assert rings[(40.0, 120.0)].dxf.linetype == "PIECE_DASHED"
    assert {t.dxf.text for t in on(document, "TEXT", "TEXT")} == {"3A", "centre", "pilot hole 6"}


def test_the_same_piece_is_the_same_file() -> None:
    assert piece_dxf(HOLED) == piece_dxf(HOLED)
    assert piece_svg(HOLED) == piece_svg(HOLED)


@given(outlines(), st.floats(-0.5, 0.5))
@settings(max_examples=15, deadline=None)
def test_any_outline_comes_back_from_both(outline: np.ndarray, off: float) -> None:
    p = piece("7", outline + off)
    true = shapely.affinity.scale(p.polygon, 1e3, 1e3, origin=(0, 0))
    same_shape([np.array(q.get_points("xy")) for q in on(dxf(piece_dxf(p)), "CUT", "LWPOLYLINE")], true)
    root = svg(piece_svg(p))
    (cut,) = group(root, "cut")
    (loop,) = loops_of(cut)
    low = 1e3 * p.loops[0].min(axis=0)
    back = np.stack([loop[:, 0] - 5.0 + low[0], height_of(root) - loop[:, 1] - 15.0 + low[1]], axis=1)
    same_shape([back], true)


def test_a_nest_as_dxf_has_every_copy_in_its_place() -> None:
    pull = NEST.length + 0.02
    document = dxf(nest_dxf(NEST, pull=pull))
    cut = [shapely.Polygon(p.get_points("xy")) for p in on(document, "CUT", "LWPOLYLINE")]
    true = [shapely.Polygon(1e3 * loop) for p in NEST.placements for loop in NEST.placed_loops(p)]
    assert len(cut) == len(true) == 20
    for found, wanted in zip(cut, true, strict=True):
        assert found.hausdorff_distance(wanted) < HUNDREDTH
    (edge,) = on(document, "CLOTH_EDGE", "LWPOLYLINE")
    assert shapely.Polygon(edge.get_points("xy")).bounds == pytest.approx((0.0, 0.0, 1e3 * pull, 900.0))
    (margin,) = on(document, "MARGIN", "LWPOLYLINE")
    assert shapely.LineString(margin.get_points("xy")).bounds == pytest.approx((10.0, 10.0, 1e3 * pull, 890.0))
    (knife,) = on(document, "KNIFE_LINE", "LWPOLYLINE")
    points = np.array(knife.get_points("xy"))
    assert points[:, 0] == pytest.approx([1e3 * pull] * 2)
    assert points[:, 1].min() < 0.0
    assert points[:, 1].max() > 900.0


def test_a_nest_as_svg_has_every_copy_in_its_place_and_its_kits_grey() -> None:
    root = svg(nest_svg(NEST))
    height = height_of(root)
    cut = group(root, "cut")
    assert len(cut) == 15
    for path, placement in zip(cut, NEST.placements, strict=True):
        loops = [np.stack([p[:, 0] - 14.0, height - p[:, 1] - 14.0], axis=1) for p in loops_of(path)]
        true = [1e3 * loop for loop in NEST.placed_loops(placement)]
        same_shape(loops, shapely.Polygon(true[0], true[1:]))
    fills = {NEST.kit(p): path.get("fill") for path, p in zip(cut, NEST.placements, strict=True)}
    assert fills == {
        "lid 1": "#ffffff",
        "lid 2": "#dfe5e6",
        "lid 3": "#c2ccd0",
        "lid 4": "#a3b0b6",
        "lid 5": "#ffffff",
    }
    texts = [t.text for t in group(root, "text")]
    assert texts.count("2 & <a>") == 5
    assert texts.count("lid 3") == 3


def test_the_warp_arrow_points_along_each_copys_warp_and_stays_inside() -> None:
    document = dxf(nest_dxf(NEST))
    shafts = [np.array(p.get_points("xy")) for p in on(document, "WARP_ARROW", "LWPOLYLINE")]
    assert len(shafts) == len(NEST.placements) + 1  # and one beside the cloth
    for shaft, placement in zip(shafts, NEST.placements, strict=False):
        along = (shaft[1] - shaft[0]) / np.linalg.norm(shaft[1] - shaft[0])
        assert along == pytest.approx([math.cos(placement.turn), math.sin(placement.turn)], abs=1e-9)
        loops = [1e3 * loop for loop in NEST.placed_loops(placement)]
        assert shapely.Polygon(loops[0], loops[1:]).covers(shapely.LineString(shaft))
    heads = on(document, "WARP_ARROW", "SOLID")
    assert len(heads) == len(shafts)


def test_one_kit_is_not_named_and_lies_white() -> None:
    alone = Nest(
        cloth=Cloth(material=TWILL, width=0.5),
        pieces=(piece("A", ell()),),
        placements=(Placement(label="A", copy=1, turn=0.0, x=0.0, y=0.0),),
    )
    root = svg(nest_svg(alone))
    assert [t.text for t in group(root, "text")] == ["A", "200 mm", "500 mm", "warp"]
    assert [g for g in root.iter(f"{NS}g") if g.get("class") == "margin"] == []
    (cut,) = group(root, "cut")
    assert cut.get("fill") == "#ffffff"


def test_kits_that_are_only_numbered_are_called_kits() -> None:
    nest = nest_roll((piece("A", ell(), quantity=2),), Cloth(material=TWILL, width=0.5), seconds=0.0)
    assert {"kit 1", "kit 2"} <= {t.text for t in group(svg(nest_svg(nest)), "text")}


def test_a_label_with_a_line_break_stays_one_line() -> None:
    odd = piece("a\nb\x00", ell())
    assert "a b " in [t.text for t in group(svg(piece_svg(odd)), "text")]
    assert {t.dxf.text.strip() for t in on(dxf(piece_dxf(odd)), "TEXT", "TEXT")} == {"a b"}


def test_too_short_a_pull_and_an_impossible_scale_are_refused() -> None:
    with pytest.raises(InputError, match="drawing of a nest, length to pull"):
        nest_svg(NEST, pull=NEST.length - 0.001)
    for scale in (0.0, -1.0, math.nan):
        with pytest.raises(InputError, match="drawing, scale"):
            piece_svg(HOLED, scale=scale)


@pytest.mark.parametrize("pull", [0.010, 0.018, 0.030, 0.060])
def test_on_a_narrow_nest_the_figure_leaves_the_arrows_free(pull: float) -> None:
    strip = Nest(
        cloth=Cloth(material=TWILL, width=0.5),
        pieces=(piece("S", rectangle(0.010, 0.4)),),
        placements=(Placement(label="S", copy=1, turn=0.0, x=0.0, y=0.0),),
    )
    drawing = nest_drawing(strip, pull=pull, scale=0.5)
    heads = [
        shapely.Polygon(s.loops[0]) for s in drawing.shapes
        if isinstance(s, Area) and s.layer is Layer.DIMENSION and s.loops[0][:, 1].min() > 500.0
    ]  # fmt: skip
    (figure,) = [s for s in drawing.shapes if isinstance(s, Text) and s.text == f"{1e3 * pull:.0f} mm"]
    assert len(heads) == 2
    assert not heads[0].intersects(heads[1])
    half = 0.3 * figure.height * len(figure.text)
    letters = shapely.box(
        figure.at[0] - half, figure.at[1] - 0.5 * figure.height, figure.at[0] + half, figure.at[1] + 0.5 * figure.height
    )
    assert not any(letters.intersects(h) for h in heads)
    assert drawing.low[0] <= letters.bounds[0]
    assert letters.bounds[2] <= drawing.high[0]
    assert letters.bounds[3] <= drawing.high[1]
    warp = [s for s in drawing.shapes if isinstance(s, Line) and s.layer is Layer.WARP_ARROW]
    assert all(s.points[:, 0].min() >= drawing.low[0] for s in warp)


def turned_mirror(points: np.ndarray, p: Placement) -> np.ndarray:
    """Return places of a copy on the cloth in mm, by shapely's own affine maps."""
    shape = shapely.MultiPoint(points)
    if p.flipped:
        shape = shapely.affinity.scale(shape, 1.0, -1.0, origin=(0, 0))
    shape = shapely.affinity.rotate(shape, p.turn, origin=(0, 0), use_radians=True)
    shape = shapely.affinity.scale(shapely.affinity.translate(shape, p.x, p.y), 1e3, 1e3, origin=(0, 0))
    return np.array([(g.x, g.y) for g in shape.geoms])


def test_an_offcut_as_dxf_has_its_edge_holes_flaws_and_copies_face_down() -> None:
    nest = offcut()
    common = np.array([[0.24, 0.01], [0.24, 0.06]])
    rest = shapely.box(0.35, 0.15, 0.50, 0.30)
    document = dxf(nest_dxf(nest, common=(common,), left=(("O-15", rest),)))
    edges = [shapely.Polygon(p.get_points("xy")) for p in on(document, "CLOTH_EDGE", "LWPOLYLINE")]
    for found, wanted in zip(edges, (nest.sheet.outline, *nest.sheet.holes), strict=True):
        assert found.hausdorff_distance(shapely.Polygon(1e3 * wanted)) < HUNDREDTH
    flaws = on(document, "FLAW", "LWPOLYLINE")
    (flaw,) = [shapely.Polygon(p.get_points("xy")) for p in flaws if p.closed]
    assert flaw.hausdorff_distance(shapely.Polygon(1e3 * nest.sheet.flaws[0])) < HUNDREDTH
    hatch = [shapely.LineString(p.get_points("xy")) for p in flaws if not p.closed]
    assert len(hatch) > 5
    assert all(flaw.buffer(1e-3).covers(line) for line in hatch)
    cut = [shapely.Polygon(p.get_points("xy")) for p in on(document, "CUT", "LWPOLYLINE")]
    for found, placement in zip(cut, nest.placements, strict=True):
        corners = turned_mirror(nest.piece(placement.label).loops[0], placement)
        assert found.hausdorff_distance(shapely.Polygon(corners)) < HUNDREDTH
    rings = np.array([c.dxf.center.vec2 for c in on(document, "MARK", "CIRCLE")])
    marks = np.array([place for _, place in nest.piece("3B").marks])
    wanted = np.vstack([turned_mirror(marks, p) for p in nest.placements if p.label == "3B"])
    assert np.abs(rings - wanted).max() < HUNDREDTH
    (line,) = on(document, "COMMON_LINE", "LWPOLYLINE")
    assert np.array(line.get_points("xy")) == pytest.approx(1e3 * common)
    (left,) = on(document, "LEFT_OVER", "LWPOLYLINE")
    assert shapely.Polygon(left.get_points("xy")).hausdorff_distance(shapely.box(350, 150, 500, 300)) < HUNDREDTH
    texts = [t.dxf.text for t in on(document, "TEXT", "TEXT")]
    assert texts.count("face down") == 1
    assert "O-15" in texts
    assert on(document, "KNIFE_LINE", "LWPOLYLINE") == []


def test_another_svg_reader_measures_an_offcut_and_a_roll_true_to_size() -> None:
    for nest, low, high in (
        (offcut(), (0.0, 0.0), (660.0, 420.0)),
        (NEST, (0.0, 0.0), (1e3 * NEST.length, 900.0)),
    ):
        text = nest_svg(nest)
        # The reader gives units of 1/96 inch unless told otherwise; 25.4 to the inch are millimetres.
        read = SVG.parse(io.StringIO(text), ppi=25.4)
        groups = [g for g in read.elements() if isinstance(g, Group) and g.values.get("class")]
        by = {g.values["class"]: [p for p in g if isinstance(p, SvgPath)] for g in groups}
        x0, y0, x1, y1 = by["cloth-edge"][0].bbox()
        assert (x1 - x0, y1 - y0) == pytest.approx((high[0] - low[0], high[1] - low[1]), abs=HUNDREDTH)
        assert len(by["cut"]) == len(nest.placements)
        for path, placement in zip(by["cut"], nest.placements, strict=True):
            found = shapely.Polygon([(p.x - x0, y1 - p.y) for p in path.as_points()][:-1]).bounds
            assert found == pytest.approx(shapely.Polygon(1e3 * nest.placed_loops(placement)[0]).bounds, abs=HUNDREDTH)


def test_selvedges_and_margins_of_a_roll_lie_where_they_are() -> None:
    cloth = Cloth(material=TWILL, width=0.5, margin=0.010, selvedge=0.012)
    nest = Nest(
        cloth=cloth, pieces=(piece("A", ell()),), placements=(Placement(label="A", copy=1, turn=0.0, x=0.03, y=0.03),)
    )
    document = dxf(nest_dxf(nest, flaws=(rectangle(0.05, 0.05, at=(0.1, 0.3)),)))
    heights = sorted(np.array(p.get_points("xy"))[:, 1].mean() for p in on(document, "SELVEDGE", "LWPOLYLINE"))
    assert heights == pytest.approx([12.0, 488.0])
    (margin,) = on(document, "MARGIN", "LWPOLYLINE")
    assert shapely.LineString(margin.get_points("xy")).bounds == pytest.approx((10.0, 22.0, 230.0, 478.0))
    (flaw,) = [p for p in on(document, "FLAW", "LWPOLYLINE") if p.closed]
    assert shapely.Polygon(flaw.get_points("xy")).bounds == pytest.approx((100.0, 300.0, 150.0, 350.0))


def test_names_on_a_nest_stay_inside_their_pieces() -> None:
    nest = ugly()
    drawing = nest_drawing(nest, scale=0.1)
    outlines = shapely.union_all([shapely.Polygon(1e3 * nest.placed_loops(p)[0]) for p in nest.placements])
    words = {w for p in nest.pieces for w in p.label.split()} | {w for k in nest.pieces[0].kits for w in k.split()}
    seen = 0
    for text in drawing.shapes:
        if isinstance(text, Text) and set(text.text.split()) <= words:
            half = 0.5 * width(text.text, text.height / CAPITALS, bold=text.bold)
            line = shapely.LineString([(text.at[0] - half, text.at[1]), (text.at[0] + half, text.at[1])])
            inside = outlines.buffer(1.0).covers(line)
            seen += inside
            assert inside or text.height < 20.0, text
    assert seen >= 2 * len(nest.placements) - 8


def test_shared_cuts_found_by_the_cutting_bench_are_drawn_as_they_come() -> None:
    bits = np.array([[[0.1, 0.1], [0.2, 0.1]], [[0.2, 0.1], [0.2, 0.15]]])
    lines = on(dxf(nest_dxf(offcut(), common=(bits,))), "COMMON_LINE", "LWPOLYLINE")
    assert [np.array(line.get_points("xy")).tolist() for line in lines] == (1e3 * bits).tolist()
