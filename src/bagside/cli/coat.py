"""``bagside coat FILE``: what is mixed for coats, and whether the room is fit for them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def coat(
    file: Annotated[Path, typer.Argument(help="Area, coats and climate; see demo/benches/coat.toml.")],
    workshop: Annotated[Path | None, typer.Option(help="Folder of the workshop whose materials count.")] = None,
    json: AsJson = False,
) -> int:
    """Mix coats: volumes, masses of both parts, windows, dew point."""
    from bagside import finishing
    from bagside.cli import show
    from bagside.cli.bench_file import bench_file
    from bagside.errors import InputError, Problem
    from bagside.findings import Finding
    from bagside.quantity import shown
    from bagside.spec.bench import CoatFile
    from bagside.spec.library import generic_times, lookup

    stated, library = bench_file(file, CoatFile, workshop)
    problems = [
        p
        for k, c in enumerate(stated.coats, 1)
        for p in lookup(library.coating, c.coating, f"{file.name}, coat {k}, coating", "coating")
    ]
    problems += [
        Problem(place=f"{file.name}, coat {k}, times", came=str(c.times), wanted="at least 1 is wanted")
        for k, c in enumerate(stated.coats, 1)
        if c.times < 1
    ]
    if problems:
        raise InputError(problems)
    if not stated.coats:
        raise InputError.one(f"{file.name}, coats", "", "at least one coat is wanted")
    rate = generic_times().coat or 1.0
    area = stated.length * stated.width
    plans = [
        finishing.plan_coat(c.coating, library.coating[c.coating], area=area, times=c.times, rate=rate)
        for c in stated.coats
    ]
    climate = finishing.climate_of(stated.room, stated.humidity, stated.surface)
    found: list[Finding] = []
    for plan in plans:
        coating = library.coating[plan.name]
        found += finishing.climate_findings(
            climate, coldest=coating.coldest, wettest=coating.wettest, place=f"coat {plan.name}"
        )
        found += finishing.coat_findings(plan, coating)
    if json:
        show.emit(
            {
                "finishing": {
                    "dew_point_c": climate.dew_point - 273.15,
                    "surface_c": climate.surface - 273.15,
                    "coats": [
                        {
                            "name": p.name,
                            "times": p.times,
                            "area_m2": p.area,
                            "wet_um": 1e6 * p.wet,
                            "dry_um": 1e6 * p.dry,
                            "mixed_ml": 1e6 * p.volume,
                            "first_g": 1e3 * p.masses[0],
                            "second_g": 1e3 * p.masses[1],
                            "flash_min": p.flash / 60,
                            "cure_h": p.cure_time / 3600,
                        }
                        for p in plans
                    ],
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    show.table(
        f"{shown(area, 'm²', 2)}; dew point {shown(climate.dew_point, '°C')}",
        ["coat", "times", "first part", "second part", "wet", "dry"],
        [
            [
                p.name,
                str(p.times),
                shown(p.masses[0], "g", 0),
                shown(p.masses[1], "g", 0),
                shown(p.wet, "µm", 0),
                shown(p.dry, "µm", 0),
            ]
            for p in plans
        ],
    )
    show.show_findings(found)
    return show.exit_code(found)
