"""``bagside build pass BUILD GATE``: somebody takes it on that a gate does not hold."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.gates.before import Gate


def pass_gate(
    build: given.Serial,
    gate: Annotated[str, typer.Argument(metavar="GATE", help="Its key, or the beginning of it; several with commas.")],
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
    from bagside.cli.build.found import build_called, closing, gate_step, listed, one_of
    from bagside.cli.desk import desk
    from bagside.errors import InputError, Problem
    from bagside.ledger.bodies import Passed
    from bagside.ledger.gates.before import gates_before

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
        none = f"there is no such gate before {planned.name} ({planned.key})"
        keys = [one_of(word.strip(), list(gates), "GATE", none) for word in gate.split(",") if word.strip()]
        for key in keys:
            _refuse(gates[key])
        events = words.kept(
            here,
            *(Passed(build=found.name, gate=k, step=planned.key, by=by.strip(), why=why.strip()) for k in keys),
        )
        now = words.again(here, found.name)
    what = f"gate{'s' if len(keys) > 1 else ''} {listed(keys)} before {planned.name} ({planned.key})"
    said = [f"{found.name}: {what} passed by {by.strip()}: {why.strip()}"]
    return words.answered(now, said, events=events, json=json)


def _refuse(gate: Gate) -> None:
    """Refuse to pass a gate that holds, or that somebody has passed already.

    Raises
    ------
    InputError
        Saying which.
    """
    from bagside.cli.build import words
    from bagside.errors import InputError

    if gate.holds is True:
        raise InputError.one("GATE", f'"{gate.key}"', f"it holds: {gate.what}", "there is nothing to pass")
    already = gate.passed
    if already is not None:
        told = f"{already.what.by} has passed it already, at {words.clock(already.at)}: {already.what.why}"
        raise InputError.one("GATE", f'"{gate.key}"', told)
