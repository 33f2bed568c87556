"""From regions and plies to draped pieces and their flat patterns.

A ply whose region lies in several connected parts is cut as several pieces: ply 4 over two doublers gives 4A and 4B,
largest first; so is one that is cut. A piece that does not hold the start point starts at its own middle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from bagside import geometry
from bagside.drape.cuts import CutPiece
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface
from bagside.mould import LaidCorner
from bagside.planning.cut_stage import Lay, PlyCuts, ply_cuts, spanned_by
from bagside.planning.laying import Floats, first_line, inside_start, start_of, triple, warp_direction
from bagside.planning.piece import Piece, draped_piece, locking_of
from bagside.planning.seam_sides import piece_seams
from bagside.planning.stages import Failed, Stages
from bagside.spec.job import Job, Ply
from bagside.spec.library import Library
from bagside.spec.lines import Pieces

MOST = 50_000  # triangles of a part: cloth on more takes long and is no better
SAG = 0.1  # of the edge: a coarser mesh may stray as much from the surface
APART = 4  # plies below within which joins are not to lie over each other


def evenly_meshed(surface: Surface, size: float, tolerance: float) -> tuple[Surface, ...]:
    """Return each connected part of a region, meshed evenly for draping, largest first.

    Parameters
    ----------
    surface
        The region.
    size
        Wanted edge length [m]; larger on a part that would take more than `MOST` triangles.
    tolerance
        How far the new triangles may stray from the old ones [m].
    """
    return tuple(_even(part, size, tolerance) for part in geometry.components(surface))


def _even(part: Surface, size: float, tolerance: float) -> Surface:
    made = geometry.remeshed(part, size, tolerance)
    for _ in range(3):
        if len(made.triangles) <= MOST:
            break
        size *= 1.05 * float(np.sqrt(len(made.triangles) / MOST))
        tolerance = max(tolerance, SAG * size)
        made = geometry.remeshed(part, size, tolerance)
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """One piece before it is draped."""

    label: str
    ply: int
    cut: CutPiece | None
    surface: Surface
    neighbours: tuple[str, ...]


def pieces_of(
    job: Job,
    library: Library,
    regions: Mapping[str, Surface],
    stages: Stages,
    where: str,
    corners: tuple[LaidCorner, ...] = (),
) -> tuple[tuple[Piece, ...], tuple[PlyCuts, ...]]:
    """Return every piece of every ply, draped, and where plies are cut.

    Parameters
    ----------
    job, library
        As stated.
    regions
        Each named region as a surface.
    stages
        Runs and keeps the work.
    where
        File the job is stated in.
    corners
        Tight corners with the plies that run through them; needed for plies whose cuts are found.

    Raises
    ------
    InputError
        When a start point is off the surface, or a cut cannot be made.
    NotSolved
        When a piece cannot be draped; names it.
    """
    places: list[_Place] = []
    cuts: list[PlyCuts] = []
    tasks: list[tuple[str, tuple[Any, ...]]] = []
    for k, ply in enumerate(job.plies):
        if ply.templates:  # cut from cards, not draped
            continue
        parts = stages.run(
            f"Meshing {ply.region}", evenly_meshed, regions[ply.region], job.mould.size, job.mould.tolerance
        )
        prepreg = library.prepreg[ply.material]
        below = tuple(cut.line for c in cuts if c.ply >= k - APART for cut in c.cuts)
        made = [_cut_up(part, k, job, library, len(parts), stages, where, corners, below) for part in parts]
        _all_used(job, k, made, where)
        cuts += [m for m in made if m.cuts or m.proposals]
        own = _named(k, parts, made)
        firsts = [first_line(p.surface, ply, job, f"{where}, ply {k + 1}, laid_first") for p in own]
        if ply.laid_first and all(first is None for first in firsts):
            raise InputError.one(
                f"{where}, ply {k + 1}, laid_first",
                f'"{ply.laid_first}"',
                f"this line lies nowhere near region {ply.region}",
                "move its points onto the region, or leave laid_first out",
            )
        for place, first in zip(own, firsts, strict=True):
            if place.cut is None:
                start = start_of(place.surface, ply, job, len(own) == 1, f"{where}, ply {k + 1}, start")
            else:
                start = inside_start(place.surface, np.array(ply.start or job.laying.start), job.laying.direction)
            direction = warp_direction(place.surface, start, job.laying.direction, ply.angle)
            args = (
                place.surface,
                triple(start),
                triple(direction),
                prepreg.kind.value,
                locking_of(prepreg),
                job.holes,
                first,
                place.cut,
                job.laying.refine,
            )
            tasks.append((f"Draping piece {place.label}", args))
        places += own
    pieces = []
    for place, laid in zip(places, stages.run_many(draped_piece, tasks), strict=True):
        if isinstance(laid, Failed):
            if isinstance(laid.error, NotSolved):
                raise NotSolved(f"ply {place.ply + 1}, piece {place.label}: {laid.error}") from laid.error
            raise laid.error
        seams = piece_seams(laid.marks, place.neighbours.index(place.label), place.neighbours)
        pieces.append(
            Piece(
                label=place.label, ply=place.ply, drape=laid.drape, pattern=laid.pattern, holes=laid.holes, seams=seams
            )
        )
    return tuple(pieces), tuple(cuts)


def _cut_up(
    part: Surface,
    k: int,
    job: Job,
    library: Library,
    parts: int,
    stages: Stages,
    where: str,
    corners: tuple[LaidCorner, ...],
    below: tuple[Floats, ...],
) -> PlyCuts:
    """Return where one part of a ply's region is cut."""
    ply = job.plies[k]
    found = ply.pieces is Pieces.AUTO
    if not (ply.cuts or found):
        return PlyCuts(ply=k, cuts=(), proposals=(), pieces=())
    lay = None
    if found:
        prepreg = library.prepreg[ply.material]
        start = start_of(part, ply, job, parts == 1, f"{where}, ply {k + 1}, start")
        lay = Lay(
            start=triple(start),
            direction=triple(warp_direction(part, start, job.laying.direction, ply.angle)),
            kind=prepreg.kind.value,
            locking_angle=locking_of(prepreg),
            corners=spanned_by(k, corners),
        )
    return stages.run(
        f"{'Looking for cuts of' if found else 'Cutting'} ply {k + 1}",
        ply_cuts,
        part,
        tuple(Ply(material="", angle=0.0, cuts=p.cuts) for p in job.plies[: k + 1]),  # its cuts hang on nothing else
        k,
        {cut.line: job.lines[cut.line] for cut in ply.cuts},
        job.laying.overlap,
        job.laying.stagger,
        (job.mould.size, job.mould.tolerance),
        lay,
        below,
        where,
    )


