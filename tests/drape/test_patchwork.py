"""Tiles of a ply: areas add up, whole tiles are found by counting, slivers go where the rule says."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

import shapes
from bagside.drape import ClothLaw, Drape, drape, pattern_of
from bagside.drape.patchwork import PatchworkPlan, mirrored_tiling, moved_tiling, patchwork_of
from bagside.drape.registration import Motion
from bagside.drape.tiling import Tiling, cells_over, on_cloth, tile_of
from bagside.errors import InputError
from bagside.spec.patchwork import TileShape

WOVEN = ClothLaw(shear_weight=3e-3)
HEXAGONS = Tiling(shape=TileShape.HEXAGONS, size=0.03, turn=0.2, origin=(0.003, 0.005))
SHAPES = [*((shape, None) for shape in TileShape), (TileShape.STRIPS, 0.07)]


@pytest.fixture(scope="module")
def cap() -> Drape:
    surface = shapes.hemisphere(angle=math.radians(50), rings=30)
    return drape(surface, start=np.array([0, 0, 0.1]), direction=np.array([1.0, 0, 0]), law=WOVEN)


@pytest.fixture(scope="module")
def holed() -> Drape:
    return drape(shapes.plane_with_hole(), start=np.array([0.1, 0, 0]), direction=np.array([1.0, 0, 0]), law=WOVEN)


def planned(lain: Drape, tiling: Tiling, smallest: float = 1e-4, narrowest: float = 0.006) -> PatchworkPlan:
    loops = pattern_of(lain).loops
    return patchwork_of({"1": lain}, {"1": loops}, {"1": tiling}, smallest=smallest, narrowest=narrowest)


def shape_of(lain: Drape) -> shapely.Polygon:
    loops = pattern_of(lain).loops
    return shapely.Polygon(loops[0], loops[1:])


@pytest.mark.parametrize("more", [{}, {"gap": 0.001}, {"overlap": 0.003}])
@pytest.mark.parametrize(("shape", "length"), SHAPES)
def test_areas_add_up_to_the_outline(
    cap: Drape, shape: TileShape, length: float | None, more: dict[str, float]
) -> None:
    tiling = Tiling(shape=shape, size=0.03, length=length, turn=0.2, **more)
    found = planned(cap, tiling)
    outline = shape_of(cap)
    tiles = [shapely.Polygon(t.loops[0], t.loops[1:]) for t in found.tiles]
    union = shapely.union_all(tiles, grid_size=1e-9)  # plain unions lose area at shared edges
    assert all(t.is_valid for t in tiles)
    assert found.outline == pytest.approx(outline.area, rel=1e-12)
    assert shapely.difference(union, outline.buffer(1e-6), grid_size=1e-9).area == 0
    assert found.covered == pytest.approx(union.area, rel=1e-6)
    assert found.lapped == pytest.approx(sum(t.area for t in tiles) - union.area, abs=1e-8)
    assert found.covered + found.gaps + sum(x.area for x in found.left) == pytest.approx(outline.area, rel=1e-12)
    if not more:
        assert found.gaps == pytest.approx(0, abs=1e-8)
        assert found.lapped == pytest.approx(0, abs=1e-8)
    if "gap" in more:
        cells = cells_over(tiling, outline_box(outline))
        sides = shapely.union_all([shapely.Polygon(c.corners).boundary for c in cells])
        assert 0.8 * sides.intersection(outline).length * 0.001 < found.gaps
        assert found.gaps < 1.02 * sides.intersection(outline).length * 0.001
    if "overlap" in more:
        assert found.gaps == pytest.approx(0, abs=1e-8)
        assert found.lapped > 0


def outline_box(outline: shapely.Polygon) -> np.ndarray:
    return np.asarray(shapely.box(*outline.bounds).exterior.coords)[:-1]


@pytest.mark.parametrize(("shape", "length"), SHAPES)
def test_whole_tiles_are_those_whose_every_point_lies_inside(
    holed: Drape, shape: TileShape, length: float | None
) -> None:
    tiling = Tiling(shape=shape, size=0.034, length=length, turn=0.5, gap=0.001)
    outline = shape_of(holed)
    whole = 0
    for cell in cells_over(tiling, outline_box(outline)):
        edge = shapely.segmentize(tile_of(tiling, cell).exterior, 2e-4)
        points = np.asarray(edge.coords)
        whole += bool(shapely.contains_xy(outline.buffer(1e-9), *points.T).all())
    found = planned(holed, tiling, smallest=0.0, narrowest=0.0)
    assert found.whole == whole
    assert len(found.edge_tiles) == len(found.tiles) - whole
    assert (whole > 0) == (length is not None or shape is not TileShape.STRIPS)


@pytest.mark.published("area of a regular hexagon across flats s: √3/2 s²")
def test_whole_hexagons_have_the_area_of_the_formula(cap: Drape) -> None:
    for gap in (0.0, 0.002):
        found = planned(cap, replace(HEXAGONS, gap=gap))
        for tile in found.tiles:
            if tile.sort:
                assert tile.area == pytest.approx(math.sqrt(3) / 2 * (0.03 - gap) ** 2, rel=1e-6)
    assert [s.name for s in found.sorts] == ["F"]


def test_triangles_that_point_down_are_laid_from_the_same_pile_turned_by_half(cap: Drape) -> None:
    found = planned(cap, Tiling(shape=TileShape.TRIANGLES, size=0.03, gap=0.001))
    (only,) = found.sorts
    for tile in found.tiles:
        if tile.sort:
            own = (-only.outline if tile.half_turn else only.outline) + tile.centre
            there = shapely.Polygon(tile.loops[0])
            assert shapely.symmetric_difference(shapely.Polygon(own), there, grid_size=1e-9).area < 1e-8
    turned = [t.half_turn for t in found.tiles if t.sort]
    assert 0 < sum(turned) < len(turned)


def test_tiles_lie_over_those_with_smaller_numbers(cap: Drape) -> None:
    found = planned(cap, replace(HEXAGONS, overlap=0.004))
    assert [t.number for t in found.tiles] == list(range(1, len(found.tiles) + 1))
    cells = {c.index: shapely.Polygon(c.corners) for c in cells_over(HEXAGONS, outline_box(shape_of(cap)))}
    whole = [t for t in found.tiles if t.sort]
    laps = 0
    for one in whole:
        for two in whole:
            if one.number < two.number and cells[one.cell].distance(cells[two.cell]) < 1e-9:
                under = shapely.Polygon(one.loops[0]).intersection(cells[two.cell]).area
                over = shapely.Polygon(two.loops[0]).intersection(cells[one.cell]).area
                assert over < 1e-9
                laps += under > 1e-6
    assert laps > 5


def test_slivers_are_joined_and_none_is_left_below_the_rule(cap: Drape) -> None:
    free = planned(cap, HEXAGONS, smallest=0.0, narrowest=0.0)
    found = planned(cap, HEXAGONS, smallest=1e-4, narrowest=0.008)

    def narrow(tile: object) -> bool:
        shape = shapely.Polygon(tile.loops[0])  # type: ignore[attr-defined]
        return tile.area < 1e-4 or 2 * shapely.maximum_inscribed_circle(shape).length < 0.0079  # type: ignore[attr-defined]

    assert any(narrow(t) for t in free.tiles)
    assert not any(narrow(t) for t in found.tiles)
    assert found.joined == len(free.tiles) - len(found.tiles) > 0
    assert found.left == ()
    assert found.covered == pytest.approx(free.covered, rel=1e-6)


def test_a_sliver_without_a_neighbour_is_left_to_the_ply_behind() -> None:
    """Squares of 50 mm on a plate that one square more than covers: with a gap as wide as the sliver none is left."""
    plate = shapes.plane(0.05, 0.003, 25, 3)
    lain = drape(plate, start=plate.vertices[0] * 0.5, direction=np.array([1.0, 0, 0]), law=WOVEN)
    with pytest.raises(InputError, match="no tile is left on this ply"):
        planned(lain, Tiling(shape=TileShape.SQUARES, size=0.1))


def test_shear_under_tiles_is_that_of_the_cloth(cap: Drape) -> None:
    found = planned(cap, HEXAGONS)
    middle = min(found.tiles, key=lambda t: np.linalg.norm(t.centre))
    farthest = max(found.tiles, key=lambda t: t.shear)
    assert math.degrees(middle.shear) < 3
    assert farthest.shear <= np.abs(cap.shear).max()
    assert farthest.shear > 0.6 * np.abs(cap.shear).max()
    assert abs(abs(farthest.centre[0]) - abs(farthest.centre[1])) < 0.03  # on a diagonal of the cap


def test_a_pattern_that_moves_with_the_cloth_has_the_same_tiles(cap: Drape) -> None:
    motion = Motion(turn=0.9, move=(0.05, -0.02))
    loops = pattern_of(cap).loops
    moved = patchwork_of(
        {"1": replace(cap, uv=motion.of(cap.uv))},
        {"1": tuple(motion.of(loop) for loop in loops)},
        {"1": moved_tiling(HEXAGONS, motion)},
        smallest=1e-4,
        narrowest=0.006,
    )
    still = planned(cap, HEXAGONS)
    assert [t.cell for t in moved.tiles] == [t.cell for t in still.tiles]
    np.testing.assert_allclose([t.area for t in moved.tiles], [t.area for t in still.tiles], rtol=1e-4)


@pytest.mark.parametrize("quarter", [False, True])
@pytest.mark.parametrize(("shape", "length"), SHAPES)
def test_a_mirrored_pattern_is_the_mirror_image(shape: TileShape, length: float | None, quarter: bool) -> None:
    tiling = Tiling(shape=shape, size=0.03, length=length, turn=0.4, origin=(0.01, 0.02), overlap=0.004)
    mirror = np.array([[0.0, -1.0], [-1.0, 0.0]]) if quarter else np.array([[1.0, 0.0], [0.0, -1.0]])
    other = mirrored_tiling(tiling, quarter)
    points = np.array([[0.0, 0.0], [0.02, 0.01]])
    np.testing.assert_allclose(on_cloth(other, points), on_cloth(tiling, points) @ mirror.T, atol=1e-15)
    box = np.array([[-0.1, -0.08], [0.1, -0.08], [0.1, 0.08], [-0.1, 0.08]])
    ours = {c.index: tile_of(tiling, c) for c in cells_over(tiling, box)}
    theirs = {c.index: tile_of(other, c) for c in cells_over(other, box @ mirror.T)}
    assert ours.keys() == theirs.keys()
    for index, tile in ours.items():
        seen = shapely.Polygon(np.asarray(tile.exterior.coords) @ mirror.T)
        if shape is TileShape.STRIPS and length is None:
            continue  # only their ends, beyond the outline, differ
        assert shapely.symmetric_difference(seen, theirs[index], grid_size=1e-9).area < 1e-9
