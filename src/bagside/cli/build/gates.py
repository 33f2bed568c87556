"""``bagside build gates BUILD``: what must hold before the next step, and whether it does."""

from __future__ import annotations

import textwrap

from bagside.cli.build import given
from bagside.cli.desk import At, Folder
from bagside.cli.options import AsJson


def gates(
    build: given.Serial,
    step: given.OfStep = "",
    workshop: Folder = None,
    at: At = "",
    json: AsJson = False,
) -> int:
    """Show the gates before a step, or before the end with --step close: each with its number, and what it wants."""
    from datetime import UTC

    from bagside.cli import show
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, closing, gate_step
    from bagside.cli.build.gate_words import gate_data, state
    from bagside.cli.desk import desk
    from bagside.ledger.gates.before import gate_findings, gates_before

    with desk(workshop, at=at) as here:
        found = build_called(here.ledger, build)
        planned = gate_step(found, step) if step else words.next_step(found) or closing()
        all_ = gates_before(found, planned.key, here.standing(), here.at.astimezone(UTC))
    findings = gate_findings(all_)
    if json:
        show.emit(
            {
                "build": found.name,
                "step": planned.key,
                "gates": [gate_data(g) for g in all_],
                "findings": [show.finding_data(f) for f in findings],
            }
        )
        return show.exit_code(findings)
    if not all_:
        show.OUT.print(f"{found.name}: nothing has to hold before {planned.name} ({planned.key}).")
        return 0
    show.OUT.print(f"{found.name} before {planned.name} ({planned.key})", style="bold", markup=False)
    width = max(60, min(show.OUT.width, 110))
    for g in all_:
        line = f"{state(g)}: {g.name} ({g.key}) – {g.what} {show.MARK[g.basis]}"
        show.OUT.print("\n".join(textwrap.wrap(line, width, subsequent_indent="    ")), markup=False)
    show.show_findings(findings)
    return show.exit_code(findings)
