"""How good a set of cuts is: the ply cut along them on a coarse mesh, every piece laid, and what still goes wrong.

Cuts follow edges of the coarse mesh here, so that no slivers arise: a trial compares cuts, it does not draw them.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components, dijkstra
from scipy.spatial import cKDTree

from bagside import geometry
from bagside.drape.cuts import Cut
from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw
from bagside.drape.pattern import pattern_of
from bagside.drape.solve import drape
from bagside.drape.summary import HOLLOW, curvature_along, percentile, smoothed
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface
from bagside.geometry.geodesic import sides_across
from bagside.geometry.polyline import length_of, resampled
from bagside.geometry.slit import on_rim, slit
from bagside.geometry.surface import Floats, Ints
from bagside.geometry.topology import parts
from bagside.spec.lines import Join

Bools = NDArray[np.bool_]

AT_RIM = 1.2  # edge lengths from the rim within which no piece is begun: the warp's line would leave it at once
UPRIGHT = 0.3  # of a direction's length must lie in the surface for it to name one there
UNLAID = 10.0  # excess over the area of a piece that cannot be laid, or not cut from one layer
ASIDE = 3.0  # edge lengths: beyond this a way beside its line costs ten times as much
NEAR_CUT = 0.004  # [m] a corner this close to a cut, and half an edge more, is not spanned
CRUMB = 6.0  # squares of the edge length: smaller parts of a trial are crumbs of its coarse mesh
SHORT = 0.02  # [m] of a corner may be spanned: less is worked in by hand


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a laid piece may show before it is cut again.

    Parameters
    ----------
    shear
        Largest angle by which warp and weft may close [rad]; nothing when the cloth has no such limit.
    compression
        Largest strain by which cloth may be too long for its place.
    tension_in_hollow
        Largest strain by which it may be too short over a hollow.
    area
        Places smaller than this are let be [m²].
    most_cuts
        No more cuts than this are tried.
    """

    shear: float | None
    compression: float = 0.01
    tension_in_hollow: float = 0.005
    area: float = 2e-4
    most_cuts: int = 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """A set of cuts and what it leads to.

    Parameters
    ----------
    cuts
        The cuts.
    excess
        What is over its limit, as a multiple of it, times the area it holds for, summed [m²]; zero when all is within.
    shear_99, compression_99
        What 99 % of the area stays below: shear [rad], strain by which cloth is too long; infinite when a piece could
        not be laid.
    spanned
        Length of concave corners that cloth spans without a cut [m].
    cut_length
        Of all cuts together [m].
    overlap_area
        Extra cloth for overlaps [m²].
    kept
        Whether the search went on from it.
    laid
        Whether every piece could be laid and cut from one layer.
    note
        What was tried, or why it failed.
    """

    cuts: tuple[Cut, ...]
    excess: float
    shear_99: float
    compression_99: float
    spanned: float
    cut_length: float
    overlap_area: float
    kept: bool
    laid: bool
    note: str

    @property
    def fine(self) -> bool:
        """Whether nothing is over its limit and no corner is spanned."""
        return self.excess <= 0 and self.spanned <= SHORT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """One piece as laid in a trial.

    Parameters
    ----------
    surface
        The piece.
    drape
        How it lies; nothing when it could not be laid.
    over
        By how much each triangle is over its limits, shape (m,); zero in places small enough to be let be.
    why
        Why it could not be laid or cut; else empty.
    """

    surface: Surface
    drape: Drape | None
    over: Floats
    why: str

    @property
    def excess(self) -> float:
        """What is over its limit times the area it holds for [m²]."""
        return float(self.over @ self.surface.areas)


