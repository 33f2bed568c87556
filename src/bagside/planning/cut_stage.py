"""Where each ply is cut into pieces: along the lines that are drawn, and along those that are found.

Lines that several plies are cut along move aside from ply to ply, so that joins do not lie over each other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside import drape as draping
from bagside import geometry
from bagside.drape.cuts import Cut, CutPiece, cut_pieces
from bagside.drape.propose import Proposal, propose_cuts
from bagside.drape.stagger import staggered
from bagside.drape.trial import Limits
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface
from bagside.geometry.lines import joined
from bagside.mould import CornerVerdict, LaidCorner
from bagside.spec.job import Ply
from bagside.spec.lines import Join, Line

Floats = NDArray[np.float64]
Triple = tuple[float, float, float]

SMALLEST = 2e-4  # [m²] places that want a cut but are smaller are worked by hand
REACH = 0.02  # [m] a line's points may lie this far off the surface
SPANS = (CornerVerdict.BRIDGES, CornerVerdict.FILLER, CornerVerdict.CLOSED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lay:
    """How a ply is laid, as far as finding its cuts must know.

    Parameters
    ----------
    start, direction
        Where laying starts [m], and where the warp points there.
    kind, locking_angle
        Of the cloth.
    corners
        Lines of tight corners that it would span, each of shape (k, 3) [m].
    """

    start: Triple
    direction: Triple
    kind: str
    locking_angle: float | None
    corners: tuple[Floats, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyCuts:
    """Where one connected part of a ply is cut.

    Parameters
    ----------
    ply
        Its index in the job.
    cuts
        As laid: drawn ones, then those found; moved aside where plies before are joined.
    proposals
        What was tried and taken on top of the drawn cuts; empty when the ply is cut as drawn.
    pieces
        What is laid, largest first; empty when the part is laid whole.
    notes
        What moving joins aside came to, where it is not as wished.
    """

    ply: int
    cuts: tuple[Cut, ...]
    proposals: tuple[Proposal, ...]
    pieces: tuple[CutPiece, ...]
    notes: tuple[str, ...] = ()


def ply_cuts(
    part: Surface,
    plies: tuple[Ply, ...],
    k: int,
    lines: Mapping[str, Line],
    overlap: float,
    stagger: float,
    mesh: tuple[float, float],
    lay: Lay | None,
    below: tuple[Floats, ...],
    where: str,
) -> PlyCuts:
    """Return where one part of a ply is cut, and its pieces.

    Parameters
    ----------
    part
        One connected part of the ply's region, evenly meshed.
    plies
        Of the job.
    k
        Which ply.
    lines
        Of the job, by name.
    overlap
        Where a cut states none [m].
    stagger
        Between the joins of successive plies [m]; zero leaves them where they are drawn and found.
    mesh
        Size of the triangles and tolerance [m].
    lay
        How the ply is laid, when cuts are to be found; nothing when it is cut as drawn.
    below
        Join lines of the last four plies, each of shape (j, 3) [m].
    where
        File they are stated in.

    Raises
    ------
    InputError
        When a line leads off the part, or the cuts along it cannot be made.
    """
    size, tolerance = mesh
    cuts, notes = _drawn(part, plies, k, lines, overlap, stagger, below, where)
    pieces = _pieces(part, cuts, size, tolerance, f"{where}, ply {k + 1}, cuts")
    proposals: list[Proposal] = []
    if lay is not None:
        found = propose_cuts(
            part,
            start=np.array(lay.start),
            direction=np.array(lay.direction),
            law=draping.law_of(draping.ClothKind(lay.kind), lay.locking_angle, len(part.triangles)),
            limits=Limits(shear=lay.locking_angle, area=SMALLEST),
            corners=lay.corners,
            overlap=overlap,
            drawn=cuts,
        )
        proposals.append(found)
        for cut in found.cuts if helps(found) else ():
            named = replace(cut, name=_free(cut.name, cuts))
            moved, note = _aside(part, named, 0, stagger if cut.join is not Join.SLIP else 0.0, below)
            cuts, notes = (*cuts, moved), (*notes, *note)
        if found.cuts and helps(found):
            pieces = _pieces(part, cuts, size, tolerance, f"{where}, ply {k + 1}, pieces")
    return PlyCuts(ply=k, cuts=cuts, proposals=tuple(proposals), pieces=pieces, notes=notes)


def helps(proposal: Proposal) -> bool:
    """Return whether the cuts proposed can be laid, and leave less over the limits than the ply in one piece.

    Parameters
    ----------
    proposal
        From `bagside.drape.propose_cuts`.
    """
    before, after = proposal.before, proposal.after
    return after.laid and (not before.laid or (after.excess, after.spanned) < (before.excess, before.spanned))


def _pieces(part: Surface, cuts: tuple[Cut, ...], size: float, tolerance: float, place: str) -> tuple[CutPiece, ...]:
    if not cuts:
        return ()
    try:
        return cut_pieces(part, cuts, size=size, tolerance=tolerance)
    except InputError as error:
        raise InputError([replace(p, place=f"{place}, {p.place}") for p in error.problems]) from error
    except (NotSolved, ValueError) as error:
        raise InputError.one(place, ", ".join(c.name for c in cuts), f"it cannot be cut so: {error}") from error


def _free(name: str, cuts: tuple[Cut, ...]) -> str:
    taken = {c.name for c in cuts}
    return next(n for n in (name, *(f"{name} ({k})" for k in range(2, 100))) if n not in taken)


def _aside(
    part: Surface, cut: Cut, turn: int, stagger: float, below: tuple[Floats, ...]
) -> tuple[Cut, tuple[str, ...]]:
    if stagger <= 0 or not below:
        return cut, ()
    moved = staggered(part, cut, turn, stagger, below)
    return moved.cut, (moved.note,) if moved.cut is cut and moved.note else ()  # another place does as well


def _drawn(
    part: Surface,
    plies: tuple[Ply, ...],
    k: int,
    lines: Mapping[str, Line],
    overlap: float,
    stagger: float,
    below: tuple[Floats, ...],
    where: str,
) -> tuple[tuple[Cut, ...], tuple[str, ...]]:
    """Return the cuts that are drawn for a ply, as they run over one part of its region."""
    found: list[Cut] = []
    notes: list[str] = []
    for n, stated in enumerate(plies[k].cuts, 1):
        line = lines[stated.line]
        points = np.array(line.points)
        off, _, _ = geometry.nearest(part, points)
        if not (off <= REACH).any():
            continue  # it is drawn for another part of the region
        turn = sum(any(c.line == stated.line for c in ply.cuts) for ply in plies[:k])
        width = 0.0 if stated.join is Join.BUTT else (overlap if stated.overlap is None else stated.overlap)
        try:
            way = joined(part, points, closed=line.closed, follow=line.follow)
            cut = Cut(name=stated.line, line=way, join=stated.join, overlap=width, closed=line.closed)
            moved, note = _aside(part, cut, turn, 0.0 if stated.join is Join.SLIP else stagger, below)
        except (NotSolved, ValueError) as error:
            place = f"{where}, ply {k + 1}, cut {n}"
            raise InputError.one(place, f'"{stated.line}"', f"the line cannot be laid there: {error}") from error
        found.append(moved)
        notes += note
    return tuple(found), tuple(notes)


def spanned_by(k: int, corners: tuple[LaidCorner, ...]) -> tuple[Floats, ...]:
    """Return the lines of the corners that a ply would span rather than follow, each of shape (j, 3) [m].

    Parameters
    ----------
    k
        Index of the ply.
    corners
        From `bagside.planning.mould_stage.corners_laid`.
    """
    return tuple(
        c.corner.points
        for c in corners
        for number, ply in zip(c.numbers, c.plies, strict=True)
        if number == k + 1 and ply.verdict in SPANS
    )
