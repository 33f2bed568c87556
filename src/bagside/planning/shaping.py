"""Which way a job takes to its pieces, from the mould's surface or by tape measure: decided here and nowhere else."""

from __future__ import annotations

from dataclasses import replace

from bagside.cutting import FlatPiece
from bagside.errors import InputError
from bagside.planning.content import ContentFile
from bagside.planning.from_mould import from_mould
from bagside.planning.measured_stage import from_tape
from bagside.planning.shaped import Shaped
from bagside.planning.stages import Stages
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
        When what is stated does not fit the mould, or a card cannot be cut.
    NotSolved
        When a piece cannot be draped; names it.
    """
    if opened.job.build_ups:
        from bagside.planning.build_ups import with_build_ups

        opened = replace(opened, job=with_build_ups(opened.job, opened.library))
    cards = _cards(opened)
    if opened.mesh is not None:
        return from_mould(opened, ContentFile.of(opened.mesh), cards, stages, where)
    if opened.job.measured is None:
        raise InputError.one(f"{where}, measured", "", "this part has neither a mesh nor sizes")
    return from_tape(opened.job, opened.job.measured, opened.library, cards)


def _cards(opened: Opened) -> tuple[FlatPiece, ...]:
    """Return the pieces of every ply that is cut from cards."""
    job = opened.job
    if not any(ply.templates for ply in job.plies):
        return ()
    from bagside.planning.template_stage import template_pieces

    return tuple(
        piece
        for k, ply in enumerate(job.plies)
        if ply.templates
        for piece in template_pieces(k + 1, ply, job, opened.beside, opened.library)
    )