def piece_start(surface: Surface, start: Floats, direction: Floats, reach: float = 1e-3) -> tuple[Floats, Floats]:
    """Return where a piece is begun and along which direction, from what is stated for the whole ply.

    Parameters
    ----------
    surface
        The piece.
    start
        Start of the ply, shape (3,) [m]; the piece on which it lies begins there.
    direction
        Wanted direction of the warp, shape (3,).
    reach
        How far the start may lie off the piece to count as on it [m].

    Returns
    -------
    tuple
        Start, shape (3,) [m]: the stated one, or beside the vertex furthest from the rim when that lies elsewhere or in
        the rim's own triangles; direction there, shape (3,): the
        stated one laid into the surface, or, where it stands steeply up from it, turned with the surface from the
        start.
    """
    off, triangle, at = geometry.nearest(surface, np.asarray(start, dtype=np.float64)[None])
    wanted = np.asarray(direction, dtype=np.float64)
    wanted = wanted / max(float(np.linalg.norm(wanted)), 1e-300)
    inward = depth(surface)
    if off[0] <= reach and inward[surface.triangles[triangle[0]]].max() > AT_RIM * surface.edge_length:
        return at[0], wanted
    deep = int(inward.argmax())
    here = int(np.flatnonzero((surface.triangles == deep).any(axis=1))[0])
    normal, first = surface.normals[here], surface.normals[int(triangle[0])]
    flat = wanted - (wanted @ normal) * normal
    if np.linalg.norm(flat) < UPRIGHT:
        axis, cosine = np.cross(first, normal), float(first @ normal)
        wanted = wanted - (wanted @ first) * first
        if cosine > -0.99:
            wanted = wanted * cosine + np.cross(axis, wanted) + axis * (axis @ wanted) / (1 + cosine)
        flat = wanted - (wanted @ normal) * normal
        if np.linalg.norm(flat) < 1e-3:
            flat = np.cross(normal, np.eye(3)[int(np.abs(normal).argmin())])  # none is named: any will do
    inside: Floats = surface.centroids[here]
    return inside, flat


def depth(surface: Surface) -> Floats:
    """Return how far each vertex lies from the rim along edges, shape (n,) [m].

    Parameters
    ----------
    surface
        The surface.
    """
    e, n = surface.edges, len(surface.vertices)
    long = np.linalg.norm(surface.vertices[e[:, 0]] - surface.vertices[e[:, 1]], axis=1)
    graph = sp.csr_array((np.maximum(long, 1e-12), (e[:, 0], e[:, 1])), shape=(n, n))
    rim = np.flatnonzero(on_rim(surface))
    if len(rim) == 0:
        return np.zeros(n)
    out: Floats = dijkstra(graph, directed=False, indices=rim, min_only=True)
    return np.where(np.isfinite(out), out, 0.0)


def laid_sheet(surface: Surface, start: Floats, direction: Floats, law: ClothLaw, limits: Limits) -> Sheet:
    """Return a piece laid, with what is over its limits.

    Parameters
    ----------
    surface
        The piece.
    start
        Start of the ply, shape (3,) [m].
    direction
        Wanted direction of the warp, shape (3,).
    law
        How the cloth resists.
    limits
        What it may show.
    """
    at, way = piece_start(surface, start, direction, reach=max(1e-3, 0.25 * surface.edge_length))
    none = np.full(len(surface.triangles), UNLAID)
    try:
        laid = drape(surface, start=at, direction=way, law=law, start_reach=surface.edge_length + 0.005)
    except (NotSolved, InputError) as error:
        return Sheet(surface=surface, drape=None, over=none, why=str(error))
    try:
        pattern_of(laid)
    except NotSolved as error:
        return Sheet(surface=surface, drape=laid, over=none, why=str(error))
    return Sheet(surface=surface, drape=laid, over=_over(laid, limits), why="")


