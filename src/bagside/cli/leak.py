"""``bagside leak``: a bag with its pump shut off – tight enough, how large the leak is, where to look."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def leak(
    file: Annotated[
        Path | None, typer.Argument(help="Readings, bag and pump; see demo/benches/leak.toml. Or the options below.")
    ] = None,
    first: Annotated[str, typer.Option(help='Reading with the pump just shut off, as in "18 mbar", "-985 mbar".')] = "",
    last: Annotated[str, typer.Option(help="Reading at the end.")] = "",
    after: Annotated[str, typer.Option(help='Time between the two, as in "10 min".')] = "",
    area: Annotated[str, typer.Option(help='Under the bag, as in "0.9 m²"; or --volume.')] = "",
    volume: Annotated[str, typer.Option(help='Free volume of bag and lines, as in "2.2 L".')] = "",
    below: Annotated[bool, typer.Option("--below", help="The gauge shows pressure below ambient.")] = False,
    step: Annotated[str, typer.Option(help="Of the gauge's scale or last digit.")] = "1 mbar",
    ambient: Annotated[str, typer.Option(help="Today's barometer at the workshop, not reduced to sea level.")] = "",
    altitude: Annotated[str, typer.Option(help="Of the workshop, when there is no barometer.")] = "",
    criterion: Annotated[str, typer.Option(help="Name of the one that counts.")] = "cosmetic oven cure",
    job: Annotated[
        Path | None, typer.Option("--for", help="Job whose bag, pump and altitude fill in what is not stated.")
    ] = None,
    workshop: Annotated[Path | None, typer.Option(help="Workshop of that job.")] = None,
    json: AsJson = False,
) -> int:
    """Judge a leak test: every criterion, the leak's size, what the pump makes of it, where to look."""
    from bagside.cli import options, show
    from bagside.cli.bench_file import bench_file
    from bagside.cli.leak_show import answer, shown_tables
    from bagside.errors import InputError, Problem
    from bagside.planning.leak_bench import judged_leak
    from bagside.quantity import Quantity
    from bagside.spec.leak_file import Gauge, LeakFile, LeakReading

    if file is not None:
        given = {"--first": first, "--last": last, "--after": after, "--area": area, "--volume": volume,
                 "--ambient": ambient, "--altitude": altitude}  # fmt: skip
        if any(given.values()) or below:
            raise InputError(
                Problem(place=o, came="", wanted="a file and this option are too much: state it in the file")
                for o in [*(o for o, text in given.items() if text), *(["--below"] if below else [])]
            )
        stated, _ = bench_file(file, LeakFile, None)
        name = file.name
    else:
        missing = [o for o, text in (("--first", first), ("--last", last), ("--after", after)) if not text]
        if not area and not volume and job is None:
            missing.append("--area, --volume or --for")
        if missing:
            raise InputError(
                Problem(place=o, came="", wanted="this is missing; state it, or give a file of readings")
                for o in missing
            )
        time = options.positive(after, Quantity.TIME, "--after")
        stated = LeakFile(
            criterion=criterion,
            gauge=Gauge.BELOW if below else Gauge.ABSOLUTE,
            step=options.positive(step, Quantity.PRESSURE, "--step"),
            ambient=options.positive(ambient, Quantity.PRESSURE, "--ambient") if ambient else None,
            altitude=options.quantity(altitude, Quantity.LENGTH, "--altitude") if altitude else None,
            volume=options.positive(volume, Quantity.VOLUME, "--volume") if volume else None,
            area=options.positive(area, Quantity.AREA, "--area") if area else None,
            readings=(
                LeakReading(at=0.0, shows=options.quantity(first, Quantity.PRESSURE, "--first")),
                LeakReading(at=time, shows=options.quantity(last, Quantity.PRESSURE, "--last")),
            ),
        )
        name = "leak test"
    if job is not None:
        from bagside.cli.made import writable
        from bagside.planning.leak_bench import bag_of_job, filled
        from bagside.planning.stages import Stages
        from bagside.records.with_stock import opened_jobs

        opened = opened_jobs([job], workshop)[0]
        stages = Stages(store=writable(opened.folder / ".bagside-cache"), progress=show.Lines())
        stated = filled(stated, bag_of_job(opened, stages), opened.workshop)
    found = judged_leak(stated, name)
    if json:
        show.emit(answer(found))
        return show.exit_code(found.findings)
    for title, headers, rows in shown_tables(found, name):
        show.table(title, headers, rows)
    show.show_findings(found.findings)
    return show.exit_code(found.findings)
