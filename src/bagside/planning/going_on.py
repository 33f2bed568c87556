"""Patchwork that goes on from another part: that part worked out as far as its tiles, however long the chain."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.planning import lay_up, mould_stage
from bagside.planning.content import ContentFile
from bagside.planning.mirror import mirrored_piece
from bagside.planning.patchwork_stage import PlyPatchwork, mirrored_patchwork, patchwork_of
from bagside.planning.piece import Piece
from bagside.planning.stages import Stages
from bagside.planning.twin import quarter_turned
from bagside.spec.opening import Opened


def tiled(opened: Opened, pieces: Sequence[Piece], stages: Stages, where: str) -> PlyPatchwork | None:
    """Return the ply of a job that is cut as tiles; None when there is none.

    Parameters
    ----------
    opened
        The job; its pattern may go on from another's.
    pieces
        Every piece of every ply, in the axes the job is stated in.
    stages
        Keep what is worked out.
    where
        File it is stated in, for messages.

    Raises
    ------
    InputError
        When what is stated does not fit the mould or the other part's pattern.
    NotSolved
        When a piece of the other part cannot be draped.
    """
    before = None if opened.goes_on_from is None else _worked_out(opened.goes_on_from, stages, where)
    return patchwork_of(opened.job, pieces, stages, where, before)


def _worked_out(opened: Opened, stages: Stages, where: str) -> tuple[PlyPatchwork, tuple[Piece, ...]]:
    job, library = opened.job, opened.library
    if opened.mesh is None:
        raise ValueError("the job that is gone on from has no surface")
    file = ContentFile.of(opened.mesh)
    surface = stages.run("Opening the other mould", mould_stage.opened_mould, file, job.mould)
    regions = stages.run(
        "Finding its regions", mould_stage.regions_on, surface.work, job.regions, job.holes, where, job.lines
    )
    pieces, _ = lay_up.cut_and_draped(job, library, surface, regions, file, stages, where)
    found = tiled(opened, pieces, stages, where)
    if found is None or job.patchwork is None:
        raise ValueError("the job that is gone on from has no patchwork")
    if job.mirror is None:
        return found, pieces
    quarter, _ = quarter_turned(job, pieces, library, opened.workshop)
    images = tuple(mirrored_piece(job.mirror.plane, p, p.ply in quarter) for p in pieces)
    return mirrored_patchwork(found, job.patchwork, images, found.ply in quarter, stages), images
