"""The picture of the part on the mould.

A raster carries what has area (mould grey, colour bands, relief); vectors on top, in the same projection, carry what
has an edge (yarns, cut edges, net edge, arrows, letters). Hidden parts of lines are taken away by the raster's depth.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from bagside.geometry import Surface
from bagside.sheets import colour, marks, paper
from bagside.sheets.colour import Bands
from bagside.sheets.grounds import both, on_cloth
from bagside.sheets.layers import Layers, drawn_layers
from bagside.sheets.maps import at_vertices
from bagside.sheets.raster import Seen, rasterised
from bagside.sheets.typeface import CAPTION, NOTE
from bagside.sheets.view import View, view_of
from bagside.sheets.yarns import isolines

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_DPI = 150
_TIMES = 2
_LIGHT = np.array([-0.5, 0.6, 0.63])
_DARKEST, _LIGHTEST = 0.70, 1.05
YARNS_APART = 2.8  # [mm] on paper
RINGS_APART = 5.4  # [mm] on paper
FIGURE_ROOM = 4  # [mm] of free line on both sides of a figure
ON_TOP = 0.6  # of the pieces' lift: how much an overlap stands over what lies under it
HATCH, HATCH_LINE = 1.3, 0.16  # [mm] of an overlap's hatch, along the row; thin, so that the map is read between


class LineLook(Enum):
    """How a line on the mould is drawn: weight [mm], dashes."""

    CUT = (paper.EDGE, "")
    NET_EDGE = (paper.THIN, marks.NET_EDGE)
    BELOW = (paper.THIN, marks.BELOW)
    FEATURE = (paper.HAIR, "")
    ORDER = (0.2, "2.6 0.5")
    JOIN_2 = (paper.EDGE, "2.4 1")
    JOIN_3 = (paper.EDGE, "0.8 0.8")
    JOIN_4 = (paper.BOLD, "")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MouldLine:
    """A line on the mould.

    Parameters
    ----------
    points
        Shape (k, 3) [m].
    look
        What it means.
    words
        A figure on the line, as on a contour; empty for none.
    """

    points: Floats
    look: LineLook
    words: str = ""


CLOTH = "cloth"
"""Name of the shape of the cloth that is seen, in every picture."""


class PointLook(Enum):
    """What stands at a point on the mould."""

    START = "start"
    HOLE = "hole"
    PILOT = "pilot"
    RING = "ring"
    LABEL = "label"
    LETTER = "letter"
    DOT = "dot"


HALOED = frozenset({PointLook.LABEL, PointLook.LETTER, PointLook.DOT})
"""What brings its own paper with it and so can be read on anything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldPoint:
    """A mark or a word at a point on the mould.

    Parameters
    ----------
    at
        Position [m].
    look
        What it is.
    words
        Number in a ring, or a label.
    """

    at: tuple[float, float, float]
    look: PointLook
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OnMould:
    """One piece lying on the mould.

    Parameters
    ----------
    surface
        The piece.
    values
        What is coloured, one a triangle, SI, shape (m,); None leaves the cloth plain.
    uv
        Cloth coordinates at each vertex, shape (n, 2) [m]; None draws no yarns.
    label
        Its name in large letters; empty for none.
    past
        How far each vertex lies past a join line, on the neighbour, shape (n,) [m]; None when it overlaps nothing.
    under
        Whether a vertex of the rim lies under the neighbour, shape (n,); None for none.
    """

    surface: Surface
    values: Floats | None = None
    uv: Floats | None = None
    label: str = ""
    past: Floats | None = None
    under: NDArray[np.bool_] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MouldPicture:
    """A picture and what had to be said about it.

    Parameters
    ----------
    svg
        The picture.
    view
        From where it is seen.
    hidden
        Share of the pieces' area that is not seen from there.
    """

    svg: str
    view: View
    hidden: float