def _over(laid: Drape, limits: Limits) -> Floats:
    surface = laid.surface
    worst = np.zeros(len(surface.triangles))
    if limits.shear is not None:
        worst = np.maximum(worst, np.abs(smoothed(surface, laid.shear)) / limits.shear - 1)
    for direction, stretch in ((laid.warp, laid.stretch_warp), (laid.weft, laid.stretch_weft)):
        strain = smoothed(surface, stretch)
        worst = np.maximum(worst, -strain / limits.compression - 1)
        hollow = smoothed(surface, curvature_along(surface, direction)) < -1 / HOLLOW
        worst = np.maximum(worst, np.where(hollow, strain / limits.tension_in_hollow - 1, 0))
    return np.where(_large(surface, worst > 0, limits.area), worst, 0.0)


def _large(surface: Surface, where: Bools, least: float) -> Bools:
    """Return the triangles that are chosen in connected places of at least an area."""
    across = sides_across(surface)
    mine, side = np.nonzero((across >= 0) & where[:, None])
    other = across[mine, side] // 3
    both = where[other]
    m = len(where)
    link = sp.coo_array((np.ones(int(both.sum()), dtype=np.int8), (mine[both], other[both])), shape=(m, m))
    _, part = connected_components(link, directed=False)
    area = np.bincount(part, weights=surface.areas)
    out: Bools = where & (area[part] >= least)
    return out


def edge_way(surface: Surface, line: Floats, closed: bool, held: Ints) -> Ints:
    """Return the way over edges that keeps closest to a line, shape (k,).

    Parameters
    ----------
    surface
        The surface.
    line
        Points on it, shape (k, 3) [m].
    closed
        Whether the line closes.
    held
        Vertices, as those of other cuts, that an end takes rather than a vertex beside them, shape (h,).
    """
    v, e, n = surface.vertices, surface.edges, len(surface.vertices)
    h = surface.edge_length
    fine = resampled(line, 0.25 * h)
    off, _ = _tree(fine, v)
    long = np.linalg.norm(v[e[:, 0]] - v[e[:, 1]], axis=1)
    dear = 1 + 9 * np.minimum(np.maximum(off[e[:, 0]], off[e[:, 1]]) / (ASIDE * h), 1.0)
    graph = sp.csr_array((long * dear, (e[:, 0], e[:, 1])), shape=(n, n))
    rim = np.flatnonzero(on_rim(surface))

    def vertex(p: Floats) -> int:
        for some, reach in ((rim, 0.75), (held, 1.5)):
            if len(some):
                away = np.linalg.norm(v[some] - p, axis=1)
                if away.min() < reach * h:
                    return int(some[away.argmin()])
        return int(np.linalg.norm(v - p, axis=1).argmin())

    stops = [vertex(line[0]), vertex(line[-1])]
    if closed or stops[0] == stops[1]:
        third = len(fine) // 3
        stops = [stops[0], vertex(fine[third]), vertex(fine[2 * third]), stops[0]]
    way: list[int] = [stops[0]]
    for a, b in itertools.pairwise(stops):
        _, before = dijkstra(graph, directed=False, indices=a, return_predecessors=True)
        leg = [b]
        while leg[-1] != a and before[leg[-1]] >= 0:
            leg.append(int(before[leg[-1]]))
        way += leg[::-1][1:]
    return np.array(way, dtype=np.int64)


def _tree(points: Floats, at: Floats) -> tuple[Floats, Ints]:
    off, which = cKDTree(points).query(at)
    return np.asarray(off, dtype=np.float64), np.asarray(which, dtype=np.int64)


def spanned_length(corners: Sequence[Floats], cuts: Sequence[Cut], near: float) -> float:
    """Return the length of corners that no cut runs along [m].

    Parameters
    ----------
    corners
        Lines of tight concave corners, each shape (k, 3) [m].
    cuts
        The cuts.
    near
        A corner this close to a cut is not spanned [m].
    """
    total = 0.0
    fine = [resampled(c.line, 0.002) for c in cuts]
    for corner in corners:
        line = resampled(np.asarray(corner, dtype=np.float64), 0.002)
        off = np.min([_tree(f, line)[0] for f in fine], axis=0) if fine else np.full(len(line), np.inf)
        free = off > near
        step = np.linalg.norm(np.diff(line, axis=0), axis=1)
        total += float(step[free[1:] & free[:-1]].sum())
    return total


