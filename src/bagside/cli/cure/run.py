"""``bagside cure run FILE``: a cycle through stated sections in a stated oven."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def run(
    file: Annotated[Path, typer.Argument(help="A job, or sections, oven and cycle as in demo/benches/cure.toml.")],
    workshop: Annotated[Path | None, typer.Option(help="Folder of the workshop whose materials count.")] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for the table and the charts.")] = None,
    json: AsJson = False,
) -> int:
    """Run a cycle: temperatures, degree of cure, glass transition, margins."""
    from bagside.cli import show
    from bagside.cli.cure.case import opened_case
    from bagside.planning import cure_stage
    from bagside.quantity import shown

    case = opened_case(file, workshop)
    plan = cure_stage.cure_plan(case)
    found = cure_stage.cure_findings(plan, case)
    if out is not None:
        from bagside.sheets.cure_files import cure_files
        from bagside.sheets.package import Package

        files = [
            cure_files(run, case, word, png=True) for run, word in zip(plan.runs, ("cure", "post-cure"), strict=False)
        ]
        Package(out).written({name: content for one in files for name, content in one.items()})
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
        f"{case.resin_name}: {shown(plan.first.duration, 'h')} from heat on until it may come off, "
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
