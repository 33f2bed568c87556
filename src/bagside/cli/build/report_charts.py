"""Charts of a build's cures, drawn again from the logs that are kept: over the plan when that still is the same."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.cure import CureLog
    from bagside.findings import Finding
    from bagside.ledger.bodies import Cured
    from bagside.ledger.things import Build, Noted
    from bagside.planning.cure_case import CureCase
    from bagside.records.desk import Desk
    from bagside.sheets.as_built_cure import CureDrawn

OVER_PLAN = (
    "The log over the plan: the filled band is computed, between the place that cures first and the one that cures "
    "last; dashed lines are what each sensor wrote."
)
HIGH = 58.0
"""Of a chart in the report, without its strip [mm]: two cures and the results go on two pages."""
ALONE = (
    "What each sensor wrote: rings on the part, dots on the mould, ticks in the air; hatched where the mould may "
    "not go."
)


def charts(build: Build, here: Desk, logger: Path | None) -> tuple[dict[str, CureDrawn], list[Finding]]:
    """Return the chart of each cure that has a log, by its event, and what could not be drawn.

    Parameters
    ----------
    build
        The part.
    here
        The desk.
    logger
        A ``logger.toml`` that says how logs are read; what was settled when the log was attached when None.
    """
    from bagside.errors import InputError
    from bagside.sheets.as_built_cure import CureDrawn

    out: dict[str, CureDrawn] = {}
    noticed: list[Finding] = []
    cases: list[CureCase | None] = []
    for c in build.cures:
        if not c.what.file:
            continue
        try:
            log = kept_log(c.what, here.folder, logger)
        except InputError as error:
            words = "; ".join(str(p) for p in error.problems)
            out[c.event] = CureDrawn(svg="", words="Its log is kept and is not drawn here: it could not be read again.")
            noticed.append(_not_drawn(build, c.what, words))
            continue
        if not cases:
            cases.append(_case(build, here))
        out[c.event] = _drawn(c, log, cases[0], build)
    return out, noticed


def kept_log(cured: Cured, folder: Path, logger: Path | None = None) -> CureLog:
    """Return the log of a cure as it is kept, read as it was read when it was attached.

    Parameters
    ----------
    cured
        The cure.
    folder
        Of the workshop.
    logger
        A ``logger.toml`` that says how it is read. When None, what was settled then, and the one such file that lies in
        the workshop's folder, when there is just one.

    Raises
    ------
    InputError
        When the file is gone or has changed, or cannot be read without being told how.
    """
    from bagside.records.attachments import Attachments
    from bagside.records.logger import read_log, stated_options
    from bagside.records.logger.settled_file import SETTLED

    content = Attachments(folder).read(cured.file)
    texts: dict[str, Any] = {k: v for k, v in cured.settled.items() if v} if logger is None else {}
    if logger is None:
        found = [p for depth in ("", "*/", "*/*/", "*/*/*/") for p in folder.glob(f"{depth}{SETTLED}")]
        logger = found[0] if len(found) == 1 else None
    with tempfile.TemporaryDirectory() as place:  # a workbook is told by its name, which the kept file has not
        path = Path(place) / (Path(cured.called.replace("\\", "/")).name or "log.csv")
        path.write_bytes(content)
        if logger is not None:
            (Path(place) / SETTLED).write_bytes(logger.read_bytes())
        return read_log(path, stated_options(**texts))


def _case(build: Build, here: Desk) -> CureCase | None:
    """Return what the part's job says of its cure today; None when the cure it was begun with is another one."""
    from bagside.cli.build.job_of import job_of
    from bagside.cli.cure.case import opened_case
    from bagside.cure.judging import in_words
    from bagside.errors import InputError

    try:
        case = opened_case(job_of(build, here.folder), here.folder / "workshop.toml")
    except InputError:
        return None
    same = build.planned.programme.startswith(in_words(case.programme))
    limit, now = build.planned.mould_limit, case.limits.tool
    warm = limit is None or now is None or abs(limit - now) < 0.5
    return case if same and warm else None


def _drawn(c: Noted[Cured], log: CureLog, case: CureCase | None, build: Build) -> CureDrawn:
    from bagside.errors import InputError
    from bagside.sheets.as_built_cure import CureDrawn
    from bagside.sheets.log_chart import log_chart

    moved = _from_heat_on(log, c.what, c.at)
    if case is not None:
        try:
            return CureDrawn(svg=_over_plan(moved, case, post=c.what.post), words=OVER_PLAN)
        except (InputError, ValueError):
            pass  # the log alone still shows what happened
    limit = None if c.what.post else build.planned.mould_limit
    words = f"{build.planned.mould_words} mould".strip() if limit is not None and build.planned.mould_words else ""
    why = "" if case is not None else " The plan of that day is not drawn: the job has another cure now, or is gone."
    try:
        return CureDrawn(svg=log_chart(moved, limit=limit, limit_words=words), words=ALONE + why)
    except ValueError:
        return CureDrawn(svg="", words="Its log is kept; it holds no temperature that could be drawn.")


def _over_plan(log: CureLog, case: CureCase, *, post: bool) -> str:
    from bagside.planning import cure_stage
    from bagside.sheets.cure_curves import run_curves
    from bagside.sheets.cure_files import WIDE
    from bagside.sheets.curechart import cure_chart
    from bagside.sheets.curestrip import TALL

    plan = cure_stage.cure_plan(case)
    curves = run_curves(plan.last if post else plan.first, case, log)
    return cure_chart(curves, size_mm=(WIDE, HIGH if curves.strip is None else HIGH + TALL))


def _from_heat_on(log: CureLog, cured: Cured, heat_on: datetime) -> CureLog:
    """Return a log from heat on, as far as its own clock tells when that was; from its first reading otherwise."""
    start = 0.0
    if log.started is not None:
        first = log.started if log.started.tzinfo is not None else log.started.astimezone()
        start = (heat_on - first.astimezone(UTC)).total_seconds()
        if not 0.0 <= start < log.time[-1] - log.time[0]:
            start = 0.0
    there = log.time - log.time[0] >= start - 1e-6
    if there.sum() < 2:
        return log
    return replace(
        log,
        time=log.time[there] - log.time[0] - start,
        channels=tuple(replace(c, values=c.values[there]) for c in log.channels),
    )


def _not_drawn(build: Build, cured: Cured, words: str) -> Finding:
    from bagside.findings import Basis, Finding, Severity

    return Finding(
        severity=Severity.WATCH,
        stage="cure",
        place=f"{build.name}, {cured.called or 'log'}",
        what="the log of the cure could not be read again, so its chart is not in the report",
        why=words,
        do="state how it is read with --logger FILE, a logger.toml as bagside cure read --keep writes it",
        basis=Basis.MEASURED,
    )
