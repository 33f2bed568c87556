"""From join lines in the flat, as draping gives them, to the sides of joins that are marked on cut pieces."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.cutting import PieceSeam
from bagside.drape.joins import SeamMark


def piece_seams(marks: Sequence[SeamMark], own: int, labels: Sequence[str]) -> tuple[PieceSeam, ...]:
    """Return the sides of joins of one piece.

    Parameters
    ----------
    marks
        Its join lines in the flat.
    own
        Its index among the pieces of its part of the ply, in the order of laying.
    labels
        Of all those pieces.

    Notes
    -----
    The side that is laid first is called by the letter alone, the other one is primed. Of a dart, which a piece has
    with itself, the side left of the line comes first.
    """
    out: list[PieceSeam] = []
    for mark in marks:
        dart = mark.other == own
        seen = any(s.name == mark.seam for s in out)
        out.append(
            PieceSeam(
                name=mark.seam,
                prime=seen if dart else own > mark.other,
                join=mark.join.value,
                over=mark.over,
                width=mark.overlap,
                line=mark.line,
                ticks=mark.ticks,
                normals=mark.normals,
                other=labels[mark.other],
                dart=dart,
            )
        )
    return tuple(out)
