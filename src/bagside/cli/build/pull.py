"""``bagside build pull BUILD``: the part comes off its mould."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def pull(
    build: given.Serial,
    temperature: Annotated[str, typer.Option(help='Hottest place of the part then, as in "38 °C".')] = "",
    stuck: Annotated[bool, typer.Option("--stuck", help="It did not come off as it should.")] = False,
    mould: Annotated[str, typer.Option(help="Its mould, when the build names none.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down that the part is off its mould: the mould's pulls are counted by it."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, one_of, planned_step
    from bagside.cli.build.gated import stopped
    from bagside.cli.desk import desk
    from bagside.cli.options import quantity
    from bagside.errors import InputError
    from bagside.findings import Severity
    from bagside.ledger.bodies import Body, Found, Measured, Pulled, Sort
    from bagside.ledger.builds.build_events import build_after
    from bagside.ledger.things import Mould
    from bagside.quantity import Quantity, shown

    warm = quantity(temperature, Quantity.TEMPERATURE, "--temperature") if temperature else None
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        moulds = list(here.ledger.names(Sort.MOULD, there=None))
        name = one_of(mould, moulds, "--mould", "there is no mould of this name") if mould else found.mould
        if mould and found.mould and name != found.mould:
            raise InputError.one("--mould", f'"{name}"', f"{found.name} was begun on {found.mould}")
        step = planned_step(found, "demould")
        seen = found
        bodies: list[Body] = []
        if warm is not None:  # the gate before it asks for this reading: it counts as read just before
            bodies.append(Measured(subject=found.name, found=Found.DEMOULD, value=warm))
            seen = build_after(found, here.event(bodies[0]), found.name) or found
        code = stopped(here, [] if step is None else [(seen, step)], "write it down", json=json)
        if code:
            return code
        bodies.append(Pulled(build=found.name, mould=name, temperature=warm, stuck=stuck))
        events = words.kept(here, *bodies)
        now = words.again(here, found.name)
        held = here.ledger.thing(name) if name else None
    said = f"{found.name} is off its mould" + (f" at {shown(warm, '°C', 0)}" if warm is not None else "")
    pulls = f"; {name} has made {words.plural(len(held.pulls), 'part')}" if isinstance(held, Mould) else ""
    findings = []
    if not name:
        findings.append(
            words.seen(
                f"{found.name}, mould",
                "no mould is named",
                "its pulls, release coats and heat cannot be counted",
                "receive the mould with bagside stock, and name it with --mould when a part is begun",
                Severity.SEEN,
            )
        )
    if stuck:
        findings.append(
            words.seen(
                f"{found.name}, {name or 'mould'}",
                "the part did not come off as it should",
                "where one part stuck the next sticks harder, and takes the face with it",
                "look at the face; strip, seal and release it anew before the next part",
                Severity.DECIDE,
            )
        )
    return words.answered(now, [f"{said}{pulls}."], findings, events=events, before=[found], json=json)
