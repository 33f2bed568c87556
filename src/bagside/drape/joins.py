"""Join lines in the flat: match marks at the same stations of both sides, and the flaps of darts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.drape.cuts import CutPiece, SeamSide
from bagside.drape.laid import Drape
from bagside.drape.pattern import Pattern
from bagside.errors import InputError, NotSolved
from bagside.geometry.flat import loops_of
from bagside.geometry.polyline import length_of
from bagside.spec.lines import Join

Floats = NDArray[np.float64]

SPACING = 0.1  # [m] between match marks
REACH = 0.004  # [m] along the join line over which its direction at a mark is taken
CLOSE = 2e-5  # [m] gaps between a flap and its lip narrower than twice this are none
SLIVER = 2e-7  # [m²]
LEAST = 1e-6  # [m²] lips that cross by less than this lie edge to edge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeamMark:
    """One side of a join in the flat piece.

    Parameters
    ----------
    seam
        Of the join: ``A``; both sides have the same.
    cut
        Name of the cut.
    join
        How both sides lie.
    overlap
        Width of the overlap [m].
    over
        Whether this side is extended past the join line.
    other
        Index of the piece on the other side; its own for a dart.
    line
        The join line in cloth axes, both sides in the same order, shape (k, 2) [m].
    ticks
        Match marks on it, shape (t, 2) [m]; mark i of one side comes to lie on mark i of the other.
    normals
        Unit direction out of the piece's own part at each mark, shape (t, 2).
    stations
        Length along the join line on the mould at each mark, shape (t,) [m].
    """

    seam: str
    cut: str
    join: Join
    overlap: float
    over: bool
    other: int
    line: Floats
    ticks: Floats
    normals: Floats
    stations: Floats


def seam_marks(drape: Drape, piece: CutPiece, spacing: float = SPACING) -> tuple[SeamMark, ...]:
    """Return the join lines of a piece in its flat shape, with match marks.

    Parameters
    ----------
    drape
        How the piece lies; laid on ``piece.surface``.
    piece
        The piece.
    spacing
        Largest distance between match marks along the line on the mould [m].

    Returns
    -------
    tuple of SeamMark
        In the order of ``piece.seams``.

    Raises
    ------
    InputError
        When the drape lies on another surface, or the spacing is not a length.

    Notes
    -----
    Marks stand at equal lengths along the line on the mould, the first and last half a step from its ends, so that
    every line has at least one.
    """
    if not (np.isfinite(spacing) and spacing > 0):
        raise InputError.one("match marks", f"a spacing of {spacing} m", "a length above zero is wanted")
    if len(drape.surface.triangles) != len(piece.surface.triangles):
        came = f"a cloth laid on {len(drape.surface.triangles)} triangles"
        raise InputError.one("match marks", came, f"one on the piece's own {len(piece.surface.triangles)} is wanted")
    return tuple(_marked(drape, side, spacing) for side in piece.seams)


def _marked(drape: Drape, side: SeamSide, spacing: float) -> SeamMark:
    corners = drape.uv[drape.surface.triangles[side.triangles]]
    flat = np.einsum("ki,kij->kj", side.shares, corners)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(side.line, axis=0), axis=1))])
    long = float(along[-1])
    count = max(1, int(np.ceil(long / spacing - 1e-9)))
    at = long * (np.arange(count) + 0.5) / count

    def point(s: Floats) -> Floats:
        return np.stack([np.interp(s, along, flat[:, k]) for k in range(2)], axis=1)

    reach = min(REACH, 0.25 * long)
    way = point(at + reach) - point(at - reach)
    way = way / np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-12)
    right = np.stack([way[:, 1], -way[:, 0]], axis=1)  # the map keeps left left
    return SeamMark(
        seam=side.seam,
        cut=side.cut,
        join=side.join,
        overlap=side.overlap,
        over=side.over,
        other=side.other,
        line=flat,
        ticks=point(at),
        normals=right if side.left else -right,
        stations=at,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wedge:
    """What the two lips of a dart leave between them in the flat.

    Parameters
    ----------
    seam
        Of the dart.
    opening
        Distance between the lips at their far end [m].
    angle
        At the point of the dart, from chord to chord [rad]; negative when the lips cross.
    area
        Between the lips [m²]; negative where they lie over each other.
    """

    seam: str
    opening: float
    angle: float
    area: float


def wedges(marks: Sequence[SeamMark]) -> tuple[Wedge, ...]:
    """Return how far each dart of a piece opens in the flat.

    Parameters
    ----------
    marks
        Of one piece, from `seam_marks`.
    """
    out: list[Wedge] = []
    for one, two in _pairs(marks):
        left, right = one.line, two.line
        apart = np.linalg.norm(left - right, axis=1)
        if apart[0] < apart[-1]:  # the point of the dart comes first: let the line run towards it
            left, right = right[::-1], left[::-1]
        tip = 0.5 * (left[-1] + right[-1])
        a, b = left[0] - tip, right[0] - tip
        # walked towards the point, the piece lies left of its left lip: the wedge opens from the right lip to the left
        angle = float(np.arctan2(a[1] * b[0] - a[0] * b[1], a @ b))
        ring = np.concatenate([left, right[::-1]])
        after = np.roll(ring, -1, axis=0)
        area = 0.5 * float((ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]).sum())
        out.append(Wedge(seam=one.seam, opening=float(apart.max()), angle=-angle, area=-area))
    return tuple(out)


def _pairs(marks: Sequence[SeamMark]) -> list[tuple[SeamMark, SeamMark]]:
    """Return both sides of every join of a piece with itself, left of the line first."""
    out: list[tuple[SeamMark, SeamMark]] = []
    for i, one in enumerate(marks):
        out += [(one, two) for two in marks[i + 1 :] if two.seam == one.seam]
    return out


def refuse_crossed(marks: Sequence[SeamMark]) -> None:
    """Refuse darts whose two sides would lie over each other in the flat.

    Parameters
    ----------
    marks
        Of one piece, from `seam_marks`.

    Raises
    ------
    NotSolved
        Naming the first such dart. Ask before `pattern_of`, which only knows that the outline crosses itself.
    """
    for (one, _), wedge in zip(_pairs(marks), wedges(marks), strict=True):
        if wedge.area < -LEAST:
            raise NotSolved(
                f"the two sides of dart {one.seam} ({one.cut}) lie over each other in the flat by "
                f"{1e4 * -wedge.area:.1f} cm²: the cloth is too short there, not too long; split the piece or let in a "
                "gusset"
            )


def with_overlaps(pattern: Pattern, piece: CutPiece, marks: Sequence[SeamMark]) -> Pattern:
    """Return a flat piece with a flap beside one lip of each of its darts.

    Parameters
    ----------
    pattern
        The flat piece, its darts cut open.
    piece
        The piece.
    marks
        Its join lines in the flat, from `seam_marks`.

    Returns
    -------
    Pattern
        With flaps as wide as the overlap, or as wide as the wedge that is really there where that is narrower.

    Raises
    ------
    NotSolved
        When the lips of a dart would lie over each other in the flat.

    Notes
    -----
    Overlaps between two pieces are part of their surfaces already. A dart over a saddle asks for more cloth, not less:
    its lips cross in the flat, and only a split or a gusset helps.
    """
    selves = {s.seam for s in piece.darts}
    pairs = [(a, b) for a, b in _pairs(marks) if a.seam in selves]
    refuse_crossed(marks)
    area = shapely.Polygon(pattern.loops[0], pattern.loops[1:])
    if not area.is_valid:
        raise NotSolved("the flat outline crosses itself; split the piece")
    grown = area
    for one, two in pairs:
        side = one if one.over else two if two.over else None
        if side is None or side.overlap <= 0:
            continue
        out = side is two  # the left side's flap lies to the right of the line
        lip = shapely.LineString(side.line)
        flap = lip.buffer(side.overlap if out else -side.overlap, single_sided=True, join_style="mitre")
        bits = shapely.get_parts(shapely.make_valid(flap).difference(area))
        beside = lip.buffer(CLOSE)
        kept = [b for b in bits if b.area > SLIVER and b.intersection(beside).length > 2 * CLOSE]
        grown = shapely.union_all([grown, *kept]).buffer(CLOSE, join_style="mitre").buffer(-CLOSE, join_style="mitre")
    if grown is area:
        return pattern
    largest = max((p for p in shapely.get_parts(grown) if isinstance(p, shapely.Polygon)), key=lambda p: float(p.area))
    holes = [h for h in largest.interiors if shapely.Polygon(h).area > SLIVER]
    whole = shapely.Polygon(largest.exterior, holes)
    return replace(pattern, loops=loops_of(whole.simplify(CLOSE / 10)), area=float(whole.area))


def lip_lengths(marks: Sequence[SeamMark]) -> dict[str, list[float]]:
    """Return the length in the flat of each side of each join [m].

    Parameters
    ----------
    marks
        Of one piece or several.
    """
    out: dict[str, list[float]] = {}
    for mark in marks:
        out.setdefault(mark.seam, []).append(length_of(mark.line))
    return out
