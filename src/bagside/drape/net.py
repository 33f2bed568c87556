"""A pin-jointed net over a surface: the quick look, and the second opinion on `drape`.

Threads cross at nodes that lie one spacing apart over straight links; at the nodes they turn like scissors. Two threads
through the start are laid straight (or one along a line that is stated), and then each node follows from three others.
Nothing is solved and nothing is smoothed: what is wrong at one node is carried on to all behind it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.halves import Halves, halves_of
from bagside.drape.net_cells import cells_of, jammed_of, nodes_of
from bagside.drape.net_grid import Grid
from bagside.drape.net_threads import Thread, along_line, further_in, straight
from bagside.drape.refuse import direction_on, start_on
from bagside.errors import InputError
from bagside.geometry import Surface, barycentric, nearest

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PREVIEW = 2_500  # nodes on a surface without holes
PATIENCE = 20_000  # sweeps
PREVIEW_PATIENCE = 300  # a sheet without holes, begun in its middle, is filled in about a hundred
FEWEST, MOST = 4, 1_000_000  # nodes that would cover a surface
OVER = 1.6  # nodes, over what would cover the surface without shear: beyond it the net lies on itself
START_REACH = 0.005  # [m]
OUTSIDE = 0.5  # spacings from the nearest cell: beyond it the net says nothing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Net:
    """A pin-jointed net on a surface.

    Parameters
    ----------
    spacing
        Straight distance between neighbouring nodes [m].
    start
        The first node, shape (3,) [m].
    threads
        Thread numbers of each node from the start, along the warp and along the weft, shape (k, 2).
    points
        Its position, shape (k, 3) [m].
    triangles
        The triangle it lies in, shape (k,).
    cells
        Nodes of each whole cell, going round: first, next along the warp, opposite, next along the weft, shape (c, 4).
    shear
        Change of the right angle between warp and weft in each cell, positive where they close, shape (c,) [rad].
    areas
        Area of each cell, shape (c,) [m²].
    jammed
        Where threads could not be crossed any further: the corner of each cell that would not close, shape (j, 3) [m].
    coverage
        Area of the whole cells over the area of the surface.
    """

    spacing: float
    start: Floats
    threads: Ints
    points: Floats
    triangles: Ints
    cells: Ints
    shear: Floats
    areas: Floats
    jammed: Floats
    coverage: float

    def shear_at(self, surface: Surface) -> Floats:
        """Return the shear in each triangle of a surface, not a number where the net does not reach.

        Parameters
        ----------
        surface
            The surface, or another mesh of it.

        Returns
        -------
        array
            Interpolated between the nodes, each with the mean of its cells, shape (m,) [rad].
        """
        out = np.full(len(surface.triangles), np.nan)
        if len(self.cells) == 0 or len(out) == 0:
            return out
        number = np.bincount(self.cells.ravel(), minlength=len(self.points))
        total = np.bincount(self.cells.ravel(), weights=np.repeat(self.shear, 4), minlength=len(self.points))
        node = total / np.maximum(number, 1)
        sheet = Surface(self.points, np.concatenate([self.cells[:, [0, 1, 2]], self.cells[:, [0, 2, 3]]]))
        away, triangle, closest = nearest(sheet, surface.centroids)
        near = away <= OUTSIDE * self.spacing
        weight = barycentric(sheet, triangle[near], closest[near])
        out[near] = np.einsum("kj,kj->k", weight, node[sheet.triangles[triangle[near]]])
        return out


def net(
    surface: Surface,
    *,
    start: Floats,
    direction: Floats,
    spacing: float,
    line: Floats | None = None,
    across: Floats | None = None,
    patience: int = PATIENCE,
    start_reach: float = START_REACH,
) -> Net:
    """March a pin-jointed net over a surface from two threads through a start.

    Parameters
    ----------
    surface
        Any surface; where it has several parts, the one with the start is covered.
    start
        Where the two threads cross, shape (3,) [m].
    direction
        Direction of the warp there, laid into the surface, shape (3,).
    spacing
        Straight distance between nodes [m].
    line
        Corners of a line on the surface that the warp follows instead of going straight, in its sense, shape (k, 3)
        [m]; the start is then its point nearest the stated one, and beyond its ends the warp goes straight on.
    across
        Likewise for the weft; it is followed from its point nearest the start.
    patience
        Sweeps after which filling stops; in each all nodes are placed whose three neighbours are known.
    start_reach
        How far the start may lie off the surface [m].

    Returns
    -------
    Net
        Nodes, cells, their shear.

    Raises
    ------
    InputError
        When the surface has no area, the start lies off it, the direction stands straight up from it, or the spacing
        gives no net.

    Notes
    -----
    Each node lies on the surface exactly and one spacing from two neighbours; the error of shear falls with the square
    of the spacing. It grows with the roughness over the spacing and along the threads: take spacings of twenty times
    the noise. Behind a hole or a notch the threads are free; there one goes straight on, so that the net is one
    possible one of many; through a neck narrower than a few spacings it does not find. From a start in a corner, where
    all threads leave the surface at once, the crossing is moved half across the surface, the warp carried along
    unturned. Cells whose sides do not fit, where the net met itself round a hole, are left out.

    References
    ----------
    Mack, C., Taylor, H. M. (1956), J. Textile Inst. 47, T477–T488.
    """
    if len(surface.triangles) == 0 or not surface.area > 0:
        raise InputError.one("surface to drape", "no triangle", "a surface with at least one triangle is wanted")
    if not (math.isfinite(spacing) and spacing > 0 and surface.area / spacing**2 <= MOST):
        raise InputError.one(
            "spacing of the net",
            f"{1e3 * spacing:g} mm",
            f"a positive length that gives at most {MOST} nodes is wanted",
        )
    at, triangle, _ = start_on(surface, np.asarray(start, dtype=np.float64), start_reach)
    warp = direction_on(surface, triangle, np.asarray(direction, dtype=np.float64))
    halves = halves_of(surface)
    if line is not None:
        at, triangle, warp, ahead, behind = along_line(surface, halves, at, _line("warp", line), spacing)
    threads = _crossing(surface, halves, at, triangle, warp, spacing)
    if line is not None:
        threads[0], threads[2] = ahead, behind
    if across is not None:
        _, _, _, threads[1], threads[3] = along_line(surface, halves, at, _line("weft", across), spacing)
    if not any(len(points) for points, _ in threads):
        at, triangle, warp = further_in(surface, halves, at, triangle, warp)
        threads = _crossing(surface, halves, at, triangle, warp, spacing)
    grid = Grid(halves, spacing, threads, at, triangle)
    grid.filled(int(OVER * surface.area / spacing**2) + sum(len(p) for p, _ in threads) + FEWEST, patience)
    return _net(surface, grid, at)


def preview(surface: Surface, start: Floats, direction: Floats) -> Net:
    """Return a quick look at how a cloth would lie: a net of about 2500 nodes.

    Parameters
    ----------
    surface
        The surface.
    start
        Where laying starts, shape (3,) [m].
    direction
        Direction of the warp there, shape (3,).

    Raises
    ------
    InputError
        As `net`.

    Notes
    -----
    It follows no scan's noise and steps over creases narrower than its spacing. Where holes or notches keep it busy
    it stops early and covers less.
    """
    spacing = math.sqrt(max(surface.area, 1e-12) / PREVIEW)
    return net(surface, start=start, direction=direction, spacing=spacing, patience=PREVIEW_PATIENCE)


def _crossing(
    surface: Surface, halves: Halves, at: Floats, triangle: int, warp: Floats, spacing: float
) -> list[Thread]:
    weft = np.cross(surface.normals[triangle], warp)
    return straight(surface, halves, at, triangle, np.stack([warp, weft, -warp, -weft]), spacing)


def _line(thread: str, line: Floats) -> Floats:
    points, place = np.asarray(line, dtype=np.float64), f"line of the {thread}"
    if points.ndim != 2 or points.shape[1:] != (3,) or not np.isfinite(points).all():
        raise InputError.one(place, f"an array of shape {points.shape}", "finite points (k, 3) are wanted")
    if not float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()) > 0:
        raise InputError.one(place, "a line without length", "at least two different points are wanted")
    return points


def _net(surface: Surface, grid: Grid, start: Floats) -> Net:
    nodes = nodes_of(grid)
    cells = cells_of(nodes, grid.spacing)
    corner = nodes.points[cells]
    along, across = corner[:, 2] - corner[:, 0], corner[:, 1] - corner[:, 3]
    long, wide = np.linalg.norm(along, axis=1), np.linalg.norm(across, axis=1)
    areas = 0.5 * np.linalg.norm(np.cross(along, across), axis=1)
    return Net(
        spacing=grid.spacing,
        start=start,
        threads=nodes.threads,
        points=nodes.points,
        triangles=nodes.triangles,
        cells=cells,
        shear=np.pi / 2 - 2 * np.arctan2(wide, long),
        areas=areas,
        jammed=jammed_of(grid),
        coverage=float(areas.sum() / surface.area),
    )
