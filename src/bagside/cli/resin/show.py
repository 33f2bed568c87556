"""``bagside resin show NAME``: a resin's law, where it may be believed, and what it does at a few temperatures."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def show(
    name: Annotated[str, typer.Argument(help="A resin of the workshop or the library, as in epoxy-120.")],
    workshop: Annotated[Path | None, typer.Option(help="Folder of the workshop whose materials count.")] = None,
    at: Annotated[list[str] | None, typer.Option("--at", help='Temperature to hold, as in "80 °C"; repeat.')] = None,
    json: AsJson = False,
) -> int:
    """Show a resin: law, sources, range, gel and Tg at a few temperatures."""
    from bagside.cli import show as out
    from bagside.cli.options import quantity
    from bagside.cli.resin.shown import resin_data, resin_findings, resin_tables
    from bagside.cure.fit import held_at, usual_temperatures
    from bagside.errors import InputError
    from bagside.planning.cure_sections import cure_resin
    from bagside.quantity import Quantity
    from bagside.spec.library import generic_library, lookup, workshop_library

    library = generic_library() if workshop is None else workshop_library(workshop)
    problems = lookup(library.resin, name, "name", "resin")
    if problems:
        raise InputError(problems)
    stated = library.resin[name]
    resin = cure_resin(stated, stated.density, name)
    heats = [quantity(text, Quantity.TEMPERATURE, "--at") for text in at or ()] or usual_temperatures(resin)
    if any(t <= 0.0 for t in heats):
        raise InputError.one("--at", "", "a temperature above absolute zero is wanted")
    held = held_at(resin, heats)
    found = resin_findings(name, stated, resin, held)
    if json:
        out.emit(resin_data(name, stated, resin, held, found))
        return out.exit_code(found)
    for title, headers, rows in resin_tables(name, stated, resin, held):
        out.table(title, headers, rows)
    if not found:
        out.OUT.print(out.KEY, style="dim")
    out.show_findings(found)
    return out.exit_code(found)