@dataclass(slots=True)
class _Frame:
    view: View
    scale: float
    shift: Floats
    width: float
    height: float
    seen: Seen = field(init=False)
    lift: float = 0.0

    def on_paper(self, points: Floats) -> Floats:
        """Return points as x, y on paper [mm] and depth [m], shape (k, 3)."""
        p = self.view.seen(points)
        return np.column_stack([self.shift[0] + self.scale * p[:, 0], self.shift[1] - self.scale * p[:, 1], p[:, 2]])

    def visible(self, on_paper: Floats) -> NDArray[np.bool_]:
        """Return whether nothing stands before each point."""
        per = self.seen.depth.shape[1] / self.width
        col = np.floor(on_paper[:, 0] * per).astype(np.int64)
        row = np.floor(on_paper[:, 1] * per).astype(np.int64)
        high, wide = self.seen.depth.shape
        inside = (col >= 0) & (row >= 0) & (col < wide) & (row < high)
        out = np.zeros(len(on_paper), dtype=np.bool_)
        out[inside] = on_paper[inside, 2] + 2.0 * self.lift >= self.seen.depth[row[inside], col[inside]]
        return out


def mould_picture(
    mould: Surface,
    pieces: Sequence[OnMould] = (),
    *,
    bands: Bands = colour.SHEAR,
    lines: Sequence[MouldLine] = (),
    points: Sequence[MouldPoint] = (),
    arrows: Sequence[tuple[Floats, Floats]] = (),
    size_mm: tuple[float, float] = (184.0, 110.0),
    view: View | None = None,
    yarn_spacing: float = 0.012,
    by_hand: bool = False,
    title: str = "the part on the mould",
) -> MouldPicture:
    """Return the picture of pieces on the mould, true to its print size.

    Parameters
    ----------
    mould
        The mould's surface.
    pieces
        What lies on it.
    bands
        Colours of the pieces' values.
    lines, points
        Vectors on top; hidden parts of lines are left out, hidden points too.
    arrows
        Warp arrows, each from and to, shape (3,) [m].
    size_mm
        Room for the picture: width and greatest height; the height used follows the part [mm].
    view
        From where; chosen from the mould when None.
    yarn_spacing
        Between the yarns drawn; the cloth's own are finer [m]. Doubled until they stand 2.8 mm apart on paper.
    by_hand
        Whether it is looked at while laying: arrows are broad and on tape, the start is larger than any hole.
    title
        For readers of the document.

    Raises
    ------
    ValueError
        When an array does not belong to its surface.
    """
    for piece in pieces:
        if piece.values is not None and piece.values.shape != (len(piece.surface.triangles),):
            raise ValueError(f"piece {piece.label}: one value for each triangle is wanted")
    chosen = view_of(mould) if view is None else view
    frame = _framed(chosen, [mould, *(p.surface for p in pieces)], size_mm)
    layers, hidden = _image(frame, mould, pieces, bands)
    has_map = any(p.values is not None for p in pieces)
    out = [drawn_layers(layers, frame.width, has_map=has_map, clip=CLOTH), *_rims(frame, mould)]
    while yarn_spacing * frame.scale < YARNS_APART:
        yarn_spacing *= 2.0
    out.append(on_cloth([part for p in pieces for part in (*_yarns(frame, p, yarn_spacing), *_edges(frame, p))]))
    bare = [_drawn(frame, item.points, item.look) for item in lines]
    rings = [p for p in points if p.look is PointLook.RING]
    others = [p for p in points if p.look is not PointLook.RING]
    bare += [_pointed(frame, item, by_hand) for item in others if item.look not in HALOED]
    out.append(both(bare, CLOTH) if (layers.ink >= 0).any() else "".join(bare))
    for from_, to in arrows:
        tail, tip = frame.on_paper(np.stack([from_, to]))[:, :2]
        thin = on_cloth([marks.warp_arrow(tail, tip, halo=True)])
        out.append(on_cloth([marks.broad_arrow(tail, tip)]) if by_hand else thin)
    along = np.linspace(0.0, 1.0, 6 if by_hand else 3)
    keep_off = [np.array(p.at) for p in others] + [a + t * (b - a) for a, b in arrows for t in along]
    taken = [frame.on_paper(np.array([p]))[0, :2] for p in keep_off]
    out += [_pointed(frame, item) for item in others if item.look in HALOED]
    out += _ringed(frame, rings, taken)
    out.append(on_cloth(_labels(frame, pieces, taken)))
    figures = [_figured(frame, item, taken) for item in lines if item.words]
    out.append(on_cloth(figures) if pieces else "".join(figures))
    svg = paper.sheet(frame.width, frame.height, out, title=title)
    return MouldPicture(svg=svg, view=chosen, hidden=hidden)


