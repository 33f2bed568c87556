"""``bagside stock mould …``: a mould's release coats, repairs and vacuum tests, and how it stands."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

Name = Annotated[str, typer.Argument(metavar="MOULD", help="Its name.")]


def mould_release(
    mould: Name,
    agent: Annotated[str, typer.Option(help="Which release agent.")] = "",
    coats: Annotated[str, typer.Option(help="How many coats.")] = "1",
    sealed: Annotated[bool, typer.Option("--sealed", help="Its face was stripped and sealed anew.")] = False,
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down that release agent was put on: pulls are counted from here."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import mould_called
    from bagside.cli.stock.read import whole
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import Released

    number = whole(coats, "--coats")
    if not agent.strip() or not number:
        place, wanted = ("--coats", "one coat or more is wanted") if agent.strip() else ("--agent", "say which agent")
        raise InputError.one(place, coats if agent.strip() else "", wanted)
    with desk(workshop, who, at, late=late) as here:
        found = mould_called(here.ledger, mould)
        events = kept(here, Released(mould=found.name, agent=agent, coats=number, sealed=sealed))
    said = [
        f"{found.name}: {number} coat{'s' if number > 1 else ''} of {agent} after {len(found.pulls)} pulls.",
        "Release agents are mostly solvent: work with fresh air and no flame, gloves as its safety data sheet says.",
    ]
    return answered(said, events=events, json=json)


def mould_repair(
    mould: Name,
    what: Annotated[str, typer.Option(help="What was done.")] = "",
    where: Annotated[str, typer.Option(help="Where on it.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down a repair; its face must be tested for vacuum again then."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import mould_called
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import Repaired

    if not what.strip():
        raise InputError.one("--what", "", "say what was done, as in: chip in the flange filled")
    with desk(workshop, who, at, late=late) as here:
        found = mould_called(here.ledger, mould)
        events = kept(here, Repaired(mould=found.name, what=what, where=where))
    said = [
        f"{found.name}: {what}{f' at {where}' if where else ''}.",
        f"Test its face before it is used: bagside stock mould test {found.name}",
    ]
    return answered(said, events=events, json=json)


def mould_test(
    mould: Name,
    start: Annotated[str, typer.Option(help='Gauge with the pump just shut off, as in "18 mbar".')] = "",
    end: Annotated[str, typer.Option(help="Gauge at the end of the test.")] = "",
    time: Annotated[str, typer.Option(help='Between the two, as in "10 min".')] = "",
    below: Annotated[bool, typer.Option("--below", help="The gauge shows pressure below ambient.")] = False,
    ambient: Annotated[str, typer.Option(help="Today's barometer; by the altitude of the workshop else.")] = "",
    volume: Annotated[str, typer.Option(help='Free volume of bag and lines, as in "2.2 L"; not known else.')] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down a vacuum test of the bare mould under a bag: what the gauge showed when the pump was shut off."""
    from bagside.bagging import ambient_pressure
    from bagside.cli.build.pressures import absolute
    from bagside.cli.desk import desk
    from bagside.cli.options import positive
    from bagside.cli.stock.found import mould_called
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError, Problem
    from bagside.ledger.bodies import Found, Measured
    from bagside.quantity import Quantity, shown

    missing = [o for o, text in (("--start", start), ("--end", end), ("--time", time)) if not text]
    if missing:
        raise InputError(Problem(place=o, came="", wanted="this is missing; state it") for o in missing)
    seconds = positive(time, Quantity.TIME, "--time")
    with desk(workshop, who, at, late=late) as here:
        found = mould_called(here.ledger, mould)
        outside = (
            positive(ambient, Quantity.PRESSURE, "--ambient")
            if ambient
            else ambient_pressure(here.shop.room.altitude)
        )
        first = absolute(start, outside, "--start", below=below)
        last = absolute(end, outside, "--end", below=below)
        body = Measured(
            subject=found.name,
            found=Found.LEAK,
            value=(last - first) / seconds,
            start=first,
            end=last,
            ambient=outside,
            seconds=seconds,
            volume=positive(volume, Quantity.VOLUME, "--volume") if volume else None,
        )
        events = kept(here, body)
    rise, begun, ended = (shown(p, "mbar", 1) for p in (60.0 * body.value, first, last))
    said = [f"{found.name}: from {begun} to {ended} absolute, {rise} a minute; kept."]
    return answered(said, events=events, data={"rise_mbar_per_min": 0.6 * body.value}, json=json)


def mould_show(mould: Name, workshop: Folder = None, json: AsJson = False) -> int:
    """Show a mould: pulls, release coats, the hottest it has seen, repairs and tests."""
    from bagside.cli.stock.show import show

    return show(mould, workshop, json)
