"""The pictures of one ply: on the mould with its map, threads, joins and order of laying, and flat as it is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside import geometry
from bagside.cutting import PieceSeam
from bagside.drape import Drape, laying_order
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.planning.piece import Piece
from bagside.sheets.flatview import FlatPiece, flat_view
from bagside.sheets.joined import lifted, overlap_on
from bagside.sheets.maps import Map
from bagside.sheets.picture import LineLook, MouldLine, MouldPoint, OnMould, PointLook, mould_picture
from bagside.sheets.seam_marks import seam_marks
from bagside.sheets.sight import Sight, hole_marks, net_edges
from bagside.sheets.view import View

Floats = NDArray[np.float64]
Joined = tuple[Piece, tuple[PieceSeam, ...]]

ARROW = 0.06  # [m]
SMALL = 0.10  # [m] root of the area under which a piece gets its label beside it
LETTER = 0.022  # of the mould's size: how far the letter of a join stands off it
STEPS = (0.01, 0.02, 0.05, 0.10, 0.20, 0.50, 1.00)  # [m] between contours of the order of laying
CONTOURS = 6  # at most, on the piece that reaches farthest from its start


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Front:
    """How far cloth laid outwards from its start has come, as contours.

    Parameters
    ----------
    step
        Between contours [m].
    lines
        Distance from the start [m] and the contour, shape (k, 3) [m].
    """

    step: float
    lines: tuple[tuple[float, Floats], ...]


def fronts(pieces: Sequence[Piece], *, along: bool = False) -> tuple[Front, ...]:
    """Return the front of laying of each piece, all at one even step.

    Parameters
    ----------
    pieces
        Of one ply; at least one.
    along
        Whether it is laid along a line first, from which the front spreads.
    """
    reach = max(float(np.linalg.norm(p.drape.uv, axis=1).max()) for p in pieces)  # a thread is about as long as its way
    step = next((s for s in STEPS if reach / s < CONTOURS + 1), STEPS[-1])
    return tuple(
        Front(step=step, lines=tuple((line.level, line.points) for line in order.lines))
        for order in (laying_order(p.drape, step, p.drape.line if along else None) for p in pieces)
    )


def ply_picture(
    sight: Sight,
    mould: Surface,
    own: Sequence[Joined],
    findings: Sequence[Finding],
    view: View,
    size: tuple[float, float],
    shown: Map,
    *,
    marked: bool = True,
) -> str:
    """Return one ply on the mould.

    Parameters
    ----------
    sight
        Net edge and holes.
    mould
        As it is drawn.
    own
        The ply's pieces with their sides of joins.
    findings
        Those that are numbered.
    view
        From where.
    size
        Room on paper [mm].
    shown
        What is coloured.
    marked
        Whether start, arrow, numbers, letters and contours are drawn; a second map goes without.
    """
    pieces = [p for p, _ in own]
    on = [_on_mould(p, seams, shown, len(own) > 1 and marked) for p, seams in own]
    lines, points = net_edges(sight), []
    arrows = []
    if marked:
        points += hole_marks(sight)
        for piece, front in zip(pieces, fronts(pieces, along=pieces[0].ply in sight.along), strict=True):
            if not small(piece):
                lines += _contours(front)
        for piece, seams in own:
            points += _start(piece, mould)
            points += _letters(piece, seams, mould)
            arrows.append(warp_arrow_beside(piece.drape))
        points += [
            MouldPoint(at=f.point, look=PointLook.RING, words=str(number))
            for number, f in enumerate(findings, 1)
            if f.point is not None
        ]
    return mould_picture(
        mould,
        on,
        bands=shown.bands,
        lines=lines,
        points=points,
        arrows=arrows,
        size_mm=size,
        view=view,
        title=f"ply {pieces[0].ply + 1} on the mould, {shown.bands.name}",
    ).svg


def _contours(front: Front) -> list[MouldLine]:
    """Return the contours, each distance written once, on its longest line."""
    long = [float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum()) for _, p in front.lines]
    best: dict[float, int] = {}
    for k, (distance, _) in enumerate(front.lines):
        if distance not in best or long[k] > long[best[distance]]:
            best[distance] = k
    return [
        MouldLine(points=p, look=LineLook.ORDER, words=f"{1e3 * d:.0f}" if best[d] == k else "")
        for k, (d, p) in enumerate(front.lines)
    ]


def _on_mould(piece: Piece, seams: tuple[PieceSeam, ...], shown: Map, several: bool) -> OnMould:
    past, under = overlap_on(piece.surface, piece.drape.uv, piece.pattern.loops[0], seams) if seams else (None, None)
    return OnMould(
        surface=piece.surface,
        values=shown.of(piece.drape),
        uv=piece.drape.uv,
        label=piece.label if several and not small(piece) else "",
        past=past,
        under=under,
    )


def small(piece: Piece) -> bool:
    """Whether a piece has no room for its own marks in a picture of the whole mould.

    Parameters
    ----------
    piece
        As it drapes.
    """
    return piece.surface.area < SMALL**2


def _start(piece: Piece, mould: Surface) -> list[MouldPoint]:
    if small(piece):
        return [MouldPoint(at=_beside(piece, mould), look=PointLook.LABEL, words=piece.label)]
    x, y, z = (float(c) for c in piece.drape.start)
    return [MouldPoint(at=(x, y, z), look=PointLook.START)]


def _letters(piece: Piece, seams: Sequence[PieceSeam], mould: Surface) -> list[MouldPoint]:
    """Return the letters beside the middles of a piece's joins."""
    reach = float(np.linalg.norm(np.ptp(mould.vertices, axis=0)))
    outline = shapely.Polygon(piece.pattern.loops[0])
    found = []
    for seam in seams:
        off = LETTER * reach + (0.0 if seam.over else seam.width)  # its letter is not hidden under the neighbour
        marks = seam_marks(seam, outline, notch=LETTER * reach, pitch=reach, letter=off)
        ((x, y, z),) = lifted(piece.surface, piece.drape.uv, np.array(marks.letter))
        found.append(MouldPoint(at=(float(x), float(y), float(z)), look=PointLook.LETTER, words=seam.shown))
    return found


