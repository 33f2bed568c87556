"""``bagside build leak BUILD``: the leak test of a bagged part, judged as ``bagside leak`` judges and kept."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def leak(
    build: given.Serial,
    start: Annotated[str, typer.Option(help='Gauge with the pump just shut off, as in "18 mbar".')] = "",
    end: Annotated[str, typer.Option(help="Gauge at the end of the test.")] = "",
    time: Annotated[str, typer.Option(help='Between the two, as in "10 min".')] = "",
    below: given.Below = False,
    ambient: given.Ambient = "",
    volume: Annotated[
        str, typer.Option(help='Free volume of bag and lines, as in "2.2 L"; as the bag was planned else.')
    ] = "",
    gauge_step: Annotated[str, typer.Option("--gauge-step", help="Of the gauge's scale or last digit.")] = "1 mbar",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Judge a leak test against the build's own criterion, and keep it: how large the leak is, what to do."""
    from bagside.cli import show
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called
    from bagside.cli.build.pressures import ambient_of
    from bagside.cli.desk import desk
    from bagside.cli.leak_show import answer, shown_tables
    from bagside.cli.options import positive, quantity
    from bagside.errors import InputError, Problem
    from bagside.ledger.bodies import Found, Measured
    from bagside.planning.leak_bench import judged_leak
    from bagside.quantity import Quantity
    from bagside.spec.leak_file import Gauge, LeakFile, LeakReading

    missing = [o for o, text in (("--start", start), ("--end", end), ("--time", time)) if not text]
    if missing:
        raise InputError(Problem(place=o, came="", wanted="this is missing; state it") for o in missing)
    seconds = positive(time, Quantity.TIME, "--time")
    first = quantity(start, Quantity.PRESSURE, "--start")
    last = quantity(end, Quantity.PRESSURE, "--end")
    step = positive(gauge_step, Quantity.PRESSURE, "--gauge-step")
    free = positive(volume, Quantity.VOLUME, "--volume") if volume else None
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        plan = found.planned
        outside = ambient_of(ambient, found)
        free = free or plan.leak_volume
        if not free:
            raise InputError.one("--volume", "", "the plan of this build tells no volume under the bag; state it")
        stated = LeakFile(
            criterion=plan.leak_rule or "cosmetic oven cure",
            gauge=Gauge.BELOW if below else Gauge.ABSOLUTE,
            step=step,
            ambient=outside,
            volume=free,
            readings=(LeakReading(at=0.0, shows=first), LeakReading(at=seconds, shows=last)),
        )
        judged = judged_leak(stated, "leak test")
        begun, ended = (outside - abs(p) if below else p for p in (first, last))
        body = Measured(
            subject=found.name,
            found=Found.LEAK,
            value=(ended - begun) / seconds,
            start=begun,
            end=ended,
            ambient=outside,
            seconds=seconds,
            volume=free,
            sigma=judged.test.rise_spread / seconds,
        )
        events = words.kept(here, body)
        now = words.again(here, found.name)
    if not json:
        for title, headers, rows in shown_tables(judged, f"{found.name}, leak test"):
            show.table(title, headers, rows)
    passed = judged.test.of(judged.criterion).passed
    said = [f"{found.name}: {'tight enough' if passed else 'not tight'} by {judged.criterion}; kept."]
    return words.answered(
        now,
        said,
        judged.findings,
        events=events,
        data={"leak": answer(judged)["leak"]},
        json=json,
    )
