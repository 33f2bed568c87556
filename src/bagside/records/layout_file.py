"""``layout.json``: where each piece lies, stored beside a job; written in one step, read back with one clear error."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from bagside.errors import InputError
from bagside.planning.layouts import StoredLayout
from bagside.records.writing import replaced

LAYOUT_FILE = "layout.json"
FORM = 1
_LAYOUTS = TypeAdapter(tuple[StoredLayout, ...])


def read_layouts(folder: Path) -> tuple[StoredLayout, ...]:
    """Return the layouts stored in a folder; none when there is no file.

    Parameters
    ----------
    folder
        Of the job.

    Raises
    ------
    InputError
        When the file is not one of ours; says how to go on.
    """
    path = folder / LAYOUT_FILE
    if not path.is_file():
        return ()
    cure = "remove it, and the pieces are nested again"
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        if data.get("form") != FORM:
            raise InputError.one(path.name, f"form {data.get('form')}", f"form {FORM} is known here", cure)
        return _LAYOUTS.validate_python(data["layouts"])
    except (OSError, ValueError, KeyError, AttributeError, ValidationError):
        raise InputError.one(path.name, "", "this is no stored layout, or only half of one", cure) from None


def layouts_text(layouts: Sequence[StoredLayout]) -> str:
    """Return what the file of some layouts says.

    Parameters
    ----------
    layouts
        One for each material.
    """
    data = {"form": FORM, "layouts": [asdict(layout, dict_factory=_said) for layout in layouts]}
    return json.dumps(data, ensure_ascii=False, indent=1, default=str, allow_nan=False) + "\n"


def _said(fields: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return what is written of a value: that nobody has pinned a copy goes without saying."""
    return {name: value for name, value in fields if not (name == "pinned" and value is False)}


def write_layouts(folder: Path, layouts: Sequence[StoredLayout]) -> None:
    """Store layouts in a folder, in place of those there.

    Parameters
    ----------
    folder
        Of the job.
    layouts
        One for each material.

    Raises
    ------
    OutputError
        When it cannot be written; then what was there is as it was.
    """
    path = folder / LAYOUT_FILE
    text = layouts_text(layouts)
    if path.is_file() and path.read_text(encoding="utf-8", errors="replace") == text:
        return
    replaced(path, text)
