"""Regular tilings of the plane of the cloth: which cells there are, and the tile cut for each.

A cell is one place of the pattern; cells fill the plane without gaps. A tile is what is cut for a cell: smaller by half
the gap all round, or longer by the overlap at the sides on which a tile laid later comes to lie over it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.spec.patchwork import TileShape

Floats = NDArray[np.float64]

LEVEL = 1e-6  # of a cell's size: middles whose height differs by less lie in one row
MOST_CELLS = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """A regular pattern in cloth coordinates.

    Parameters
    ----------
    shape
        Of its cells.
    size
        Of a cell [m]: a hexagon across its flats, the side of a triangle, rhomb or square, the width of a strip.
    length
        Of a strip [m]; None for strips without end.
    turn
        Of the pattern against the u axis, counter-clockwise [rad].
    origin
        Middle of one cell, in cloth coordinates [m].
    gap, overlap
        Between tiles [m]; at most one of them is more than zero.
    mirrored
        Whether the pattern is the mirror image of what the rest says: seen with v turned round, then turned.
    """

    shape: TileShape
    size: float
    length: float | None = None
    turn: float = 0.0
    origin: tuple[float, float] = (0.0, 0.0)
    gap: float = 0.0
    overlap: float = 0.0
    mirrored: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cell:
    """One place of the pattern.

    Parameters
    ----------
    index
        Row, column and kind: with the pattern's own axes it says which place it is, on every piece alike.
    centre
        Its middle [m].
    corners
        Counter-clockwise, shape (k, 2) [m].
    later
        For each side, from corner k to k + 1, whether the tile beyond it is laid later, shape (k,).
    """

    index: tuple[int, int, int]
    centre: tuple[float, float]
    corners: Floats
    later: NDArray[np.bool_]


def _shapes(tiling: Tiling) -> tuple[Floats, tuple[Floats, ...], float]:
    """Return the two steps of the pattern as rows, the cells of one step about the origin, and the shift of odd rows.

    The shift is in shares of the first step, for strips whose joints are staggered.
    """
    s = tiling.size
    high = 0.5 * math.sqrt(3.0) * s
    if tiling.shape is TileShape.SQUARES:
        h = 0.5 * s
        return np.array([[s, 0], [0, s]]), (np.array([[-h, -h], [h, -h], [h, h], [-h, h]]),), 0.0
    if tiling.shape is TileShape.RHOMBS:
        a, b = np.array([s, 0.0]), np.array([0.5 * s, high])
        return np.array([a, b]), (np.array([-a - b, a - b, a + b, b - a]) / 2,), 0.0
    if tiling.shape is TileShape.TRIANGLES:
        a, b = np.array([s, 0.0]), np.array([0.5 * s, high])
        up = np.array([np.zeros(2), a, b])
        middle = up.mean(axis=0)
        return np.array([a, b]), (up - middle, np.array([a, a + b, b]) - middle), 0.0
    if tiling.shape is TileShape.HEXAGONS:
        angle = np.radians(30.0 + 60.0 * np.arange(6))
        corners = s / math.sqrt(3.0) * np.column_stack([np.cos(angle), np.sin(angle)])
        return np.array([[s, 0], [0.5 * s, high]]), (corners,), 0.0
    long = math.inf if tiling.length is None else tiling.length
    half = 0.5 * np.array([long, s])
    strip = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    return np.array([[long, 0], [0, s]]), (strip,), 0.5


def cell_area(tiling: Tiling) -> float:
    """Return the area of one cell [m²]; without end for strips without end.

    Parameters
    ----------
    tiling
        The pattern.
    """
    return {
        TileShape.HEXAGONS: 0.5 * math.sqrt(3.0) * tiling.size**2,
        TileShape.TRIANGLES: 0.25 * math.sqrt(3.0) * tiling.size**2,
        TileShape.RHOMBS: 0.5 * math.sqrt(3.0) * tiling.size**2,
        TileShape.SQUARES: tiling.size**2,
        TileShape.STRIPS: tiling.size * (math.inf if tiling.length is None else tiling.length),
    }[tiling.shape]


def on_cloth(tiling: Tiling, points: Floats) -> Floats:
    """Return points of the pattern's own axes in cloth coordinates.

    Parameters
    ----------
    tiling
        The pattern.
    points
        Shape (k, 2) [m].
    """
    c, s = math.cos(tiling.turn), math.sin(tiling.turn)
    p = np.asarray(points, dtype=np.float64)
    p = p * np.array([1.0, -1.0]) if tiling.mirrored else p
    out: Floats = p @ np.array([[c, s], [-s, c]]) + np.array(tiling.origin)
    return out


def in_pattern(tiling: Tiling, points: Floats) -> Floats:
    """Return points of the cloth in the pattern's own axes; the other way round than `on_cloth`.

    Parameters
    ----------
    tiling
        The pattern.
    points
        Shape (k, 2) [m].
    """
    c, s = math.cos(tiling.turn), math.sin(tiling.turn)
    p = (np.asarray(points, dtype=np.float64) - np.array(tiling.origin)) @ np.array([[c, -s], [s, c]])
    out: Floats = p * np.array([1.0, -1.0]) if tiling.mirrored else p
    return out


def cells_over(tiling: Tiling, outline: Floats) -> tuple[Cell, ...]:
    """Return every cell that may reach into an outline, in the order they are laid.

    Parameters
    ----------
    tiling
        The pattern.
    outline
        Corners, shape (k, 2), in cloth coordinates [m].

    Raises
    ------
    InputError
        When there are more than twenty thousand: the tiles are too small for the piece.

    Notes
    -----
    Tiles are laid row by row, each row along the pattern's first axis, so that every cell of one kind has the same
    neighbours laid before it, and tiles that overlap are cut alike.
    """
    own = in_pattern(tiling, outline)
    low, high = own.min(axis=0), own.max(axis=0)
    steps, kinds, shift = _shapes(tiling)
    if not math.isfinite(steps[0, 0]):
        # one strip a row, long enough for the outline; its middle is the outline's, its ends lie beyond it
        half = 0.5 * (high[0] - low[0]) + tiling.size
        middle = 0.5 * (high[0] + low[0])
        steps = np.array([[4 * half, 0.0], steps[1]])
        kinds = (np.column_stack([middle + half * np.array([-1, 1, 1, -1]), kinds[0][:, 1]]),)
        shift = 0.0
    reach = max(float(np.abs(k - k.mean(axis=0)).max()) for k in kinds) + tiling.overlap
    rows = range(math.floor((low[1] - 2 * reach) / steps[1, 1]), math.ceil((high[1] + 2 * reach) / steps[1, 1]) + 1)
    across = (high[0] - low[0] + 4 * reach) / steps[0, 0]
    if len(rows) * (across + 2) * len(kinds) > MOST_CELLS:
        raise InputError.one(
            "patchwork, size",
            f"{1e3 * tiling.size:.1f} mm",
            f"tiles so small that one piece would have more than {MOST_CELLS:,} are not planned".replace(",", " "),
        )
    found: list[tuple[tuple[float, float], Cell]] = []
    for row in rows:
        moved = (row % 2) * shift * steps[0, 0]
        base = row * steps[1] + np.array([moved, 0.0])
        first = math.floor((low[0] - 2 * reach - base[0]) / steps[0, 0])
        last = math.ceil((high[0] + 2 * reach - base[0]) / steps[0, 0])
        for column in range(first, last + 1):
            if tiling.shape is TileShape.STRIPS and tiling.length is None and column != 0:
                continue
            for kind, corners in enumerate(kinds):
                own_corners = corners + base + column * steps[0]
                if (own_corners.max(axis=0) < low - reach).any() or (own_corners.min(axis=0) > high + reach).any():
                    continue
                x, y = own_corners.mean(axis=0)
                order = (round(float(y) / tiling.size / LEVEL) * LEVEL, float(x))
                found.append((order, _cell(tiling, own_corners, (row, column, kind))))
    return tuple(cell for _, cell in sorted(found, key=lambda item: item[0]))


def _cell(tiling: Tiling, corners: Floats, index: tuple[int, int, int]) -> Cell:
    # the neighbour's middle is this one's mirrored in the middle of the side between them
    beyond = 0.5 * (corners + np.roll(corners, -1, axis=0)) - corners.mean(axis=0)
    level = np.abs(beyond[:, 1]) < LEVEL * tiling.size
    later = np.where(level, beyond[:, 0] > 0, beyond[:, 1] > 0)
    placed = on_cloth(tiling, corners)
    if tiling.mirrored:  # the corners now run clockwise: side k from corner k to k + 1 becomes side k − 1 backwards
        placed, later = placed[::-1], np.roll(later[::-1], -1)
    centre = placed.mean(axis=0)
    return Cell(index=index, centre=(float(centre[0]), float(centre[1])), corners=placed, later=later)


def tile_of(tiling: Tiling, cell: Cell) -> shapely.Polygon:
    """Return what is cut for a whole cell, in cloth coordinates [m].

    Parameters
    ----------
    tiling
        The pattern.
    cell
        One of its cells.

    Raises
    ------
    ValueError
        When the gap leaves nothing of it.

    Notes
    -----
    Each side moves along its own normal, so corners stay sharp: the outline is where the moved sides meet.
    """
    moves = np.where(cell.later, tiling.overlap, 0.0) - 0.5 * tiling.gap
    p = cell.corners
    side = np.roll(p, -1, axis=0) - p
    normal = np.column_stack([side[:, 1], -side[:, 0]]) / np.linalg.norm(side, axis=1)[:, None]
    level = np.einsum("ij,ij->i", p, normal) + moves
    corners = []
    for k in range(len(p)):
        corners.append(np.linalg.solve(normal[[k - 1, k]], level[[k - 1, k]]))
    moved = np.array(corners)
    out = shapely.Polygon(moved)
    along = np.einsum("ij,ij->i", np.roll(moved, -1, axis=0) - moved, side)
    if not (along > 0).all():
        raise ValueError("the gap leaves nothing of a tile")
    return out
