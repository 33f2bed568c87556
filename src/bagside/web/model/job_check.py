"""What is wrong with a job's text, worked out without writing or planning anything."""

from __future__ import annotations

import tomllib
from pathlib import Path

from bagside.errors import InputError, Problem
from bagside.spec.beside import job_from
from bagside.spec.job_check import job_problems, material_problems
from bagside.spec.library import Library
from bagside.spec.template_check import template_problems


def problems_of_job(text: str, folder: Path, library: Library | None) -> tuple[Problem, ...]:
    """Return every problem of a job's text; none when it can be planned as far as the file alone tells.

    Parameters
    ----------
    text
        TOML.
    folder
        In which its mesh and templates lie.
    library
        Materials; names of materials are not looked up when None.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return (Problem(place="job.toml", came="", wanted=f"this is not TOML: {error}"),)
    if "mirror" in data:
        return ()  # a twin: everything else comes from the other job, and planning reads it
    try:
        job = job_from(data, "job.toml")
    except InputError as error:
        return error.problems
    found = list(job_problems(job, "job.toml"))
    if library is not None:
        found.extend(template_problems(job, folder, library, "job.toml"))
        found.extend(material_problems(job, library, "job.toml"))
    if job.mould.mesh and not (folder / job.mould.mesh).is_file():
        found.append(
            Problem(place="job.toml, mould, mesh", came=f'"{job.mould.mesh}"', wanted="there is no such file")
        )
    return tuple(found)


def worse(before: str, after: str, folder: Path, library: Library | None) -> tuple[Problem, ...]:
    """Return the problems that a change has brought: a job that is not whole yet may still be worked on.

    A file that cannot be read as a job hides what is wrong within it. A change that makes it readable is let pass, and
    what it lays bare is told then.

    Parameters
    ----------
    before, after
        The text before and after the change.
    folder, library
        See `problems_of_job`.
    """
    found = problems_of_job(after, folder, library)
    if not found or (_readable(after) and not _readable(before)):
        return ()
    known = {(p.place, p.wanted) for p in problems_of_job(before, folder, library)}
    return tuple(p for p in found if (p.place, p.wanted) not in known and "missing" not in p.wanted)


def _readable(text: str) -> bool:
    try:
        data = tomllib.loads(text)
        if "mirror" not in data:
            job_from(data, "job.toml")
    except (tomllib.TOMLDecodeError, InputError):
        return False
    return True
