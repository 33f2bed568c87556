"""An invented workshop to play with: a small maker of sea kayaks, its stock and four jobs.

Its TOML files stand in ``demo/workshop`` of a checkout and are put beside this file when the package is built
(``setup.py``); its moulds are made by formula, so that nothing large has to be carried about.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from bagside.demo_shop import brace_mould, lid_mould
from bagside.errors import InputError, OutputError

MOULDS = {
    "jobs/day-hatch-lid/mould.stl": lid_mould.written,
    "jobs/right-thigh-brace/mould.stl": brace_mould.written,
}
"""Files that are made, and by what."""


def stated_in() -> Path:
    """Return the folder that holds the TOML files of the demo workshop.

    Raises
    ------
    InputError
        When they did not come with the package.
    """
    here = Path(__file__).parent / "workshop"
    checkout = Path(__file__).parents[3] / "demo" / "workshop"
    for folder in (here, checkout):
        if (folder / "workshop.toml").is_file():
            return folder
    raise InputError.one("demo workshop", "", "its files did not come with this package", "install the package again")


def set_up(folder: Path) -> None:
    """Set the demo workshop up in a folder: every file of it, or none.

    Parameters
    ----------
    folder
        That has no ``workshop.toml`` and no ``jobs``.

    Raises
    ------
    InputError
        When there is a workshop already.
    OutputError
        When it cannot be written.
    """
    source = stated_in()
    for name in ("workshop.toml", "stock.toml", "jobs"):
        if (folder / name).exists():
            raise InputError.one(name, "", "this folder holds a workshop already", "take an empty folder to play in")
    try:
        draft = Path(tempfile.mkdtemp(prefix=".demo-", dir=folder))
    except OSError as error:
        raise _unwritable(folder, error) from None
    try:
        for path in sorted(source.glob("**/*.toml")):
            place = path.relative_to(source)
            if any(part.startswith(".") or part == "out" for part in place.parts):
                continue
            (draft / place).parent.mkdir(parents=True, exist_ok=True)
            (draft / place).write_bytes(path.read_bytes())
        for mesh, write in MOULDS.items():
            write(draft / mesh)
        for name in ("jobs", "stock.toml", "workshop.toml"):  # the one that makes it a workshop comes last
            os.replace(draft / name, folder / name)
    except OSError as error:
        for name in ("jobs", "stock.toml"):
            if not (folder / "workshop.toml").exists() and (folder / name).exists() and not (draft / name).exists():
                os.replace(folder / name, draft / name)
        raise _unwritable(folder, error) from None
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _unwritable(folder: Path, error: OSError) -> OutputError:
    return OutputError(f'"{folder}" cannot be written to: {(error.strerror or str(error)).lower()}. Nothing was kept.')
