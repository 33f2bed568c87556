"""All joins of all plies on one mould, so that a person sees whether they stand apart, and by how much."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from bagside.cutting import PieceSeam
from bagside.geometry import Surface
from bagside.planning.ply_stage import Piece
from bagside.sheets.joined import JoinLine, least_apart, lifted
from bagside.sheets.picture import LineLook, MouldLine, mould_picture
from bagside.sheets.view import View

LOOKS = (LineLook.CUT, LineLook.JOIN_2, LineLook.JOIN_3, LineLook.JOIN_4)


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
    lines = [
        MouldLine(points=j.points, look=LOOKS[order.index(j.ply) % len(LOOKS)], words=f"ply {j.ply}, {j.name}")
        for j in joins
    ]
    return mould_picture(
        mould, [], lines=[*net, *lines], size_mm=size, view=view, title="joins of all plies on the mould"
    ).svg
