"""``bagside build concede BUILD``: a departure from the plan is accepted, by name."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def concede(
    build: given.Serial,
    what: Annotated[str, typer.Option(help="What departs from the plan.")] = "",
    why: Annotated[str, typer.Option(help="Why it is accepted.")] = "",
    effect: Annotated[str, typer.Option(help="What it means for the part.")] = "",
    by: Annotated[str, typer.Option(help="Who decided.")] = "",
    customer: Annotated[str, typer.Option(help="Who accepted it for the customer.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down a concession: what, why, what it means, who decided, and who accepted it for the customer."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called
    from bagside.cli.desk import desk
    from bagside.errors import InputError, Problem
    from bagside.ledger.bodies import Conceded

    stated = {"--what": what, "--why": why, "--effect": effect, "--by": by}
    missing = [option for option, text in stated.items() if not text.strip()]
    if missing:
        raise InputError(Problem(place=o, came="", wanted="this is missing; state it in a sentence") for o in missing)
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        body = Conceded(build=found.name, what=what, why=why, effect=effect, by=by.strip(), customer=customer.strip())
        events = words.kept(here, body)
        now = words.again(here, found.name)
    findings = []
    if not customer.strip():
        findings.append(
            words.seen(
                f"{found.name}, concession",
                "nobody has accepted it for the customer",
                "a part that is not as agreed is the customer's to take or to refuse",
                "ask before it is delivered; then write it down again with --customer",
            )
        )
    said = [f"{found.name}: {what} – accepted by {by.strip()}."]
    return words.answered(now, said, findings, events=events, json=json)
