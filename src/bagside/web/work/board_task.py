"""What the board shows, looked at: the records quickly, the jobs and the plans that stand beside them by a task."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from bagside.errors import BagsideError, InputError
from bagside.ledger.bodies import Sort
from bagside.ledger.things import Build
from bagside.planning.template_stage import template_loops
from bagside.records.database.ledger import Ledger
from bagside.records.desk import desk
from bagside.records.kept_plan import made_from, read_plan
from bagside.records.layout_file import read_layouts
from bagside.records.with_stock import opened_job
from bagside.spec.beside import stated_job
from bagside.spec.job import Job
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Workshop
from bagside.web.views.board.view import BoardView, JobTold, PlanState, board_view, board_without_records
from bagside.web.work.child import Teller
from bagside.web.work.plan_note import PLACE, finding_from, loop_area, noted_plan

OUTLINE_POINTS = 60
"""Most corners of a small picture."""
_KNOWN: dict[str, tuple[Any, JobTold]] = {}
"""What each job's folder said when it was looked at last, and what it was then: this process lives for long."""


def read_jobs(tell: Teller, folder: Path) -> tuple[JobTold, ...]:
    """Return what the folders of all jobs say, and how their plans stand: meshes are read for that.

    Parameters
    ----------
    tell
        Hears whether to stop between two jobs.
    folder
        Of the workshop.
    """
    out = []
    for path in _jobs(folder):
        tell.go_on()
        out.append(job_told(path.parent, folder))
    return tuple(out)


def read_hastily(folder: Path) -> tuple[JobTold, ...]:
    """Return what the files of all jobs say of themselves, without looking at their plans.

    Parameters
    ----------
    folder
        Of the workshop.
    """
    return tuple(_hastily(path.parent) for path in _jobs(folder))


def read_records(folder: Path, jobs: Sequence[JobTold]) -> BoardView:
    """Return what the board shows: the records as they stand now, with what is known of the jobs.

    Parameters
    ----------
    folder
        Of the workshop.
    jobs
        From `read_jobs` or `read_hastily`.

    Raises
    ------
    InputError
        When there is no workshop, or it cannot be read.
    OutputError
        When the disk or the server of the records fails.
    """
    now = datetime.now().astimezone()
    file = folder / "workshop.toml"
    if not file.is_file():
        raise InputError.one(folder.name, "", "there is no workshop.toml in it", "set the workshop up first")
    shop = stated_from(load_toml(file), Workshop, file.name)
    if not Ledger.kept_for(folder, shop.records):
        return board_without_records(jobs, now)
    with desk(folder, "board", "board") as here:
        builds = [t for t in here.ledger.things(Sort.BUILD, there=None).values() if isinstance(t, Build)]
        return board_view(here.standing(), jobs, builds, now)


def _jobs(folder: Path) -> list[Path]:
    return sorted((folder / "jobs").glob("*/job.toml"))


def job_told(job: Path, workshop: Path) -> JobTold:
    """Return what a job's folder says; what was seen before is kept until a file of it changes.

    Parameters
    ----------
    job, workshop
        Folders.
    """
    files = [p for p in sorted(job.iterdir()) if p.is_file() and not p.name.startswith(".")]
    files += [workshop / "workshop.toml", job / "out" / "plan.json", job / PLACE]
    files += sorted((workshop / "materials").glob("*.toml"))
    state = (datetime.now().date(), tuple((str(p), *_stamp(p)) for p in files))
    known = _KNOWN.get(str(job))
    if known is not None and known[0] == state:
        return known[1]
    told = _told(job)
    _KNOWN[str(job)] = (state, told)
    return told


def _hastily(job: Path) -> JobTold:
    """Return what a job's file says of itself, without its plan."""
    try:
        stated, _, _ = stated_job(job / "job.toml")
    except InputError as error:
        problems = tuple(str(p) for p in error.problems)
        return JobTold(
            folder=job.name, name=_name(job), quantity=0, note="", state=PlanState.FAULTY, problems=problems
        )  # fmt: skip
    return JobTold(
        folder=job.name, name=stated.name, quantity=stated.quantity, note=stated.note, state=PlanState.LOOKING
    )  # fmt: skip


def _told(job: Path) -> JobTold:
    try:
        stated, beside, _ = stated_job(job / "job.toml")
        opened = opened_job(job / "job.toml", None)
    except BagsideError as error:
        problems = tuple(str(p) for p in error.problems) if isinstance(error, InputError) else (str(error),)
        return JobTold(
            folder=job.name, name=_name(job), quantity=0, note="", state=PlanState.FAULTY, problems=problems
        )  # fmt: skip
    layouts = read_layouts(opened.beside) if opened.job.mirror is None else ()
    plan, state, planned = _plan(job, made_from(opened, layouts))
    findings = tuple(map(finding_from, plan.get("findings", ()))) if state is PlanState.CURRENT else ()
    return JobTold(
        folder=job.name,
        name=stated.name,
        quantity=stated.quantity,
        note=stated.note,
        state=state,
        findings=findings,
        planned=planned,
        outline=_outline(plan, stated, beside.parent),
    )


def _name(job: Path) -> str:
    """Return what a job that cannot be worked out calls itself; its folder's name when not even that can be read."""
    try:
        name = load_toml(job / "job.toml").get("name")
    except InputError:
        return job.name
    return name if isinstance(name, str) and name.strip() else job.name


def _plan(job: Path, wanted: str) -> tuple[dict[str, Any], PlanState, datetime | None]:
    """Return the plan that stands beside a job, whether it is made from the same things, and when it was made.

    The pages note what they planned; the command line leaves a package. What is current goes first.
    """
    noted = noted_plan(job)
    if noted.get("made_from") == wanted:
        return noted, PlanState.CURRENT, datetime.fromisoformat(noted["at"])
    try:
        plan = read_plan(job / "out")
        made = datetime.fromtimestamp((job / "out" / "plan.json").stat().st_mtime, UTC)
    except (OSError, ValueError):
        plan, made = {}, None
    if plan:
        return plan, PlanState.CURRENT if plan.get("made_from") == wanted else PlanState.STALE, made
    if noted:
        return noted, PlanState.STALE, datetime.fromisoformat(noted["at"])
    return {}, PlanState.MISSING, None


def _outline(plan: dict[str, Any], job: Job, folder: Path) -> tuple[tuple[float, float], ...]:
    """Return the outline of the largest piece [m]: as planned, or of the largest card, or the net edge from above."""
    if len(plan.get("outline", ())) > 2:
        return _fewer(np.array(plan["outline"], dtype=np.float64))
    pieces = (plan.get("drape") or {}).get("pieces") or ()
    if pieces:
        largest = max(pieces, key=lambda p: float(p["flat_cm2"]))
        return _fewer(1e-3 * np.array(largest["outline_mm"], dtype=np.float64))
    loops = []
    for name, template in job.templates.items():
        try:
            loops.append(np.asarray(template_loops(template, folder, name).loops[0]))
        except BagsideError:  # a card that cannot be read is told on the job's own pages
            continue
    if loops:
        return _fewer(max(loops, key=loop_area))
    edge = job.mould.net_edge
    return _fewer(np.array(edge)[:, :2]) if len(edge) > 2 else ()


def _fewer(loop: Any) -> tuple[tuple[float, float], ...]:
    step = max(1, len(loop) // OUTLINE_POINTS)
    return tuple((float(x), float(y)) for x, y in loop[::step, :2])


def _stamp(path: Path) -> tuple[int, int]:
    try:
        stat = path.stat()
    except OSError:
        return (0, 0)
    return (stat.st_mtime_ns, stat.st_size)
