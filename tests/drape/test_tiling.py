"""Tilings of the plane against areas of regular polygons, and against counting points."""

import math

import numpy as np
import pytest
import shapely

from bagside.drape.tiling import Tiling, cell_area, cells_over, in_pattern, on_cloth, tile_of
from bagside.errors import InputError
from bagside.spec.patchwork import TileShape

BOX = np.array([[-0.12, -0.09], [0.2, -0.09], [0.2, 0.15], [-0.12, 0.15]])
SHAPES = [*((shape, None) for shape in TileShape), (TileShape.STRIPS, 0.11)]


def pattern(shape: TileShape, length: float | None = None, **more: object) -> Tiling:
    return Tiling(shape=shape, size=0.037, length=length, turn=0.31, origin=(0.004, -0.011), **more)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(("shape", "length"), SHAPES)
def test_every_point_lies_in_exactly_one_cell(shape: TileShape, length: float | None, mirrored: bool) -> None:
    cells = cells_over(pattern(shape, length, mirrored=mirrored), BOX)
    rng = np.random.default_rng(4)
    points = rng.uniform(BOX.min(axis=0), BOX.max(axis=0), (4000, 2))
    hits = sum(shapely.contains_xy(shapely.Polygon(c.corners), *points.T).astype(int) for c in cells)
    assert (hits == 1).all()
    assert len({c.index for c in cells}) == len(cells)


@pytest.mark.published("areas of the regular hexagon across flats, equilateral triangle, rhomb of 60°: Euclid")
@pytest.mark.parametrize(
    ("shape", "share"),
    [
        (TileShape.HEXAGONS, math.sqrt(3) / 2),
        (TileShape.TRIANGLES, math.sqrt(3) / 4),
        (TileShape.RHOMBS, math.sqrt(3) / 2),
        (TileShape.SQUARES, 1.0),
    ],
)
def test_areas_of_cells(shape: TileShape, share: float) -> None:
    tiling = pattern(shape)
    for cell in cells_over(tiling, BOX):
        assert shapely.Polygon(cell.corners).area == pytest.approx(share * 0.037**2, rel=1e-12)
        assert shapely.LinearRing(cell.corners).is_ccw
    assert cell_area(tiling) == pytest.approx(share * 0.037**2, rel=1e-12)


def test_a_hexagon_is_as_wide_across_its_flats_as_stated() -> None:
    cell = cells_over(pattern(TileShape.HEXAGONS), BOX)[0]
    own = in_pattern(pattern(TileShape.HEXAGONS), cell.corners)
    assert np.ptp(own[:, 0]) == pytest.approx(0.037)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(("shape", "length"), SHAPES)
def test_a_gap_parts_tiles_by_itself_everywhere(shape: TileShape, length: float | None, mirrored: bool) -> None:
    tiling = pattern(shape, length, gap=0.002, mirrored=mirrored)
    tiles = [tile_of(tiling, c) for c in cells_over(tiling, BOX)]
    tree = shapely.STRtree(tiles)
    for k, tile in enumerate(tiles):
        others = [tiles[j] for j in tree.query(tile.buffer(0.003)) if j != k]
        if others:
            assert min(tile.distance(o) for o in others) == pytest.approx(0.002, rel=1e-6)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(("shape", "length"), SHAPES)
def test_of_two_neighbours_only_the_first_laid_runs_under_the_other(
    shape: TileShape, length: float | None, mirrored: bool
) -> None:
    tiling = pattern(shape, length, overlap=0.004, mirrored=mirrored)
    cells = cells_over(tiling, BOX)
    tiles = [tile_of(tiling, c) for c in cells]
    plain = [shapely.Polygon(c.corners) for c in cells]
    tree = shapely.STRtree(plain)
    pairs = 0
    for k, cell in enumerate(plain):
        for j in tree.query(cell.buffer(1e-6)):
            side = cell.buffer(1e-7).intersection(plain[j].boundary).length
            if j <= k or side < 0.005:
                continue
            pairs += 1
            band = tiles[k].intersection(plain[j]).area  # the earlier tile under the later cell
            assert band > 0.9 * 0.004 * (side - 2 * 0.004 / math.tan(math.radians(30)))
            assert tiles[j].intersection(cell).area < 0.004**2 * 2  # corners only
    assert pairs > 5


def test_tiles_of_one_kind_are_cut_alike() -> None:
    for shape, length in SHAPES:
        if shape is TileShape.STRIPS and length is None:
            continue
        tiling = pattern(shape, length, overlap=0.003)
        made: dict[int, np.ndarray] = {}
        for cell in cells_over(tiling, BOX):
            own = np.asarray(tile_of(tiling, cell).exterior.coords) - cell.centre
            np.testing.assert_allclose(own, made.setdefault(cell.index[2], own), atol=1e-12)


def test_cloth_and_pattern_axes_lead_back() -> None:
    for mirrored in (False, True):
        tiling = pattern(TileShape.SQUARES, mirrored=mirrored)
        np.testing.assert_allclose(on_cloth(tiling, in_pattern(tiling, BOX)), BOX, atol=1e-15)


def test_tiles_too_small_for_a_piece_are_refused() -> None:
    with pytest.raises(InputError) as error:
        cells_over(Tiling(shape=TileShape.SQUARES, size=0.0001), BOX)
    assert str(error.value) == (
        "patchwork, size: 0.1 mm – tiles so small that one piece would have more than 20 000 are not planned"
    )


def test_a_gap_that_leaves_nothing_is_refused() -> None:
    tiling = Tiling(shape=TileShape.TRIANGLES, size=0.02, gap=0.012)
    with pytest.raises(ValueError, match="leaves nothing"):
        tile_of(tiling, cells_over(tiling, BOX)[0])
