"""The task that begins a part: the job is planned, and the plan is frozen with it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from bagside.ledger.bodies import Begun, Sort
from bagside.ledger.builds.as_planned import planned_of
from bagside.ledger.builds.beginning import builds_of, free_part, mould_before, serial_prefix
from bagside.planning.plan import plan_build
from bagside.records.desk import desk
from bagside.records.kept_plan import STORE
from bagside.records.layout_file import read_layouts
from bagside.records.with_stock import opened_job
from bagside.web.work.child import Teller
from bagside.web.work.planning_task import Watched


def begin_part(tell: Teller, folder: Path, job: str, mould: str, who: str, device: str) -> str:
    """Begin the next part of a job, and return its serial number.

    Parameters
    ----------
    tell
        Takes `bagside.web.work.messages.StageNews`.
    folder
        Of the workshop.
    job
        Name of the job's folder.
    mould
        By its name in the records; that of the part before when empty.
    who, device
        Who begins it, on what.

    Raises
    ------
    InputError
        When every part has been begun, or the job cannot be built as it is stated.
    NotSolved
        When a stage of it cannot be solved.
    """
    opened = opened_job(folder / "jobs" / job / "job.toml", folder)
    with desk(folder, who, device) as here:
        before = builds_of(here.ledger.things(Sort.BUILD, there=None).values(), opened.job.name)
        number = free_part(before, opened.job.name, opened.job.quantity, opened.job.name)
        on = mould or mould_before(here.ledger.names(Sort.MOULD), before)
    stored = read_layouts(opened.beside) if opened.job.mirror is None else ()
    plan, _ = plan_build(opened, store=opened.folder / STORE, progress=Watched(tell), layouts=stored)
    planned = planned_of(plan, number)
    with desk(folder, who, device) as here:  # planning takes its time: the part begins now
        name = here.ledger.next_name(serial_prefix(opened.job.name, datetime.now().astimezone()))
        here.ledger.add([here.event(Begun(build=name, planned=planned, mould=on))])
    return name
