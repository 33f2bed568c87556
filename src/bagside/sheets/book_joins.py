"""What the book says of joins: on each ply's page, and of all plies together; what was proposed, and at what price."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bagside.cutting import PieceSeam
from bagside.planning.piece import Piece
from bagside.quantity import shown
from bagside.sheets.bookinput import Block, Chapter, Paragraph, Picture, Said, Table, Words
from bagside.sheets.joined import JoinLine
from bagside.sheets.joins_view import apart


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedCut:
    """One way of cutting a ply that was tried.

    Parameters
    ----------
    what
        In words: ``whole``, ``dart to the deepest point``, ``two pieces along the keel``.
    cuts
        How many.
    cut
        Length of them together [m].
    overlap
        Extra cloth in overlaps [m²].
    shear
        |shear| that 99 % of the area stays below [rad].
    surplus
        Strain by which cloth is too long that 99 % of the area stays below.
    price
        What it adds to one part, with its currency; empty when it adds nothing.
    good
        Whether it keeps every limit.
    taken
        Whether it is the one that was taken.
    """

    what: str
    cuts: int
    cut: float
    overlap: float
    shear: float
    surplus: float
    price: str
    good: bool
    taken: bool = False


def proposal_table(ply: int, tried: Sequence[TriedCut]) -> Table:
    """Return what was tried for a ply, what each way costs, and which was taken.

    Parameters
    ----------
    ply
        Its number.
    tried
        In the order of trying; at least one.
    """

    def row(t: TriedCut) -> tuple[Words, ...]:
        cells = (
            t.what,
            str(t.cuts),
            shown(t.cut, "mm", 0),
            shown(t.overlap, "cm²", 0),
            shown(t.shear, "°", 0) if math.isfinite(t.shear) else "–",
            shown(t.surplus, "%", 1) if math.isfinite(t.surplus) else "–",
            t.price,
            "taken" if t.taken else "keeps its limits" if t.good else "past a limit",
        )
        return tuple(Said(words=c, bold=True) if t.taken else c for c in cells)

    return Table(
        title=f"Cuts proposed for ply {ply}",
        headers=("tried", "cuts", "length", "overlap", "shear", "too long by", "adds", ""),
        align="lrrrrrrl",
        rows=tuple(row(t) for t in tried),
    )


def joins_table(pieces: Sequence[Piece], seams: Sequence[Sequence[PieceSeam]]) -> tuple[Table, ...]:
    """Return the joins of one ply as a small table; none when it has none.

    Parameters
    ----------
    pieces
        Of the ply.
    seams
        Sides of joins of each.
    """
    sides = [(p.label, s) for p, own in zip(pieces, seams, strict=True) for s in own]
    rows = []
    for label, seam in sorted(sides, key=lambda side: (len(side[1].name), side[1].name)):
        if seam.prime:
            continue
        mates = [(o, t) for o, t in sides if t.prime and t.name == seam.name and o in (seam.other, "")]
        below = mates[0][0] if mates else seam.other or label
        # Where this side is not the longer one, the other is.
        longer = seam if seam.over else next((t for _, t in mates if t.over), None)
        over = "" if longer is None else longer.shown if seam.dart else label if longer is seam else below
        width = max([seam.width, *(s.width for _, s in mates)]) if seam.join != "butt" else 0.0
        rows.append(
            (
                f"{seam.name} – {seam.name}′",
                f"dart in {label}" if seam.dart else f"{label} to {below}",
                seam.join,
                shown(width, "mm", 0) if width else "none",
                shown(seam.length, "mm", 0),
                f"{over} on top" if over else "",
            )
        )
    if not rows:
        return ()
    return (Table(headers=("join", "of", "kind", "overlap", "length", ""), align="lllrrl", rows=tuple(rows)),)


def joins_chapter(picture: str, joins: Sequence[JoinLine], proposals: Sequence[Table] = ()) -> Chapter | None:
    """Return the chapter on the joins of all plies; None when no ply has one and none was proposed.

    Parameters
    ----------
    picture
        All of them on the mould; empty when there is none.
    joins
        Of every ply, as they lie on the mould.
    proposals
        From `proposal_table`, one for each ply that was cut by proposal.
    """
    blocks: list[Block] = []
    if joins:
        blocks.append(Picture(svg=picture, caption="every join of every ply, with its ply and letter"))
        rows = tuple(
            (f"plies {a.lower} and {a.upper}", Said(words=shown(a.distance, "mm", 0), bold=a.distance < 0.5e-3))
            for a in apart(joins)
        )
        if rows:
            blocks.append(
                Table(title="Nearest places of joins that follow", headers=("", "apart"), align="lr", rows=rows)
            )
        if any(a.distance < 0.5e-3 for a in apart(joins)):
            blocks.append(Paragraph(words="Where two joins cross, the laminate has one ply less to carry over both."))
    blocks += proposals
    if not blocks:
        return None
    count = len({j.ply for j in joins})
    words = f"{len(joins)} join{'' if len(joins) == 1 else 's'} in {count} pl{'y' if count == 1 else 'ies'}"
    facts = (words,) if joins else ()
    return Chapter(title="Joins", facts=facts, blocks=tuple(blocks))
