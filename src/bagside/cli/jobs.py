"""Opening several jobs of one workshop."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.spec.opening import Opened


def opened_jobs(jobs: Sequence[Path], workshop: Path | None) -> list[Opened]:
    """Return jobs that are worked on together.

    Parameters
    ----------
    jobs
        Their files or folders.
    workshop
        The workshop's file or folder; the nearest above each job when None.

    Raises
    ------
    InputError
        With every problem of a job; when they are of several workshops.
    """
    from bagside.errors import InputError
    from bagside.spec.opening import open_job

    file = workshop / "workshop.toml" if workshop is not None and workshop.is_dir() else workshop
    opened = [open_job(job, file) for job in jobs]
    folders = sorted({o.folder for o in opened})
    if len(folders) > 1:
        raise InputError.one("jobs", ", ".join(str(f) for f in folders), "jobs of one workshop are wanted")
    return opened
