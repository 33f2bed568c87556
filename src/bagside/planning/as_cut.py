"""How a flat piece is cut: which way up, which turns and mirror images its cloth allows, and whether it shows.

Pieces are drawn as they are seen from the bag side, and cloth with one resin-rich face lies on the table with that face
down, as it goes to the mould. A ply whose rich face goes to the bag is cut as its mirror image and turned over when it
is laid. Other cloth may be cut face down, as its mirror image, and laid turned over, but

- never a ply that shows: the back of a twill runs the other way, and of a satin it is another face;
- never a cloth with one film: it is laid film up, and turned over the film would have to come off first;
- never a non-crimp cloth, whose layers would lie in the other order, an uneven twill or a satin, whose two faces are
  not alike, nor a weave nobody stated;
- never tape or veil: there is nothing to gain that turning by half does not give, or any turn.

Turned over about its warp, a plain weave is the same cloth, and a balanced twill the same cloth with its diagonal the
other way: warp and weft lie where they did, so that the laminate is the same.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bagside.cutting import FlatPiece
from bagside.planning.weave import InMirror, in_mirror
from bagside.spec.job import Face, Job
from bagside.spec.material import ClothKind, Prepreg
from bagside.spec.workshop import CuttingTable

OVER = np.array([1.0, -1.0])
FILMS = 2  # with one film only, a cloth is laid film up


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
        flips=table.face_down and may_flip(prepreg, shows=shows),
    )


def may_flip(cloth: Prepreg, *, shows: bool) -> bool:
    """Return whether pieces may be cut as their mirror image and laid turned over; see the module for why.

    Parameters
    ----------
    cloth
        As its sheet states it.
    shows
        Whether the ply is seen on the part.
    """
    if cloth.one_faced or shows or cloth.films < FILMS or cloth.kind is not ClothKind.WOVEN:
        return False
    return in_mirror(cloth) in (InMirror.SAME, InMirror.TURNS)


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
