"""What of each ply goes on the mould, whether it was draped or cut from cards."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from bagside.cutting import FlatPiece
from bagside.planning.piece import Piece
from bagside.spec.job import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyPieces:
    """The pieces of one ply, for one part.

    Parameters
    ----------
    labels
        Of each different piece.
    copies
        How many of each; more than one when a card is cut several times.
    area
        Of all of them, flat [m²].
    cards
        Whether they are cut from cards, and not from draped cloth.
    """

    labels: tuple[str, ...]
    copies: tuple[int, ...]
    area: float
    cards: bool

    @property
    def count(self) -> int:
        """How many pieces there are, copies counted."""
        return sum(self.copies)

    @property
    def named(self) -> str:
        """Its labels in words, with the copies of each when there are several."""
        words = [label if n == 1 else f"{n} × {label}" for label, n in zip(self.labels, self.copies, strict=True)]
        return " and ".join(words) if len(words) < 3 else f"{words[0]} to {words[-1]}"


def ply_of(label: str) -> int:
    """Return the index of the ply that a piece belongs to, from its label.

    Parameters
    ----------
    label
        Begins with the number of its ply.

    Examples
    --------
    >>> ply_of("12A")
    11
    """
    found = re.match(r"\d+", label)
    return 0 if found is None else int(found[0]) - 1


def pieces_by_ply(job: Job, pieces: Sequence[Piece], cards: Sequence[FlatPiece]) -> tuple[PlyPieces, ...]:
    """Return the pieces of each ply, in laying order.

    Parameters
    ----------
    job
        As stated.
    pieces
        Draped ones.
    cards
        Those cut from cards, for all parts.
    """
    out = []
    for k, ply in enumerate(job.plies):
        if ply.templates:
            own = [p for p in cards if ply_of(p.label) == k]
            found = PlyPieces(
                labels=tuple(p.label for p in own),
                copies=tuple(p.quantity // job.quantity for p in own),
                area=sum(p.area * p.quantity for p in own) / job.quantity,
                cards=True,
            )
        else:
            draped = [p for p in pieces if p.ply == k]
            found = PlyPieces(
                labels=tuple(p.label for p in draped),
                copies=(1,) * len(draped),
                area=sum(p.pattern.area for p in draped),
                cards=False,
            )
        out.append(found)
    return tuple(out)


def in_laying_order(cut: Sequence[FlatPiece], cards: Sequence[FlatPiece]) -> tuple[FlatPiece, ...]:
    """Return everything that is cut, in the order of the plies.

    Parameters
    ----------
    cut
        Pieces and tiles of draped plies, in the order of their plies.
    cards
        Pieces cut from cards.
    """
    return tuple(sorted((*cut, *cards), key=lambda p: ply_of(p.label)))
