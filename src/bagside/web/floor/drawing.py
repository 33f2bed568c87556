"""The pictures of a build for the floor, drawn in a process of its own: ``python -m bagside.web.floor.drawing``.

Planning a job takes from half a second to a minute and more; the pages must not wait for it. The result is one JSON
file, put in place in one step, so that whoever reads it finds it whole or not at all.
"""

from __future__ import annotations

import json
import math
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

from bagside.errors import BagsideError, InputError, OutputError
from bagside.findings import Finding
from bagside.ledger.builds.as_planned import revision_of
from bagside.planning.cut_jobs import revision
from bagside.planning.piece import Piece
from bagside.planning.plan import BuildPlan, plan_build
from bagside.planning.ply_pieces import ply_of
from bagside.records.kept_plan import STORE, made_writable
from bagside.records.layout_file import read_layouts
from bagside.sheets.book_plies import cloth_weight, sight_of
from bagside.sheets.card_pictures import card_flats
from bagside.sheets.floor_pictures import piece_pictures, place_on_mould
from bagside.sheets.label_words import PieceLabel, label_key
from bagside.sheets.on_table import part_words
from bagside.sheets.phone import SECTION, SIZE, lighter
from bagside.sheets.plan_pictures import bag_picture, ply_section
from bagside.sheets.sight import Sight, around_part, view_on
from bagside.spec.opening import open_job
from bagside.web.floor.pictures import SCHEMA

MOST_NOTES = 3
"""Findings that are numbered on one picture."""


def draw(folder: Path, job: Path, wanted: str) -> dict[str, Any]:
    """Return the pictures of a job for the floor, as JSON data.

    Parameters
    ----------
    folder
        Of the workshop.
    job
        Its folder.
    wanted
        Revision that the build was begun with: pictures of another would show what is not laid.

    Raises
    ------
    InputError
        When the job cannot be read or planned.
    """
    opened = open_job(job)
    now = revision_of(opened.inputs)
    if now != wanted:
        return {"schema": SCHEMA, "revision": wanted, "why": "moved"}
    store: Path | None = folder / STORE
    try:
        made_writable(folder / STORE)
    except OutputError:
        store = None
    layouts = read_layouts(opened.beside) if opened.job.mirror is None else ()
    plan, _ = plan_build(opened, store=store, layouts=layouts)
    return {
        "schema": SCHEMA,
        "revision": wanted,
        "why": "",
        "plies": _plies(plan),
        "bag": _bag(plan),
        "labels": _labels(plan),
    }


def _plies(plan: BuildPlan) -> list[dict[str, Any]]:
    sight = sight_of(plan) if plan.surface is not None and plan.part is not None else None
    out = []
    for k, ply in enumerate(plan.job.plies):
        prepreg = plan.library.prepreg[ply.material]
        out.append(
            {
                "number": k + 1,
                "angle_deg": round(math.degrees(ply.angle), 1),
                "region": ply.region,
                "face": ply.face.value if prepreg.one_faced else "",
                "pieces": {} if sight is None else _pieces(plan, sight, k),
                "section": "" if sight is None else lighter(ply_section(sight, k, SECTION)),
                "flat": _flat(plan, k),
            }
        )
    return out


def _pieces(plan: BuildPlan, sight: Sight, k: int) -> dict[str, dict[str, Any]]:
    """Return the picture of each piece of a ply on the mould, with the sentences that its numbers stand for."""
    mould = around_part(sight)
    view = view_on(mould)
    places = dict(sight.cards)
    if k in places:
        title = f"place of ply {k + 1} on the mould"
        svg = place_on_mould(sight, mould, view, places[k], title)
        return {label: {"pictures": [svg], "notes": []} for label in plan.plies[k].labels}
    own = [p for p, _ in sight.of_ply(k)]
    out: dict[str, dict[str, Any]] = {}
    for n, piece in enumerate(own):
        notes = _noted(sight.ply_places[k], piece, alone=len(own) == 1)
        drawn = piece_pictures(sight, mould, view, piece, notes, rows=own[:n])
        out[piece.label] = {"pictures": drawn, "notes": [f.what.rstrip(".") for f in notes]}
    return out


def _noted(found: tuple[Finding, ...], piece: Piece, *, alone: bool) -> list[Finding]:
    words = [f.place.replace(",", " ").split() for f in found]
    mine = [f for f, w in zip(found, words, strict=True) if alone or piece.label in w]
    return mine[:MOST_NOTES]


def _flat(plan: BuildPlan, k: int) -> str:
    """Return the cards of a ply that is cut from cards and lies on no surface; empty where the mould is drawn."""
    cards = tuple(p for p in plan.cut if ply_of(p.label) == k)
    if plan.surface is not None or not plan.plies[k].cards or not cards:
        return ""
    return lighter(card_flats(cards, cloth_weight(plan, k), plan.job.quantity, SIZE))


def _bag(plan: BuildPlan) -> str:
    if plan.surface is None or plan.part is None:
        return ""
    tape, pleats = plan.bag.tape_line, plan.bag.pleats.places
    return lighter(bag_picture(plan.surface.work, plan.part, tape, pleats, plan.bag.edge_spacing, SIZE))


def _labels(plan: BuildPlan) -> dict[str, list[Any]]:
    """Return what each label's code ends in: its piece and the number of the part."""
    digest = revision(plan.cut, plan.kits)
    out: dict[str, list[Any]] = {}
    for n in range(1, plan.job.quantity + 1):
        for piece in dict.fromkeys(p.label for p in plan.cut):
            label = PieceLabel(piece=piece, part=part_words(str(n)), loops=(), job=plan.job.name, digest=digest)
            out[label_key(label)] = [piece, n]
    return out


def written(data: dict[str, Any], file: Path) -> None:
    """Write a file in one step.

    Parameters
    ----------
    data
        What stands in it.
    file
        Where.

    Raises
    ------
    OutputError
        When the disk fails; then nothing is there.
    """
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, draft = tempfile.mkstemp(prefix=".new-", dir=file.parent)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            json.dump(data, out, ensure_ascii=False, separators=(",", ":"))
        os.replace(draft, file)
    except OSError as error:
        raise OutputError(f"{file}: {(error.strerror or str(error)).lower()}") from None


def main(arguments: list[str]) -> int:
    """Draw what the arguments name; return 0 when the file is there.

    Parameters
    ----------
    arguments
        Folder of the workshop, folder of the job, revision, file.
    """
    folder, job, wanted, file = arguments
    try:
        data = draw(Path(folder), Path(job), wanted)
    except InputError as error:
        data = {"schema": SCHEMA, "revision": wanted, "why": "unplanned", "said": [str(p) for p in error.problems]}
    except BagsideError as error:
        data = {"schema": SCHEMA, "revision": wanted, "why": "unplanned", "said": [str(error)]}
    written(data, Path(file))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
