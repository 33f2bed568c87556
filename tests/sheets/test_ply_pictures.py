"""The pictures of a ply: a flat plate, on which every distance and every place is known without draping."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest

from bagside import drape as draping
from bagside.cutting import PieceSeam
from bagside.drape import ClothLaw
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface
from bagside.planning.piece import Piece
from bagside.sheets import colour
from bagside.sheets.maps import Map
from bagside.sheets.picture import MouldPoint, PointLook, mould_picture
from bagside.sheets.plan_files import piece_files
from bagside.sheets.plan_pictures import drawn
from bagside.sheets.ply_pictures import fronts, ply_flats, ply_picture
from bagside.sheets.sight import Sight, around_part, view_on
from bagside.spec.job import Rosette
from bagside.spec.material import ClothKind
from glbread import held, opened

SIDE, LAP = 0.3, 0.02
LAW = ClothLaw(shear_weight=1e-3, locking_angle=np.radians(40))


def sheet(west: float, east: float, n: int = 24) -> Surface:
    x, y = np.meshgrid(np.linspace(west, east, n + 1), np.linspace(0.0, SIDE, n + 1), indexing="ij")
    i, j = (a.ravel() for a in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    a, b = i * (n + 1) + j, (i + 1) * (n + 1) + j
    triangles = np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)])
    return Surface(np.stack([x.ravel(), y.ravel(), np.zeros(x.size)], axis=1), triangles)


def piece(label: str, ply: int, west: float, east: float) -> Piece:
    surface = sheet(west, east)
    start = np.array([0.5 * (west + east), 0.5 * SIDE, 0.0])
    lain = draping.drape(surface, start=start, direction=np.array([1.0, 0.0, 0.0]), law=LAW)
    return Piece(label=label, ply=ply, drape=lain, pattern=draping.pattern_of(lain), holes=())


def seam(of: Piece, x: float, *, over: bool) -> PieceSeam:
    at = x - float(of.drape.start[0])
    line = np.column_stack([np.full(5, at), np.linspace(-0.5 * SIDE, 0.5 * SIDE, 5)])
    out = np.array([1.0 if over else -1.0, 0.0])
    return PieceSeam(
        name="A", prime=not over, join="overlap", over=over, width=LAP, line=line, ticks=line[1:4],
        normals=np.tile(out, (3, 1)), other="1B" if over else "1A",
    )  # fmt: skip


JOIN = 0.16
WEST, EAST, WHOLE = piece("1A", 0, 0.0, JOIN + LAP), piece("1B", 0, JOIN, SIDE), piece("2", 1, 0.0, SIDE)
SEAMS = ((seam(WEST, JOIN, over=True),), (seam(EAST, JOIN, over=False),), ())


def sight() -> Sight:
    mould = sheet(-0.04, SIDE + 0.04)
    return Sight(
        name="plate", work=mould, laid=WHOLE.surface, part=WHOLE.surface, pieces=(WEST, EAST, WHOLE),
        thicknesses=(0.0002, 0.0002), holes=(), brackets=(), corners=(), mould_places=(), ply_places=((), ()),
        start=(0.15, 0.15, 0.0), direction=(1.0, 0.0, 0.0), side=(0.0, 0.0, 1.0), tall=297.0,
        kinds=(ClothKind.WOVEN, ClothKind.WOVEN), weights=(0.345, 0.345), seams=SEAMS,
        angles=(0.0, np.radians(4)), rosette=Rosette.PROJECTED,
    )  # fmt: skip


def words(svg: str) -> list[str]:
    return ["".join(t.itertext()) for t in ET.fromstring(svg).iter() if t.tag.endswith("text")]


def test_the_front_of_laying_is_circles_about_the_start() -> None:
    (front,) = fronts([WHOLE])
    assert front.step == 0.05
    assert {round(d, 6) for d, _ in front.lines} == {0.05, 0.10, 0.15, 0.20}
    for distance, line in front.lines:
        true = np.linalg.norm(line[:, :2] - np.array([0.15, 0.15]), axis=1)
        assert true == pytest.approx(distance, abs=1.5e-3)  # linear on triangles of 12.5 mm
    closed = [d for d, line in front.lines if d < 0.14 and np.allclose(line[0], line[-1])]
    assert closed == pytest.approx([0.05, 0.10])


def test_pieces_of_one_ply_share_one_step() -> None:
    assert len({f.step for f in fronts([WEST, WHOLE])}) == 1


def test_a_ply_in_two_pieces_shows_its_join_letters_and_fronts() -> None:
    mould = around_part(sight())
    own = sight().of_ply(0)
    where = (0.05, 0.15, 0.0)
    finding = Finding(
        severity=Severity.WATCH, stage="drape", place="piece 1A", what="x", why="y", do="z", basis=Basis.COMMON,
        point=where,
    )  # fmt: skip
    size = (150.0, 120.0)
    svg = ply_picture(sight(), mould, own, (finding,), view_on(mould), size, Map.SHEAR)
    said = words(svg)
    assert {"A", "A′", "1A", "1B", "1", "50", "100"} <= set(said)
    assert svg.count('stroke-dasharray="1.4 0.9"') >= 1, "the rim under the overlap is dashed"
    bare = ply_picture(sight(), mould, own, (finding,), view_on(mould), size, Map.STRETCH, marked=False)
    assert words(bare) == []
    assert "stretch of a yarn" in bare


def test_flat_pieces_wear_the_colours_of_their_map_with_area_and_mass() -> None:
    svg = ply_flats(sight().of_ply(0), 0.345, Map.STRETCH, (184.0, 109.0))
    said = " ".join(words(svg))
    assert "540 cm², 18.6 g" in said  # 0.18 × 0.3 m at 345 g/m²
    assert "420 cm², 14.5 g" in said
    assert colour.STRETCH.colours[colour.STRETCH.quiet] in svg
    assert colour.SHEAR.colours[0] not in svg


def test_all_pictures_of_two_plies() -> None:
    found = drawn(sight())
    assert len(found.plies) == len(found.flats) == len(found.seconds) == len(found.maps) == 2
    assert [m.first for m in found.maps] == [Map.SHEAR, Map.SHEAR]
    assert found.seconds == ("", "")
    all_of_it = "within ±3° 100 %, ±5° 100 %, ±10° 100 %"
    assert found.angles[0] == f"Warp {all_of_it}; weft {all_of_it} of the area."
    assert found.angles[1].startswith("Warp within ±3° 0 %, ±5° 100 %"), "drawn at 4°, laid at 0°"
    assert "ply 1, A" in found.joins
    alone = drawn(replace(sight(), seams=((), (), ())))
    assert alone.joins == ""


def test_a_stretched_ply_gets_a_second_map() -> None:
    strained = replace(WHOLE.drape, stretch_weft=np.full(len(WHOLE.surface.triangles), 0.02))
    sheared = replace(strained, shear=np.full(len(WHOLE.surface.triangles), 0.3))
    given = replace(sight(), pieces=(WEST, EAST, replace(WHOLE, drape=sheared)))
    found = drawn(given)
    assert found.seconds[0] == ""
    assert "stretch of a yarn" in found.seconds[1]


def test_every_piece_leaves_in_space() -> None:
    files = piece_files((WEST, EAST, WHOLE), (ClothKind.WOVEN, ClothKind.WOVEN, ClothKind.VEIL))
    assert set(files) == {"drape/1A.glb", "drape/1B.glb", "drape/2.glb"}
    for name, content in files.items():
        document, data = opened(content)
        held(document, data)
        assert document["nodes"][0]["name"] == f"piece {name[6:-4]}"
    assert opened(files["drape/2.glb"])[0]["asset"]["extras"]["map"] == colour.STRETCH.name


def test_numbered_rings_keep_apart_and_point_at_their_places() -> None:
    mould = sheet(0.0, SIDE)
    at = [(0.15, 0.15, 0.0), (0.152, 0.151, 0.0), (0.148, 0.149, 0.0), (0.25, 0.05, 0.0)]
    points = [MouldPoint(at=(x, y, z), look=PointLook.RING, words=str(k)) for k, (x, y, z) in enumerate(at, 1)]
    svg = mould_picture(mould, points=points, size_mm=(100.0, 100.0)).svg
    rings = re.findall(r'<circle cx="([-\d.]+)" cy="([-\d.]+)" r="2.3"', svg)
    spots = np.array(rings, dtype=np.float64)
    assert len(spots) == 4
    apart = np.linalg.norm(spots[:, None] - spots[None], axis=2)[np.triu_indices(4, 1)]
    assert apart.min() > 5.0
    assert [w for w in words(svg) if w] == ["1", "2", "3", "4"]
    dots = re.findall(r'<circle cx="([-\d.]+)" cy="([-\d.]+)" r="0.6"', svg)
    assert len(dots) == 2, "the last of three that meet stays, the others get leaders, and one stands alone"
