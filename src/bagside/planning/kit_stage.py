"""From flat pieces to a nest on each cloth, what it takes and what is left over."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside import cutting
from bagside.cutting import FlatPiece, Nest, Offcuts, Take
from bagside.findings import Finding, Severity
from bagside.planning.patchwork_stage import PlyPatchwork, tile_pieces
from bagside.planning.piece import Piece
from bagside.planning.stages import Stages
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.material import ClothKind
from bagside.spec.workshop import CuttingTable, Roll, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialKit:
    """All pieces of one cloth, for every part of the job.

    Parameters
    ----------
    material
        Its name.
    roll
        The roll it is cut from.
    nest
        Where pieces lie.
    take
        Length, cost, knife path and time.
    offcuts
        What is left and worth keeping.
    """

    material: str
    roll: Roll
    nest: Nest
    take: Take
    offcuts: Offcuts


def flat_piece(piece: Piece, job: Job, library: Library) -> FlatPiece:
    """Return a piece as it is cut, once for each part."""
    ply = job.plies[piece.ply]
    free = library.prepreg[ply.material].kind is ClothKind.VEIL
    marks = (("start", (0.0, 0.0)), *piece.holes)
    return FlatPiece(
        label=piece.label,
        material=ply.material,
        loops=piece.pattern.loops,
        turns=None if free else (0.0, math.pi),
        marks=marks,
        quantity=job.quantity,
        kits=tuple(str(n + 1) for n in range(job.quantity)),
        seams=piece.seams,
    )


def cut_list(
    pieces: tuple[Piece, ...], patchwork: PlyPatchwork | None, job: Job, library: Library
) -> tuple[FlatPiece, ...]:
    """Return everything that is cut, in the order of the plies.

    Parameters
    ----------
    pieces
        Of all plies.
    patchwork
        The ply that is cut as tiles in place of its pieces; None when there is none.
    job, library
        As stated.
    """
    out: list[FlatPiece] = []
    for k in range(len(job.plies)):
        if patchwork is not None and patchwork.ply == k:
            out.extend(tile_pieces(patchwork, pieces, job, library))
        else:
            out.extend(flat_piece(p, job, library) for p in pieces if p.ply == k)
    return tuple(out)


def roll_for(material: str, workshop: Workshop) -> Roll:
    """Return the roll to cut from: the one with least length among those in stock."""
    return min((r for r in workshop.stock if r.material == material), key=lambda r: r.length)


def nested(
    pieces: tuple[FlatPiece, ...], width: float, table: CuttingTable, length: float | None, seconds: float
) -> Nest:
    """Return the pieces nested on a cloth; checked by `bagside.cutting.verify`."""
    cloth = cutting.Cloth(
        material=pieces[0].material, width=width, margin=table.margin, gap=table.gap, length_available=length
    )
    return cutting.nest_roll(pieces, cloth, seconds=seconds)


def kits_of(
    cut: tuple[FlatPiece, ...],
    job: Job,
    workshop: Workshop,
    library: Library,
    stages: Stages,
    only: frozenset[str] | None = None,
) -> tuple[MaterialKit, ...]:
    """Return the nest of every cloth.

    Parameters
    ----------
    cut
        Everything that is cut, from `cut_list`.
    job, workshop, library
        As stated.
    stages
        Keep the nests.
    only
        Names of the cloths to nest; all when None.

    Raises
    ------
    InputError
        When a piece is wider than its cloth; names both.
    """
    kits: list[MaterialKit] = []
    whole = sum(p.area * p.quantity for p in cut)
    for material in dict.fromkeys(ply.material for ply in job.plies):
        if only is not None and material not in only:
            continue
        flat = tuple(p for p in cut if p.material == material)
        roll = roll_for(material, workshop)
        width = roll.width or library.prepreg[material].width
        share = sum(p.area * p.quantity for p in flat) / whole
        nest = stages.run(
            f"Nesting {sum(p.quantity for p in flat)} pieces of {material}",
            nested,
            flat,
            width,
            workshop.table,
            roll.length,
            max(1.0, float(round(job.nest_time * share))),
        )
        cutting.verify(nest)
        table = workshop.table
        take = cutting.take(nest, end=table.end, knife=table.knife, handling=table.handling, price=roll.price)
        kits.append(
            MaterialKit(material=material, roll=roll, nest=nest, take=take, offcuts=cutting.offcuts(nest, take.pull))
        )
    return tuple(kits)


def kit_findings(kits: tuple[MaterialKit, ...], library: Library) -> tuple[Finding, ...]:
    """Return what cutting noticed, and rolls whose life runs short."""
    found: list[Finding] = []
    for kit in kits:
        found.extend(cutting.nest_findings(kit.nest, kit.take.pull))
        life = library.prepreg[kit.material].out_life
        left = life - kit.roll.life_used
        share = kit.roll.life_used / life
        if share >= 0.7:
            name = f"roll {kit.roll.batch or kit.material}"
            found.append(
                Finding(
                    severity=Severity.STOP if share >= 1.0 else Severity.DECIDE if share >= 0.9 else Severity.WATCH,
                    stage="cutting",
                    place=name,
                    what=f"{shown(share, '%', 0)} of its out-life is used, {shown(left, 'h', 0)} are left",
                    why="tack goes first, then the resin gels sooner and flows less, and corners bridge",
                    do=(
                        "do not lay it on a part; use it for practice or cauls"
                        if share >= 1.0
                        else "lay and cure a small coupon first, and use this roll before any other"
                    ),
                    basis=library.prepreg[kit.material].basis.of("out_life"),
                    source=library.prepreg[kit.material].basis.source,
                )
            )
    return tuple(found)
