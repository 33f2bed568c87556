"""``bagside cure share JOB JOB``: one cycle that serves several parts, or which go separately and why."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def share(
    jobs: Annotated[list[Path], typer.Argument(help="Jobs, or sections as in demo/benches/cure.toml; up to eight.")],
    workshop: Annotated[Path | None, typer.Option(help="Workshop's file or folder; else the nearest above.")] = None,
    shelf: Annotated[list[str] | None, typer.Option(help='Of the oven, as in "1.2 x 0.8 m"; again for each.')] = None,
    size: Annotated[list[str] | None, typer.Option(help='Of a part on the shelf, as in "hatch=0.8 x 0.5 m".')] = None,
    leak: Annotated[list[str] | None, typer.Option(help='Into a bag, as in "hatch=40 cm³/min".')] = None,
    lines: Annotated[list[str] | None, typer.Option(help='Vacuum lines of a part, as in "hatch=2".')] = None,
    wet: Annotated[list[str] | None, typer.Option(help="A part with fresh paint or adhesive.")] = None,
    ports: Annotated[int | None, typer.Option(help="Vacuum lines that lead into the oven.")] = None,
    thermocouples: Annotated[int | None, typer.Option(help="That can be read besides the controlling one.")] = None,
    pump: Annotated[str, typer.Option(help='Flow of the pump, as in "6 m³/h"; the workshop\'s when not stated.')] = "",
    turnaround: Annotated[str, typer.Option(help="To unload and load between two runs.")] = "30 min",
    voids: Annotated[bool, typer.Option(help="Whether water must make no voids before gel.")] = True,
    design: Annotated[bool, typer.Option("--design", help="Design a cycle even where one of theirs serves.")] = False,
    json: AsJson = False,
) -> int:  # fmt: skip
    """Find the oven runs that serve several parts in the shortest time."""
    from bagside.cli import options, show
    from bagside.cli.cure import share_show
    from bagside.cli.cure.case import opened_case
    from bagside.cli.cure.running import Watched
    from bagside.cli.cure.share_options import in_oven, length_and_width, pump_of, told_apart
    from bagside.errors import InputError, Problem
    from bagside.planning.share_case import shared_cases
    from bagside.quantity import Quantity

    wrong = [
        Problem(place=option, came=str(count), wanted="one or more is wanted")
        for option, count in (("--ports", ports), ("--thermocouples", thermocouples))
        if count is not None and count < 1
    ]
    if wrong:
        raise InputError(wrong)
    shelves = tuple(length_and_width(text, "--shelf") for text in shelf or ())
    more = in_oven(size or [], leak or [], lines or [], wet or [])
    flow = options.positive(pump, Quantity.FLOW, "--pump") if pump else pump_of(jobs, workshop)
    pause = options.not_negative(turnaround, Quantity.TIME, "--turnaround")
    cases = told_apart([opened_case(job, workshop, wanted=True) for job in jobs])
    with Watched() as watched:
        found = shared_cases(
            cases, more, shelves=shelves or None, ports=ports, thermocouples=thermocouples, pump=flow,
            turnaround=pause, voids=voids, design=design, progress=watched.say,
        )  # fmt: skip
    if json:
        show.emit({"share": share_show.data(found), "findings": [show.finding_data(f) for f in found.findings]})
        return show.exit_code(found.findings)
    share_show.tables(found)
    show.show_findings(found.findings)
    return show.exit_code(found.findings)
