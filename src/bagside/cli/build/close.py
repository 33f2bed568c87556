"""``bagside build close BUILD VERDICT``: a build is over, good, conceded or scrap."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def close(
    build: given.Serial,
    verdict: Annotated[str, typer.Argument(metavar="VERDICT", help="good, conceded or scrap.")],
    why: Annotated[str, typer.Option(help="Why; wanted for scrap.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Close a build: nothing more is written down of it but corrections."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, closing, one_of
    from bagside.cli.build.gated import stopped
    from bagside.cli.desk import desk
    from bagside.errors import InputError
    from bagside.ledger.bodies import Closed
    from bagside.ledger.builds.build_closing import VERDICTS

    how = one_of(verdict, list(VERDICTS), "VERDICT", "good, conceded or scrap is wanted")
    if how == "scrap" and not why.strip():
        raise InputError.one("--why", "", "what the part is scrapped for is wanted")
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        if how != "scrap":
            code = stopped(here, [(found, closing())], f"close it as {how}", json=json)
            if code:
                return code
        events = words.kept(here, Closed(build=found.name, verdict=how, why=why))
        now = words.again(here, found.name)
    said = [f"{found.name} is closed: {how}{f' – {why}' if why else ''}."]
    return words.answered(now, said, events=events, before=[found], json=json, upcoming=False)
