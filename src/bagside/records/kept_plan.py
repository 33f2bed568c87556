"""A plan as it stands in a folder: what it was made from, whether that has changed, where results are kept."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path, PurePosixPath
from typing import Any

from bagside.errors import OutputError
from bagside.planning.layouts import StoredLayout
from bagside.planning.stages import program_digest
from bagside.records.layout_file import layouts_text
from bagside.spec.opening import Opened

STORE = ".bagside-cache"
"""Folder in the workshop in which results are kept between runs."""


def made_from(opened: Opened, layouts: Sequence[StoredLayout] = ()) -> str:
    """Return a digest of everything a plan is made from: files, layouts, the program, today when it decides a date.

    Parameters
    ----------
    opened
        The job.
    layouts
        Stored with it.
    """
    parts = [f"{name}:{value}" for name, value in sorted(opened.inputs.items())]
    parts.append(f"program:{program_digest()} {program_digest('sheets')}")
    parts.append(f"layouts:{layouts_text(layouts) if layouts else None}")
    if opened.workshop.hours.first_day is None:
        parts.append(f"day:{date.today().isoformat()}")
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def made_writable(store: Path) -> None:
    """Make the folder in which results are kept, if it is not there.

    Parameters
    ----------
    store
        The folder.

    Raises
    ------
    OutputError
        When it cannot be written.
    """
    probe = store / "probe"
    try:
        store.mkdir(parents=True, exist_ok=True)
        probe.write_bytes(b"")
        probe.unlink()
    except OSError as error:
        raise OutputError(f"{store}: {(error.strerror or str(error)).lower()}") from None


def read_plan(target: Path) -> dict[str, Any]:
    """Return the plan that stands in a folder.

    Parameters
    ----------
    target
        The folder of the results.
    """
    found: dict[str, Any] = json.loads((target / "plan.json").read_text(encoding="utf-8"))
    return found


def unchanged_plan(target: Path, wanted: str) -> dict[str, Any] | None:
    """Return the plan in a folder when it was made from the same things and none of its files was touched.

    Parameters
    ----------
    target
        The folder of the results.
    wanted
        What it should be made from; see `made_from`.
    """
    try:
        found = read_plan(target)
        if found["made_from"] != wanted:
            return None
        for name, sum_ in found["files"].items():
            if hashlib.sha256((target / PurePosixPath(name)).read_bytes()).hexdigest() != sum_:
                return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return found
