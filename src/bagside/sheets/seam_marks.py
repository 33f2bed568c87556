"""What is drawn at a join of a flat piece: the join line, the overlap, match marks, the letter of the side.

Worked out once, in the piece's own metres, so that template, nest and book show the same marks; how large a mark is on
paper is said by whoever draws it. A match mark stands across the rim at each station, so that it is still seen when the
piece is cut along its outline; where the piece goes on past the join line, a second one stands on that line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.affinity
import shapely.ops
from numpy.typing import NDArray

from bagside.cutting import PieceSeam

Floats = NDArray[np.float64]

REACH = 3.0  # widths of the overlap within which the rim is looked for
LEAST = 0.002  # [m] added to it
CLOSE = 2e-4  # [m] a line deeper inside than this is not the rim


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeamMarks:
    """The marks of one side of a join, in the piece's axes.

    Parameters
    ----------
    seam
        The side.
    inside
        Whether the join line lies inside the outline and is drawn dashed; else it is a part of the rim.
    knife
        Whether it lies inside and must still be cut: the lip of a dart whose flap fills the wedge.
    line
        The join line, shape (k, 2) [m].
    notches
        Match marks, each from and to, shape (2, 2) [m].
    band
        Rings of the overlap, each shape (k, 2) [m]; empty when there is none.
    hatch
        Thin lines over it, each shape (2, 2) [m].
    letter
        Where its letter stands [m].
    told
        Whether the line is long enough for its sentence.
    note
        Where a sentence along the line stands [m].
    turn
        Of that sentence, counter-clockwise, between −90° and 90° [rad].
    """

    seam: PieceSeam
    inside: bool
    knife: bool
    line: Floats
    notches: tuple[Floats, ...]
    band: tuple[Floats, ...]
    hatch: tuple[Floats, ...]
    letter: tuple[float, float]
    told: bool
    note: tuple[float, float]
    turn: float

    @property
    def words(self) -> str:
        """What the sentence along the line says."""
        other = "the other lip" if self.seam.dart else self.seam.other or "the next piece"
        wide = f"{1e3 * self.seam.width:.0f} mm"
        if self.seam.join == "butt":
            return f"butt against {other}"
        if self.seam.join == "slip joint":
            return f"slips on {other}, {wide}" if self.inside else f"{other} slips here, {wide}"
        if self.seam.dart:
            return f"{other} lies here, {wide}" if self.inside else f"under {other}, {wide}"
        return f"edge of {other} lies here, {wide}" if self.inside else f"{other} overlaps here, {wide}"


def seam_marks(
    seam: PieceSeam,
    outline: shapely.Polygon,
    *,
    notch: float,
    pitch: float,
    letter: float,
    beyond: float = 0.4,
    glyph: float = 0.0,
    lip: Floats | None = None,
) -> SeamMarks:
    """Return the marks of one side of a join.

    Parameters
    ----------
    seam
        The side.
    outline
        Of its piece, in the same axes [m].
    notch
        Length of a match mark [m].
    pitch
        Between the lines of the hatch [m].
    letter
        How far inside the join line the letter stands [m].
    beyond
        Share of a match mark that stands outside the rim.
    glyph
        Width of a letter of the sentence along the line [m]; where it would run into the side's letter it stands behind
        it, and a line too short for it goes without.
    lip
        The other lip of a dart, shape (k, 2) [m]: its flap ends there.
    """
    inside = seam.over and seam.width > 0.0
    band = overlap_band(seam, outline, lip) if inside else shapely.Polygon()
    rings = [r for p in shapely.get_parts(band) if not p.is_empty for r in (p.exterior, *p.interiors)]
    marks: list[Floats] = []
    for at, way in zip(seam.ticks, seam.normals, strict=True):
        if inside and seam.dart:  # past its flap lies the piece itself
            marks.append(np.stack([at - 0.5 * notch * way, at + 0.5 * notch * way]))
            continue
        rim = _rim(at, way, outline, REACH * seam.width + LEAST) if inside else at
        marks.append(np.stack([rim - (1.0 - beyond) * notch * way, rim + beyond * notch * way]))
        if inside and float(np.linalg.norm(rim - at)) > notch:
            marks.append(np.stack([at - 0.5 * notch * way, at + 0.5 * notch * way]))
    middle, _, out = _at(seam, 0.5, outline)
    share = _between(seam)
    free, along, free_out = _at(seam, share, outline)
    spot = next(
        (
            p
            for p in (middle - share * letter * out for share in (1.0, 0.7, 0.45))
            if outline.buffer(-0.35 * letter).contains(shapely.Point(p))
        ),
        middle - 0.7 * letter * out,
    )
    turn = float(np.arctan2(along[1], along[0]))
    turn = turn - np.pi if turn > 0.5 * np.pi else turn + np.pi if turn <= -0.5 * np.pi else turn
    words = free - 0.8 * letter * free_out
    # the longest sentence has some thirty letters
    told = glyph == 0.0 or seam.length > 24.0 * glyph
    if glyph > 0.0 and (0.5 - share) * seam.length < 15.0 * glyph + 0.5 * letter:
        words = middle - 1.9 * letter * out
    core = outline.buffer(-CLOSE)
    return SeamMarks(
        seam=seam,
        inside=inside,
        knife=seam.dart and not inside and core.intersection(shapely.LineString(seam.line)).length > 0.5 * seam.length,
        line=seam.line,
        notches=tuple(marks),
        band=tuple(np.asarray(r.coords, dtype=np.float64)[:-1] for r in rings),
        hatch=tuple(_hatch(band, pitch, seam.line[-1] - seam.line[0])),
        letter=(float(spot[0]), float(spot[1])),
        told=told,
        note=(float(words[0]), float(words[1])),
        turn=turn,
    )


def _between(seam: PieceSeam) -> float:
    """Return a share of the join line off its middle, where the letter stands, and off its match marks."""
    line = shapely.LineString(seam.line)
    taken = np.array([0.5, *(line.project(shapely.Point(t), normalized=True) for t in seam.ticks)])
    tried = np.linspace(0.2, 0.4, 21)
    return float(tried[int(np.argmax(np.abs(tried[:, None] - taken).min(axis=1)))])


def _at(seam: PieceSeam, share: float, outline: shapely.Polygon) -> tuple[Floats, Floats, Floats]:
    """Return a point of the join line, the direction along it and the one out of the piece."""
    step = np.linalg.norm(np.diff(seam.line, axis=0), axis=1)
    run = np.concatenate([[0.0], np.cumsum(step)])
    reach = 0.06 * run[-1]

    def point(s: float) -> Floats:
        return np.array([np.interp(s, run, seam.line[:, k]) for k in range(2)])

    here = point(share * run[-1])
    way = point(share * run[-1] + reach) - point(share * run[-1] - reach)  # not one short edge alone
    way = way / max(float(np.linalg.norm(way)), 1e-12)
    out = np.array([way[1], -way[0]])
    if len(seam.ticks):
        wanted = seam.normals[int(np.argmin(np.linalg.norm(seam.ticks - here, axis=1)))]
    else:
        core = outline.representative_point()
        wanted = here - np.array([core.x, core.y])
    return here, way, out if out @ wanted >= 0 else -out


def overlap_band(seam: PieceSeam, outline: shapely.Polygon, lip: Floats | None = None) -> shapely.Geometry:
    """Return the part of a piece that lies past its join line and within about the overlap's width of it.

    Parameters
    ----------
    seam
        The side that is cut longer.
    outline
        Of its piece, in the same axes [m].
    lip
        The other lip of a dart, where its flap ends, shape (k, 2) [m].
    """
    longer = _longer(seam.line, 2.0 * seam.width + LEAST)
    near = outline.intersection(shapely.LineString(seam.line).buffer(1.5 * seam.width, cap_style="flat"))
    parts = [q for p in shapely.get_parts(near) for q in shapely.ops.split(p, longer).geoms if q.area > 0.0]
    if lip is not None and len(lip) > 1:
        parts = [q for p in parts for q in _this_side(p, lip, seam.line)]
    keep = []
    for part in parts:
        inner = part.representative_point()
        at = np.array([inner.x, inner.y])
        middle, _, out = _nearest(seam, at, outline)
        if (at - middle) @ out > 0:
            keep.append(part)
    return shapely.union_all(keep) if keep else shapely.Polygon()


def _longer(line: Floats, by: float) -> shapely.LineString:
    """Return a line with both ends drawn out."""
    ends = [p / max(float(np.linalg.norm(p)), 1e-12) * by for p in (line[0] - line[1], line[-1] - line[-2])]
    return shapely.LineString(np.vstack([line[0] + ends[0], line, line[-1] + ends[1]]))


def _this_side(part: shapely.Polygon, lip: Floats, line: Floats) -> list[shapely.Polygon]:
    """Return what of a flap lies before the other lip: the pieces that share most of the join line."""
    run = shapely.LineString(line)
    halves = shapely.ops.split(part, _longer(lip, LEAST)).geoms  # it ends on the rim, give or take a rounding
    return [q for q in halves if q.buffer(0.1 * CLOSE).intersection(run).length > 0.3 * run.length]


def lip_of(seam: PieceSeam, seams: Sequence[PieceSeam]) -> Floats | None:
    """Return the other lip of a dart; None when the join is none.

    Parameters
    ----------
    seam
        One side.
    seams
        All sides of its piece.
    """
    if not seam.dart:
        return None
    return next((s.line for s in seams if s.name == seam.name and s is not seam), None)


def _nearest(seam: PieceSeam, at: Floats, outline: shapely.Polygon) -> tuple[Floats, Floats, Floats]:
    """Return the point of the join line nearest to a point, the direction along the line there and out of the piece."""
    line = shapely.LineString(seam.line)
    return _at(seam, float(line.project(shapely.Point(at), normalized=True)), outline)


def _rim(at: Floats, way: Floats, outline: shapely.Polygon, reach: float) -> Floats:
    """Return where a ray out of the piece leaves it; the start itself when it does not within reach."""
    ray = shapely.LineString([at, at + reach * way])
    hit = ray.intersection(outline.exterior)
    found = [np.asarray(p.coords, dtype=np.float64) for p in shapely.get_parts(hit) if not p.is_empty]
    if not found:
        return at
    points = np.concatenate(found)
    out: Floats = points[int(np.argmax((points - at) @ way))]
    return out


def _hatch(band: shapely.Geometry, pitch: float, along: Floats) -> list[Floats]:
    """Return lines over the overlap, at half a right angle to the join."""
    if band.is_empty:
        return []
    turn = float(np.arctan2(along[1], along[0]))
    level = shapely.affinity.rotate(band, -turn, origin=(0.0, 0.0), use_radians=True)
    x0, y0, x1, y1 = level.bounds
    high = y1 - y0
    first, last = np.floor((x0 - high) / pitch), np.ceil(x1 / pitch)
    rays = shapely.linestrings([[(k * pitch, y0), (k * pitch + high, y1)] for k in np.arange(first, last + 1)])
    c, s = np.cos(turn), np.sin(turn)
    return [
        np.asarray(line.coords, dtype=np.float64) @ np.array([[c, s], [-s, c]])
        for line in shapely.get_parts(shapely.intersection(rays, level))
        if line.geom_type == "LineString" and line.length > 0.3 * pitch
    ]
