"""Cells of a pattern at the rim of a piece: what of them is cut, and what becomes of slivers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from bagside.drape.tiling import Cell, Tiling, cells_over, tile_of

GRID = 1e-9  # [m]
SPECK = 1e-10  # [m²] parts of cells below this are noise of cutting
SIDE = 1e-4  # [m] shorter than this, two tiles have no side in common


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A sliver that is not cut: the ply behind shows there.

    Parameters
    ----------
    piece
        Label of the piece.
    area
        [m²].
    width
        Of the largest circle in it [m].
    centre
        In cloth coordinates [m].
    """

    piece: str
    area: float
    width: float
    centre: tuple[float, float]


@dataclass(slots=True)
class Group:
    """A cell's part within the outline, and what was joined to it.

    Parameters
    ----------
    cells
        The largest first.
    area
        Their part within the outline.
    joined
        How many slivers were joined.
    """

    cells: list[Cell]
    area: shapely.Geometry
    joined: int = 0


def grouped(
    label: str, area: shapely.Geometry, tiling: Tiling, smallest: float, narrowest: float
) -> tuple[list[Group], list[Left]]:
    """Return the parts of cells within an outline, slivers joined to neighbours, and slivers that have none.

    Parameters
    ----------
    label
        Of the piece.
    area
        Of the piece, in cloth coordinates [m].
    tiling
        The pattern in the same coordinates.
    smallest
        A tile of less area is a sliver [m²].
    narrowest
        A tile in which no circle of this diameter has room is a sliver [m].

    Returns
    -------
    tuple
        Groups in the order of laying, and what is left.
    """
    low_u, low_v, high_u, high_v = area.bounds
    box = np.array([[low_u, low_v], [high_u, low_v], [high_u, high_v], [low_u, high_v]])
    shapely.prepare(area)
    groups: list[Group] = []
    whole: set[int] = set()
    order: dict[tuple[int, int, int], int] = {}
    for cell in cells_over(tiling, box):
        order[cell.index] = len(order)
        full = shapely.Polygon(cell.corners)
        if area.contains_properly(full):
            groups.append(Group(cells=[cell], area=full))
            whole.add(id(groups[-1]))
            continue
        inside = shapely.intersection(full, area, grid_size=GRID)
        parts = [p for p in shapely.get_parts(inside) if isinstance(p, shapely.Polygon) and p.area > SPECK]
        groups.extend(Group(cells=[cell], area=part) for part in parts)

    def sliver(group: Group) -> bool:
        shape = shape_of(group, replace(tiling, overlap=0.0), area)
        return bool(shape.area < smallest or _width(shape) < narrowest)

    # cells that lie inside altogether are all alike but for their kind: one of each is looked at
    first = {g.cells[0].index[2]: g for g in reversed(groups) if id(g) in whole}
    small_kinds = {kind for kind, group in first.items() if sliver(group)}
    left: list[Left] = []
    waiting = sorted(
        (g for g in groups if (g.cells[0].index[2] in small_kinds if id(g) in whole else sliver(g))),
        key=lambda g: float(g.area.area),
    )
    while waiting:
        small = waiting.pop(0)
        if small not in groups or not sliver(small):
            continue
        others = [g for g in groups if g is not small]
        apart = shapely.distance(small.area, np.array([g.area for g in others], dtype=object)) if others else []
        beside = [g for g, off in zip(others, apart, strict=True) if off < 10 * GRID]
        common = [_common(small.area, g.area) for g in beside]
        groups.remove(small)
        if not common or max(common) < SIDE:
            left.append(left_out(label, small.area))
            continue
        host = beside[int(np.argmax(common))]
        main, rest = host.cells, small.cells
        if host.area.area < small.area.area:
            main, rest = rest, main
        host.cells = [*main, *rest]
        host.area = shapely.union_all([host.area, small.area], grid_size=GRID)
        host.joined += 1 + small.joined
        if sliver(host):
            waiting.append(host)
    return sorted(groups, key=lambda g: order[g.cells[0].index]), left


def shape_of(group: Group, tiling: Tiling, area: shapely.Geometry) -> shapely.Polygon:
    """Return what is cut for a group of cells; empty when the gap leaves nothing of it.

    Parameters
    ----------
    group
        Of cells.
    tiling
        The pattern.
    area
        Of the piece, in cloth coordinates [m].
    """
    if tiling.gap > 0.0:
        cells = shapely.union_all([shapely.Polygon(c.corners) for c in group.cells], grid_size=GRID)
        pulled_in = cells.buffer(-0.5 * tiling.gap, join_style="mitre", mitre_limit=5.0)
        shape = shapely.intersection(pulled_in, group.area, grid_size=GRID)
    elif tiling.overlap > 0.0:
        longer = shapely.union_all([tile_of(tiling, c) for c in group.cells], grid_size=GRID)
        shape = shapely.intersection(longer, area, grid_size=GRID)
    else:
        shape = group.area
    parts = [p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)]
    if not parts:
        return shapely.Polygon()
    return max(parts, key=lambda p: float(shapely.intersection(p, group.area, grid_size=GRID).area))


def _width(shape: shapely.Polygon) -> float:
    """Return the diameter of the largest circle in a shape [m]."""
    return 0.0 if shape.is_empty else 2.0 * float(shapely.maximum_inscribed_circle(shape, tolerance=1e-5).length)


def _common(one: shapely.Geometry, other: shapely.Geometry) -> float:
    """Return the length of the side two areas have in common [m]."""
    return 0.5 * float(shapely.intersection(one.buffer(1e-7), other.boundary).length) + 0.5 * float(
        shapely.intersection(other.buffer(1e-7), one.boundary).length
    )


def left_out(label: str, shape: shapely.Geometry) -> Left:
    """Return an area as one that is not cut.

    Parameters
    ----------
    label
        Of the piece.
    shape
        The area [m].
    """
    middle = shape.representative_point()
    widest = max((_width(p) for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)), default=0.0)
    return Left(piece=label, area=float(shape.area), width=widest, centre=(float(middle.x), float(middle.y)))
