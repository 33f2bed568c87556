"""``bagside buy JOBS``: how much of which cloth on offer the open jobs want, and what would expire unused."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def buy(
    jobs: Annotated[list[Path], typer.Argument(help="The open jobs, cut together.")],
    workshop: Annotated[
        Path | None, typer.Option(help="The workshop's file or folder; the nearest above the first job else.")
    ] = None,
    time: Annotated[str, typer.Option(help="For the nests, all together.")] = "20 s",
    until: Annotated[
        str,
        typer.Option(help="Day until which expiring cloth is looked for, as 2027-03-01; in 90 days when not stated."),
    ] = "",
    json: AsJson = False,
) -> int:
    """Say how much of which cloth on offer the open jobs want, and what would expire unused meanwhile."""
    from datetime import date, timedelta

    from bagside.cli import show
    from bagside.cli.made import writable
    from bagside.cli.options import positive
    from bagside.errors import InputError
    from bagside.planning.buying import buying
    from bagside.planning.cut_jobs import cut_jobs
    from bagside.planning.stages import Stages
    from bagside.quantity import Quantity, shown
    from bagside.records.with_stock import opened_jobs

    seconds = positive(time, Quantity.TIME, "--time")
    today = date.today()
    try:
        day = date.fromisoformat(until) if until else today + timedelta(days=90)
    except ValueError:
        raise InputError.one("--until", f'"{until}"', "a day as 2027-03-01 is wanted") from None
    opened = opened_jobs(jobs, workshop)
    stages = Stages(store=writable(opened[0].folder / ".bagside-cache"), progress=show.Lines())
    found = cut_jobs(opened, stages, seconds=0.4 * seconds, today=today)
    answer = buying(found, opened[0], seconds=0.6 * seconds, until=day)
    findings = [f for p in answer.purchases for f in p.findings]
    currency = opened[0].workshop.currency
    if json:
        show.emit(
            {
                "buying": {
                    "jobs": [job.name for job, _ in found.jobs],
                    "cloths": [
                        {
                            "material": p.material,
                            "enough_in_stock": p.enough,
                            "options": [
                                {
                                    "width_mm": 1e3 * b.offer.width,
                                    "length_m": b.length,
                                    "wanted_m": b.wanted,
                                    "price": b.price,
                                    "currency": currency,
                                    "utilisation_percent": 100 * b.utilisation,
                                }
                                for b in p.options
                            ],
                        }
                        for p in answer.purchases
                    ],
                    "until": day.isoformat(),
                    "expiring": [
                        {"name": e.held.name, "area_m2": e.area, "length_m": e.length, "value": e.value}
                        for e in answer.expiring
                    ],
                },
                "findings": [show.finding_data(f) for f in findings],
            }
        )
        return show.exit_code(findings)
    rows = []
    for p in answer.purchases:
        if p.enough:
            rows.append([p.material, "enough in stock", "–", "–", "–", "–"])
        rows += [
            [
                p.material if k == 0 else "",
                f"{shown(b.length, 'm', 1)} of {shown(b.offer.width, 'mm', 0)}",
                shown(b.wanted, "m", 2),
                shown(b.utilisation, "%", 0),
                shown(b.over, "m", 2),
                f"{b.price:.2f} {currency}",
            ]
            for k, b in enumerate(p.options)
        ]
    show.table(f"To buy for {found.title}", ["", "buy", "cut from", "becomes pieces", "left over", "price"], rows)
    if answer.expiring:
        show.table(
            f"Would expire unused by {day.isoformat()}",
            ["", "left", "at what it cost"],
            [
                [
                    e.held.name,
                    shown(e.area, "m²", 2) if e.length is None else shown(e.length, "m", 2),
                    "–" if e.value is None else f"{e.value:.2f} {currency}",
                ]
                for e in answer.expiring
            ],
        )
    show.show_findings(findings)
    return show.exit_code(findings)
