"""Pictures for the floor: one piece on the mould, large and plain, as it is laid by hand.

On a phone a picture is read at arm's length with gloves on. So it shows one piece and nothing that is not needed to
lay it: where it goes, its threads, which way the warp arrow points, the start, the net edge and the holes. There are no
maps of shear: they were looked at when the cloth was chosen.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.planning.piece import Piece
from bagside.sheets import colour
from bagside.sheets.grounds import on_tape
from bagside.sheets.phone import SIZE, lighter
from bagside.sheets.picture import MouldPoint, OnMould, PointLook, mould_picture
from bagside.sheets.sight import Sight, hole_marks, net_edges
from bagside.sheets.view import View

Floats = NDArray[np.float64]

ARROW = 0.14  # [m]
_RING = re.compile(rf'<circle [^>]*r="2\.3" fill="{colour.PAPER}"[^>]*/><text [^>]*>\d+</text>')
"""A numbered ring, as `bagside.sheets.marks.number_ring` draws it."""
SMALL = 0.10  # [m] root of the area under which a piece has no room for its own marks: it is drawn from close by too
FAR, NEAR = (92.0, 46.0), (92.0, 48.0)
"""Room for a small piece on the whole mould, and from close by [mm]."""
AROUND = 0.35  # of the root of a small piece's area: mould shown around it


def piece_pictures(
    sight: Sight, mould: Surface, view: View, piece: Piece, notes: Sequence[Finding] = (), *, rows: Sequence[Piece] = ()
) -> tuple[str, ...]:
    """Return one piece on the mould, with its warp arrow and its start; a small one once more from close by.

    Parameters
    ----------
    sight
        Net edge and holes.
    mould
        As it is drawn.
    view
        From where.
    piece
        In hand.
    notes
        Findings with a place, numbered on the picture in their order.
    rows
        Pieces of the same ply that lie there before it: their edges are drawn, so that the overlap is found.
    """
    if piece.surface.area >= SMALL**2:
        return (_picture(sight, mould, view, piece, notes, rows, SIZE),)
    far = mould_picture(
        mould, [OnMould(surface=piece.surface)], lines=net_edges(sight), size_mm=FAR, view=view,
        points=[*hole_marks(sight), MouldPoint(at=_beside(piece, mould), look=PointLook.LABEL, words=piece.label)],
        title=f"where piece {piece.label} lies",
    )  # fmt: skip
    reach = AROUND * float(np.sqrt(piece.surface.area))
    distance, _, _ = geometry.nearest(piece.surface, mould.vertices)
    near = max(geometry.components(geometry.cut(mould, distance, reach)), key=lambda s: s.area)
    rows = [p for p in rows if float(geometry.nearest(near, p.drape.start[None, :])[0][0]) < reach]
    return (lighter(far.svg), _picture(sight, near, view, piece, notes, rows, NEAR, lines=False))


def _picture(
    sight: Sight,
    mould: Surface,
    view: View,
    piece: Piece,
    notes: Sequence[Finding],
    rows: Sequence[Piece],
    size: tuple[float, float],
    *,
    lines: bool = True,
) -> str:
    on = [OnMould(surface=p.surface) for p in rows]
    on.append(OnMould(surface=piece.surface, uv=piece.drape.uv, label=piece.label))
    x, y, z = (float(c) for c in piece.drape.start)
    points = [*(hole_marks(sight) if lines else ()), MouldPoint(at=(x, y, z), look=PointLook.START)]
    points += [
        MouldPoint(at=f.point, look=PointLook.RING, words=str(number))
        for number, f in enumerate(notes, 1)
        if f.point is not None
    ]
    svg = mould_picture(
        mould, on, lines=net_edges(sight) if lines else (), points=points, arrows=[warp_arrow(piece)], size_mm=size,
        view=view, yarn_spacing=0.016 if lines else 0.004, by_hand=True, title=f"piece {piece.label} on the mould",
    ).svg  # fmt: skip
    return lighter(_RING.sub(_for_the_hand, svg))


def _for_the_hand(ring: re.Match[str]) -> str:
    """Return a numbered ring on tape: it says where the hand goes."""
    return on_tape([ring.group(0).replace(f'fill="{colour.PAPER}"', f'fill="{colour.TAPE}"', 1)])


def _beside(piece: Piece, mould: Surface) -> tuple[float, float, float]:
    """Return a point on the mould just outside a small piece, for its label."""
    _, triangle, at = geometry.nearest(piece.surface, piece.drape.start[None, :])
    out = 1.1 * float(np.sqrt(piece.surface.area)) * piece.drape.weft[triangle[0]]
    _, _, foot = geometry.nearest(mould, at + out)
    return (float(foot[0, 0]), float(foot[0, 1]), float(foot[0, 2]))


def place_on_mould(sight: Sight, mould: Surface, view: View, place: Surface, title: str) -> str:
    """Return where cloth that is cut from cards lies: its edge on the mould, without threads, which nobody has draped.

    Parameters
    ----------
    sight, mould, view
        See `piece_picture`.
    place
        Where it lies.
    title
        For readers of the picture.
    """
    found = mould_picture(
        mould, [OnMould(surface=place)], lines=net_edges(sight), points=hole_marks(sight), size_mm=SIZE, view=view,
        title=title,
    )  # fmt: skip
    return lighter(found.svg)


def warp_arrow(piece: Piece) -> tuple[Floats, Floats]:
    """Return an arrow along the warp on the piece, beside its start so that both can be read.

    Parameters
    ----------
    piece
        As it drapes.

    Returns
    -------
    tuple of arrays
        From and to, shape (3,) [m].
    """
    root = float(np.sqrt(piece.surface.area))
    long, aside = (0.55 * root, 0.28 * root) if root < SMALL else (min(ARROW, 0.4 * root), 0.18 * root)
    _, triangle, at = geometry.nearest(piece.surface, piece.drape.start[None, :])
    warp, weft = piece.drape.warp[triangle[0]], piece.drape.weft[triangle[0]]
    _, triangle, foot = geometry.nearest(piece.surface, (at[0] - aside * weft - 0.5 * long * warp)[None, :])
    tail: Floats = foot[0]
    return tail, tail + long * piece.drape.warp[triangle[0]]
