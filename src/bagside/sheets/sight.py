"""What the pictures on the mould are drawn from, and what they all share: view, mould around the part, net edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside import geometry
from bagside.cutting import PieceSeam
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.mould import Corner
from bagside.planning.piece import Piece
from bagside.sheets.picture import LineLook, MouldLine, MouldPoint, PointLook
from bagside.sheets.view import View, view_of
from bagside.spec.job import Rosette
from bagside.spec.material import ClothKind
from bagside.spec.region import Hole

MARGIN = 0.09  # of the root of the laid area: mould shown beyond it


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What the pictures on the mould are drawn from, and nothing else: a new cure does not draw them again.

    Parameters
    ----------
    name
        Of the job.
    work, laid, part
        The mould, what is laid up, and the finished part.
    pieces
        Every draped piece.
    thicknesses
        Of each ply, cured [m].
    holes, brackets
        As stated.
    corners
        Tight inside corners.
    mould_places, ply_places
        Findings with a place: of the mould, and of each ply.
    start, direction, side
        Start of laying [m], zero direction, direction towards the laminate.
    tall
        Height of the paper [mm].
    kinds
        Of each ply's cloth.
    weights
        Of each ply's cloth as it comes off the roll [kg/m²].
    seams
        Sides of joins of each piece.
    angles, rosette
        Of each ply [rad], and how its zero direction is found at each place.
    along
        Indices of plies that are laid along a line first.
    cards
        Index and place of each ply that is cut from cards.
    """

    name: str
    work: Surface
    laid: Surface
    part: Surface
    pieces: tuple[Piece, ...]
    thicknesses: tuple[float, ...]
    holes: tuple[Hole, ...]
    brackets: tuple[tuple[float, float, float], ...]
    corners: tuple[Corner, ...]
    mould_places: tuple[Finding, ...]
    ply_places: tuple[tuple[Finding, ...], ...]
    start: tuple[float, float, float]
    direction: tuple[float, float, float]
    side: tuple[float, float, float]
    tall: float
    kinds: tuple[ClothKind, ...]
    weights: tuple[float, ...]
    seams: tuple[tuple[PieceSeam, ...], ...]
    angles: tuple[float, ...]
    rosette: Rosette
    along: frozenset[int] = frozenset()
    cards: tuple[tuple[int, Surface], ...] = ()

    def of_ply(self, ply: int) -> list[tuple[Piece, tuple[PieceSeam, ...]]]:
        """Return the pieces of a ply with their sides of joins.

        Parameters
        ----------
        ply
            Its index.
        """
        return [(p, s) for p, s in zip(self.pieces, self.seams, strict=True) if p.ply == ply]


def around_part(sight: Sight) -> Surface:
    """Return the mould as it is drawn: what is laid up and a margin round it, so that the part fills the picture."""
    laid = sight.laid
    work = sight.work
    distance, _, _ = geometry.nearest(laid, work.vertices)
    near = geometry.cut(work, distance, MARGIN * float(np.sqrt(laid.area)))
    return max(geometry.components(near), key=lambda s: s.area)


def view_on(mould: Surface) -> View:
    """Return the view that all pictures of a plan share."""
    return view_of(mould)


def net_edges(sight: Sight) -> list[MouldLine]:
    """Return the net edge of the part."""
    v = sight.part.vertices
    return [MouldLine(points=v[np.append(loop, loop[0])], look=LineLook.NET_EDGE) for loop in sight.part.loops]


def hole_marks(sight: Sight) -> list[MouldPoint]:
    """Return the holes."""
    return [MouldPoint(at=hole.at, look=PointLook.HOLE) for hole in sight.holes]
