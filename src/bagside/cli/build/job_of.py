"""The job a build was made by: its folder in the workshop, and whether it has moved on since."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.ledger.things import Build


def job_path(text: str, folder: Path) -> Path:
    """Return the job a person means: a path, or the name of a folder of the workshop's jobs or the beginning of it.

    Parameters
    ----------
    text
        As typed.
    folder
        Of the workshop.

    Raises
    ------
    InputError
        When there is none, or several could be.
    """
    from bagside.cli.build.found import one_of

    stated = Path(text)
    if stated.exists():
        return stated
    jobs = folder / "jobs"
    names = sorted(p.name for p in jobs.iterdir() if (p / "job.toml").is_file()) if jobs.is_dir() else []
    return jobs / one_of(text, names, "JOB", "there is no such file, and no such job in the workshop")


def job_of(build: Build, folder: Path, stated: str = "") -> Path:
    """Return where the job of a build lies.

    Parameters
    ----------
    build
        The build; its plan names its job.
    folder
        Of the workshop.
    stated
        As typed; found by the plan's name when empty.

    Raises
    ------
    InputError
        When no job of that name is there.
    """
    from bagside.errors import InputError, did_you_mean
    from bagside.spec.beside import stated_job

    if stated:
        return job_path(stated, folder)
    wanted = build.planned.job
    jobs = folder / "jobs"
    names: list[str] = []
    for file in sorted(jobs.glob("*/job.toml")) if jobs.is_dir() else []:
        try:
            name = stated_job(file)[0].name
        except InputError:
            name = ""  # a job that cannot be read is not the one that is looked for, unless its folder says so
        if wanted in (name, file.parent.name):
            return file.parent
        names.append(name or file.parent.name)
    raise InputError.one(
        "--for",
        f'"{wanted}"',
        f"the job of {build.name} is not in the workshop's jobs any more",
        did_you_mean(wanted, names) or "state its folder",
    )
