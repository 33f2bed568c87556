"""The way a piece of the mould comes off best."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from bagside import mould as moulds
from bagside.errors import InputError
from bagside.mould.draft import Piece
from bagside.planning import mould_stage
from bagside.planning.content import ContentFile
from bagside.planning.stages import Stages
from bagside.records.kept_plan import STORE
from bagside.web.views.mould.stated import stated_so_far
from bagside.web.work.child import Teller

STEP = 5.0  # degrees between the directions that are tried


def best_pull(tell: Teller, job: Path, index: int) -> tuple[float, float, float]:
    """Return the direction in which a piece of a job's mould hooks least, and of those the one with most draft.

    Directions are tried every 5° between straight away from the laminate and sideways, to the side that the piece lies
    on; a piece without a split plane is tried all round.

    Parameters
    ----------
    tell
        Says nothing.
    job
        The job's file.
    index
        Of the piece, from zero.

    Raises
    ------
    InputError
        When there is no such piece, or the mesh cannot be used.
    """
    stated = stated_so_far(job)
    mould = stated.mould
    if not 0 <= index < len(mould.pieces):
        raise InputError.one("job.toml, mould, pieces", "", "there is no such piece")
    shop = next((p for p in job.resolve().parents if (p / "workshop.toml").is_file()), job.parent)
    file = ContentFile.of_existing(job.parent / mould.mesh)
    work = Stages(store=shop / STORE).run("Opening the mould", mould_stage.opened_mould, file, mould).work
    down = -np.asarray(mould.laminate_side)
    side = mould.pieces[index].side
    sides = _round(down) if side is None else [_flat(np.asarray(side.normal), down)]
    best: tuple[float, float, tuple[float, float, float]] | None = None
    for out in sides:
        for angle in np.radians(np.arange(0.0, 90.0 + STEP / 2, STEP)):
            way = np.cos(angle) * out + np.sin(angle) * down
            pull = (round(float(way[0]), 3), round(float(way[1]), 3), round(float(way[2]), 3))
            found = moulds.draft_of(work, _pieces_with(stated.mould.pieces, index, pull))[index]
            worth = (-max(found.hook, 1e-4), found.smallest)
            if best is None or worth > best[:2]:
                best = (*worth, pull)
    assert best is not None
    return best[2]


def _pieces_with(pieces: tuple[object, ...], index: int, pull: tuple[float, float, float]) -> list[Piece]:
    out: list[Piece] = []
    for k, piece in enumerate(pieces):
        side = getattr(piece, "side", None)
        way = pull if k == index else getattr(piece, "pull", pull)
        out.append((f"{k}", way, side.point if side else None, side.normal if side else None))
    return out


def _flat(way: np.ndarray, down: np.ndarray) -> np.ndarray:
    flat = way - (way @ down) * down
    length = float(np.linalg.norm(flat))
    return flat / length if length > 1e-6 else _round(down)[0]


def _round(down: np.ndarray) -> list[np.ndarray]:
    axis = np.eye(3)[int(np.argmin(np.abs(down)))]
    one = axis - (axis @ down) * down
    one = one / np.linalg.norm(one)
    other = np.cross(down, one)
    return [np.cos(a) * one + np.sin(a) * other for a in np.radians(np.arange(0, 360, 30))]
