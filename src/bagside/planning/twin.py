"""The mirrored twin of a part: everything worked out on the other part, then mirrored; twill reversed by its rule.

The other part's mesh, regions and cloth are worked out in its own axes and reflected, triangle for triangle, so that
the twin's flat pieces are the other's turned over, and equal but for that. Where a balanced twill is turned by 90° to
reverse its diagonal, its pieces are cut across the roll, and the cloth that costs is set beside what it was.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside import cutting
from bagside import drape as draping
from bagside.cutting import FlatPiece
from bagside.errors import NotSolved
from bagside.geometry import Surface, nearest
from bagside.planning.kit import MaterialKit, RollKit
from bagside.planning.kit_stage import width_for
from bagside.planning.mirror import (
    mirrored_job,
    mirrored_mould,
    mirrored_nest,
    mirrored_pattern,
    mirrored_piece,
    mirrored_surface,
)
from bagside.planning.mould_stage import MouldSurface
from bagside.planning.piece import Piece
from bagside.planning.stages import Stages
from bagside.planning.weave import InMirror, in_mirror
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.region import Plane
from bagside.spec.twin import Mirror, Reversal
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Twin:
    """A part made from its mirror image.

    Parameters
    ----------
    mirror
        As stated.
    quarter
        Indices of plies whose cloth is turned by 90°.
    over
        Indices of plies whose cloth is rolled out with its other face up.
    too_wide
        Labels of pieces that are too long to be cut across their roll, so that their ply stays as it was, and the
        width wanted [m].
    job
        As stated for the other part, in the twin's axes.
    surface, regions, part
        Mirrored.
    pieces
        Mirrored.
    """

    mirror: Mirror
    quarter: frozenset[int]
    over: frozenset[int]
    too_wide: dict[str, float]
    job: Job
    surface: MouldSurface
    regions: dict[str, Surface]
    part: Surface
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnedCloth:
    """What turning a cloth costs.

    Parameters
    ----------
    material
        Name of the cloth.
    pull
        Length to pull for the other part, and for the twin [m].
    utilisation
        Share of it that becomes pieces, for the other part and for the twin.
    cost
        Of the cloth, for the other part and for the twin.
    """

    material: str
    pull: tuple[float, float]
    utilisation: tuple[float, float]
    cost: tuple[float, float]


def twin_of(
    job: Job,
    surface: MouldSurface,
    regions: Mapping[str, Surface],
    pieces: Sequence[Piece],
    part: Surface,
    library: Library,
    workshop: Workshop,
    stages: Stages,
) -> Twin:
    """Return the mirrored twin of a part that has been worked out up to its flat pieces.

    Parameters
    ----------
    job
        With ``mirror`` stated; everything else in the other part's axes.
    surface, regions, pieces, part
        The other part's.
    library, workshop
        As stated.
    stages
        Keep the pieces that must be draped anew.

    Raises
    ------
    NotSolved
        When a piece of one-sided cloth cannot be draped on the mirrored surface; names it.
    """
    mirror = job.mirror
    if mirror is None:
        raise ValueError("the job is no twin")
    quarter, too_wide = quarter_turned(job, pieces, library, workshop)
    over = _to_reverse(job, library) if mirror.twill is Reversal.TURNED_OVER else frozenset()
    return Twin(
        mirror=mirror,
        quarter=quarter,
        over=over,
        too_wide=too_wide,
        job=mirrored_job(job, mirror.plane, quarter),
        surface=mirrored_mould(mirror.plane, surface),
        regions={name: mirrored_surface(mirror.plane, region) for name, region in regions.items()},
        part=mirrored_surface(mirror.plane, part),
        pieces=tuple(_piece(mirror.plane, p, p.ply in quarter, job, stages) for p in pieces),
    )


def quarter_turned(
    job: Job, pieces: Sequence[Piece], library: Library, workshop: Workshop
) -> tuple[frozenset[int], dict[str, float]]:
    """Return the plies whose cloth is turned by 90°, and the pieces that are too long for that.

    Parameters
    ----------
    job
        With ``mirror`` stated.
    pieces
        The other part's.
    library, workshop
        As stated.

    Returns
    -------
    tuple
        Indices of plies; labels of pieces with the width of roll they want [m].
    """
    if job.mirror is None or job.mirror.twill is not Reversal.QUARTER_TURN:
        return frozenset(), {}
    wanted = _to_reverse(job, library)
    tiled = None if job.patchwork is None else job.patchwork.ply - 1
    too_wide: dict[str, float] = {}
    for piece in pieces:
        if piece.ply in wanted and piece.ply != tiled:
            across = _across(piece, job, library, workshop)
            if across is not None:
                too_wide[piece.label] = across
    return wanted - {p.ply for p in pieces if p.label in too_wide}, too_wide


def _to_reverse(job: Job, library: Library) -> frozenset[int]:
    """Return the plies whose diagonal is to be reversed."""
    found = (k for k, p in enumerate(job.plies) if in_mirror(library.prepreg[p.material]) is InMirror.TURNS)
    if job.mirror is not None and job.mirror.seen_only:
        return frozenset(k for k in found if k == 0 and job.laying.show)
    return frozenset(found)


def _across(piece: Piece, job: Job, library: Library, workshop: Workshop) -> float | None:
    """Return the width a piece wants when it is cut across its roll [m]; None when the roll has it."""
    material = job.plies[piece.ply].material
    table = workshop.table
    width = width_for(material, workshop, library)
    turned = mirrored_pattern(piece.pattern, True)
    flat = FlatPiece(label=piece.label, material=material, loops=turned.loops)
    narrowest, _ = flat.narrowest()
    return narrowest + 2 * table.margin if narrowest > width - 2 * table.margin else None


def _piece(plane: Plane, piece: Piece, quarter: bool, job: Job, stages: Stages) -> Piece:
    image = mirrored_piece(plane, piece, quarter)
    law = piece.drape.law
    if quarter or law.closing == law.opening or piece.seams:
        return image
    try:
        along = bool(job.plies[piece.ply].laid_first)
        lain = stages.run(f"Draping piece {piece.label} mirrored", draped_anew, image.drape, along)
    except NotSolved as error:
        raise NotSolved(f"mirrored piece {piece.label}: {error}") from error
    holes = draping.locate(lain, _on_surface(image)) if image.holes else np.zeros((0, 2))
    return replace(
        image,
        drape=lain,
        pattern=draping.pattern_of(lain),
        holes=tuple((name, (float(u), float(v))) for (name, _), (u, v) in zip(image.holes, holes, strict=True)),
    )


def draped_anew(image: draping.Drape, along: bool) -> draping.Drape:
    """Return a cloth that shears more easily to one side laid on the surface of a mirror image, for its own law.

    Parameters
    ----------
    image
        The mirror image, which is how the mirrored cloth would lie.
    along
        Whether its line was drawn and is laid first.
    """
    _, triangle, _ = nearest(image.surface, image.start[None, :])
    first = image.line if along else None
    return draping.drape(
        image.surface, start=image.start, direction=image.warp[triangle[0]], law=image.law, first=first
    )


def _on_surface(piece: Piece) -> np.ndarray:
    """Return where the holes of a piece lie on its surface, shape (k, 3) [m]."""
    uv = np.array([at for _, at in piece.holes])
    flat = Surface(np.column_stack([piece.drape.uv, np.zeros(len(piece.drape.uv))]), piece.surface.triangles)
    _, triangle, _ = nearest(flat, np.column_stack([uv, np.zeros(len(uv))]))
    corner = flat.corners[triangle][:, :, :2]
    side = np.stack([corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]], axis=2)
    share = np.linalg.solve(side, (uv - corner[:, 0])[:, :, None])[:, :, 0]
    weights = np.column_stack([1 - share.sum(axis=1), share])
    out: np.ndarray = np.einsum("ki,kij->kj", weights, piece.surface.corners[triangle])
    return out


def twin_kits(
    twin: Twin, before: Sequence[MaterialKit], nested: Mapping[str, MaterialKit], pieces: Sequence[FlatPiece]
) -> tuple[tuple[MaterialKit, ...], tuple[TurnedCloth, ...]]:
    """Return the kits of a twin, and what turning its cloth costs.

    Parameters
    ----------
    twin
        The twin.
    before
        The other part's kits, for as many parts.
    nested
        Kits of the cloths that are cut otherwise than mirrored, by material.
    pieces
        Every flat piece of the twin.
    """
    kits: list[MaterialKit] = []
    turned: list[TurnedCloth] = []
    flat = {p.label: p for p in pieces}
    for kit in before:
        own = nested.get(kit.material)
        if own is None:
            own = replace(kit, rolls=tuple(_mirrored(roll, flat) for roll in kit.rolls))
        elif any(twin.job.plies[k].material == kit.material for k in twin.quarter):
            turned.append(
                TurnedCloth(
                    material=kit.material,
                    pull=(kit.pull, own.pull),
                    utilisation=(kit.utilisation, own.utilisation),
                    cost=(kit.cost, own.cost),
                )
            )
        kits.append(own)
    return tuple(kits), tuple(turned)


def _mirrored(roll: RollKit, flat: Mapping[str, FlatPiece]) -> RollKit:
    pieces = [replace(flat[p.label], quantity=p.quantity, kits=p.kits) for p in roll.nest.pieces]
    nest = mirrored_nest(roll.nest, pieces)
    cutting.verify(nest)
    return replace(roll, nest=nest, offcuts=cutting.offcuts(nest, roll.take.pull))


def cut_otherwise(twin: Twin, pieces: Sequence[Piece]) -> frozenset[str]:
    """Return the cloths whose pieces are not simply the other part's turned over.

    Parameters
    ----------
    twin
        The twin.
    pieces
        The other part's.
    """
    plies = set(twin.quarter) | {p.ply for p in pieces if p.drape.law.closing != p.drape.law.opening}
    return frozenset(twin.job.plies[k].material for k in plies)