def _framed(view: View, surfaces: Sequence[Surface], size_mm: tuple[float, float]) -> _Frame:
    p = view.seen(np.concatenate([s.vertices for s in surfaces]))
    low, high = p[:, :2].min(axis=0), p[:, :2].max(axis=0)
    span = np.maximum(high - low, 1e-9)
    margin = 1.5
    scale = float(min((size_mm[0] - 2 * margin) / span[0], (size_mm[1] - 2 * margin) / span[1]))
    height = scale * span[1] + 2 * margin
    shift = np.array([0.5 * size_mm[0] - scale * 0.5 * (low[0] + high[0]), margin + scale * high[1]])
    frame = _Frame(view=view, scale=scale, shift=shift, width=size_mm[0], height=float(height))
    frame.lift = 0.004 * float(np.hypot(*span))
    return frame


def _mixed(of_corner: Floats, seen: Seen, hit: NDArray[np.bool_]) -> Floats:
    index = seen.triangle[hit]
    s, t = seen.weights[hit].T[:, :, None]
    out: Floats = of_corner[index, 0] * (1 - s - t) + of_corner[index, 1] * s + of_corner[index, 2] * t
    return out


def _image(frame: _Frame, mould: Surface, pieces: Sequence[OnMould], bands: Bands) -> tuple[Layers, float]:
    wide = _TIMES * round(frame.width * _DPI / 25.4)
    per = wide / frame.width
    high = _TIMES * int(np.ceil(frame.height * per / _TIMES))
    corners, kinds, fields = [], [], []
    for k, surface in enumerate([mould, *(p.surface for p in pieces)]):
        flat = frame.on_paper(surface.vertices)
        flat[:, :2] *= per
        given = pieces[k - 1].past if k else None
        past = np.full(len(surface.vertices), -1.0) if given is None else given
        flat[:, 2] += frame.lift * np.where(past > 0.0, 1.0 + ON_TOP, 1.0) if k else 0.0
        corners.append(flat[surface.triangles])
        values = pieces[k - 1].values if k else None
        shown = np.zeros(len(surface.vertices)) if values is None else at_vertices(surface, _shown(values, bands))
        fields.append(np.column_stack([surface.vertex_normals, shown, past])[surface.triangles])
        kinds.append(np.full(len(surface.triangles), 0 if values is not None else -1 if k == 0 else -2))
    frame.seen = seen = rasterised(np.concatenate(corners), (high, wide))
    hit = seen.triangle >= 0
    mixed = _mixed(np.concatenate(fields), seen, hit)
    normal = mixed[:, :3] / np.maximum(np.linalg.norm(mixed[:, :3], axis=1, keepdims=True), 1e-12)
    kind = np.concatenate(kinds)[seen.triangle[hit]]
    tone = np.where(kind == -1, -1, np.where(kind == -2, bands.quiet, bands.band(mixed[:, 3])))
    row, column = np.nonzero(hit)
    stripe = (mixed[:, 4] > 0.0) & ((row + column) % (HATCH * per) < HATCH_LINE * per) & (tone >= 0)
    ink = np.full((high, wide), -1)
    ink[hit] = np.where(stripe, tone + len(bands.colours), tone)
    relief = np.ones((high, wide))
    axes = np.stack([frame.view.right, frame.view.up, frame.view.towards], axis=1)
    relief[hit] = _relief(normal @ axes)
    inks = (*bands.colours, *(_striped(c) for c in bands.colours))
    return Layers(seen=hit, ink=ink, inks=inks, relief=relief), _hidden(frame, pieces)


def _striped(ink: str) -> str:
    """Return the colour of an overlap's hatch on a band."""
    mixed = (0.45 * a + 0.55 * b for a, b in zip(colour.rgb(ink), colour.rgb(colour.SECOND), strict=True))
    return "#" + "".join(f"{round(part):02x}" for part in mixed)


def _shown(values: Floats, bands: Bands) -> Floats:
    return np.abs(values) if bands.magnitude else values


