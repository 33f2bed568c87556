"""``bagside cure chance JOB``: how sure a cycle is, or a cycle that is as sure as wanted."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def chance(
    job: Annotated[Path, typer.Argument(help="A job, or sections as in demo/benches/cure.toml.")],
    workshop: Annotated[Path | None, typer.Option(help="Workshop's file or folder; else the nearest above.")] = None,
    draws: Annotated[int, typer.Option(help="How many ways in which it may turn out are drawn.")] = 2000,
    seed: Annotated[int, typer.Option(help="The same seed gives the same numbers.")] = 1,
    want: Annotated[
        str,
        typer.Option(help='Chance wanted that every limit holds, as in "95 %"; a wanted cycle is designed to it.'),
    ] = "",
    scatter: Annotated[
        list[str] | None,
        typer.Option(help='What may be off and by how much, as in "rate 15 %", "place 5 K", "leak 20 mbar"; again '
                     "for each."),
    ] = None,
    voids: Annotated[bool, typer.Option(help="Whether water must make no voids before gel.")] = True,
    cluster: Annotated[str, typer.Option(help='Dask scheduler that computes, as in "tcp://192.168.1.20:8786".')] = "",
    workers: Annotated[int, typer.Option(help="Processes here; 0: one for each core.")] = 0,
    within: Annotated[str, typer.Option(help='Stop after so long and keep what is drawn, as in "30 s".')] = "",
    json: AsJson = False,
) -> int:  # fmt: skip
    """Count how often every limit of a cycle holds; look for one that is as sure as wanted where none is stated."""
    from bagside.cli import options, show
    from bagside.cli.cure import chance_show
    from bagside.cli.cure.case import opened_case
    from bagside.cli.cure.running import Watched
    from bagside.cli.cure.scatter_options import stated_scatter
    from bagside.errors import InputError
    from bagside.planning.chance_case import chance_of_case
    from bagside.quantity import Quantity

    # 19 of 20 are 95 % to the last bit
    wanted = round(options.positive(want, Quantity.FRACTION, "--want"), 12) if want else None
    if wanted is not None and not wanted < 1.0:
        raise InputError.one("--want", f'"{want}"', 'less than 100 % is wanted, as in "95 %"')
    if workers < 0:
        raise InputError.one("--workers", str(workers), "zero or more is wanted")
    limit = options.positive(within, Quantity.TIME, "--within") if within else None
    asked = stated_scatter(scatter or [])
    case = opened_case(job, workshop, wanted=True)
    with Watched(limit) as watched:
        found = chance_of_case(
            case, asked, draws=draws, seed=seed, wanted=wanted, voids=voids, workers=workers or None, cluster=cluster,
            progress=watched.draws, say=watched.say, stop=watched.stop,
        )  # fmt: skip
    if json:
        show.emit({"chance": chance_show.data(found), "findings": [show.finding_data(f) for f in found.findings]})
        return show.exit_code(found.findings)
    chance_show.tables(found)
    show.show_findings(found.findings)
    return show.exit_code(found.findings)
