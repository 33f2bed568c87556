"""From the mould and the plies to draped pieces: tight corners first where cuts are to be found, then the plies."""

from __future__ import annotations

from collections.abc import Mapping

from bagside.geometry import Surface
from bagside.mould import LaidCorner
from bagside.planning import mould_stage, ply_stage
from bagside.planning.content import ContentFile
from bagside.planning.cut_stage import PlyCuts
from bagside.planning.laminate_stage import laid_ply
from bagside.planning.mould_stage import MouldSurface
from bagside.planning.piece import Piece
from bagside.planning.stages import Stages
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.lines import Pieces


def cut_and_draped(
    job: Job,
    library: Library,
    surface: MouldSurface,
    regions: Mapping[str, Surface],
    file: ContentFile,
    stages: Stages,
    where: str,
) -> tuple[tuple[Piece, ...], tuple[PlyCuts, ...]]:
    """Return every piece of every ply, draped, and where plies are cut.

    Parameters
    ----------
    job, library
        As stated.
    surface
        The mould's surfaces.
    regions
        Each named region as a surface.
    file
        The mould's mesh.
    stages
        Keep what is worked out.
    where
        File the job is stated in, for messages.

    Raises
    ------
    InputError
        When a start point is off the surface, or a cut cannot be made.
    NotSolved
        When a piece cannot be draped; names it.
    """
    corners: tuple[LaidCorner, ...] = ()
    if any(ply.pieces is Pieces.AUTO for ply in job.plies):
        corners = _corners(job, library, surface, regions, file, stages)
    return ply_stage.pieces_of(job, library, regions, stages, where, corners)


def laid(job: Job, regions: Mapping[str, Surface]) -> Surface:
    """Return the largest region that a ply covers.

    Parameters
    ----------
    job
        As stated.
    regions
        Each named region as a surface.
    """
    return max((regions[ply.region] for ply in job.plies), key=lambda s: s.area)


def _corners(
    job: Job,
    library: Library,
    surface: MouldSurface,
    regions: Mapping[str, Surface],
    file: ContentFile,
    stages: Stages,
) -> tuple[LaidCorner, ...]:
    """Return tight corners for the plies one on another, before it is known where they are sheared and thicker."""
    thickness = tuple(laid_ply("", library.prepreg[ply.material], 0.0).thickness for ply in job.plies)
    under = stages.run("Finding where plies are laid", mould_stage.laid_on, surface.fine, laid(job, regions))
    tight = stages.run(
        "Finding corners that plies may span",
        mould_stage.tight_corners,
        under,
        sum(thickness),
        job.mould,
        file,
        job.laying.show,
        job.structural,
    )
    return stages.run(
        "Following plies through them",
        mould_stage.corners_laid,
        tight,
        tuple(regions[ply.region] for ply in job.plies),
        tuple(range(len(job.plies))),
        thickness,
        job.laying.show,
        job.structural,
    )
