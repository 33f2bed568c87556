"""``bagside build begin JOB``: one part of a job is begun, with its plan as it is today."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bagside.ledger.things import Build
    from bagside.planning.plan import BuildPlan
    from bagside.records.database.ledger import Ledger
    from bagside.spec.opening import Opened


def begin(
    job: Annotated[
        str, typer.Argument(metavar="JOB", help="The job's folder or file; its name in the workshop will do.")
    ],
    number: Annotated[int, typer.Option(help="Which part of the job; the first that is not begun else.")] = 0,
    mould: Annotated[str, typer.Option(help="Mould, by its name in the ledger; that of the part before else.")] = "",
    serial: Annotated[str, typer.Option(help="Serial number; the next free one else.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Begin a part: the job is planned, and the plan is frozen with it; its serial number and first step are told."""
    from datetime import UTC

    from bagside.cli.build import words
    from bagside.cli.build.found import listed
    from bagside.cli.build.gate_words import gate_data, state
    from bagside.cli.build.job_of import job_path
    from bagside.cli.desk import desk
    from bagside.errors import InputError
    from bagside.findings import Severity
    from bagside.ledger.bodies import Begun, Sort
    from bagside.ledger.builds.as_planned import planned_of
    from bagside.ledger.builds.beginning import builds_of, free_part, serial_prefix
    from bagside.ledger.gates.before import gates_before
    from bagside.records.with_stock import opened_job

    with desk(_beside(job, workshop), who, at, late=late) as here:
        opened = opened_job(job_path(job, here.folder), here.folder)
        before = builds_of(here.ledger.things(Sort.BUILD, there=None).values(), opened.job.name)
        part = number or free_part(before, opened.job.name, opened.job.quantity, "--number")
        on = _mould(here.ledger, before, mould)
        if serial and here.ledger.thing(serial) is not None:
            free = here.ledger.next_name(serial_prefix(opened.job.name, here.at))
            raise InputError.one("--serial", f'"{serial}"', "this name is taken", f"{free} is free")
    planned = planned_of(_planned(opened), part)
    with desk(_beside(job, workshop), who, at, late=late) as here:  # planning takes its time: the part begins now
        name = serial or here.ledger.next_name(serial_prefix(opened.job.name, here.at))
        events = words.kept(here, Begun(build=name, planned=planned, mould=on))
        now = words.again(here, name)
        gates = gates_before(now, now.next_step, here.standing(), here.at.astimezone(UTC))
    findings = []
    twice = [b.name for b in before if b.planned.number == part and b.there]
    if twice:
        findings.append(
            words.seen(
                f"{name}, part {part}",
                f"part {part} is being made already: {listed(twice)}",
                "two parts under one number cannot be told apart on the list of kits",
                f"state another --number, or close {listed(twice, 'or')}",
            )
        )
    if not on:
        findings.append(
            words.seen(
                f"{name}, mould",
                "no mould is named",
                "its pulls, release coats and heat cannot be counted, and no gate can ask for them",
                "receive the mould with bagside stock; the next part is then begun with --mould",
                Severity.SEEN,
            )
        )
    if json:
        return words.answered(
            now,
            (),
            findings,
            data={
                "event": events[0].id,
                "job": planned.job,
                "number": part,
                "quantity": planned.quantity,
                "revision": planned.revision,
                "mould": on,
                "gates": [gate_data(g) for g in gates],
            },
            json=True,
        )
    said = [
        f"{name}: {planned.job}, part {part} of {planned.quantity}{f', on {on}' if on else ''}; "
        f"{words.plural(len(planned.plies), 'ply', 'plies')}, {words.plural(len(planned.steps), 'step')}, "
        f"{words.span(planned.hours)} of hands-on work. The plan is kept as it is today."
    ]
    said += [f"Before it: {g.name} – {state(g)}." for g in gates]
    return words.answered(now, said, findings, events=events)


def _beside(job: str, workshop: Path | None) -> Path | None:
    """Return the workshop's folder: as stated, else the nearest above the job when that is a path."""
    if workshop is not None:
        return workshop
    stated = Path(job).resolve()
    if not stated.exists():
        return None
    above = (stated, *stated.parents)
    return next((folder for folder in above if (folder / "workshop.toml").is_file()), None)


def _mould(ledger: Ledger, before: Sequence[Build], stated: str) -> str:
    """Return the mould: as stated, else that of the part before while it is there; empty when nobody knows."""
    from bagside.cli.build.found import one_of
    from bagside.ledger.bodies import Sort
    from bagside.ledger.builds.beginning import mould_before

    moulds = list(ledger.names(Sort.MOULD))
    if stated:
        return one_of(stated, moulds, "--mould", "there is no mould of this name")
    return mould_before(moulds, before)


def _planned(opened: Opened) -> BuildPlan:
    """Return the plan of a job, from what is kept of it where nothing has changed."""
    from bagside.cli import show
    from bagside.cli.made import writable
    from bagside.planning.plan import plan_build
    from bagside.records.layout_file import read_layouts

    stored = read_layouts(opened.beside) if opened.job.mirror is None else ()
    plan, _ = plan_build(
        opened, store=writable(opened.folder / ".bagside-cache"), progress=show.Lines(), layouts=stored
    )
    return plan
