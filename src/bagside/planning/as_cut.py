"""How a flat piece is cut: which way up, which turns and mirror images its cloth allows, and whether it shows.

Pieces are drawn as they are seen from the bag side, and cloth with one resin-rich face lies on the table with that face
down, as it goes to the mould. A ply whose rich face goes to the bag is cut as its mirror image and turned over when it
is laid. Other cloth may be cut face down where it does not show: plain and twill weaves and tapes are the same laminate
from either face, but the line of a twill seen from its back runs the other way, and the layers of a non-crimp cloth lie
in the other order.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bagside.cutting import FlatPiece
from bagside.spec.job import Face, Job
from bagside.spec.material import ClothKind, Prepreg
from bagside.spec.workshop import CuttingTable

OVER = np.array([1.0, -1.0])
EITHER_FACE = (ClothKind.WOVEN, ClothKind.UNIDIRECTIONAL, ClothKind.VEIL)


def as_cut(piece: FlatPiece, ply: int, job: Job, prepreg: Prepreg, table: CuttingTable) -> FlatPiece:
    """Return a piece of a ply as it is cut.

    Parameters
    ----------
    piece
        As seen from the bag side.
    ply
        Index of its ply in the job.
    job
        As stated.
    prepreg
        Its cloth.
    table
        What is allowed here.
    """
    if prepreg.one_faced and job.plies[ply].face is Face.BAG:
        piece = turned_over(piece)
    shows = job.laying.show and ply == 0
    return replace(
        piece,
        ply=ply + 1,
        visible=shows,
        turns=None if prepreg.kind is ClothKind.VEIL else (0.0, math.pi),
        tolerance=0.0 if shows or prepreg.kind is ClothKind.VEIL else table.tolerance,
        flips=table.face_down and not shows and not prepreg.one_faced and prepreg.kind in EITHER_FACE,
    )


def turned_over(piece: FlatPiece) -> FlatPiece:
    """Return a piece as it is seen from its other face: its axis across the warp is reversed.

    Parameters
    ----------
    piece
        As seen from one face.
    """
    return replace(
        piece,
        loops=tuple((loop * OVER)[::-1] for loop in piece.loops),
        marks=tuple((name, (u, -v)) for name, (u, v) in piece.marks),
        seams=tuple(
            replace(s, line=s.line * OVER, ticks=s.ticks * OVER, normals=s.normals * OVER) for s in piece.seams
        ),
    )