def _relief(normal: Floats) -> Floats:
    """Return how light a surface is: walls turned from the light lose up to a fifth, those turned to it gain little."""
    lit = normal @ (_LIGHT / np.linalg.norm(_LIGHT))
    level = _LIGHT[2] / np.linalg.norm(_LIGHT)
    up = np.where(lit > level, (lit - level) / (1 - level), 0.0)
    down = np.where(lit < level, (level - lit) / (1 + level), 0.0)
    out: Floats = 1.0 + (_LIGHTEST - 1.0) * up - (1.0 - _DARKEST) * np.sqrt(down) * (1 - 0.25 * (1 - down))
    return out


def _hidden(frame: _Frame, pieces: Sequence[OnMould]) -> float:
    if not pieces:
        return 0.0
    area, lost = 0.0, 0.0
    for piece in pieces:
        middle = frame.on_paper(piece.surface.centroids)
        middle[:, 2] += frame.lift
        facing = piece.surface.normals @ frame.view.towards > 0
        open_ = frame.visible(middle) & facing
        area += piece.surface.area
        lost += float(piece.surface.areas[~open_].sum())
    return lost / area if area else 0.0


def _visible_runs(frame: _Frame, points: Floats) -> list[Floats]:
    flat = frame.on_paper(points)
    step = np.hypot(*np.diff(flat[:, :2], axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(step)])
    dense = np.unique(np.concatenate([along, np.arange(0.0, along[-1], 0.4)]))
    fine = np.column_stack([np.interp(dense, along, flat[:, k]) for k in range(3)])
    open_ = frame.visible(fine)
    runs: list[Floats] = []
    begin = None
    for k, shown in enumerate([*open_.tolist(), False]):
        if shown and begin is None:
            begin = k
        elif not shown and begin is not None:
            if k - begin > 1:
                run = fine[begin:k, :2]
                corner = np.isin(dense[begin:k], along)
                corner[[0, -1]] = True
                runs.append(run[corner])
            begin = None
    return runs


def _drawn(frame: _Frame, points: Floats, look: LineLook) -> str:
    weight, dashes = look.value
    data = "".join(paper.path(run) for run in _visible_runs(frame, points))
    return paper.stroked(data, weight=weight, dashes=dashes) if data else ""


def _edges(frame: _Frame, piece: OnMould) -> list[str]:
    """Return the edges of a piece: bold, and dashed where they lie under a neighbour."""
    out = []
    for loop in piece.surface.loops:
        edge = piece.surface.vertices[np.append(loop, loop[0])]
        if piece.under is None or not piece.under[loop].any():
            out.append(_drawn(frame, edge, LineLook.CUT))
            continue
        hidden = piece.under[np.append(loop, loop[0])]
        below = hidden[:-1] & hidden[1:]
        turns = np.flatnonzero(below[1:] != below[:-1]) + 1
        for a, b in itertools.pairwise([0, *turns.tolist(), len(below)]):
            out.append(_drawn(frame, edge[a : b + 1], LineLook.BELOW if below[a] else LineLook.CUT))
    return out


def _rims(frame: _Frame, mould: Surface) -> list[str]:
    out = []
    for loop in mould.loops:
        data = "".join(paper.path(run) for run in _visible_runs(frame, mould.vertices[np.append(loop, loop[0])]))
        if data:
            out.append(paper.stroked(data, weight=paper.HAIR, ink=colour.EDGE))
    return out


def _yarns(frame: _Frame, piece: OnMould, spacing: float) -> list[str]:
    if piece.uv is None:
        return []
    out = []
    for axis, dashes, weight in ((1, "", 0.11), (0, marks.WEFT, 0.09)):
        runs = (_visible_runs(frame, p) for p in isolines(piece.surface, piece.uv[:, axis], spacing))
        data = "".join(paper.path(run) for some in runs for run in some)
        if data:
            out.append(paper.stroked(data, weight=weight, dashes=dashes, ink=colour.SECOND))
    return out


def _pointed(frame: _Frame, item: MouldPoint, by_hand: bool = False) -> str:
    flat = frame.on_paper(np.array([item.at]))
    flat[:, 2] += frame.lift
    if item.look is not PointLook.LABEL and not frame.visible(flat)[0]:
        return ""
    x, y = float(flat[0, 0]), float(flat[0, 1])
    if item.look is PointLook.START:
        return marks.start_cross(x, y, size=4.4, weight=paper.EDGE) if by_hand else marks.start_cross(x, y)
    if item.look in (PointLook.HOLE, PointLook.PILOT):
        return marks.hole_ring(x, y, pilot=item.look is PointLook.PILOT)
    if item.look is PointLook.DOT:
        return marks.place_dot(x, y)
    size = NOTE if item.look is PointLook.LETTER else 3.3
    return paper.text(x, y + 0.34 * size, item.words, size=size, bold=True, anchor="middle", halo=True)


