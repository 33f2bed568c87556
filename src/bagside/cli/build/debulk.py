"""``bagside build debulk BUILD``: what is laid was pressed under vacuum."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def debulk(
    build: given.Serial,
    after: Annotated[int, typer.Option(help="Ply that was laid last.")] = 0,
    time: Annotated[str, typer.Option(help='Under vacuum, as in "12 min"; it ends now, or --at.')] = "",
    vacuum: Annotated[str, typer.Option(help='Gauge on the bag at its end, as in "40 mbar".')] = "",
    below: given.Below = False,
    ambient: given.Ambient = "",
    bag: Annotated[str, typer.Option(help="Bag or sheet used, by its name in stock.")] = "",
    warm: Annotated[str, typer.Option(help='Temperature of a warm one, as in "45 °C".')] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down a debulk: after which ply, how long, how deep."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, planned_step
    from bagside.cli.build.gated import stopped
    from bagside.cli.build.pressures import absolute, ambient_of
    from bagside.cli.desk import desk
    from bagside.cli.options import positive, quantity
    from bagside.errors import InputError, Problem
    from bagside.findings import Severity
    from bagside.ledger.bodies import Debulked
    from bagside.quantity import Quantity, shown

    missing = [o for o, text in (("--time", time), ("--vacuum", vacuum)) if not text]
    if missing:
        raise InputError(Problem(place=o, came="", wanted="this is missing; state it") for o in missing)
    seconds = positive(time, Quantity.TIME, "--time")
    hot = quantity(warm, Quantity.TEMPERATURE, "--warm") if warm else None
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        pressure = absolute(vacuum, ambient_of(ambient, found), "--vacuum", below=below)
        last = after or max((n.what.ply for n in found.laid), default=0)
        if not last:
            raise InputError.one("--after", "", f"no ply of {found.name} is laid yet")
        step = planned_step(found, f"debulk-{last}")
        code = stopped(here, [] if step is None else [(found, step)], "write it down", json=json)
        if code:
            return code
        body = Debulked(
            build=found.name, after=last, seconds=seconds, pressure=pressure, bag=bag, temperature=hot
        )
        events = words.kept(here, body)
        now = words.again(here, found.name)
    planned = next((d for d in found.planned.debulks if d.after == last), None)
    findings = []
    if planned is None:
        findings.append(
            words.seen(
                f"{found.name}, ply {last}", "no debulk is planned after this ply", "one more does no harm", "go on",
                Severity.SEEN,
            )
        )  # fmt: skip
    told = f"debulked after ply {last}, {words.span(seconds)} at {shown(pressure, 'mbar', 0)} absolute"
    if planned is not None:
        told += f"; {words.span(planned.seconds)} under {shown(planned.pressure, 'mbar', 0)} is planned"
    said = [f"{found.name}: {told}."]
    return words.answered(now, said, findings, events=events, before=[found], json=json)
