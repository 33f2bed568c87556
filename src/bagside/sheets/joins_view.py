"""All joins of all plies on one mould, so that a person sees whether they stand apart, and by how much."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.cutting import PieceSeam
from bagside.geometry import Surface
from bagside.planning.piece import Piece
from bagside.sheets.joined import JoinLine, least_apart, lifted
from bagside.sheets.picture import LineLook, MouldLine, MouldPoint, PointLook, mould_picture
from bagside.sheets.view import View

LOOKS = (LineLook.CUT, LineLook.JOIN_2, LineLook.JOIN_3, LineLook.JOIN_4)
SHORT = 0.14  # of the mould's size: a shorter line has no room for its words


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """How far the joins of two plies stand apart.

    Parameters
    ----------
    lower, upper
        Numbers of the plies.
    distance
        Least, in a straight line [m].
    """

    lower: int
    upper: int
    distance: float


def joins_of(pieces: Sequence[Piece], seams: Sequence[Sequence[PieceSeam]]) -> tuple[JoinLine, ...]:
    """Return the join lines of every ply as they lie on the mould, each once.

    Parameters
    ----------
    pieces
        Of all plies.
    seams
        Sides of joins of each.
    """
    return tuple(
        JoinLine(ply=p.ply + 1, name=seam.name, points=lifted(p.surface, p.drape.uv, seam.line))
        for p, own in zip(pieces, seams, strict=True)
        for seam in own
        if not seam.prime
    )


def apart(joins: Sequence[JoinLine]) -> tuple[Apart, ...]:
    """Return how far the joins of successive plies that have any stand apart, from the mould up.

    Parameters
    ----------
    joins
        Of all plies.

    Notes
    -----
    Plies without a join between two that have some are passed over: cloth without a join does not hide one that runs
    through above it.
    """
    plies = {n: [j for j in joins if j.ply == n] for n in sorted({j.ply for j in joins})}
    return tuple(
        Apart(lower=a, upper=b, distance=least_apart(plies[a], plies[b])) for a, b in itertools.pairwise(plies)
    )


def joins_picture(
    mould: Surface, joins: Sequence[JoinLine], net: Sequence[MouldLine], view: View, size: tuple[float, float]
) -> str:
    """Return the joins of all plies on the mould, each with the number of its ply.

    Parameters
    ----------
    mould
        As it is drawn.
    joins
        Of all plies.
    net
        The net edge.
    view
        From where.
    size
        Room on paper [mm].
    """
    order = sorted({j.ply for j in joins})
    small = SHORT * float(np.linalg.norm(np.ptp(mould.vertices, axis=0)))
    lines, points = list(net), []
    for join in joins:
        words, look = f"ply {join.ply}, {join.name}", LOOKS[order.index(join.ply) % len(LOOKS)]
        if join.length > small:
            lines.append(MouldLine(points=join.points, look=look, words=words))
        else:  # no room on the line: the words stand beyond its inner end
            lines.append(MouldLine(points=join.points, look=look))
            way = join.points[0] - join.points[-1]
            x, y, z = join.points[0] + 0.4 * small * way / max(float(np.linalg.norm(way)), 1e-12)
            points.append(MouldPoint(at=(float(x), float(y), float(z)), look=PointLook.LETTER, words=words))
    title = "joins of all plies on the mould"
    return mould_picture(mould, [], lines=lines, points=points, size_mm=size, view=view, title=title).svg