@dataclass(slots=True, kw_only=True, eq=False)
class Tries:
    """One ply on its coarse mesh, with what has been laid so far.

    Parameters
    ----------
    surface
        The coarse mesh.
    start, direction
        As stated for the ply.
    law
        How the cloth resists.
    limits
        What a piece may show.
    corners
        Lines of tight concave corners.
    laid
        Pieces laid so far, by their triangles.
    count
        How many were laid.
    """

    surface: Surface
    start: Floats
    direction: Floats
    law: ClothLaw
    limits: Limits
    corners: Sequence[Floats]
    laid: dict[bytes, Sheet] = field(default_factory=dict)
    count: int = 0

    def sheets(self, cuts: Sequence[Cut]) -> list[Sheet]:
        """Return the pieces that cuts leave, laid.

        Parameters
        ----------
        cuts
            The cuts.
        """
        ways: list[Ints] = []
        for cut in cuts:
            held = np.unique(np.concatenate(ways)) if ways else np.zeros(0, dtype=np.int64)
            ways.append(edge_way(self.surface, np.asarray(cut.line), cut.closed, held))
        opened, _ = slit(self.surface, ways)
        count, of = parts(opened.triangles, len(opened.vertices))
        area = np.bincount(of, weights=opened.areas, minlength=count)
        out: list[Sheet] = []
        for k in range(count):
            if count > 1 and area[k] < CRUMB * self.surface.edge_length**2:
                continue
            piece = opened.selected(of == k)
            key = piece.triangles.tobytes() + piece.vertices.tobytes()
            if key not in self.laid:
                self.count += 1
                self.laid[key] = laid_sheet(piece, self.start, self.direction, self.law, self.limits)
            out.append(self.laid[key])
        return out

    def tried(self, cuts: Sequence[Cut], note: str) -> tuple[Trial, list[Sheet]]:
        """Return what cuts lead to, and the pieces laid.

        Parameters
        ----------
        cuts
            The cuts.
        note
            What is tried.
        """
        sheets = self.sheets(cuts)
        near = NEAR_CUT + 0.5 * self.surface.edge_length
        return judged(cuts, sheets, spanned_length(self.corners, cuts, near), note), sheets


def judged(cuts: Sequence[Cut], sheets: Sequence[Sheet], spanned: float, note: str) -> Trial:
    """Return what cuts lead to.

    Parameters
    ----------
    cuts
        The cuts.
    sheets
        The pieces they leave, laid.
    spanned
        Length of corners that stay spanned [m].
    note
        What was tried.
    """
    failed = [s.why for s in sheets if s.why]
    shear = compression = np.inf
    if all(s.drape is not None for s in sheets):
        laid = [s.drape for s in sheets if s.drape is not None]
        areas = np.concatenate([s.surface.areas for s in sheets])
        shear = percentile(np.concatenate([np.abs(d.shear) for d in laid]), areas, 0.99)
        short = [-np.minimum(np.minimum(d.stretch_warp, d.stretch_weft), 0) for d in laid]
        compression = percentile(np.concatenate(short), areas, 0.99)
    lengths = [length_of(np.asarray(c.line)) for c in cuts]
    wide = [0.0 if c.join is Join.BUTT else c.overlap for c in cuts]
    return Trial(
        cuts=tuple(cuts),
        excess=float(sum(s.excess for s in sheets)),
        shear_99=shear,
        compression_99=compression,
        spanned=spanned,
        cut_length=float(sum(lengths)),
        overlap_area=float(sum(a * b for a, b in zip(lengths, wide, strict=True))),
        kept=False,
        laid=bool(sheets) and not failed,
        note=f"{note}: {failed[0]}" if failed else note,
    )
