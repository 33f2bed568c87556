"""From a stated patchwork to its tiles: where the pattern lies, what is cut, and what a person should know.

The pattern lies in the cloth coordinates of the piece that holds its origin and is carried to the other pieces of the
ply over their joins; where it goes on from another part, two points that meet carry it over.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside import drape as draping
from bagside.cutting import FlatPiece
from bagside.drape import Motion, PatchworkPlan, Tiling
from bagside.errors import InputError
from bagside.planning.piece import Piece
from bagside.planning.stages import Stages
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.material import ClothKind
from bagside.spec.patchwork import Patchwork

Floats = NDArray[np.float64]
Triple = tuple[float, float, float]

POINT_REACH = 0.02  # [m] a stated point may lie this far off the surface


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlyPatchwork:
    """A ply cut as tiles.

    Parameters
    ----------
    ply
        Its index in the job.
    plan
        Its tiles.
    first
        Label of the piece in whose cloth the pattern was placed.
    base
        The pattern there.
    motions
        Of every piece's cloth coordinates onto those of the first, where a join leads to it.
    apart
        Labels of pieces no join leads to: the pattern starts anew on each.
    apart_by
        How much further apart the two points lie here than on the part the pattern goes on from [m]; None when it goes
        on from none.
    """

    ply: int
    plan: PatchworkPlan
    first: str
    base: Tiling
    motions: dict[str, Motion]
    apart: tuple[str, ...]
    apart_by: float | None = None


def patchwork_of(
    job: Job,
    pieces: Sequence[Piece],
    stages: Stages,
    where: str,
    before: tuple[PlyPatchwork, Sequence[Piece]] | None = None,
) -> PlyPatchwork | None:
    """Return the ply that is cut as tiles; None when there is none.

    Parameters
    ----------
    job
        As stated.
    pieces
        Every piece of every ply.
    stages
        Keep the tiles.
    where
        File it is stated in, for messages.
    before
        The patchwork this one goes on from, and the pieces of its part.

    Raises
    ------
    InputError
        When a stated point lies off the surface, the pattern does not match the one it goes on from, or no tile is
        left.
    """
    work = job.patchwork
    if work is None:
        return None
    own = [p for p in pieces if p.ply == work.ply - 1]
    place = f"{where}, patchwork"
    if work.continues is None:
        origin = work.origin or job.plies[work.ply - 1].start or job.laying.start
        (first, at), *_ = _found(own, (origin,), f"{place}, origin", math.inf if work.origin is None else POINT_REACH)
        motions, apart = _registered(own, first, stages)
        base = _tiling(work, at)
        further = None
    else:
        if before is None:
            raise ValueError("the patchwork goes on from one that was not worked out")
        other, there = before
        shape = _same(work, other.base, place)
        here = _found(own, work.continues.here, f"{place}, continues, here", POINT_REACH)
        first = here[0][0]
        motions, apart = _registered(own, first, stages)
        from_ = _found(
            [p for p in there if p.ply == other.ply], work.continues.there, f"{place}, continues, there", POINT_REACH
        )
        ours = _in_first(here, motions, f"{place}, continues, here")
        theirs = _in_first(from_, other.motions, f"{place}, continues, there")
        base = draping.moved_tiling(shape, draping.motion_between(theirs, ours, f"{place}, continues"))
        further = float(np.linalg.norm(ours[1] - ours[0]) - np.linalg.norm(theirs[1] - theirs[0]))
    tilings = {
        p.label: draping.moved_tiling(base, motions[p.label].back()) if p.label in motions else _anew(base) for p in own
    }
    plan = _planned(own, tilings, work, stages)
    return PlyPatchwork(
        ply=work.ply - 1, plan=plan, first=first, base=base, motions=motions, apart=apart, apart_by=further
    )


def mirrored_patchwork(
    found: PlyPatchwork, work: Patchwork, pieces: Sequence[Piece], quarter: bool, stages: Stages
) -> PlyPatchwork:
    """Return the patchwork of a mirrored twin: the same pattern, mirrored with the cloth.

    Parameters
    ----------
    found
        The other part's.
    work
        As stated.
    pieces
        The twin's.
    quarter
        Whether the ply's cloth is turned by 90°.
    stages
        Keep the tiles.
    """
    own = [p for p in pieces if p.ply == found.ply]
    tilings = {label: draping.mirrored_tiling(t, quarter) for label, t in found.plan.tilings.items()}
    motions, apart = _registered(own, found.first, stages)
    return replace(
        found,
        plan=_planned(own, tilings, work, stages),
        base=draping.mirrored_tiling(found.base, quarter),
        motions=motions,
        apart=apart,
    )


def _planned(own: Sequence[Piece], tilings: Mapping[str, Tiling], work: Patchwork, stages: Stages) -> PatchworkPlan:
    return stages.run(
        "Laying out tiles",
        draping.patchwork_of,
        {p.label: p.drape for p in own},
        {p.label: p.pattern.loops for p in own},
        dict(tilings),
        smallest=work.smallest,
        narrowest=work.narrowest,
    )


def _registered(own: Sequence[Piece], first: str, stages: Stages) -> tuple[dict[str, Motion], tuple[str, ...]]:
    return stages.run("Registering pieces", draping.registered, {p.label: p.drape for p in own}, first)


def _tiling(work: Patchwork, origin: tuple[float, float]) -> Tiling:
    if work.shape is None or work.size is None:
        raise ValueError("a patchwork of its own states shape and size")
    return Tiling(
        shape=work.shape,
        size=work.size,
        length=work.length,
        turn=work.turn,
        origin=origin,
        gap=work.gap,
        overlap=work.overlap,
    )


def _anew(base: Tiling) -> Tiling:
    """Return the pattern on a piece no join leads to: a cell's middle lies at its start."""
    return replace(base, origin=(0.0, 0.0))


