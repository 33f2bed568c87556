"""``bagside build report BUILD``: the as-built report of a part, for the customer and for the drawer, as PDF."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from datetime import datetime

    from bagside.findings import Finding
    from bagside.ledger.actual.compared import PlanAgainstActual
    from bagside.ledger.event import Event
    from bagside.ledger.things import Build
    from bagside.records.desk import Desk


def report(
    build: given.Serial,
    out: Annotated[Path, typer.Option("--out", help="Folder for the PDF files; made when it is not there.")] = Path(),
    whose: Annotated[str, typer.Option("--for", help="customer or drawer; both else.")] = "",
    logger: Annotated[
        Path | None, typer.Option("--logger", help="How logs are read: a logger.toml; as they were attached else.")
    ] = None,
    workshop: Folder = None,
    at: At = "",
    json: AsJson = False,
) -> int:
    """Print what a part is: what it is made of, how it was cured, what was measured, and what was never recorded."""
    from datetime import UTC

    from bagside.cli import show
    from bagside.cli.build.found import build_called, one_of
    from bagside.cli.build.report_charts import charts
    from bagside.cli.build.report_data import actual_data
    from bagside.cli.desk import desk
    from bagside.sheets.as_built import as_built_pdf
    from bagside.sheets.as_built_report import Whose, as_built_report
    from bagside.sheets.as_built_words import zone_of
    from bagside.sheets.package import Package

    wanted = [Whose(one_of(whose, [w.value for w in Whose], "--for", "it is one of them"))] if whose else list(Whose)
    _there(logger)
    with desk(workshop, at=at) as here:
        found = build_called(here.ledger, build)
        history = here.ledger.history(found.name)
        actual = actual_of(here, found, here.at.astimezone(UTC))
        drawn, noticed = charts(found, here, logger)
        pictures: dict[str, bytes] = {}
        if Whose.DRAWER in wanted:
            pictures, lost = _pictures(here, found)
            noticed += lost
        zone = zone_of(next((e.zone for e in history if e.kind == "begun"), here.zone))
        shop = here.shop
    files = {
        file_name(found.name, w.value): as_built_pdf(
            as_built_report(actual, shop, w, zone=zone, drawn=drawn, pictures=pictures, history=history)
        )
        for w in wanted
    }
    names = Package(out).written(files)
    if json:
        data = actual_data(actual)
        show.emit({**data, "files": [str(out / n) for n in names], "findings": [show.finding_data(f) for f in noticed]})
        return show.exit_code(noticed)
    for name in names:
        show.OUT.print(str(out / name), soft_wrap=True, markup=False)
    _said(actual)
    show.show_findings(noticed)
    return show.exit_code(noticed)


def file_name(serial: str, whose: str) -> str:
    """Return what a report is called: by the serial number, and who reads it.

    Parameters
    ----------
    serial
        Of the part.
    whose
        Who reads it.
    """
    return f"{plain_name(serial)}-as-built-{whose}.pdf"


def plain_name(name: str) -> str:
    """Return a name as a file may be called.

    Parameters
    ----------
    name
        Of a part or a job.
    """
    return "".join(c if c.isalnum() or c in "-_." else "-" for c in name).strip(".-") or "part"


def actual_of(here: Desk, build: Build, now: datetime) -> PlanAgainstActual:
    """Return a part as planned and as it was made.

    Parameters
    ----------
    here
        The desk.
    build
        The part.
    now
        When [UTC].
    """
    from bagside.ledger.actual.compared import compared

    return compared(build, here.standing(), now, spent_on(here, build.name))


def spent_on(here: Desk, build: str) -> list[Event]:
    """Return what was used up for a part, as it stands after corrections.

    Parameters
    ----------
    here
        The desk.
    build
        Serial number.
    """
    from bagside.ledger.bodies import Corrected, Spent
    from bagside.ledger.replay import effective

    names: dict[str, None] = {}
    for e in here.ledger.events(kinds=("spent", "corrected")):
        body = e.body
        if isinstance(body, Spent) and body.build == build:
            names[body.thing] = None
        elif isinstance(body, Corrected) and body.kind == "spent" and body.data.get("build") == build:
            names[str(body.data.get("thing", ""))] = None
    return [e for name in names if name for e in effective(here.ledger.history(name)) if isinstance(e.body, Spent)]


def _there(logger: Path | None) -> None:
    from bagside.errors import InputError

    if logger is not None and not logger.is_file():
        raise InputError.one("--logger", f'"{logger}"', "there is no such file")


def _pictures(here: Desk, build: Build) -> tuple[dict[str, bytes], list[Finding]]:
    """Return the photos of a part by digest, and which are gone."""
    from bagside.errors import InputError
    from bagside.findings import Basis, Finding, Severity
    from bagside.records.attachments import Attachments

    kept, lost = {}, []
    store = Attachments(here.folder)
    for p in build.photos:
        try:
            kept[p.what.file] = store.read(p.what.file)
        except InputError as error:
            lost.append(
                Finding(
                    severity=Severity.WATCH,
                    stage="photo",
                    place=f"{build.name}, {p.what.called}",
                    what="the photo is not in the report",
                    why="; ".join(str(x) for x in error.problems),
                    do="bring it back from a backup; the ledger still says that it was taken",
                    basis=Basis.MEASURED,
                )
            )
    return kept, lost


def _said(actual: PlanAgainstActual) -> None:
    """Say what stands out at a glance: hours, gaps."""
    from bagside.cli import show
    from bagside.sheets.as_built_words import lasting

    known = sum(s.attended is not None for s in actual.steps)
    show.OUT.print(
        f"Hands-on {lasting(actual.hours)} against {lasting(actual.planned_hours)} planned; "
        f"{known} of {len(actual.steps)} steps known."
    )
    for gap in actual.missing:
        show.OUT.print(f"Never recorded: {gap}.", soft_wrap=True, markup=False)
