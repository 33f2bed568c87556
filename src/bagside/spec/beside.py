"""Jobs that lean on another part's job: the mirrored twin, and the patchwork that goes on from another's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from bagside.errors import InputError, Problem, did_you_mean
from bagside.spec.job import Job
from bagside.spec.material import ClothKind, Prepreg
from bagside.spec.patchwork import Patchwork
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.twin import Reversal, TwinFile


def job_file(path: Path) -> Path:
    """Return a job's file: the path itself, or ``job.toml`` in the folder it names."""
    return path / "job.toml" if path.is_dir() else path


def stated_job(path: Path) -> tuple[Job, Path, dict[str, Path]]:
    """Return a job as stated, the file whose folder holds its mesh, and every file read, by name.

    Parameters
    ----------
    path
        The job's file. One that states ``mirror`` is a twin: everything else comes from the other job.

    Raises
    ------
    InputError
        With every problem of the file; when the other job is not there or is itself a twin.
    """
    data = load_toml(path)
    if "mirror" not in data:
        return job_from(data, path.name), path, {path.name: path}
    twin = stated_from(data, TwinFile, path.name)
    place = f"{path.name}, mirror, of"
    other = other_file(path, twin.mirror.of, place)
    first = load_toml(other)
    if "mirror" in first:
        raise InputError.one(
            place, f'"{twin.mirror.of}"', "this job is itself a mirrored twin", "state the job it is the twin of"
        )
    job = job_from(first, other.name)
    if twin.quantity is not None and twin.quantity < 1:
        raise InputError.one(f"{path.name}, quantity", str(twin.quantity), "at least 1 is wanted")
    job = replace(
        job,
        name=twin.name or f"{job.name}, mirrored",
        quantity=job.quantity if twin.quantity is None else twin.quantity,
        note=twin.note or job.note,
        mirror=twin.mirror,
    )
    return job, other, {path.name: path, twin.mirror.of: other}


def job_from(data: dict[str, Any], file: str) -> Job:
    """Return a job from what its file says; what only a mesh wants is asked for when there is one.

    Parameters
    ----------
    data
        As read.
    file
        Its name, for messages.

    Raises
    ------
    InputError
        With every problem.
    """
    missing = [
        Problem(place=f"{file}, {place}", came="", wanted="this is missing and cannot be guessed")
        for place in _asked_of_a_mesh(data)
    ]
    try:
        job = stated_from(data, Job, file)
    except InputError as error:
        raise InputError([*error.problems, *missing]) from error
    if missing:
        raise InputError(missing)
    return job


def _asked_of_a_mesh(data: dict[str, Any]) -> Iterator[str]:
    """Yield the places of what a job with a mesh must state and does not."""
    mould = data.get("mould")
    if not isinstance(mould, dict) or not mould.get("mesh"):
        return
    for table, words in (("mould", ("unit", "laminate_side")), ("laying", ("start", "direction"))):
        stated = data.get(table, {})
        yield from (f"{table}, {word}" for word in words if isinstance(stated, dict) and word not in stated)
    for one, many in (("bracket", "brackets"), ("hole", "holes")):
        for k, entry in enumerate(data.get(many) or (), 1):
            if isinstance(entry, dict) and "at" not in entry:
                yield f"{one} {entry.get('name', k)}, at"


def other_file(path: Path, stated: str, place: str) -> Path:
    """Return another job's file, stated by its way from this one.

    Raises
    ------
    InputError
        When it is not there or is this very file.
    """
    other = job_file(path.parent / stated)
    if not other.is_file():
        near = [p.name for p in other.parent.iterdir()] if other.parent.is_dir() else []
        raise InputError.one(
            place, f'"{stated}"', "there is no such job, seen from this file's folder", did_you_mean(other.name, near)
        )
    if other.resolve() == path.resolve():
        raise InputError.one(place, f'"{stated}"', "this is the job itself; another one is wanted")
    return other


def patchwork_problems(job: Job, file: str) -> Iterator[Problem]:
    """Yield what is wrong with a patchwork within its own job."""
    work = job.patchwork
    if work is None:
        return
    place = f"{file}, patchwork"
    if not 1 <= work.ply <= len(job.plies):
        yield Problem(place=f"{place}, ply", came=str(work.ply), wanted=f"a ply from 1 to {len(job.plies)} is wanted")
    if work.gap and work.overlap:
        yield Problem(place=place, came="gap and overlap", wanted="tiles have one or the other, not both")
    if work.continues is None:
        for key, value in (("shape", work.shape), ("size", work.size)):
            if value is None:
                yield Problem(place=f"{place}, {key}", came="", wanted="this is missing and cannot be guessed")
    elif work.origin is not None or work.turn:
        yield Problem(
            place=place,
            came="origin or turn beside continues",
            wanted="where the pattern lies follows from the part it goes on from; leave these out",
        )
    yield from _sizes(work, place)


def _sizes(work: Patchwork, place: str) -> Iterator[Problem]:
    if work.size is None:
        return
    least = work.size if work.length is None else min(work.size, work.length)
    for key, value in (("gap", work.gap), ("overlap", work.overlap)):
        if value > 0.5 * least:
            came = f"{1e3 * value:.1f} mm"
            yield Problem(place=f"{place}, {key}", came=came, wanted=f"at most half a cell's {1e3 * least:.1f} mm")
    if work.length is not None and work.shape not in (None, "strips"):
        yield Problem(place=f"{place}, length", came=f"{1e3 * work.length:.0f} mm", wanted="only strips have a length")


def twin_problems(job: Job, prepregs: dict[str, Prepreg], file: str) -> Iterator[Problem]:
    """Yield what is wrong with how a twin's cloth is to be reversed."""
    if job.mirror is None or job.mirror.twill is not Reversal.TURNED_OVER:
        return
    for k, ply in enumerate(job.plies, 1):
        cloth = prepregs.get(ply.material)
        if cloth is not None and cloth.one_faced and cloth.kind is ClothKind.WOVEN and "twill" in cloth.weave.lower():
            yield Problem(
                place=f"{file}, mirror, twill",
                came=f'"{job.mirror.twill.value}"',
                wanted=f"{ply.material} of ply {k} has one resin-rich face, which would come to lie on the other side",
                hint='state twill = "quarter turn": it reverses the diagonal with the same face out',
            )
            return
