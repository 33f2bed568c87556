"""Which way a job takes to its pieces, from the mould's surface or by tape measure: decided here and nowhere else."""

from __future__ import annotations

from dataclasses import replace

from bagside.cutting import FlatPiece
from bagside.errors import InputError
from bagside.planning.as_cut import as_cut
from bagside.planning.build_ups import with_build_ups
from bagside.planning.content import ContentFile
from bagside.planning.from_mould import from_mould
from bagside.planning.measured_stage import from_tape
from bagside.planning.shaped import Shaped
from bagside.planning.stages import Stages
from bagside.planning.template_stage import template_findings, template_pieces
from bagside.spec.opening import Opened


def shaped_from(opened: Opened, stages: Stages, where: str) -> Shaped:
    """Return the part of a job up to its flat pieces.

    Parameters
    ----------
    opened
        The job as stated.
    stages
        Keep what is worked out.
    where
        File it is stated in, for messages.

    Raises
    ------
    InputError
        When what is stated does not fit the mould, a card cannot be cut, or build-ups do not fit on their places.
    NotSolved
        When a piece cannot be draped; names it.
    """
    stated, job = opened.job, with_build_ups(opened.job, opened.library)
    opened = replace(opened, job=job)
    cards = _cards(opened)
    if opened.mesh is not None:
        shape: Shaped = from_mould(opened, ContentFile.of(opened.mesh), cards, stages, where)
    elif job.measured is not None:
        shape = from_tape(job, job.measured, stated, opened.library, cards, where)
    else:
        raise InputError.one(f"{where}, measured", "", "this part has neither a mesh nor sizes")
    return replace(shape, mended=template_findings(job, opened.beside))


def _cards(opened: Opened) -> tuple[FlatPiece, ...]:
    """Return the pieces of every ply that is cut from cards, as they are cut."""
    job, library, table = opened.job, opened.library, opened.workshop.table
    out = []
    for k, ply in enumerate(job.plies):
        if not ply.templates:
            continue
        for piece in template_pieces(k + 1, ply, job, opened.beside, library):
            out.append(as_cut(piece, k, job, library.prepreg[ply.material], table))
    return tuple(out)