def _same(work: Patchwork, other: Tiling, place: str) -> Tiling:
    """Return the other part's pattern, with this part's gap or overlap; what is stated anew must be the same."""
    for key, own, its in (
        ("shape", work.shape, other.shape),
        ("size", work.size, other.size),
        ("length", work.length, other.length),
    ):
        if own is not None and own != its:
            text = its if isinstance(its, str) else "none" if its is None else shown(float(its), "mm")
            raise InputError.one(
                f"{place}, {key}",
                own if isinstance(own, str) else shown(float(own), "mm"),
                f"the pattern it goes on from has {text}",
                "leave it out, it follows from there",
            )
    if work.gap or work.overlap:
        return replace(other, gap=work.gap, overlap=work.overlap)
    return other


def _found(
    own: Sequence[Piece], points: Sequence[Triple], place: str, reach: float
) -> list[tuple[str, tuple[float, float]]]:
    """Return for each point the piece it lies on and where it falls in its cloth."""
    out = []
    for point in points:
        p = np.array([point])
        near = [(piece.label, *draping.nearest_to(piece.drape, p)) for piece in own]
        label, off, at, _ = min(near, key=lambda hit: float(hit[1][0]))
        distance, uv = float(off[0]), at[0]
        if distance > reach:
            came = " ".join(f"{1e3 * c:.1f}" for c in point)
            raise InputError.one(
                place, f'"{came} mm"', f"this point is {shown(distance, 'mm')} off the ply; one on it is wanted"
            )
        out.append((label, (float(uv[0]), float(uv[1]))))
    return out


def _in_first(found: Sequence[tuple[str, tuple[float, float]]], motions: Mapping[str, Motion], place: str) -> Floats:
    for label, _ in found:
        if label not in motions:
            raise InputError.one(
                place, f"a point on piece {label}", "both points must lie on pieces that joins lead to from each other"
            )
    return np.concatenate([motions[label].of(np.array([uv])) for label, uv in found])


def tile_pieces(found: PlyPatchwork, pieces: Sequence[Piece], job: Job, library: Library) -> tuple[FlatPiece, ...]:
    """Return the tiles as they are cut: each sort of whole tiles once with its count, every other tile by itself.

    Parameters
    ----------
    found
        The ply.
    pieces
        Every piece of the job, for the holes in them.
    job, library
        As stated.
    """
    material = job.plies[found.ply].material
    free = library.prepreg[material].kind is ClothKind.VEIL
    turns = None if free else (0.0, math.pi)
    number = found.ply + 1
    kits = [str(n + 1) for n in range(job.quantity)]
    out = [
        FlatPiece(
            label=f"{number}{sort.name}",
            material=material,
            loops=(sort.outline,),
            turns=turns,
            quantity=sort.count * job.quantity,
            kits=tuple(kit for kit in kits for _ in range(sort.count)),
        )
        for sort in found.plan.sorts
    ]
    holes = {p.label: p.holes for p in pieces}
    for tile in found.plan.edge_tiles:
        shape = shapely.Polygon(tile.loops[0], tile.loops[1:])
        marks = tuple((name, at) for name, at in holes[tile.piece] if shape.contains(shapely.Point(at)))
        out.append(
            FlatPiece(
                label=f"{number}-{tile.number}",
                material=material,
                loops=tile.loops,
                turns=turns,
                marks=marks,
                quantity=job.quantity,
                kits=tuple(kits),
            )
        )
    return tuple(out)
