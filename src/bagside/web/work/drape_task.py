"""Tasks round one ply: its pieces in another map, its still picture, and how it would lie in one piece.

Each opens the job as it stands and takes what is worked out already from the store, so that one answers within a second
of planning.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bagside.drape import summary_of
from bagside.errors import InputError
from bagside.geometry import Surface
from bagside.laminate import prepreg_areal_weight
from bagside.planning.from_mould import FromMould
from bagside.planning.piece import Piece
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.records.kept_plan import STORE
from bagside.records.with_stock import opened_job
from bagside.sheets.flatview import FlatPiece, flat_view
from bagside.sheets.picture import OnMould, mould_picture
from bagside.sheets.view import view_of
from bagside.spec.lines import Pieces
from bagside.spec.opening import Opened
from bagside.web.views.plies import ROOM
from bagside.web.views.ply_mesh import bands_of, coarse_mould, values_of
from bagside.web.work.child import Teller
from bagside.web.work.planning_task import Watched

STILL = (170.0, 110.0)
"""Of the still picture [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What another way of laying a ply comes to.

    Parameters
    ----------
    shear
        99 % of the area of each piece stays below [rad].
    strain
        Larger of the two yarns' strains, without sign, that 99 % of it stays below.
    """

    shear: float
    strain: float


def flats_by(tell: Teller, job: Path, ply: int, which: str) -> str:
    """Return the flat pieces of a ply, coloured by a map, as a drawing.

    Parameters
    ----------
    tell
        Takes `bagside.web.work.messages.StageNews`.
    job
        Its file.
    ply
        From 0, build-ups counted.
    which
        ``shear``, ``warp`` or ``weft``.

    Raises
    ------
    InputError
        When the ply has no draped piece.
    """
    shape, stages = _shape(opened_job(job, None), tell)
    own = _own(shape, ply)
    cloth = shape.library.prepreg[shape.job.plies[ply].material]
    weight = float(prepreg_areal_weight(cloth.areal_weight, cloth.resin_content))
    return stages.run(f"Drawing the pieces of ply {ply + 1}", pieces_flat, own, weight, which)


def pieces_flat(own: tuple[Piece, ...], weight: float, which: str) -> str:
    """Return flat pieces as a drawing.

    Parameters
    ----------
    own
        Of one ply.
    weight
        Of its cloth as it comes off the roll [kg/m²].
    which
        See `flats_by`.
    """
    return flat_view(
        [
            FlatPiece(
                label=p.label,
                loops=p.pattern.loops,
                uv=p.drape.uv,
                triangles=p.surface.triangles,
                values=_evened(p, which),
                start=(0.0, 0.0),
                holes=tuple(uv for _, uv in p.holes),
                seams=p.seams,
                area=p.pattern.area,
                mass=weight * p.pattern.area,
            )
            for p in own
        ],
        bands=bands_of(which),
        size_mm=ROOM,
    )


def still_picture(tell: Teller, job: Path, ply: int, which: str) -> str:
    """Return a ply on the mould as a still drawing, for a browser that shows nothing in three dimensions.

    Parameters
    ----------
    tell, job, ply, which
        See `flats_by`.

    Raises
    ------
    InputError
        When the part has no mould, or the ply no draped piece.
    """
    shape, stages = _shape(opened_job(job, None), tell)
    if not isinstance(shape, FromMould):
        raise InputError.one("job.toml, mould, mesh", "", "this part has no mould to be shown")
    return stages.run(f"Drawing ply {ply + 1}", still_of, shape.surface.work, shape.laid, _own(shape, ply), which)


def still_of(work: Surface, laid: Surface, own: tuple[Piece, ...], which: str) -> str:
    """Return pieces on the mould as a still drawing.

    Parameters
    ----------
    work, laid
        The mould, and what is laid up.
    own
        Of one ply.
    which
        See `flats_by`.
    """
    mould = coarse_mould(work, laid)
    shown = [
        OnMould(surface=p.surface, values=_evened(p, which), uv=p.drape.uv, label=p.label if len(own) > 1 else "")
        for p in own
    ]
    return mould_picture(
        mould, shown, bands=bands_of(which), size_mm=STILL, view=view_of(mould), title=f"ply {own[0].ply + 1}"
    ).svg


def tried_whole(tell: Teller, job: Path, ply: int) -> Tried:
    """Return what a ply that is cut comes to when it is laid in one piece.

    Parameters
    ----------
    tell, job, ply
        See `flats_by`.

    Raises
    ------
    InputError, NotSolved
        When it cannot be laid so.
    """
    opened = opened_job(job, None)
    plies = list(opened.job.plies)
    built = _shape(opened, tell)[0].job.plies[ply]
    stated = plies.index(built)
    plies[stated] = replace(built, cuts=(), pieces=Pieces.DRAWN)
    shape, _ = _shape(replace(opened, job=replace(opened.job, plies=tuple(plies))), tell)
    said = [summary_of(p.drape, p.drape.law) for p in _own(shape, ply)]
    return Tried(shear=max(s.shear_99 for s in said), strain=max(s.strain_99 for s in said))


def _shape(opened: Opened, tell: Teller) -> tuple[FromMould, Stages]:
    stages = Stages(store=opened.folder / STORE, progress=Watched(tell))
    shape = shaped_from(opened, stages, "job.toml")
    if not isinstance(shape, FromMould):
        raise InputError.one("job.toml, mould, mesh", "", "nothing is draped without a mould")
    return shape, stages


def _own(shape: FromMould, ply: int) -> tuple[Piece, ...]:
    own = tuple(p for p in shape.pieces if p.ply == ply)
    if not own:
        raise InputError.one("job.toml, plies", str(ply + 1), "this ply has no draped piece")
    return own


def _evened(piece: Piece, which: str) -> NDArray[np.float64]:
    """Return a map as the page's picture shows it: at the corners, averaged, and back on triangles."""
    at = values_of(piece.drape)[which]
    out: NDArray[np.float64] = at[piece.surface.triangles].mean(axis=1)
    return out
