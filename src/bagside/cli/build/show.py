"""``bagside build show BUILD``: one part, planned and as it was: steps, plies, readings, masses, what is off."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder
from bagside.cli.options import AsJson


def show_build(
    build: given.Serial,
    history: Annotated[
        bool, typer.Option("--history", help="Everything that happened to it, one line for each event.")
    ] = False,
    workshop: Folder = None,
    at: At = "",
    json: AsJson = False,
) -> int:
    """Show a part: its steps with planned and actual times, ticks, readings, masses and what is off."""
    from datetime import UTC

    from bagside.cli import show
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, closing
    from bagside.cli.build.history import history_lines
    from bagside.cli.build.show_data import build_data
    from bagside.cli.build.show_tables import shown_lines, shown_tables
    from bagside.cli.desk import desk
    from bagside.ledger.builds.points import reading_findings
    from bagside.ledger.builds.weighed import mass_reading
    from bagside.ledger.gates.before import gate_findings, gates_before

    with desk(workshop, at=at) as here:
        found = build_called(here.ledger, build)
        if history:
            events = here.ledger.history(found.name)
            if json:
                show.emit({"build": found.name, "events": [words.event_data(e) for e in events], "findings": []})
            else:
                print("\n".join(history_lines(events)))
            return 0
        shop = here.standing()
        masses = mass_reading(found, shop)
        upcoming = (words.next_step(found) or closing()).key
        gates = gates_before(found, upcoming, shop, here.at.astimezone(UTC)) if found.there else ()
    findings = [
        *gate_findings(gates),
        *reading_findings(found),
        *(f for m in masses for f in m.findings),
    ]
    if json:
        show.emit(build_data(found, masses, gates, findings))
        return show.exit_code(findings)
    for title, headers, rows in shown_tables(found):
        show.table(title, headers, rows)
    for line in shown_lines(found, masses):
        show.OUT.print(line, soft_wrap=True, markup=False)
    show.OUT.print(words.next_line(found), soft_wrap=True, markup=False)
    show.show_findings(findings, rest="bagside build gates, or --json, shows them all")
    return show.exit_code(findings)
