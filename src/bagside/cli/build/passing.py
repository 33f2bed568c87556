"""``bagside build pass BUILD GATE``: somebody takes it on that a gate does not hold."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def pass_gate(
    build: given.Serial,
    gate: Annotated[str, typer.Argument(metavar="GATE", help="Its key, or the beginning of it.")],
    by: Annotated[str, typer.Option(help="Who takes it on, by name.")] = "",
    why: Annotated[str, typer.Option(help="Their reason, in a sentence.")] = "",
    step: given.OfStep = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Pass a gate that says stop: by a named person, with a reason, on the record."""
    from datetime import UTC

    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, closing, gate_step, one_of
    from bagside.cli.desk import desk
    from bagside.errors import InputError, Problem
    from bagside.ledger.bodies import Passed
    from bagside.ledger.gates import gates_before

    wrong = [
        Problem(place=option, came="", wanted=wanted)
        for option, text, wanted in (
            ("--by", by, "the name of who takes it on is wanted"),
            ("--why", why, "their reason is wanted, in a sentence"),
        )
        if not text.strip()
    ]
    if wrong:
        raise InputError(wrong)
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        planned = gate_step(found, step) if step else words.next_step(found) or closing()
        gates = {g.key: g for g in gates_before(found, planned.key, here.standing(), here.at.astimezone(UTC))}
        if not gates:
            raise InputError.one("GATE", f'"{gate}"', f"there is no gate before {planned.name} ({planned.key})")
        key = one_of(gate, list(gates), "GATE", f"there is no such gate before {planned.name} ({planned.key})")
        if gates[key].holds is True:
            raise InputError.one("GATE", f'"{key}"', f"it holds: {gates[key].what}", "there is nothing to pass")
        already = gates[key].passed
        if already is not None:
            raise InputError.one(
                "GATE",
                f'"{key}"',
                f"{already.what.by} has passed it already, at {words.clock(already.at)}: {already.what.why}",
            )
        events = words.kept(
            here, Passed(build=found.name, gate=key, step=planned.key, by=by.strip(), why=why.strip())
        )
        now = words.again(here, found.name)
    said = [f"{found.name}: gate {key} before {planned.name} ({planned.key}) is passed by {by.strip()}: {why.strip()}"]
    return words.answered(now, said, events=events, json=json)