def _ringed(frame: _Frame, rings: Sequence[MouldPoint], taken: list[Floats]) -> list[str]:
    """Return numbered rings; one that would cover another mark stands beside its place, with a leader to it."""
    places = [frame.on_paper(np.array([item.at]))[0, :2] for item in rings]
    leaders, numbers = [], []
    around = [np.zeros(2)] + [
        r * np.array([np.cos(a), np.sin(a)]) for r in (5.6, 7.5, 10.0) for a in np.radians(np.arange(-60, 300, 30))
    ]
    for k, (item, place) in enumerate(zip(rings, places, strict=True)):
        busy = np.array([*taken, *places[k + 1 :], [-99.0, -99.0]])

        def free(step: Floats, place: Floats = place, busy: Floats = busy) -> float:
            spot = place + step
            edge = min(*(spot - 3.0), frame.width - 3.0 - spot[0], frame.height - 3.0 - spot[1])
            return float(min(np.linalg.norm(busy - spot, axis=1).min() - RINGS_APART, edge))

        step = next((s for s in around if free(s) >= 0.0), max(around, key=free))
        spot = place + step
        if step.any():
            way = step / np.linalg.norm(step)
            leaders.append(marks.leader(spot - 2.2 * way, place))
        numbers.append(marks.number_ring(float(spot[0]), float(spot[1]), item.words))
        taken.append(spot)
    return [*leaders, *numbers]


def _figured(frame: _Frame, item: MouldLine, taken: list[Floats]) -> str:
    """Return the figure of a contour where its line is seen and nothing else stands."""
    runs = [_along(run, 1.0) for run in _visible_runs(frame, item.points)]
    long = [run[FIGURE_ROOM:-FIGURE_ROOM] for run in runs if len(run) > 2 * FIGURE_ROOM + 2]
    if not long:
        return ""  # a figure would hide more than it says
    spots = np.concatenate(long)
    gap = np.linalg.norm(spots[:, None] - np.array([*taken, [-99.0, -99.0]])[None], axis=2).min(axis=1)
    aside = np.abs(np.linspace(-1.0, 1.0, len(spots)))  # of equally free places the middle one
    best = int(np.argmax(np.minimum(gap, 9.0) - 0.5 * aside))
    if gap[best] < FIGURE_ROOM:
        return ""
    x, y = spots[best]
    taken.append(np.array([x, y]))
    return paper.text(x, y + 0.36 * CAPTION, item.words, size=CAPTION, anchor="middle", halo=True)


def _along(points: Floats, step: float) -> Floats:
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = np.arange(0.5 * step, max(run[-1], step), step)
    return np.column_stack([np.interp(at, run, points[:, k]) for k in range(2)])


def _labels(frame: _Frame, pieces: Sequence[OnMould], taken: list[Floats]) -> list[str]:
    out = []
    for piece in pieces:
        if not piece.label:
            continue
        flat = frame.on_paper(piece.surface.centroids)
        open_ = frame.visible(flat + np.array([0, 0, frame.lift]))
        room = flat[open_, :2] if open_.any() else flat[:, :2]
        middle = room.mean(axis=0)
        rim = frame.on_paper(piece.surface.vertices[np.concatenate(piece.surface.loops)])[:, :2]
        some = room[:: max(len(room) // 300, 1)]
        others = np.concatenate([rim, *([np.array(taken)] if taken else [])])
        gap = np.linalg.norm(some[:, None] - others[None], axis=2).min(axis=1)
        score = np.minimum(gap, 9.0) - 0.12 * np.linalg.norm(some - middle, axis=1)
        x, y = some[int(np.argmax(score))]
        taken.append(np.array([x, y]))
        out.append(paper.text(x, y + 1.8, piece.label, size=5.0, bold=True, anchor="middle", halo=True))
    return out
