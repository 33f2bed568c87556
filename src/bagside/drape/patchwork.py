"""A ply laid as tiles: every tile's true flat shape, which ones are alike, and what becomes of slivers at the rim.

The pattern lies in the cloth's own coordinates, where a tile has the shape it is cut in; on the mould it shears as the
cloth does there. Pieces of a split ply are registered to each other along their joins, so that the pattern runs on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside import geometry
from bagside.drape.laid import Drape
from bagside.drape.registration import Motion
from bagside.drape.slivers import GRID, Group, Left, grouped, left_out, shape_of
from bagside.drape.summary import percentile
from bagside.drape.tiling import Cell, Tiling, tile_of
from bagside.errors import InputError

Floats = NDArray[np.float64]

ALIKE = 3e-4  # [m] whole tiles whose corners lie nearer to each other than this are cut alike
WHOLE = 1e-6  # of a tile's area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tile:
    """One tile in its place.

    Parameters
    ----------
    number
        In the order of laying, from one; it lies over those with smaller numbers.
    piece
        Label of the piece of the ply whose place it takes.
    cell
        Index of its cell in the pattern; of the largest when slivers were joined to it.
    loops
        Its outline where it lies, in the piece's cloth coordinates, then holes, each shape (k, 2) [m].
    sort
        Name of the sort of whole tiles it belongs to; empty for one that is cut for its own place.
    half_turn
        Whether a tile of its sort is laid turned by half.
    area
        [m²].
    shear
        Of the cloth under it, 95 % of its area lie below [rad].
    joined
        How many slivers were joined to it.
    """

    number: int
    piece: str
    cell: tuple[int, int, int]
    loops: tuple[Floats, ...]
    sort: str
    half_turn: bool
    area: float
    shear: float
    joined: int = 0

    @property
    def centre(self) -> Floats:
        """Middle of its outline, shape (2,) [m]."""
        out: Floats = np.array(shapely.Polygon(self.loops[0]).centroid.coords[0])
        return out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sort:
    """Whole tiles that are cut alike and may be laid in any place of their sort.

    Parameters
    ----------
    name
        ``F``, or ``F1``, ``F2`` where there are several.
    outline
        What is cut, about its own middle, u along the warp, shape (k, 2) [m].
    count
        How many places it has.
    """

    name: str
    outline: Floats
    count: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatchworkPlan:
    """A ply as tiles.

    Parameters
    ----------
    tilings
        The pattern in the cloth coordinates of each piece.
    tiles
        In the order of laying.
    sorts
        Of whole tiles.
    left
        Slivers that are not cut.
    outline
        Area of the pieces that the tiles take the place of [m²].
    covered
        Of it, under at least one tile [m²].
    lapped
        Area of all tiles beyond what they cover [m²]: where they lie over each other.
    joined
        How many slivers were joined to a neighbour.
    """

    tilings: dict[str, Tiling]
    tiles: tuple[Tile, ...]
    sorts: tuple[Sort, ...]
    left: tuple[Left, ...]
    outline: float
    covered: float
    lapped: float
    joined: int

    @property
    def gaps(self) -> float:
        """Area of the gaps between tiles [m²]."""
        return self.outline - self.covered - sum(x.area for x in self.left)

    @property
    def whole(self) -> int:
        """How many whole tiles there are."""
        return sum(s.count for s in self.sorts)

    @property
    def edge_tiles(self) -> tuple[Tile, ...]:
        """Tiles that are cut for their own place."""
        return tuple(t for t in self.tiles if not t.sort)


def moved_tiling(tiling: Tiling, motion: Motion) -> Tiling:
    """Return a pattern after a rigid motion of the plane it lies in.

    Parameters
    ----------
    tiling
        The pattern.
    motion
        Of its plane.
    """
    at = motion.of(np.array([tiling.origin]))[0]
    return replace(tiling, turn=tiling.turn + motion.turn, origin=(float(at[0]), float(at[1])))


def mirrored_tiling(tiling: Tiling, quarter: bool) -> Tiling:
    """Return the mirror image of a pattern, as `bagside.planning.twin` mirrors cloth coordinates.

    Parameters
    ----------
    tiling
        The pattern.
    quarter
        Whether the twin's cloth is turned by 90°: then (u, v) becomes (−v, −u), else (u, −v).
    """
    u, v = tiling.origin
    turn = -tiling.turn - (0.5 * math.pi if quarter else 0.0)
    return replace(tiling, mirrored=not tiling.mirrored, turn=turn, origin=(-v, -u) if quarter else (u, -v))


def patchwork_of(
    drapes: Mapping[str, Drape],
    outlines: Mapping[str, Sequence[Floats]],
    tilings: Mapping[str, Tiling],
    *,
    smallest: float,
    narrowest: float,
) -> PatchworkPlan:
    """Return the tiles of a ply.

    Parameters
    ----------
    drapes
        The pieces of the ply as they lie, by label.
    outlines
        What would be cut of each without a pattern, what is trimmed off included: outline first, then holes, each
        shape (k, 2), in cloth coordinates [m].
    tilings
        The pattern in the cloth coordinates of each.
    smallest
        A tile of less area is a sliver [m²].
    narrowest
        A tile in which no circle of this diameter has room is a sliver [m].

    Returns
    -------
    PatchworkPlan
        Tiles, their sorts and what is left.

    Raises
    ------
    InputError
        When the gap leaves nothing of a tile, or no tile is left at all.

    Notes
    -----
    A sliver is joined to the neighbour it has the longest side in common with, smallest slivers first; one without a
    neighbour is left to the ply behind. A joined tile is laid when its largest cell is, and cut in one. Tiles of pieces
    that meet at a join end there: two tiles of one cell, one on each piece.
    """
    found: list[tuple[str, Group, shapely.Polygon, bool]] = []
    left: list[Left] = []
    whole_area = covered = total = 0.0
    for label in drapes:
        tiling = tilings[label]
        area = geometry.polygon(list(outlines[label]))
        whole_area += float(area.area)
        groups, dropped = grouped(label, area, tiling, smallest, narrowest)
        left.extend(dropped)
        cut: list[shapely.Polygon] = []
        for group in groups:
            shape = shape_of(group, tiling, area)
            if shape.is_empty:
                left.append(left_out(label, group.area))
                continue
            natural = _natural(tiling, group.cells[0])
            alone = len(group.cells) == 1 and abs(shape.area - natural.area) < WHOLE * natural.area
            cut.append(shape)
            found.append((label, group, natural if alone else shape, alone))
        total += sum(float(s.area) for s in cut)
        covered += float(shapely.union_all(cut, grid_size=GRID).area) if cut else 0.0
    if not found:
        raise InputError.one(
            "patchwork, size", f"{1e3 * next(iter(tilings.values())).size:.1f} mm", "no tile is left on this ply"
        )
    sorts, of = _sorted([shape if alone else None for _, _, shape, alone in found])
    shears = _shears(drapes, [(label, shape) for label, _, shape, _ in found])
    tiles = tuple(
        Tile(
            number=number,
            piece=label,
            cell=group.cells[0].index,
            loops=geometry.loops_of(shape),
            sort=name,
            half_turn=half,
            area=float(shape.area),
            shear=shears[number - 1],
            joined=group.joined,
        )
        for number, ((label, group, shape, _), (name, half)) in enumerate(zip(found, of, strict=True), 1)
    )
    return PatchworkPlan(
        tilings=dict(tilings),
        tiles=tiles,
        sorts=sorts,
        left=tuple(left),
        outline=whole_area,
        covered=covered,
        lapped=total - covered,
        joined=sum(t.joined for t in tiles),
    )


def _natural(tiling: Tiling, cell: Cell) -> shapely.Polygon:
    try:
        return tile_of(tiling, cell)
    except ValueError:
        raise InputError.one(
            "patchwork, gap",
            f"{1e3 * tiling.gap:.1f} mm",
            f"the gap leaves nothing of a tile whose cell measures {1e3 * tiling.size:.1f} mm",
        ) from None


def _sorted(shapes: Sequence[shapely.Polygon | None]) -> tuple[tuple[Sort, ...], list[tuple[str, bool]]]:
    """Return the sorts of whole tiles, and each tile's sort and whether it lies turned by half."""
    made: list[tuple[Floats, int]] = []
    of: list[tuple[int, bool]] = []
    for shape in shapes:
        if shape is None:
            of.append((-1, False))
            continue
        own = np.asarray(shape.exterior.coords)[:-1]
        own = own - np.asarray(shape.centroid.coords[0])
        for k, (outline, count) in enumerate(made):
            half = next((h for h in (False, True) if _alike(-own if h else own, outline)), None)
            if half is not None:
                made[k] = (outline, count + 1)
                of.append((k, half))
                break
        else:
            made.append((own, 1))
            of.append((len(made) - 1, False))
    names = ["F"] if len(made) == 1 else [f"F{k + 1}" for k in range(len(made))]
    sorts = tuple(Sort(name=n, outline=o, count=c) for n, (o, c) in zip(names, made, strict=True))
    return sorts, [("" if k < 0 else names[k], half) for k, half in of]


def _alike(one: Floats, other: Floats) -> bool:
    if len(one) != len(other):
        return False
    return any(np.abs(np.roll(one, k, axis=0) - other).max() < ALIKE for k in range(len(one)))


def _shears(drapes: Mapping[str, Drape], shapes: Sequence[tuple[str, shapely.Polygon]]) -> list[float]:
    """Return the shear under each tile that 95 % of its area does not exceed [rad]."""
    out = [0.0] * len(shapes)
    for label, lain in drapes.items():
        middle = lain.uv[lain.surface.triangles].mean(axis=1)
        tree = shapely.STRtree(shapely.points(middle))
        own = [k for k, (piece, _) in enumerate(shapes) if piece == label]
        which, under = tree.query([shapes[k][1] for k in own], predicate="contains")
        order = np.argsort(which, kind="stable")
        which, under = which[order], under[order]
        bounds = np.searchsorted(which, np.arange(len(own) + 1))
        for n, k in enumerate(own):
            found = under[bounds[n] : bounds[n + 1]]
            if len(found) == 0:
                found = np.array([tree.nearest(shapes[k][1].representative_point())])
            out[k] = float(percentile(np.abs(lain.shear[found]), lain.surface.areas[found], 0.95))
    return out
