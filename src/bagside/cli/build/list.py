"""``bagside build list``: the parts being made, with the one next step of each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import Folder
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.things import Build


def list_builds(
    all_: Annotated[bool, typer.Option("--all", help="Those that are closed too.")] = False,
    job: Annotated[str, typer.Option(help="Only of this job.")] = "",
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """List the parts being made: the next step of each, and what is running."""
    from bagside.cli import show
    from bagside.cli.build.found import one_of
    from bagside.cli.desk import desk
    from bagside.ledger.bodies import Sort
    from bagside.ledger.things import Build

    with desk(workshop) as here:
        things = here.ledger.things(Sort.BUILD, there=None if all_ else True)
    builds = sorted((t for t in things.values() if isinstance(t, Build)), key=lambda b: (b.closed is not None, b.born))
    if job:
        name = one_of(job, sorted({b.planned.job for b in builds}), "--job", "no part of such a job is listed")
        builds = [b for b in builds if b.planned.job == name]
    if json:
        show.emit({"builds": [build_line(b) for b in builds], "findings": []})
        return 0
    if not builds:
        show.OUT.print("No part is being made; begin one with bagside build begin JOB.")
        return 0
    show.table("Builds", ["", "next", "running since", "steps done", "last heard of"], [_row(b) for b in builds])
    return 0


def _row(build: Build) -> list[str]:
    from bagside.cli.build import words

    planned = build.planned
    step = words.next_step(build)
    done = sum(d.finished is not None for d in build.steps)
    if build.closed is not None:
        upcoming = f"closed: {build.closed.what.verdict}"
    else:
        upcoming = "close it" if step is None else f"{words.number_of(build, step)} {step.name}"
    going = [f"{words.clock(d.started)} ({p.key})" for p, d in words.running(build) if d.started is not None]
    return [
        f"{build.name}  {planned.job}, {planned.number} of {planned.quantity}",
        upcoming,
        ", ".join(going) or "–",
        f"{done} of {len(build.steps)}",
        words.clock(build.last),
    ]


def build_line(build: Build) -> dict[str, Any]:
    """Return a build as one line of JSON data.

    Parameters
    ----------
    build
        Any.
    """
    from bagside.cli.build import words

    return {
        "build": build.name,
        "job": build.planned.job,
        "number": build.planned.number,
        "quantity": build.planned.quantity,
        "mould": build.mould,
        "begun": build.born.isoformat(),
        "last": build.last.isoformat(),
        "steps_done": sum(d.finished is not None for d in build.steps),
        "steps": len(build.steps),
        "next": words.next_data(build),
        "running": [
            {"key": p.key, "started": d.started.isoformat(), "who": list(d.who)}
            for p, d in words.running(build)
            if d.started is not None
        ],
        "closed": None if build.closed is None else build.closed.what.verdict,
    }