def _all_used(job: Job, k: int, made: Sequence[PlyCuts], where: str) -> None:
    """Refuse a cut whose line passes none of the ply's parts."""
    used = {cut.name for m in made for cut in m.cuts}
    for n, cut in enumerate(job.plies[k].cuts, 1):
        if cut.line not in used:
            raise InputError.one(
                f"{where}, ply {k + 1}, cut {n}, line",
                f'"{cut.line}"',
                f"this line lies nowhere near region {job.plies[k].region}",
                "move its points onto the region, or leave the cut out",
            )


def _named(k: int, parts: Sequence[Surface], made: Sequence[PlyCuts]) -> list[_Place]:
    """Return the pieces of a ply with their labels: 4 when it is one piece, else 4A, 4B."""
    count = sum(len(m.pieces) or 1 for m in made)
    labels = [f"{k + 1}" if count == 1 else f"{k + 1}{_letters(n)}" for n in range(count)]
    out: list[_Place] = []
    for part, m in zip(parts, made, strict=True):
        own = tuple(labels[len(out) : len(out) + (len(m.pieces) or 1)])
        if not m.pieces:
            out.append(_Place(label=own[0], ply=k, cut=None, surface=part, neighbours=own))
        out += [
            _Place(label=label, ply=k, cut=cut, surface=cut.surface, neighbours=own)
            for label, cut in zip(own, m.pieces, strict=False)
        ]
    return out


def _letters(n: int) -> str:
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
