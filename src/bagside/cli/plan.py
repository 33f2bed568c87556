"""``bagside plan JOB``: the complete build of a job, from the mould's mesh to the price."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def plan(
    job: Annotated[Path, typer.Argument(help="The job's file, or the folder that holds job.toml.")],
    out: Annotated[
        Path | None, typer.Option(help="Folder of the results; out/ beside the job when not stated.")
    ] = None,
    workshop: Annotated[Path | None, typer.Option(help="The workshop's file; the nearest above the job else.")] = None,
    afresh: Annotated[
        bool, typer.Option("--afresh", help="Work everything out again, keep nothing from before.")
    ] = False,
    json: AsJson = False,
) -> int:
    """Plan a whole build: plies, templates, nest, bag, cure, calendar, cost and the book."""
    import time

    from bagside.cli import made, show
    from bagside.records.kept_plan import STORE, made_from, read_plan, unchanged_plan
    from bagside.records.layout_file import read_layouts
    from bagside.records.with_stock import opened_job
    from bagside.sheets.package import Package

    began = time.perf_counter()
    opened = opened_job(job, workshop)
    folder = job if job.is_dir() else job.parent
    target = out or folder / "out"
    stored = read_layouts(opened.beside) if opened.job.mirror is None else ()
    digest = made_from(opened, stored)
    before = None if afresh else unchanged_plan(target, digest)
    if before is not None:
        show.ERR.print(f"  {'Nothing has changed since the last plan':<58} {'kept':>8}")
        return made.shown(before, target, json=json, seconds=time.perf_counter() - began)
    package = Package(target)
    try:
        from bagside.planning.plan import plan_build
        from bagside.sheets.plan_files import plan_files

        store = None if afresh else made.writable(opened.folder / STORE)
        keep = tuple(k for k in stored if k.cut_on is not None) if afresh else stored
        found, stages = plan_build(opened, store=store, progress=show.Lines(), layouts=keep)
        lies = tuple(kit.stored for kit in found.kits if kit.stored is not None) if found.twin is None else ()
        package.written(plan_files(found, made_from(opened, lies), stages))
        if lies:
            made.laid_down(opened.beside, lies)
    finally:
        package.dropped()
    return made.shown(read_plan(target), target, json=json, seconds=time.perf_counter() - began)