def _beside(piece: Piece, mould: Surface) -> tuple[float, float, float]:
    """Return a point on the mould just outside a small piece, for its label."""
    _, triangle, at = geometry.nearest(piece.surface, piece.drape.start[None, :])
    out = 0.8 * float(np.sqrt(piece.surface.area)) * piece.drape.weft[triangle[0]]
    _, _, foot = geometry.nearest(mould, at + out)
    return (float(foot[0, 0]), float(foot[0, 1]), float(foot[0, 2]))


def warp_arrow_beside(drape: Drape) -> tuple[Floats, Floats]:
    """Return an arrow along the warp, beside the start so that both can be read: its foot and its head [m].

    Parameters
    ----------
    drape
        How the piece lies.
    """
    surface = drape.surface
    reach = 0.35 * float(np.sqrt(surface.area))
    long = min(ARROW, reach)
    _, triangle, at = geometry.nearest(surface, drape.start[None, :])
    warp, weft = drape.warp[triangle[0]], drape.weft[triangle[0]]
    _, _, foot = geometry.nearest(surface, (at[0] - 0.5 * reach * weft - 0.5 * long * warp)[None, :])
    _, triangle, foot = geometry.nearest(surface, foot)
    return foot[0], foot[0] + long * drape.warp[triangle[0]]


def ply_flats(own: Sequence[Joined], weight: float, shown: Map, size: tuple[float, float]) -> str:
    """Return the flat pieces of one ply at a round scale, in the colours of its picture.

    Parameters
    ----------
    own
        The ply's pieces with their sides of joins.
    weight
        Of the cloth as it comes off the roll [kg/m²].
    shown
        What is coloured.
    size
        Room on paper [mm].
    """
    return flat_view(
        [
            FlatPiece(
                label=p.label,
                loops=p.pattern.loops,
                uv=p.drape.uv,
                triangles=p.surface.triangles,
                values=shown.of(p.drape),
                start=(0.0, 0.0),
                holes=tuple(uv for _, uv in p.holes),
                seams=seams,
                area=p.pattern.area,
                mass=weight * p.pattern.area,
            )
            for p, seams in own
        ],
        bands=shown.bands,
        size_mm=size,
    )


def flat_height(pieces: Sequence[Piece], tall: float) -> float:
    """Return the room for flat pieces [mm]: small ones need less than the page would give.

    Parameters
    ----------
    pieces
        Of one ply.
    tall
        Height of the paper [mm].
    """
    return 72.0 if max(float(np.ptp(p.pattern.loops[0][:, 1])) for p in pieces) < 0.1 else tall - 188.0
