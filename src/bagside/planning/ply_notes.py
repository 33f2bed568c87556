"""What draping noticed: what several pieces or places share is said once, at the worst of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bagside import drape as draping
from bagside.findings import Basis, Finding, Severity
from bagside.planning.piece import Piece, locking_of
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.material import ClothKind

COARSER = 1.4  # edges this much longer than stated are told


def drape_findings(pieces: tuple[Piece, ...], job: Job, library: Library) -> tuple[Finding, ...]:
    """Return what draping noticed; what several pieces or places share is said once, at the worst of them."""
    alike: dict[int, list[Piece]] = {}
    for piece in pieces:
        alike.setdefault(id(piece.drape), []).append(piece)
    found: list[Finding] = []
    for group in alike.values():
        first = group[0]
        prepreg = library.prepreg[job.plies[first.ply].material]
        law = draping.law_of(draping.ClothKind(prepreg.kind.value), locking_of(prepreg), len(first.surface.triangles))
        labels = [p.label for p in group]
        place = f"piece {labels[0]}" if len(labels) == 1 else f"pieces {', '.join(labels[:-1])} and {labels[-1]}"
        kinds: dict[str, list[Finding]] = {}
        for finding in draping.findings(first.drape, law, place):
            kinds.setdefault(finding.why, []).append(finding)
        for same in kinds.values():
            more = f" {len(same) - 1} more place{'s' if len(same) > 2 else ''} like it." if len(same) > 1 else ""
            found.append(replace(same[0], what=same[0].what + more))
        if first.surface.edge_length > COARSER * job.mould.size:
            found.append(_coarser(first, job, place))
        if job.structural:  # of every other part the book says how much of each angle is left, and leaves it there
            found += _angles(first, job, place, weft=prepreg.kind is not ClothKind.UNIDIRECTIONAL)
    return tuple(found)


def _coarser(piece: Piece, job: Job, place: str) -> Finding:
    return Finding(
        severity=Severity.SEEN,
        stage="drape",
        place=place,
        what=f"worked out in triangles of {shown(piece.surface.edge_length, 'mm')}, not {shown(job.mould.size, 'mm')}",
        why="at the size stated it would take more than fifty thousand of them, and minutes, for the same answer",
        do="nothing; where small fillets matter, give them a region of their own",
        basis=Basis.MEASURED,
    )


def _angles(piece: Piece, job: Job, place: str, *, weft: bool) -> tuple[Finding, ...]:
    """Return what should be known of the angles that a ply of a structural part keeps."""
    axis, angle = np.array(job.laying.direction), job.plies[piece.ply].angle
    survived = draping.angles_that_survive(piece.drape, axis, angle, job.laying.rosette)
    return draping.angle_findings(piece.drape, survived, place, structural=True, weft=weft)
