"""``bagside cure run FILE``: a cycle through stated sections in a stated oven."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def run(
    file: Annotated[Path, typer.Argument(help="Sections, oven and cycle; see demo/benches/cure.toml.")],
    workshop: Annotated[Path | None, typer.Option(help="Folder of the workshop whose materials count.")] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for cure.csv.")] = None,
    json: AsJson = False,
) -> int:
    """Run a cycle: temperatures, degree of cure, glass transition, margins."""
    from bagside.cli import show
    from bagside.cli.bench_file import bench_file
    from bagside.errors import InputError, Problem
    from bagside.planning import cure_stage
    from bagside.planning.laminate_stage import laid_ply
    from bagside.quantity import shown
    from bagside.spec.bench import CureFile
    from bagside.spec.job import Cure
    from bagside.spec.library import lookup
    from bagside.spec.workshop import Room

    stated, library = bench_file(file, CureFile, workshop)
    problems = []
    for s in stated.sections:
        place = f"{file.name}, section {s.name}"
        problems += lookup(library.prepreg, s.prepreg, f"{place}, prepreg", "prepreg")
        problems += lookup(library.tool, s.tool, f"{place}, tool", "tool material")
    if not stated.sections:
        problems.append(Problem(place=f"{file.name}, sections", came="", wanted="at least one section is wanted"))
    resins = {library.prepreg[s.prepreg].resin for s in stated.sections if s.prepreg in library.prepreg}
    if len(resins) > 1:
        problems.append(
            Problem(place=f"{file.name}, sections", came=", ".join(sorted(resins)), wanted="one resin system is wanted")
        )
    tools = {(s.tool, s.tool_thickness) for s in stated.sections}
    if len(tools) > 1:
        problems.append(
            Problem(
                place=f"{file.name}, sections", came="", wanted="all sections must stand on the same tool, as thick"
            )
        )
    names = [s.name for s in stated.sections]
    problems += [
        Problem(place=f"{file.name}, section {n}", came="", wanted="two sections have this name; each wants its own")
        for n in dict.fromkeys(names)
        if names.count(n) > 1
    ]
    if not stated.segments:
        problems.append(Problem(place=f"{file.name}, segments", came="", wanted="at least one segment is wanted"))
    if stated.demould <= stated.start:
        problems.append(
            Problem(
                place=f"{file.name}, demould",
                came=shown(stated.demould, "°C"),
                wanted=f"more than the room's {shown(stated.start, '°C')} is wanted, or it never gets there",
            )
        )
    if problems:
        raise InputError(problems)
    first = library.prepreg[stated.sections[0].prepreg]
    resin = library.resin[first.resin]
    tool = library.tool[stated.sections[0].tool]
    stacks = []
    for s in stated.sections:
        p = library.prepreg[s.prepreg]
        ply = laid_ply("1", p, 0.0).thickness
        stacks.append(
            cure_stage.Stack(
                name=s.name,
                thickness=s.laminate,
                fibre_volume=p.areal_weight / p.fibre_density / ply,
                fibre_density=p.fibre_density,
            )
        )
    room = Room(temperature=stated.start, humidity=0.5)
    plan = cure_stage.cure_plan(
        tuple(stacks),
        resin,
        first.resin_density,
        tool,
        stated.sections[0].tool_thickness,
        Cure(
            start=stated.start,
            segments=stated.segments,
            demould=stated.demould,
            service=stated.service,
            margin=stated.margin,
            target=stated.target,
        ),
        stated.oven,
        room,
        0.0,  # what mould and part weigh is not stated here
        0.0,
    )
    found = cure_stage.cure_findings(plan, resin, stated.oven, room)
    if out is not None:
        from bagside.sheets.cure_csv import cure_csv
        from bagside.sheets.package import Package

        Package(out).written({"cure.csv": cure_csv(plan.first, plan.resin)})
    if json:
        show.emit(
            {
                "cure": {
                    "duration_min": plan.first.duration / 60,
                    "energy_kwh": plan.first.energy.total / 3.6e6,
                    "sections": [
                        {
                            "name": o.name,
                            "hottest_c": o.hottest - 273.15,
                            "overshoot_k": o.overshoot,
                            "cure_lagging": o.alpha_lagging,
                            "tg_c": o.tg - 273.15,
                            "gel_min": None if o.gel_time is None else o.gel_time / 60,
                            "gel_c": None if o.gel_temperature is None else o.gel_temperature - 273.15,
                            "tool_hottest_c": None if o.tool_hottest is None else o.tool_hottest - 273.15,
                            "dwell_min": o.dwell / 60,
                        }
                        for o in plan.first.outcomes
                    ],
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    show.table(
        f"{first.resin}: {shown(plan.first.duration, 'h')} from heat on until it may come off, "
        f"{shown(plan.first.energy.total, 'kWh')} for the oven and its walls alone",
        ["place", "hottest", "cured", "Tg", "gels after"],
        [
            [
                o.name,
                shown(o.hottest, "°C", 0),
                shown(o.alpha_lagging, "%", 0),
                shown(o.tg, "°C", 0),
                "not" if o.gel_time is None else shown(o.gel_time, "h"),
            ]
            for o in plan.first.outcomes
        ],
    )
    show.show_findings(found)
    return show.exit_code(found)
