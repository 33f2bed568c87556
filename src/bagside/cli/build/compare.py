"""``bagside build compare JOB``: the parts of one design over time: scatter, trends, what stands out, what to learn."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import At, Folder
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.design.apart import Shared
    from bagside.ledger.design.over_time import DesignOverTime
    from bagside.ledger.design.series import Series


def compare(
    job: Annotated[str, typer.Argument(metavar="JOB", help="Name of the job, or its beginning.")],
    out: Annotated[Path | None, typer.Option("--out", help="Folder for the page as PDF and SVG.")] = None,
    workshop: Folder = None,
    at: At = "",
    json: AsJson = False,
) -> int:
    """Show the parts of one design side by side: mass, thickness, hours, pinholes, Tg; what stands out and why."""
    from datetime import UTC

    from bagside.cli import show
    from bagside.cli.build.found import one_of
    from bagside.cli.build.report import plain_name
    from bagside.cli.desk import desk
    from bagside.errors import InputError
    from bagside.ledger.bodies import Sort
    from bagside.ledger.design.over_time import over_time
    from bagside.ledger.things import Build
    from bagside.sheets.design_over_time import design_page, design_pdf
    from bagside.sheets.package import Package

    with desk(workshop, at=at) as here:
        shop = here.standing()
        builds = [t for t in here.ledger.things(Sort.BUILD, there=None).values() if isinstance(t, Build)]
        if not builds:
            raise InputError.one("JOB", f'"{job}"', "no build has been begun yet", "bagside build begin JOB begins one")
        jobs = sorted({b.planned.job for b in builds})
        name = one_of(Path(job).name, jobs, "JOB", "no part of such a job has been begun")
        found = over_time([b for b in builds if b.planned.job == name], shop, here.at.astimezone(UTC))
        paper = here.shop.paper
    files: list[str] = []
    if out is not None:
        page: dict[str, bytes | str] = {f"{plain_name(name)}-over-time.pdf": design_pdf(found, paper)}
        page[f"{plain_name(name)}-over-time.svg"] = design_page(found, paper)
        files = [str(out / n) for n in Package(out).written(page)]
    if json:
        show.emit({**design_data(found), "files": files, "findings": []})
        return 0
    _said(found)
    for file in files:
        show.OUT.print(file, soft_wrap=True, markup=False)
    return 0


def _said(found: DesignOverTime) -> None:
    """Print the figures as a table, then sentences."""
    from bagside.cli import show
    from bagside.sheets.design_words import (
        all_standing,
        learned_words,
        scatter_words,
        summary,
        toml_of,
        trend_words,
        value_words,
    )

    head = ", ".join(summary(found).values())
    show.table(
        f"{found.job}: {head}",
        ["figure", "planned, last", "as it was", "trend"],
        [
            [s.name, value_words(s.planned[-1], s.unit, s.digits), scatter_words(s), trend_words(s)]
            for s in found.series
        ],
    )
    for words in all_standing(found):
        show.OUT.print(words, soft_wrap=True, markup=False)
    told = [x for x in found.learned if x.told]
    if told:
        show.OUT.print("What the shop may take over; nothing is changed by itself:", markup=False)
        for x in told:
            now = f"; planned with today: {x.now}" if x.now else ""
            show.OUT.print(f"  {learned_words(x)}{now}", soft_wrap=True, markup=False)
    lines = toml_of(found.learned)
    if lines:
        show.OUT.print("For workshop.toml, where you believe it:", markup=False)
        for line in lines:
            show.OUT.print(f"  {line}", soft_wrap=True, markup=False)


def design_data(found: DesignOverTime) -> dict[str, Any]:
    """Return a design over time as JSON data; figures are in SI units, as their keys say.

    Parameters
    ----------
    found
        The parts.
    """
    return {
        "job": found.job,
        "parts": list(found.names),
        "revisions": list(found.revisions),
        "few": found.few,
        "scrapped": None
        if found.scrapped is None
        else {
            "count": found.scrapped.count, "closed": found.scrapped.closed, "low": found.scrapped.low,
            "high": found.scrapped.high,
        },
        "figures": [_series(s, found.names) for s in found.series],
        "standing_out": [
            {
                "figure": s.series, "parts": list(s.parts), "shared": [_shared(x) for x in s.shared],
                "causes": {n: [{"cause": r.name, "chance": r.chance} for r in ranked] for n, ranked in s.causes},
            }
            for s in found.standing
        ],
        "learned": [
            {
                "what": x.what, "ratio": x.ratio, "low": x.low, "high": x.high, "parts": x.count, "told": x.told,
                "workshop_toml": list(x.lines), "now": x.now,
            }
            for x in found.learned
        ],
    }  # fmt: skip


def _series(s: Series, names: tuple[str, ...]) -> dict[str, Any]:
    limits, trend = s.limits, s.trend
    return {
        "figure": s.key,
        "name": s.name,
        "shown_in": s.unit,
        "values_si": dict(zip(names, s.values, strict=True)),
        "planned_si": dict(zip(names, s.planned, strict=True)),
        "mean_si": s.mean,
        "scatter_si": s.sigma,
        "limits_si": None
        if limits is None
        else {"low": limits.low, "mean": limits.mean, "high": limits.high, "firm": limits.firm},
        "trend_si_each_part": None
        if trend is None
        else {"slope": trend.slope, "low": trend.low, "high": trend.high, "told": trend.told},
        "standing_out": [names[k] for k in s.standing],
    }


def _shared(s: Shared) -> dict[str, Any]:
    return {
        "what": s.name,
        "value": s.value,
        "above": s.above,
        "edge_si": s.edge,
        "those": list(s.those),
        "others": list(s.others),
        "chance_by_luck": s.luck,
        "sure": s.sure,
    }
