"""What was answered so far, on the disk: a server that is started again asks nothing twice.

A file that cannot be read is begun anew, as nothing was made of it yet.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import TypeAdapter, ValidationError

from bagside.findings import Finding
from bagside.records.writing import replaced, unwritable
from bagside.web.founding.answers import Answers
from bagside.web.founding.cards import DRAWING, Card
from bagside.web.founding.draft import Draft, MeshDraft, PlyDraft
from bagside.web.founding.mesh import MeshSeen
from bagside.web.founding.questions import EVERY

ANSWERS = "first-questions.json"
DRAFT = "draft.json"
_FOUND = TypeAdapter(tuple[Finding, ...])
_PLIES = TypeAdapter(list[PlyDraft])
_TEXTS = TypeAdapter(dict[str, str])
_BROKEN = (OSError, ValueError, KeyError, TypeError, AttributeError, ValidationError)
_Vector = TypeAdapter(tuple[float, float, float])


def answers_kept(folder: Path) -> Answers:
    """Return the answers about a workshop as far as they were given.

    Parameters
    ----------
    folder
        Where they are kept.
    """
    answers = Answers()
    try:
        told = json.loads((folder / ANSWERS).read_text(encoding="utf-8"))
        known = {q.name for q in EVERY}
        answers.values |= {k: v for k, v in _TEXTS.validate_python(told["values"]).items() if k in known}
        answers.touched = {str(name) for name in told["touched"]} & known
    except _BROKEN:
        return Answers()
    return answers


def keep_answers(answers: Answers, folder: Path) -> None:
    """Write the answers about a workshop down.

    Parameters
    ----------
    answers
        So far.
    folder
        Where they are kept; made when it is not there.

    Raises
    ------
    OutputError
        When they cannot be written.
    """
    _written(folder / ANSWERS, {"values": answers.values, "touched": sorted(answers.touched)})


def answers_forgotten(folder: Path) -> None:
    """Take the answers away: the workshop is written.

    Parameters
    ----------
    folder
        Where they are kept.
    """
    (folder / ANSWERS).unlink(missing_ok=True)


def draft_kept(folder: Path) -> Draft:
    """Return the job that was being put together, or a new one.

    Parameters
    ----------
    folder
        Of its files.
    """
    try:
        return _draft(json.loads((folder / DRAFT).read_text(encoding="utf-8")), folder)
    except _BROKEN:
        return Draft(folder)


def keep_draft(draft: Draft) -> None:
    """Write down how far a job has come.

    Parameters
    ----------
    draft
        The job.

    Raises
    ------
    OutputError
        When it cannot be written.
    """
    told: dict[str, Any] = {
        "way": draft.way,
        "name": draft.name,
        "answers": draft.answers,
        "touched": sorted(draft.touched),
        "cards": [_card_told(card) for card in draft.cards],
        "hand": draft.hand,
        "plies": [asdict(ply) for ply in draft.plies],
        "paper": draft.paper,
        "rules": draft.rules,
    }
    mesh = draft.mesh
    if mesh is not None:
        seen = {k: getattr(mesh.seen, k) for k in ("size", "triangles", "up", "middle", "own_unit")}
        told["mesh"] = {
            "file": mesh.file.name, "picture": "" if mesh.picture is None else mesh.picture.name, "seen": seen,
            "unit": mesh.unit, "up": mesh.up, "start": mesh.start, "along": mesh.along,
        }  # fmt: skip
    _written(draft.folder / DRAFT, told)


def _card_told(card: Card) -> dict[str, Any]:
    told: dict[str, Any] = {k: getattr(card, k) for k in ("name", "shape", "sizes", "unit", "layer", "warp", "sure")}
    told |= {"left_out": card.left_out, "raw": card.raw, "layers": card.layers}
    told |= {k: "" if path is None else path.name for k, path in (("file", card.file), ("over", card.over))}
    told["loops"] = [loop.tolist() for loop in card.loops]
    told["found"] = _FOUND.dump_python(card.found, mode="json")
    return told


def _card(told: dict[str, Any], folder: Path) -> Card:
    card = Card(
        name=str(told["name"]),
        shape=str(told["shape"]),
        sizes=_TEXTS.validate_python(told["sizes"]),
        file=_there(folder, told["file"]),
        over=_there(folder, told["over"]),
        unit=str(told["unit"]),
        layer=str(told["layer"]),
        warp=str(told["warp"]),
        sure=None if told["sure"] is None else float(told["sure"]),
        left_out=int(told["left_out"]),
        raw=None if told["raw"] is None else (float(told["raw"][0]), float(told["raw"][1])),
        layers=tuple(str(layer) for layer in told["layers"]),
        loops=tuple(np.array(loop, dtype=float).reshape(-1, 2) for loop in told["loops"]),
        found=_FOUND.validate_python(told["found"], strict=False),
    )
    if card.shape == DRAWING and card.file is None:
        card.loops, card.raw, card.layers = (), None, ()  # it is asked for again
    return card


def _draft(told: dict[str, Any], folder: Path) -> Draft:
    draft = Draft(folder)
    draft.way, draft.name = str(told["way"]), str(told["name"])
    draft.answers |= _TEXTS.validate_python(told["answers"])
    draft.touched = {str(name) for name in told["touched"]}
    draft.cards = [_card(card, folder) for card in told["cards"]]
    draft.hand = min(max(int(told["hand"]), 0), len(draft.cards) - 1)
    draft.plies = _PLIES.validate_python(told["plies"])
    draft.paper = str(told["paper"])
    draft.rules |= _TEXTS.validate_python(told["rules"])
    mesh = told.get("mesh")
    file = _there(folder, mesh["file"]) if mesh else None
    if mesh and file is not None:
        picture = _there(folder, mesh["picture"])
        seen = MeshSeen(picture=b"" if picture is None else picture.read_bytes(), **_seen(mesh["seen"]))
        vectors = {k: _Vector.validate_python(mesh[k]) for k in ("up", "start", "along")}
        draft.mesh = MeshDraft(file=file, picture=picture, seen=seen, unit=str(mesh["unit"]), **vectors)
    if not draft.cards:
        raise ValueError("a draft has a card")
    return draft


def _seen(told: dict[str, Any]) -> dict[str, Any]:
    vectors = {k: _Vector.validate_python(told[k]) for k in ("size", "up", "middle")}
    return {**vectors, "triangles": int(told["triangles"]), "own_unit": str(told["own_unit"])}


def _there(folder: Path, name: str) -> Path | None:
    """Return a file of the draft by its bare name; None when it is gone or was none."""
    path = folder / Path(name).name
    return path if name and path.is_file() else None


def _written(path: Path, told: dict[str, Any]) -> None:
    text = json.dumps(told, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise unwritable(path.parent, error) from None
    replaced(path, text)
