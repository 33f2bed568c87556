"""What the draft of a mould asks of people."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.findings import Basis, Finding, Severity
from bagside.mould.draft import LEAST_DRAFT, LOCKS, PieceDraft
from bagside.quantity import shown


def draft_findings(drafts: Sequence[PieceDraft], total_area: float | None = None) -> tuple[Finding, ...]:
    """Return what the draft of a mould asks of people.

    Parameters
    ----------
    drafts
        As `draft_of` returns them.
    total_area
        Area of the whole surface [m²]; when given, surface that belongs to no piece is reported.
    """
    out: list[Finding] = []
    for d in drafts:
        out += _piece_findings(d, single=len(drafts) == 1)
    if total_area is not None:
        left = total_area - sum(d.area for d in drafts)
        if left > 1e-6 * total_area:
            out.append(
                Finding(
                    severity=Severity.DECIDE,
                    stage="mould",
                    place="mould pieces",
                    what=f"{shown(left, 'cm²')} of the surface lie on the side of no piece",
                    why="their draft is not checked",
                    do="move or turn the split planes so that every part of the surface belongs to a piece",
                    basis=Basis.MEASURED,
                )
            )
    return tuple(out)


def _piece_findings(d: PieceDraft, *, single: bool) -> list[Finding]:
    place = "mould in one piece" if single else f"mould piece {d.name}"
    source = "1 to 3° works, 3° is good, under 1° scrapes"
    if d.undercut > 0.5 * d.area:
        return [
            Finding(
                severity=Severity.STOP,
                stage="mould",
                place=place,
                what=f"{shown(d.undercut, 'cm²')} of {shown(d.area, 'cm²')} lean over the pull",
                why="pulled this way the piece moves into the part, not off it",
                do="state the direction in which this piece is pulled off the part, or turn it round",
                basis=Basis.MEASURED,
                point=d.worst,
            )
        ]
    if d.locked:
        other = "move the split, change the pull or add a piece"
        cure = "split the mould there or add a loose piece" if single else other
        return [
            Finding(
                severity=Severity.STOP,
                stage="mould",
                place=place,
                what=f"{shown(d.undercut, 'cm²')} lean over; the part hooks in by {shown(d.hook, 'mm')}",
                why="the cured part is locked in and breaks, or the mould does",
                do=cure,
                basis=Basis.MEASURED,
                source="any surface that faces against the pull needs a piece of its own",
                point=d.worst,
            )
        ]
    if d.hook > 0 and d.smallest >= LEAST_DRAFT:
        return [
            Finding(
                severity=Severity.WATCH,
                stage="mould",
                place=place,
                what=f"{shown(d.undercut, 'cm²')} lean over; the part hooks in by {shown(d.hook, 'mm', 2)}",
                why="the part has to give way by that much when it comes off, and wears the mould there",
                do="ease the mould there before the first part, or loosen the part there first",
                basis=Basis.COMMON,
                source=f"a hook under {shown(LOCKS, 'mm')} is taken to slip over",
                point=d.worst,
            )
        ]
    if d.smallest < LEAST_DRAFT:
        return [
            Finding(
                severity=Severity.WATCH,
                stage="mould",
                place=place,
                what=f"the smallest draft is {shown(d.smallest, '°')}",
                why="the part drags along the wall and the mould needs mending every few parts",
                do="give the wall 1 to 3°, or plan air and wedges to break it loose",
                basis=Basis.COMMON,
                source=source,
                point=d.worst,
            )
        ]
    if d.smallest < d.wanted:
        return [
            Finding(
                severity=Severity.SEEN,
                stage="mould",
                place=place,
                what=f"draft {shown(d.smallest, '°')} at a depth of {shown(d.depth, 'mm', 0)}; "
                f"{shown(d.wanted, '°')} is wanted",
                why="a deep wall drags over a longer way",
                do="release it freshly for every part and lift it evenly",
                basis=Basis.COMMON,
                source="1° more for each 50 to 100 mm of depth beyond 100 mm",
                point=d.worst,
            )
        ]
    return []
