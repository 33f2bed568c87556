"""The case that a command of ``bagside cure`` works on: a job, or a small file of sections."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.planning.cure_case import CureCase


def opened_case(path: Path, workshop: Path | None, *, wanted: bool = False) -> CureCase:
    """Return the case of a job or of a file of stated sections.

    Parameters
    ----------
    path
        A job's folder or file, or a file of sections as ``demo/benches/cure.toml``.
    workshop
        The workshop's file or folder; the nearest above a job, and the generic materials for sections, when None.
    wanted
        Whether a cycle that is only wanted may stay so; else it is looked for, as the plan does.

    Raises
    ------
    InputError
        With every problem of what it was read from.
    """
    from bagside.cli import show
    from bagside.cli.bench_file import bench_file
    from bagside.cli.made import writable
    from bagside.planning.cure_case import case_of_file, case_of_job
    from bagside.planning.cure_design import found_cycle
    from bagside.planning.settling import settled, sure
    from bagside.planning.stages import Stages
    from bagside.records.with_stock import opened_jobs
    from bagside.spec.bench import CureFile
    from bagside.spec.reading import load_toml

    if path.is_file() and "sections" in load_toml(path):
        folder = workshop.parent if workshop is not None and workshop.is_file() else workshop
        stated, library = bench_file(path, CureFile, folder)
        case = case_of_file(stated, library, path.name)
        if wanted or case.wanted is None:
            return case
        return found_cycle(case).case if case.wanted.chance is None else sure(case, 0.0, 0.0)[0].case
    opened = opened_jobs([path], workshop)[0]
    stages = Stages(store=writable(opened.folder / ".bagside-cache"), progress=show.Lines())
    case = case_of_job(opened, stages)
    return case if wanted else settled(case, opened.workshop, stages)[0]
