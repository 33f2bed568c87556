"""The task that writes every file of a plan, by the code of the command line."""

from __future__ import annotations

from pathlib import Path

from bagside.planning.plan import plan_build
from bagside.records.kept_plan import STORE, made_from, unchanged_plan
from bagside.records.layout_file import read_layouts, write_layouts
from bagside.records.with_stock import opened_job
from bagside.sheets.package import Package
from bagside.sheets.plan_files import plan_files
from bagside.web.work.child import Teller
from bagside.web.work.planning_task import Watched


def write_files(tell: Teller, job: Path) -> Path:
    """Write the package of a plan beside its job, unless it stands there already, and return its folder.

    Parameters
    ----------
    tell
        Takes `bagside.web.work.messages.StageNews`.
    job
        Its file.

    Raises
    ------
    InputError, NotSolved, OutputError
        As when planning on the command line.
    """
    opened = opened_job(job, None)
    target = opened.beside / "out"
    stored = read_layouts(opened.beside) if opened.job.mirror is None else ()
    if unchanged_plan(target, made_from(opened, stored)) is not None:
        return target
    package = Package(target)
    try:
        plan, stages = plan_build(opened, store=opened.folder / STORE, progress=Watched(tell), layouts=stored)
        lies = tuple(kit.stored for kit in plan.kits if kit.stored is not None) if plan.twin is None else ()
        package.written(plan_files(plan, made_from(opened, lies), stages))
        if lies:
            write_layouts(opened.beside, lies)
    finally:
        package.dropped()
    return target
